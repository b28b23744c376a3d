//! Points at which candidates are tried, and whether an equation holds at one.
//!
//! Points are the same in every run. Besides those that are made up for all symbols but the
//! unknown there are some on the equation itself: where another symbol stands linearly, it
//! is computed from all others, the unknown among them. So an equation that has solutions for few
//! values of its symbols only is still tried where it has some.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::node::{Id, Node, Symbol};
use super::sample::Symbols;
use super::{Algebra, Point, Samples, number};

/// Symbols that are computed from the others, at most.
const MOST_COMPUTED: usize = 3;

/// Values of symbols.
pub(super) type Values = FxHashMap<Symbol, f64>;

impl Algebra {
    /// Points at which expressions are tried, the same ones each time.
    pub(super) fn points_for(&self, ids: &[Id], count: usize) -> Vec<Values> {
        let samples = Samples::default();
        let symbols = Symbols::of(self, ids);
        (0..count)
            .map(|at| samples.point(self, &symbols, at))
            .collect()
    }

    /// Whether two expressions have the same value at a point, to within what is lost where terms
    /// cancel; `None` where one of them has no value.
    pub(super) fn agree(&self, point: &mut Point, left: Id, right: Id) -> Option<bool> {
        const TOLERANCE: f64 = 1e-7;
        let difference = point.value(self, left) - point.value(self, right);
        let size = self.size_at(point, left) + self.size_at(point, right);
        (difference.is_finite() && size.is_finite()).then(|| difference.abs() <= TOLERANCE * size)
    }

    /// Whether a value of the unknown satisfies an equation at a point. Where both sides nearly
    /// vanish, as `cos(pi/2)` does, what the rounding of the value makes of them is allowed for.
    pub(super) fn is_satisfied(
        &self,
        point: &mut Point,
        (left, right): (Id, Id),
        unknown: Symbol,
        value: f64,
    ) -> bool {
        point.set(unknown, value);
        match self.agree(point, left, right) {
            Some(false) => {}
            agrees => return agrees.is_some(),
        }
        let off = point.value(self, left) - point.value(self, right);
        point.set(unknown, value * (1.0 + 1e-14));
        let beside = point.value(self, left) - point.value(self, right);
        off.abs() <= 10.0 * (beside - off).abs()
    }

    /// The sum of the magnitudes of the terms.
    fn size_at(&self, point: &mut Point, id: Id) -> f64 {
        match self.node(id) {
            Node::Sum(sum) => {
                let constant = number::to_f64(&sum.constant).abs();
                sum.terms
                    .iter()
                    .fold(constant, |size, (term, coefficient)| {
                        size + (self.size_at(point, *term) * number::to_f64(coefficient)).abs()
                    })
            }
            _ => point.value(self, id).abs(),
        }
    }

    /// Points that satisfy an equation, with the value of the unknown in each.
    pub(super) fn points_on(
        &mut self,
        (left, right): (Id, Id),
        unknown: Symbol,
        count: usize,
    ) -> Vec<Values> {
        let difference = self.subtract(left, right);
        let mut others: BTreeSet<Symbol> = self.symbols(difference).iter().copied().collect();
        others.remove(&unknown);
        let made = self.points_for(&[left, right], count);
        let mut found = Vec::new();
        let mut computed = 0;
        for symbol in others {
            let Some([constant, slope]) = self.linear_parts(difference, symbol) else {
                continue;
            };
            for values in &made {
                let mut point = Point::new(values.clone());
                let value = -point.value(self, constant) / point.value(self, slope);
                if value.is_finite() && self.is_of_its_sign(symbol, value) {
                    let mut values = values.clone();
                    values.insert(symbol, value);
                    if self.agree(&mut Point::new(values.clone()), left, right) == Some(true) {
                        found.push(values);
                    }
                }
            }
            computed += 1;
            if computed == MOST_COMPUTED {
                break;
            }
        }
        found
    }

    fn linear_parts(&mut self, id: Id, symbol: Symbol) -> Option<[Id; 2]> {
        <[Id; 2]>::try_from(self.powers_of(id, symbol)?).ok()
    }

    fn is_of_its_sign(&self, symbol: Symbol, value: f64) -> bool {
        let sign = self.sign_of_symbol(symbol);
        (sign.positive && value > 0.0)
            || (sign.negative && value < 0.0)
            || (sign.zero && value == 0.0)
    }
}
