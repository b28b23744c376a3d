//! The number that an expression is at a point, with a bound on how far rounding moved it.
//!
//! Two numbers that differ by more than their bounds are different, whatever was lost on the way:
//! the bound grows with the largest part that cancels.

use rustc_hash::FxHashMap;

use super::node::{Function, Id, Node, Symbol};
use super::{Algebra, number};

/// A number, and how far rounding can have moved it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Measured {
    pub value: f64,
    pub error: f64,
}

/// A relative rounding error of one operation; functions of the system are not always exact to
/// the last bit.
const STEP: f64 = 4.0 * f64::EPSILON;

impl Measured {
    const NONE: Self = Self {
        value: f64::NAN,
        error: f64::INFINITY,
    };

    fn new(value: f64, error: f64) -> Self {
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
    fn can_be_zero(&self) -> bool {
        self.value.abs() <= 2.0 * self.error
    }
}

/// Numbers of expressions at one point, with bounds on their rounding.
pub(super) struct Measurement {
    at: FxHashMap<Symbol, f64>,
    done: FxHashMap<Id, Measured>,
}

impl Measurement {
    /// At a point.
    pub fn new(at: FxHashMap<Symbol, f64>) -> Self {
        Self {
            at,
            done: FxHashMap::default(),
        }
    }

    /// What an expression is here.
    pub fn of(&mut self, algebra: &Algebra, id: Id) -> Measured {
        if let Some(found) = self.done.get(&id) {
            return *found;
        }
        let found = self.compute(algebra, id);
        self.done.insert(id, found);
        found
    }

    fn compute(&mut self, algebra: &Algebra, id: Id) -> Measured {
        match algebra.node(id) {
            Node::Undefined => Measured::NONE,
            Node::Number(value) => Measured::new(number::to_f64(value), 0.0),
            Node::Pi => Measured::new(std::f64::consts::PI, 0.0),
            Node::Symbol(symbol) => {
                let value = self.at.get(symbol).copied().unwrap_or(f64::NAN);
                if value.is_finite() {
                    Measured { value, error: 0.0 }
                } else {
                    Measured::NONE
                }
            }
            Node::Sum(sum) => {
                let mut total = number::to_f64(&sum.constant);
                let (mut size, mut error) = (total.abs(), 0.0);
                for (term, coefficient) in &sum.terms {
                    let coefficient = number::to_f64(coefficient);
                    let part = self.of(algebra, *term);
                    total += part.value * coefficient;
                    size += (part.value * coefficient).abs();
                    error += part.error * coefficient.abs();
                }
                let count = sum.terms.len() as f64;
                Measured::new(total, error + size * STEP * (1.0 + count / 2.0))
            }
            Node::Product(factors) => {
                let mut total = Measured {
                    value: 1.0,
                    error: 0.0,
                };
                for (base, exponent) in factors {
                    let whole = number::as_whole(exponent).filter(|whole| whole.abs() < 1000);
                    let base = self.of(algebra, *base);
                    let part = match whole {
                        Some(whole) => whole_power(base, whole as i32),
                        None => {
                            let exponent = number::to_f64(exponent);
                            power(base, Measured::new(exponent, 0.0))
                        }
                    };
                    let error = total.value.abs() * part.error
                        + part.value.abs() * total.error
                        + part.error * total.error;
                    total = Measured::new(total.value * part.value, error);
                }
                total
            }
            Node::Power(base, exponent) => {
                let base = self.of(algebra, *base);
                power(base, self.of(algebra, *exponent))
            }
            Node::Call(function, arguments) => {
                let mut values = Vec::with_capacity(arguments.len());
                for argument in arguments {
                    values.push(self.of(algebra, *argument));
                }
                called(*function, &values)
            }
        }
    }
}

fn whole_power(base: Measured, exponent: i32) -> Measured {
    if exponent < 0 && base.can_be_zero() {
        return Measured::NONE;
    }
    let value = base.value.powi(exponent);
    if base.value == 0.0 {
        return Measured::new(value, base.error);
    }
    let relative = base.error / base.value.abs();
    let times = f64::from(exponent.abs());
    // Beyond the first order: (1 + r)^n - 1.
    let grown = (times * relative.ln_1p()).exp_m1().max(times * relative);
    let largest = if relative > 0.5 && exponent > 0 {
        (base.value.abs() + base.error).powi(exponent)
    } else {
        value.abs() * grown * 2.0
    };
    Measured::new(value, largest + value.abs() * times * STEP)
}

fn power(base: Measured, exponent: Measured) -> Measured {
    if base.value < 0.0 {
        let whole = exponent.value.round();
        if exponent.value != whole || exponent.error > 1e-9 || whole.abs() > 1000.0 {
            return Measured::NONE;
        }
        return whole_power(base, whole as i32);
    }
    let value = base.value.powf(exponent.value);
    if base.can_be_zero() {
        if base.error == 0.0 && exponent.value > 0.0 {
            return Measured::new(value, 0.0);
        }
        if exponent.value <= 0.0 {
            return Measured::NONE;
        }
        return Measured::new(
            value,
            (base.value.abs() + 2.0 * base.error).powf(exponent.value),
        );
    }
    let from_base = exponent.value.abs() * base.error / base.value;
    let from_exponent = base.value.ln().abs() * (exponent.error + exponent.value.abs() * STEP);
    Measured::new(value, value.abs() * (from_base + from_exponent) * 2.0)
}

fn called(function: Function, arguments: &[Measured]) -> Measured {
    let Some(first) = arguments.first().copied() else {
        return Measured::NONE;
    };
    if arguments.iter().any(|argument| !argument.is_known()) {
        return Measured::NONE;
    }
    match function {
        Function::Asin | Function::Acos => return inverse_sine(function, first),
        Function::Atan2 => return atan2(arguments),
        Function::Cbrt if first.error > 0.0 && first.can_be_zero() => {
            return Measured::new(first.value.cbrt(), 2.0 * first.error.cbrt());
        }
        _ => {}
    }
    let values: Vec<f64> = arguments.iter().map(|argument| argument.value).collect();
    let errors: Vec<f64> = arguments.iter().map(|argument| argument.error).collect();
    let bound = match function.named() {
        Some(function) => function.error(&values, &errors),
        // The slope of the inverse hyperbolic sine is 1 at most.
        None => Some(first.error + first.value.abs() * STEP),
    };
    bound.map_or(Measured::NONE, |bound| {
        Measured::new(function.value(&values), bound)
    })
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

fn atan2(arguments: &[Measured]) -> Measured {
    let (Some(above), Some(below)) = (arguments.first(), arguments.get(1)) else {
        return Measured::NONE;
    };
    let size = above.value.hypot(below.value);
    let error = above.error + below.error;
    if (below.value < 0.0 && above.can_be_zero()) || size <= 2.0 * error || size == 0.0 {
        return Measured::NONE;
    }
    Measured::new(above.value.atan2(below.value), 2.0 * error / size)
}
