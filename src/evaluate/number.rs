//! The numbers that a program runs on: plain `f64`, and values with their gradient.
//!
//! Columns of numbers need no type of their own: a program runs once a row.

use crate::resolve::Function;

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
    /// A function of one argument.
    fn apply(&self, function: Function) -> Self;
    /// The angle of the point (`other`, `self`).
    fn atan2(&self, other: &Self) -> Self;
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

    fn apply(&self, function: Function) -> Self {
        apply(function, *self)
    }

    fn atan2(&self, other: &Self) -> Self {
        f64::atan2(*self, *other)
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

    fn apply(&self, function: Function) -> Self {
        self.chain(
            apply(function, self.value),
            derivative(function, self.value),
        )
    }

    fn atan2(&self, other: &Self) -> Self {
        let square = self.value * self.value + other.value * other.value;
        self.join(
            other,
            f64::atan2(self.value, other.value),
            other.value / square,
            -self.value / square,
        )
    }
}

/// A sum. What is left of terms that cancel to within two rounding errors is noise, and is 0.
fn sum(left: f64, right: f64) -> f64 {
    let sum = left + right;
    let noise = 2.0 * f64::EPSILON * left.abs().max(right.abs());
    if sum.abs() <= noise { 0.0 } else { sum }
}

/// Whether two numbers are one but for the rounding of the steps that led to them.
pub fn is_same(left: f64, right: f64) -> bool {
    (left - right).abs() <= 1e-12 * left.abs().max(right.abs())
}

/// The whole number that `x` is but for rounding: `0.6/0.2` is 3.
fn whole(x: f64) -> Option<f64> {
    let nearest = x.round();
    is_same(x, nearest).then_some(nearest)
}

/// Rounded to a whole number, halves away from zero, where a half is one but for rounding.
fn round(x: f64) -> f64 {
    match whole(2.0 * x) {
        Some(halves) => (halves / 2.0).round(),
        None => x.round(),
    }
}

/// A sine or cosine. At its zeros the rounded angle leaves a residue, which is 0.
fn zero_near_root(value: f64, angle: f64) -> f64 {
    if value.abs() <= f64::EPSILON * angle.abs() {
        0.0
    } else {
        value
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

fn apply(function: Function, x: f64) -> f64 {
    match function {
        Function::Sqrt => x.sqrt(),
        Function::Cbrt => x.cbrt(),
        Function::Exp => x.exp(),
        Function::Ln => x.ln(),
        Function::Log10 => x.log10(),
        Function::Log2 => x.log2(),
        Function::Sin => zero_near_root(x.sin(), x),
        Function::Cos => zero_near_root(x.cos(), x),
        Function::Tan if zero_near_root(x.cos(), x) == 0.0 => f64::INFINITY,
        Function::Tan => zero_near_root(x.tan(), x),
        Function::Asin => x.asin(),
        Function::Acos => x.acos(),
        Function::Atan => x.atan(),
        Function::Sinh => x.sinh(),
        Function::Cosh => x.cosh(),
        Function::Tanh => x.tanh(),
        Function::Abs => x.abs(),
        Function::Floor => whole(x).unwrap_or(x.floor()),
        Function::Ceil => whole(x).unwrap_or(x.ceil()),
        Function::Round => round(x),
        Function::Sign if x == 0.0 => 0.0,
        Function::Sign => x.signum(),
        // These never reach a single argument: the program writes them out.
        Function::Atan2
        | Function::Min
        | Function::Max
        | Function::Sum
        | Function::Mean
        | Function::Absolute
        | Function::Gauge
        | Function::Dot
        | Function::Cross
        | Function::Direction => x,
    }
}

fn derivative(function: Function, x: f64) -> f64 {
    match function {
        Function::Sqrt => 0.5 / x.sqrt(),
        Function::Cbrt => 1.0 / (3.0 * x.cbrt().powi(2)),
        Function::Exp => x.exp(),
        Function::Ln => 1.0 / x,
        Function::Log10 => std::f64::consts::LOG10_E / x,
        Function::Log2 => std::f64::consts::LOG2_E / x,
        Function::Sin => x.cos(),
        Function::Cos => -x.sin(),
        Function::Tan => 1.0 + x.tan().powi(2),
        Function::Asin => 1.0 / (1.0 - x * x).sqrt(),
        Function::Acos => -1.0 / (1.0 - x * x).sqrt(),
        Function::Atan => 1.0 / (1.0 + x * x),
        Function::Sinh => x.cosh(),
        Function::Cosh => x.sinh(),
        Function::Tanh => 1.0 - x.tanh().powi(2),
        Function::Abs => x.signum(),
        Function::Floor | Function::Ceil | Function::Round | Function::Sign => 0.0,
        Function::Atan2
        | Function::Min
        | Function::Max
        | Function::Sum
        | Function::Mean
        | Function::Absolute
        | Function::Gauge
        | Function::Dot
        | Function::Cross
        | Function::Direction => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn derivatives_agree_with_differences() {
        let functions = [
            Function::Sqrt,
            Function::Cbrt,
            Function::Exp,
            Function::Ln,
            Function::Log10,
            Function::Log2,
            Function::Sin,
            Function::Cos,
            Function::Tan,
            Function::Asin,
            Function::Acos,
            Function::Atan,
            Function::Sinh,
            Function::Cosh,
            Function::Tanh,
        ];
        for function in functions {
            let (x, step) = (0.37, 1e-6);
            let difference = (apply(function, x + step) - apply(function, x - step)) / (2.0 * step);
            let exact = derivative(function, x);
            assert!((difference - exact).abs() < 1e-8, "{function:?}");
        }
    }

    #[test]
    fn rounding_of_earlier_steps_does_not_decide() {
        assert_eq!(apply(Function::Floor, 0.6 / 0.2), 3.0);
        assert_eq!(apply(Function::Ceil, (0.1 + 0.2) / 0.1), 3.0);
        assert_eq!(apply(Function::Round, 1.005 * 100.0), 101.0);
        assert_eq!(apply(Function::Floor, 2.999), 2.0);
        assert_eq!((0.1_f64 + 0.2).minus(&0.3), 0.0);
        assert_eq!(apply(Function::Sin, std::f64::consts::PI), 0.0);
        assert_eq!(apply(Function::Sin, 1e-20), 1e-20);
        assert!(apply(Function::Tan, std::f64::consts::FRAC_PI_2).is_infinite());
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
