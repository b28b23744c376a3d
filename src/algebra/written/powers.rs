//! Roots and powers: what has the same exponent stands under one.

use dashu_int::IBig;
use num_traits::{One, ToPrimitive, Zero};

use super::Written;
use super::product::{Gathered, Kind, Piece, fraction};
use crate::algebra::node::{Id, Node};
use crate::algebra::{Algebra, Rational, number};

/// What stands under one root.
#[derive(Debug)]
struct Radicand {
    /// Above zero and not whole.
    exponent: Rational,
    coefficient: Rational,
    factors: Vec<(Id, Rational)>,
}

impl Radicand {
    fn new(exponent: Rational) -> Self {
        Self {
            exponent,
            coefficient: Rational::one(),
            factors: Vec::new(),
        }
    }

    /// Whether there is nothing above the line of the radicand.
    fn is_below(&self) -> bool {
        self.coefficient.numer().is_one()
            && (!self.coefficient.is_one() || !self.factors.is_empty())
            && self
                .factors
                .iter()
                .all(|(_, exponent)| exponent.is_negative())
    }

    fn invert(&mut self) {
        self.coefficient = self.coefficient.recip();
        for (_, exponent) in &mut self.factors {
            *exponent = -&*exponent;
        }
    }
}

impl Algebra {
    /// Takes the roots out of a product and writes them.
    pub(super) fn write_roots(&mut self, gathered: &mut Gathered, pieces: &mut Vec<Piece>) {
        let mut radicands: Vec<Radicand> = Vec::new();
        let (roots, kept) = std::mem::take(&mut gathered.rational)
            .into_iter()
            .partition(|(_, exponent)| !exponent.is_integer());
        gathered.rational = kept;
        let roots: std::collections::BTreeMap<Id, Rational> = roots;
        let is_number = gathered.rational.is_empty()
            && gathered.symbolic.is_empty()
            && roots.is_empty()
            && pieces.is_empty();
        for (base, exponent) in roots {
            let side = exponent.signum();
            radicand(&mut radicands, &exponent.abs())
                .factors
                .push((base, side));
        }
        place_primes(gathered, &mut radicands, is_number);
        radicands.sort_by(|one, other| one.exponent.cmp(&other.exponent));
        for radicand in radicands {
            let piece = self.write_radicand(radicand);
            pieces.push(piece);
        }
    }

    fn write_radicand(&mut self, mut radicand: Radicand) -> Piece {
        let is_below = radicand.is_below();
        if is_below {
            radicand.invert();
        }
        let product = self.product_of(&radicand.factors);
        let place = self.place(product);
        let base = match radicand.factors.as_slice() {
            [(only, _)] => *only,
            _ => product,
        };
        let is_symbol = matches!(self.node(base), Node::Symbol(_));
        let inner = self.write_product(&radicand.coefficient, &radicand.factors);
        let (kind, written) = if radicand.exponent == number::ratio(1, 2) {
            (Kind::Root, Written::Root(Box::new(inner)))
        } else if radicand.exponent == number::ratio(1, 3) {
            (Kind::Root, Written::CubeRoot(Box::new(inner)))
        } else {
            let kind = if is_symbol {
                Kind::Symbol
            } else {
                Kind::Bracket
            };
            (kind, inner.raised_to(fraction(&radicand.exponent)))
        };
        Piece {
            base,
            kind,
            place,
            written,
            is_below,
        }
    }

    /// Writes powers whose exponents are no numbers: `a^k b^(-k)` is `(a/b)^k`.
    pub(super) fn write_symbolic_powers(&mut self, gathered: &Gathered, pieces: &mut Vec<Piece>) {
        let mut groups: Vec<(Id, Vec<(Id, Rational)>)> = Vec::new();
        for (base, exponent) in &gathered.symbolic {
            let is_minus = self.leads_with_written_minus(*exponent);
            let exponent = if is_minus {
                self.negate(*exponent)
            } else {
                *exponent
            };
            let side = if is_minus {
                -Rational::one()
            } else {
                Rational::one()
            };
            match groups.iter_mut().find(|(known, _)| *known == exponent) {
                Some((_, bases)) => bases.push((*base, side)),
                None => groups.push((exponent, vec![(*base, side)])),
            }
        }
        for (exponent, bases) in groups {
            let piece = self.write_symbolic_power(exponent, bases);
            pieces.push(piece);
        }
    }

