//! The numbers that a program runs on: plain `f64`, and values with their gradient.
//!
//! Columns of numbers need no type of their own: a program runs once a row.

use crate::functions::{Function, sum};

/// What the evaluator needs of a number.
pub trait Number: Clone {
    /// A constant.
    fn constant(value: f64) -> Self;
    /// Its value.
    fn value(&self) -> f64;
    /// `self + other`
    fn plus(&self, other: &Self) -> Self;
    /// `self - other`
    fn minus(&self, other: &Self) -> Self;
    /// `self * other`
    fn times(&self, other: &Self) -> Self;
    /// `self / other`
    fn over(&self, other: &Self) -> Self;
    /// `self ^ other`
    fn power(&self, other: &Self) -> Self;
    /// A function of its arguments.
    fn call(function: Function, arguments: &[Self]) -> Self;
}

impl Number for f64 {
    fn constant(value: f64) -> Self {
        value
    }

    fn value(&self) -> f64 {
        *self
    }

    fn plus(&self, other: &Self) -> Self {
        sum(*self, *other)
    }

    fn minus(&self, other: &Self) -> Self {
        sum(*self, -*other)
    }

    fn times(&self, other: &Self) -> Self {
        self * other
    }

    fn over(&self, other: &Self) -> Self {
        self / other
    }

    fn power(&self, other: &Self) -> Self {
        power(*self, *other)
    }

    fn call(function: Function, arguments: &[Self]) -> Self {
        function.value(arguments)
    }
}

/// A derivative by a source of uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Partial {
    /// The number of the source.
    pub source: u32,
    /// The derivative.
    pub slope: f64,
    /// The sum of the sizes of the parts that the derivative is made of: where it is far smaller
    /// than they are, they cancel.
    pub parts: f64,
}

/// Derivatives by source, sorted by source; absent ones are zero.
pub type Gradient = Vec<Partial>;

impl Partial {
    /// Of a source by itself.
    pub fn of(source: u32) -> Self {
        Self::by(source, 1.0)
    }

    /// A derivative in one part.
    pub fn by(source: u32, slope: f64) -> Self {
        Self {
            source,
            slope,
            parts: slope.abs(),
        }
    }

    /// Whether nothing but rounding is left of its parts.
    pub fn vanishes(&self) -> bool {
        /// Far above rounding, far below what anyone measures.
        const CANCELLED: f64 = 1e-9;
        self.slope.is_finite() && self.slope.abs() <= CANCELLED * self.parts
    }

    fn times(self, slope: f64) -> Self {
        self.scaled(slope, slope.abs())
    }

    fn scaled(self, slope: f64, parts: f64) -> Self {
        Self {
            source: self.source,
            slope: self.slope * slope,
            parts: self.parts * parts,
        }
    }
}

/// A value with its derivatives by the sources of uncertainty.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dual {
    /// The value.
    pub value: f64,
    /// The derivatives.
    pub gradient: Gradient,
}

impl Dual {
    /// `value` with `by_self` times this gradient and `by_other` times the other's.
    fn join(&self, other: &Self, value: f64, by_self: f64, by_other: f64) -> Self {
        let own = self.gradient.iter().map(|partial| partial.times(by_self));
        let mut sum = Self {
            value,
            gradient: own.collect(),
        };
        for partial in &other.gradient {
            sum.add(partial.times(by_other));
        }
        sum
    }

    /// Adds a derivative to that by the same source.
    fn add(&mut self, added: Partial) {
        let gradient = &mut self.gradient;
        match gradient.binary_search_by_key(&added.source, |partial| partial.source) {
            Ok(at) => {
                gradient[at].slope += added.slope;
                gradient[at].parts += added.parts;
            }
            Err(at) => gradient.insert(at, added),
        }
    }
}

impl Number for Dual {
    fn constant(value: f64) -> Self {
        Self {
            value,
            gradient: Vec::new(),
        }
    }

    fn value(&self) -> f64 {
        self.value
    }

