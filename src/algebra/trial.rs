//! Points at which candidates are tried, and whether an equation holds at one.
//!
//! Points are the same in every run.

use rustc_hash::FxHashMap;

use super::node::{Id, Node, Symbol};
use super::sample::Symbols;
use super::{Algebra, Point, Samples, number};

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

    #[cfg(test)]
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

    /// The sum of the magnitudes of the terms, also of those in the factors of a product: what is
    /// lost where these cancel is multiplied with the others.
    pub(super) fn size_at(&self, point: &mut Point, id: Id) -> f64 {
        match self.node(id) {
            Node::Sum(sum) => {
                let constant = number::to_f64(&sum.constant).abs();
                sum.terms
                    .iter()
                    .fold(constant, |size, (term, coefficient)| {
                        size + (self.size_at(point, *term) * number::to_f64(coefficient)).abs()
                    })
            }
            Node::Product(factors) => (factors.iter())
                .map(|(base, exponent)| {
                    let size = match exponent.is_negative() {
                        true => point.value(self, *base).abs(),
                        false => self.size_at(point, *base),
                    };
                    size.powf(number::to_f64(exponent))
                })
                .product(),
            _ => point.value(self, id).abs(),
        }
    }
}
