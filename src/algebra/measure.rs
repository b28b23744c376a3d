//! The number that an expression is at a point, with a bound on how far rounding moved it.
//!
//! Two numbers that differ by more than their bounds are different, whatever was lost on the way:
//! the bound grows with the largest part that cancels.

use rustc_hash::FxHashMap;

use super::node::{Function, Id, Node, Symbol};
use super::{Algebra, number};
pub(super) use crate::functions::Measured;
use crate::functions::STEP;

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
                        Some(whole) => base.raised(whole as i32),
                        None => {
                            let exponent = number::to_f64(exponent);
                            base.power(Measured::new(exponent, 0.0))
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
                base.power(self.of(algebra, *exponent))
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

fn called(function: Function, arguments: &[Measured]) -> Measured {
    let Some(first) = arguments.first().copied() else {
        return Measured::NONE;
    };
    if arguments.iter().any(|argument| !argument.is_known()) {
        return Measured::NONE;
    }
    match function.named() {
        Some(function) => {
            let found = Measured::call(function, arguments);
            if found.is_known() {
                found
            } else {
                Measured::NONE
            }
        }
        // The slope of the inverse hyperbolic sine is 1 at most.
        None => Measured::new(
            function.value(&[first.value]),
            first.error + first.value.abs() * STEP,
        ),
    }
}
