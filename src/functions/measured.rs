//! A number with a bound on how far rounding has moved it, carried from step to step.
//!
//! The bound is a running one: each operation adds what its own rounding and the errors of its
//! operands can do (N. J. Higham, "Accuracy and Stability of Numerical Algorithms", chapter 3, from
//! memory). Two numbers that differ by more than their bounds are different, whatever was lost on
//! the way: the bound grows with the largest part that cancels.

use std::cmp::Ordering;

use super::Function;

/// A number, and how far rounding can have moved it; the error is infinite where nothing can be
/// said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// The number.
    pub value: f64,
    /// A bound on its error.
    pub error: f64,
}

/// A relative rounding error of one operation; functions of the system are not always exact to
/// the last bit.
pub(crate) const STEP: f64 = 4.0 * f64::EPSILON;

/// The relative rounding of a sum, a product or a quotient, with room for that of the bound.
const BASIC: f64 = f64::EPSILON;

/// Room for the rounding of the bound itself.
const ROOM: f64 = 1.0 + 8.0 * f64::EPSILON;

impl Measured {
    /// No number.
    pub const NONE: Self = Self {
        value: f64::NAN,
        error: f64::INFINITY,
    };

    /// A number that is exactly a double.
    pub const fn exact(value: f64) -> Self {
        Self { value, error: 0.0 }
    }

    /// What a function of the system gave, with the error that it had from its arguments.
    pub fn new(value: f64, error: f64) -> Self {
        if !value.is_finite() || !error.is_finite() {
            return Self::NONE;
        }
        let error = error + value.abs() * STEP + f64::MIN_POSITIVE;
        Self { value, error }
    }

    /// Whether there is a number, and one not lost in rounding errors.
    pub fn is_known(&self) -> bool {
        self.value.is_finite() && self.error.is_finite()
    }

    /// Whether zero is within the error.
    pub(crate) fn can_be_zero(&self) -> bool {
        self.value.abs() <= 2.0 * self.error
    }

    fn basic(value: f64, error: f64) -> Self {
        let error = (error + value.abs() * BASIC + f64::MIN_POSITIVE) * ROOM;
        Self { value, error }
    }

