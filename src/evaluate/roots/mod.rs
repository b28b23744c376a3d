//! Numbers that make equations true.
//!
//! In go closures over plain numbers, out come roots, or the reason why there is none.
//! This room knows no worksheet, symbol or unit: the caller hands in `left − right` in
//! coherent SI units, and says in its own words what a [`Failure`] means.
//!
//! - [`between`]: one unknown with a bracket; every root in it is looked for.
//! - [`near`]: one unknown with a start; the root nearest to it.
//! - [`system_scaled`]: several unknowns with a start.
//!
//! No tolerance here has a size of its own. Numbers are of any size (1e-7 m beside 1e8 Pa), so
//! a step is judged against the unknown, and a residual against the terms that it is left of.
//! What counts as the rounding of a function is measured on the function (`noise.rs`).

mod bracket;
mod noise;
mod probe;
mod scalar;
mod scan;
mod stride;
mod system;
mod trial;

#[cfg(test)]
mod tests;

pub use scalar::{between, near};
#[cfg(test)]
pub use system::system;
pub use system::system_scaled;

/// The most unknowns that [`system`] takes: enough for a worksheet, and a dense matrix stays cheap.
pub const MOST_UNKNOWNS: usize = 12;

/// The most iterations of one attempt; a regular root takes fewer than ten, a singular one about 60.
pub const MOST_ITERATIONS: u32 = 200;

/// How far from its start a root is looked for, in multiples of the size of the start.
pub const FARTHEST: f64 = 1e9;

/// A step below this part of the unknown no longer changes it: two units in the last place.
const STEP: f64 = 4.0 * f64::EPSILON;

/// A value below this many times the measured rounding of the function cannot be told from zero.
const NOISE: f64 = 8.0;

/// A root of one equation with one unknown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Root {
    /// Where the equation holds.
    pub value: f64,
    /// The magnitude of what is left there, in the unit of the equation.
    pub residual: f64,
    /// The steps that the last refinement took; 0 for a root met exactly.
    pub iterations: u32,
}

/// The residuals of `n` equations at a place, and the `n·n` entries of their Jacobian, row by row.
pub type Linearised = (Vec<f64>, Vec<f64>);

/// A root of several equations.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// The unknowns, in the order of the start.
    pub values: Vec<f64>,
    /// The largest residual, as a part of the terms of its equation: between 0 and 1, no unit.
    pub residual: f64,
    /// The steps of the attempt that found it.
    pub iterations: u32,
}

/// Typical sizes that the caller knows; an empty slice leaves them to be found.
///
/// Only positive, finite entries are used.
#[derive(Debug, Clone, Copy, Default)]
pub struct Scales<'a> {
    /// The size of each unknown; otherwise that of the start, and for a start at 0 the change
    /// that matters in the equations.
    pub unknowns: &'a [f64],
    /// The size of the terms of each equation, such as the larger side; otherwise what the
    /// Jacobian says the unknowns contribute.
    pub residuals: &'a [f64],
}

/// Why no root was found.
#[derive(Debug, Clone, PartialEq)]
pub enum Failure<Stop> {
    /// Nothing in the bracket makes the value zero.
    NoSignChange {
        /// The value at `low`.
        left: f64,
        /// The value at `high`.
        right: f64,
        /// The lowest place of the bracket at which the function has a value.
        low: f64,
        /// The highest such place.
        high: f64,
    },
    /// The bracket holds more than one root: all that were found, ascending.
    Several(Vec<f64>),
    /// The sign changes only where the function goes beyond all bounds.
    Pole {
        /// The pole.
        at: f64,
    },
    /// The sign changes only where the function jumps over zero.
    Jump {
        /// The jump.
        at: f64,
    },
    /// The search ended where no step makes the residuals smaller, and the equations do not hold.
    Minimum {
        /// The unknowns there.
        at: Vec<f64>,
        /// What is left: of one equation its value, of several as in [`Solution::residual`].
        residual: f64,
    },
    /// The equations contradict one another: wherever the search went, they depended on each
    /// other and did not hold (`x + y = 1`, `x + y = 2`).
    Inconsistent {
        /// The equations, by index, that contradict each other.
        equations: Vec<usize>,
        /// What is left, as in [`Solution::residual`].
        residual: f64,
    },
    /// Infinitely many roots: an equation follows from others, or an unknown matters in none.
    Dependent {
        /// The equations, by index, that depend on each other.
        equations: Vec<usize>,
        /// The unknowns, by index, that stay free.
        unknowns: Vec<usize>,
    },
    /// The unknowns grew beyond all bounds.
    Diverged {
        /// The unknowns when the search was given up.
        at: Vec<f64>,
    },
    /// The limit of iterations was reached.
    NotConverged {
        /// How many were made.
        iterations: u32,
        /// What is left: of one equation its value, of several as in [`Solution::residual`].
        residual: f64,
    },
    /// The function, its derivative or the place itself is infinite or not a number.
    NotFinite {
        /// The unknowns there.
        at: Vec<f64>,
    },
    /// There are no unknowns, more than [`MOST_UNKNOWNS`], or not as many equations as unknowns.
    Shape {
        /// The number of unknowns.
        unknowns: usize,
        /// The number of equations, when it is known.
        equations: usize,
    },
    /// The caller's own error where a value was indispensable.
    Stopped(Stop),
}
