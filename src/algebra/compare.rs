//! Whether two expressions are equal: proved, refuted by numbers, or neither. The laws and
//! identities of the algebra are told in these words.

use rustc_hash::FxHashMap;

use super::equal::differ;
use super::node::{Id, Symbol};
use super::sample::{MOST_POINTS, Samples, Symbols};
use super::{Algebra, Counterexample, Undecided};

/// At so many points both sides are compared.
const ENOUGH_POINTS: usize = 14;

/// The verdict on two expressions.
#[derive(Debug, Clone, PartialEq)]
pub enum Equality {
    /// They are equal wherever both are defined, by algebra.
    Proved,
    /// They differ at a point, by more than rounding can explain.
    Different(Counterexample),
    /// Neither is known.
    Undecided(Undecided),
}

impl Algebra {
    /// Compares two expressions: numbers can only refute, algebra can only prove. Equal means
    /// equal wherever both are defined, for symbols with the signs that are known; points lie
    /// within the ranges of `samples`.
    pub fn compare(&mut self, left: Id, right: Id, samples: &Samples) -> Equality {
        if left == right && !self.is_undefined(left) {
            return Equality::Proved;
        }
        let symbols = Symbols::of(self, &[left, right]);
        let points = match self.refuted((left, right), &symbols, samples) {
            Ok(points) => points,
            Err(counterexample) => return Equality::Different(counterexample),
        };
        let agreeing = Equality::Undecided(Undecided::Agreeing(points));
        let difference = self.subtract(left, right);
        match self.is_identically_zero(difference) {
            Some(true) => Equality::Proved,
            _ if points == 0 => Equality::Undecided(Undecided::Nowhere),
            Some(false) => self
                .refuted_exactly((left, right), difference, samples)
                .map_or(agreeing, Equality::Different),
            None if self.is_exhausted() => Equality::Undecided(Undecided::Effort(points)),
            None => agreeing,
        }
    }

    /// Where sides differ by less than the rounding of either: their difference is computed
    /// after it was multiplied out exactly.
    fn refuted_exactly(
        &mut self,
        (left, right): (Id, Id),
        difference: Id,
        samples: &Samples,
    ) -> Option<Counterexample> {
        let (above, _) = self.together(difference);
        let above = self.expand(above);
        let zero = self.whole(0);
        let symbols = Symbols::of(self, &[left, right]);
        let found = self.refuted((above, zero), &symbols, samples).err()?;
        let point = found.values.iter().copied().collect();
        let (one, two) = self.both(left, right, &point)?;
        Some(Counterexample {
            left: one.value,
            right: two.value,
            ..found
        })
    }

    /// At how many points both sides agree, or where they do not.
    fn refuted(
        &self,
        (left, right): (Id, Id),
        symbols: &Symbols,
        samples: &Samples,
    ) -> Result<usize, Counterexample> {
        let mut agreeing = 0;
        for at in 0..MOST_POINTS {
            let point = samples.point(self, symbols, at);
            let Some((one, two)) = self.both(left, right, &point) else {
                continue;
            };
            if !differ(one, two) {
                agreeing += 1;
            } else if self.differs_nearby(left, right, &point) {
                return Err(Counterexample {
                    values: symbols
                        .all
                        .iter()
                        .map(|symbol| (*symbol, point[symbol]))
                        .collect(),
                    left: one.value,
                    right: two.value,
                });
            }
            if agreeing >= ENOUGH_POINTS || symbols.all.is_empty() {
                break;
            }
        }
        Ok(agreeing)
    }

    /// Whether both sides differ beside a point as well, where both are defined: a single point
    /// can be one at which a function jumps.
    fn differs_nearby(&self, left: Id, right: Id, point: &FxHashMap<Symbol, f64>) -> bool {
        [1.000_123, 0.999_87].into_iter().any(|factor| {
            let beside = point
                .iter()
                .map(|(symbol, value)| (*symbol, value * factor));
            self.sides_differ((left, right), &beside.collect())
        })
    }
}
