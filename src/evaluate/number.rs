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

/// A value with its derivatives by the uncertain inputs of the worksheet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dual {
    /// The value.
    pub value: f64,
    /// Derivatives by input, sorted by input; absent ones are zero.
    pub gradient: Vec<(u32, f64)>,
}

impl Dual {
    /// `value` with `by_self` times this gradient.
    fn chain(&self, value: f64, by_self: f64) -> Self {
        let gradient = self
            .gradient
            .iter()
            .map(|(input, derivative)| (*input, derivative * by_self))
            .collect();
        Self { value, gradient }
    }

    /// `value` with `by_self` times this gradient and `by_other` times the other's.
    fn join(&self, other: &Self, value: f64, by_self: f64, by_other: f64) -> Self {
        let mut gradient = self.chain(value, by_self).gradient;
        for (input, derivative) in &other.gradient {
            let added = derivative * by_other;
            match gradient.binary_search_by_key(input, |(input, _)| *input) {
                Ok(at) => gradient[at].1 += added,
                Err(at) => gradient.insert(at, (*input, added)),
            }
        }
        Self { value, gradient }
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
    fn call(function: Function, arguments: &[Self]) -> Self {
        let values: Vec<f64> = arguments.iter().map(|argument| argument.value).collect();
        let start = Self::constant(function.value(&values));
        let slopes = function.slopes(&values);
        let parts = arguments.iter().zip(slopes);
        let counted = parts.filter(|(_, slope)| arguments.len() == 1 || *slope != 0.0);
        counted.fold(start, |whole, (part, slope)| {
            let value = whole.value;
            whole.join(part, value, 1.0, slope)
        })
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
    fn the_same_input_twice_is_correlated() {
        let x = Dual {
            value: 3.0,
            gradient: vec![(0, 1.0)],
        };
        assert_eq!(x.minus(&x).gradient, [(0, 0.0)]);
        assert_eq!(x.times(&x).gradient, [(0, 6.0)]);
        assert_eq!(x.power(&Dual::constant(2.0)).gradient, [(0, 6.0)]);
    }
}