    /// `self + other`. What is exact stays so where nothing was rounded.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        let value = self.value + other.value;
        if self.error == 0.0
            && other.error == 0.0
            && value - self.value == other.value
            && value - other.value == self.value
        {
            return Self::exact(value);
        }
        Self::basic(value, self.error + other.error)
    }

    /// `self - other`
    #[must_use]
    pub fn minus(self, other: Self) -> Self {
        self.plus(Self {
            value: -other.value,
            ..other
        })
    }

    /// `self * other`
    #[must_use]
    pub fn times(self, other: Self) -> Self {
        let value = self.value * other.value;
        if self.error == 0.0
            && other.error == 0.0
            && is_small_whole(self.value)
            && is_small_whole(other.value)
        {
            return Self::exact(value);
        }
        let crossed = self.value.abs() * other.error + other.value.abs() * self.error;
        Self::basic(value, crossed + self.error * other.error)
    }

    /// `self / other`. What is divided by must be known not to be zero.
    #[must_use]
    pub fn over(self, other: Self) -> Self {
        let value = self.value / other.value;
        let least = other.value.abs() - other.error;
        if least <= 0.0 {
            return Self {
                value,
                error: f64::INFINITY,
            };
        }
        // A product that is exact and gives the dividend again proves the quotient.
        if self.error == 0.0
            && other.error == 0.0
            && is_small_whole(1024.0 * value)
            && is_small_whole(other.value)
            && value * other.value == self.value
        {
            return Self::exact(value);
        }
        Self::basic(value, (self.error + value.abs() * other.error) / least)
    }

    /// `self ^ exponent`
    #[must_use]
    pub fn power(self, exponent: Self) -> Self {
        let (base, Self { value: times, .. }) = (self, exponent);
        if times.fract() == 0.0 && times.abs() <= 1000.0 && exponent.error == 0.0 {
            return base.raised(times as i32);
        }
        if base.value < 0.0 {
            let whole = times.round();
            if times != whole || exponent.error > 1e-9 || whole.abs() > 1000.0 {
                return Self::NONE;
            }
            return base.raised(whole as i32);
        }
        let value = base.value.powf(times);
        if base.can_be_zero() {
            if base.error == 0.0 && times > 0.0 {
                return Self::new(value, 0.0);
            }
            if times <= 0.0 {
                return Self {
                    value,
                    error: f64::INFINITY,
                };
            }
            return Self::new(value, (base.value.abs() + 2.0 * base.error).powf(times));
        }
        let from_base = times.abs() * base.error / base.value;
        let from_exponent = base.value.ln().abs() * (exponent.error + times.abs() * STEP);
        Self::new(value, value.abs() * (from_base + from_exponent) * 2.0)
    }

    /// A whole power. Small ones multiply, so that `x^2` and `x x` agree to the last bit.
    #[must_use]
    pub fn raised(self, exponent: i32) -> Self {
        match exponent {
            0 => return Self::exact(1.0),
            1 => return self,
            2 => return self.times(self),
            3 => return self.times(self).times(self),
            _ => {}
        }
        if exponent < 0 && self.can_be_zero() {
            return Self::NONE;
        }
        let value = self.value.powi(exponent);
        if self.value == 0.0 {
            return Self::new(value, self.error);
        }
        let relative = self.error / self.value.abs();
        let times = f64::from(exponent.abs());
        // Beyond the first order: (1 + r)^n - 1.
        let grown = (times * relative.ln_1p()).exp_m1().max(times * relative);
        let largest = if relative > 0.5 && exponent > 0 {
            (self.value.abs() + self.error).powi(exponent)
        } else {
            value.abs() * grown * 2.0
        };
        Self::new(value, largest + value.abs() * times * STEP)
    }

    /// A function of its arguments.
    pub fn call(function: Function, arguments: &[Self]) -> Self {
        if arguments.iter().any(|argument| !argument.is_known()) {
            return Self::NONE;
        }
        match (function, arguments) {
            (Function::Abs, [x]) => {
                return Self {
                    value: x.value.abs(),
                    ..*x
                };
            }
            (Function::Sqrt, [x]) if x.error < 0.5 * x.value => {
                let value = x.value.sqrt();
                return Self::basic(value, x.error / value);
            }
            (Function::Asin | Function::Acos, [x]) => return inverse_sine(function, *x),
            (Function::Atan2, [y, x]) => return atan2(*y, *x),
            (Function::Cbrt, [x]) if x.error > 0.0 && x.can_be_zero() => {
                return Self::new(x.value.cbrt(), 2.0 * x.error.cbrt());
            }
            _ => {}
        }
        let values: Vec<f64> = arguments.iter().map(|argument| argument.value).collect();
        let errors: Vec<f64> = arguments.iter().map(|argument| argument.error).collect();
        let value = function.value(&values);
        match function.error(&values, &errors) {
            Some(0.0) if function.is_whole() => Self::exact(value),
            Some(bound) => Self::new(value, bound),
            None => Self {
                value,
                error: f64::INFINITY,
            },
        }
    }

    /// How it compares; `None` where rounding may have decided.
    pub fn compare(&self, other: &Self) -> Option<Ordering> {
        let room = (self.error + other.error) * ROOM;
        if room == 0.0 || (self.value - other.value).abs() > room {
            return self.value.partial_cmp(&other.value);
        }
        None
    }
}

/// Products of such numbers are exact.
fn is_small_whole(value: f64) -> bool {
    value.fract() == 0.0 && value.abs() <= 94_906_265.0
}

fn inverse_sine(function: Function, argument: Measured) -> Measured {
    let Measured { value: x, error } = argument;
    let value = if function == Function::Asin {
        x.asin()
    } else {
        x.acos()
    };
    let room = 1.0 - x * x;
    if room <= 8.0 * (error + STEP) {
        // At the ends of the domain errors grow without bound.
        return Measured::new(value, 4.0 * (error + STEP).sqrt());
    }
    Measured::new(value, 2.0 * error / room.sqrt())
}

fn atan2(above: Measured, below: Measured) -> Measured {
    let value = above.value.atan2(below.value);
    let size = above.value.hypot(below.value);
    let error = above.error + below.error;
    if error == 0.0 {
        return Measured::new(value, 0.0);
    }
    if (below.value < 0.0 && above.can_be_zero()) || size <= 2.0 * error || size == 0.0 {
        return Measured {
            value,
            error: f64::INFINITY,
        };
    }
    Measured::new(value, 2.0 * error / size)
}