    fn plus(&self, other: &Self) -> Self {
        self.join(other, sum(self.value, other.value), 1.0, 1.0)
    }

    fn minus(&self, other: &Self) -> Self {
        self.join(other, sum(self.value, -other.value), 1.0, -1.0)
    }

    fn times(&self, other: &Self) -> Self {
        self.join(other, self.value * other.value, other.value, self.value)
    }

    fn over(&self, other: &Self) -> Self {
        let value = self.value / other.value;
        self.join(other, value, 1.0 / other.value, -value / other.value)
    }

    fn power(&self, other: &Self) -> Self {
        let value = power(self.value, other.value);
        let by_base = other.value * power(self.value, other.value - 1.0);
        let by_exponent = if other.gradient.is_empty() || self.value <= 0.0 {
            0.0
        } else {
            value * self.value.ln()
        };
        self.join(other, value, by_base, by_exponent)
    }

    /// What the value does not depend on, as the lesser of two on the greater, leaves no trace.
    ///
    /// A slope is computed from the argument, and near its zero is all rounding: it is held
    /// against that of the line from the origin.
    fn call(function: Function, arguments: &[Self]) -> Self {
        let values: Vec<f64> = arguments.iter().map(|argument| argument.value).collect();
        let mut whole = Self::constant(function.value(&values));
        let slopes = function.slopes(&values);
        let parts = arguments.iter().zip(slopes);
        for (part, slope) in parts.filter(|(_, slope)| arguments.len() == 1 || *slope != 0.0) {
            let secant = (whole.value / part.value).abs();
            let size = if secant.is_finite() { secant } else { 0.0 };
            for partial in &part.gradient {
                whole.add(partial.scaled(slope, slope.abs().max(size)));
            }
        }
        whole
    }
}

/// Small whole powers multiply, so that `x^2` and `x x` agree to the last bit.
fn power(base: f64, exponent: f64) -> f64 {
    if exponent == 2.0 {
        base * base
    } else if exponent == 3.0 {
        base * base * base
    } else if exponent.fract() == 0.0 && exponent.abs() <= 64.0 {
        base.powi(exponent as i32)
    } else {
        base.powf(exponent)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_of_earlier_steps_does_not_decide() {
        assert_eq!((0.1_f64 + 0.2).minus(&0.3), 0.0);
    }

    #[test]
    fn the_same_source_twice_is_correlated() {
        let x = Dual {
            value: 3.0,
            gradient: vec![Partial::of(0)],
        };
        let slope = |dual: &Dual| dual.gradient.first().map(|partial| partial.slope);
        assert_eq!(slope(&x.minus(&x)), Some(0.0));
        assert_eq!(slope(&x.times(&x)), Some(6.0));
        assert_eq!(slope(&x.power(&Dual::constant(2.0))), Some(6.0));
    }

    #[test]
    fn what_cancels_is_told_from_what_is_small() {
        let x = Dual {
            value: 3.7,
            gradient: vec![Partial::of(0)],
        };
        let y = Dual::constant(1.3);
        let vanishes = |dual: &Dual| dual.gradient.iter().all(Partial::vanishes);
        assert!(vanishes(&x.minus(&x)));
        assert!(vanishes(&x.times(&y).over(&y).minus(&x)));
        assert!(vanishes(&x.over(&x)));
        assert!(!vanishes(&x.times(&Dual::constant(1e-30))));
        assert!(!vanishes(&x.minus(&x.times(&Dual::constant(1.0 - 1e-7)))));
    }

    #[test]
    fn a_slope_that_is_all_rounding_vanishes() {
        let right_angle = Dual {
            value: std::f64::consts::FRAC_PI_2,
            gradient: vec![Partial::of(0)],
        };
        let sine = Dual::call(Function::Sin, std::slice::from_ref(&right_angle));
        assert!(sine.gradient.iter().all(Partial::vanishes));
        let cosine = Dual::call(Function::Cos, &[right_angle]);
        assert!(!cosine.gradient.iter().all(Partial::vanishes));
    }
}
