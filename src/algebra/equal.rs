//! Two expressions at one point, and what is said where they differ or nothing is known.

use rustc_hash::FxHashMap;

use super::Algebra;
use super::measure::{Measured, Measurement};
use super::node::{Id, Symbol};

/// A point at which two expressions differ.
#[derive(Debug, Clone, PartialEq)]
pub struct Counterexample {
    /// The symbols of both sides with their values, in the order of the symbols.
    pub values: Vec<(Symbol, f64)>,
    /// What the left side is there.
    pub left: f64,
    /// What the right side is there; the same number when they differ beyond its digits.
    pub right: f64,
}

/// Why nothing is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Undecided {
    /// Both sides agree at this many points, but no known identity makes them equal.
    Agreeing(usize),
    /// No point was found at which both sides are defined.
    Nowhere,
    /// The bound on effort was reached; both sides agree at this many points.
    Effort(usize),
}

impl Algebra {
    pub(super) fn both(
        &self,
        left: Id,
        right: Id,
        point: &FxHashMap<Symbol, f64>,
    ) -> Option<(Measured, Measured)> {
        let mut measurement = Measurement::new(point.clone());
        let one = measurement.of(self, left);
        let two = measurement.of(self, right);
        (one.is_known() && two.is_known()).then_some((one, two))
    }

    /// Whether two expressions differ at a point by more than rounding can explain.
    pub(super) fn sides_differ(
        &self,
        (left, right): (Id, Id),
        point: &FxHashMap<Symbol, f64>,
    ) -> bool {
        let both = self.both(left, right, point);
        both.is_some_and(|(one, two)| differ(one, two))
    }
}

/// Whether two numbers differ by more than rounding.
pub(super) fn differ(one: Measured, two: Measured) -> bool {
    (one.value - two.value).abs() > 4.0 * (one.error + two.error)
}