    fn write_symbolic_power(&mut self, exponent: Id, mut bases: Vec<(Id, Rational)>) -> Piece {
        let product = self.product_of(&bases);
        let place = self.place(product);
        let exponent_place = self.place(exponent);
        let only = match bases.as_slice() {
            [(only, _)] => Some(*only),
            _ => None,
        };
        let is_number = only.is_some_and(|only| self.as_number(only).is_some());
        let is_below = bases.iter().all(|(_, side)| side.is_negative());
        if is_below {
            bases
                .iter_mut()
                .for_each(|(_, side)| *side = Rational::one());
        }
        // A power of a number keeps its minus: `10^(-x)`.
        let exponent = if is_below && is_number {
            self.negate(exponent)
        } else {
            exponent
        };
        let written = self.write_product(&Rational::one(), &bases);
        let is_symbol = only.is_some_and(|only| matches!(self.node(only), Node::Symbol(_)));
        Piece {
            base: only.unwrap_or(product),
            kind: if is_symbol {
                Kind::Symbol
            } else {
                Kind::Bracket
            },
            place: if is_number { exponent_place } else { place },
            written: written.raised_to(self.write(exponent)),
            is_below: is_below && !is_number,
        }
    }

    /// Whether an exponent reads better with the opposite sign: `n - 1` and `1 - 1/k` do not.
    fn leads_with_written_minus(&mut self, id: Id) -> bool {
        let Node::Sum(sum) = self.node(id).clone() else {
            return false;
        };
        let terms = self.in_order(&sum.terms);
        let Some((first, coefficient)) = terms.first() else {
            return sum.constant.is_negative();
        };
        let is_fraction = self
            .factors_of(*first)
            .iter()
            .all(|(_, exponent)| exponent.is_negative());
        if is_fraction && !sum.constant.is_zero() {
            sum.constant.is_negative()
        } else {
            coefficient.is_negative()
        }
    }
}

/// The radicand with an exponent, begun when there is none.
fn radicand<'a>(radicands: &'a mut Vec<Radicand>, exponent: &Rational) -> &'a mut Radicand {
    let at = radicands
        .iter()
        .position(|known| known.exponent == *exponent);
    let at = at.unwrap_or_else(|| {
        radicands.push(Radicand::new(exponent.clone()));
        radicands.len() - 1
    });
    &mut radicands[at]
}

/// Puts primes under the roots that are there. A denominator that roots were freed from goes back
/// under them: `sqrt(2)/2 sqrt(x)` is `sqrt(x/2)`; a number alone stays as it is.
fn place_primes(gathered: &mut Gathered, radicands: &mut Vec<Radicand>, is_number: bool) {
    let denominator = gathered.coefficient.denom().clone();
    let is_freed = |prime: &IBig| denominator.is_multiple_of(prime);
    let freed = gathered
        .primes
        .iter()
        .map(|(prime, _)| prime)
        .filter(|prime| is_freed(prime));
    // Where a part of it remains in front, nothing is gained.
    let goes_back = !is_number && freed.product::<IBig>() == denominator;
    for (prime, mut exponent) in std::mem::take(&mut gathered.primes) {
        let goes_back = goes_back && is_freed(&prime);
        let prime = Rational::from_integer(prime);
        if goes_back {
            gathered.coefficient *= &prime;
            exponent -= Rational::one();
        }
        let (wanted, times) = radicand_of_prime(radicands, &exponent);
        if let Some(power) = number::raised(&prime, times, u64::MAX) {
            radicand(radicands, &wanted).coefficient *= power;
        }
    }
}

/// The exponent of the radicand that a prime goes to, and how many times it stands there: with
/// what has the same exponent, or under a plain root, `4^(1/3)` for `2^(2/3)`.
fn radicand_of_prime(radicands: &[Radicand], exponent: &Rational) -> (Rational, i64) {
    let is_known = |wanted: &Rational| radicands.iter().any(|known| known.exponent == *wanted);
    let size = exponent.abs();
    let root = Rational::from_integer(exponent.denom().clone()).recip();
    let times = exponent.numer().to_i64();
    match times {
        Some(times) if !is_known(&size) && is_known(&root) => (root, times),
        _ => (size, if exponent.is_negative() { -1 } else { 1 }),
    }
}
