//! Between which numbers the value of an expression lies, whatever the data.

use std::f64::consts::{FRAC_PI_2, PI};

use super::node::{Function, Id, Node};
use super::{Algebra, number};

/// The least and the greatest value, and whether it is taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bounds {
    pub low: f64,
    pub high: f64,
    pub is_low_taken: bool,
    pub is_high_taken: bool,
}

impl Bounds {
    fn closed(low: f64, high: f64) -> Self {
        Self {
            low,
            high,
            is_low_taken: true,
            is_high_taken: true,
        }
    }

    fn open(low: f64, high: f64) -> Self {
        Self {
            low,
            high,
            is_low_taken: false,
            is_high_taken: false,
        }
    }

    fn scaled(self, factor: f64) -> Self {
        let Self {
            low,
            high,
            is_low_taken,
            is_high_taken,
        } = self;
        if factor < 0.0 {
            Self {
                low: high * factor,
                high: low * factor,
                is_low_taken: is_high_taken,
                is_high_taken: is_low_taken,
            }
        } else {
            Self {
                low: low * factor,
                high: high * factor,
                ..self
            }
        }
    }

    fn plus(self, other: Self) -> Self {
        Self {
            low: self.low + other.low,
            high: self.high + other.high,
            is_low_taken: self.is_low_taken && other.is_low_taken,
            is_high_taken: self.is_high_taken && other.is_high_taken,
        }
    }

    /// The part above or below a value that it is known to lie on.
    fn above(self, low: f64, is_taken: bool) -> Self {
        Self {
            low,
            is_low_taken: is_taken && self.is_low_taken,
            ..self
        }
    }

    fn below(self, high: f64, is_taken: bool) -> Self {
        Self {
            high,
            is_high_taken: is_taken && self.is_high_taken,
            ..self
        }
    }
}

impl Algebra {
    /// Between which numbers an expression lies where it is defined.
    pub(super) fn bounds(&self, id: Id) -> Bounds {
        match self.node(id) {
            Node::Number(value) => {
                let value = number::to_f64(value);
                Bounds::closed(value, value)
            }
            Node::Pi => Bounds::closed(PI, PI),
            Node::Sum(sum) => {
                let constant = number::to_f64(&sum.constant);
                (sum.terms.iter()).fold(Bounds::closed(constant, constant), |all, term| {
                    all.plus(self.bounds(term.0).scaled(number::to_f64(&term.1)))
                })
            }
            Node::Call(function, arguments) => self.bounds_of_call(id, *function, arguments),
            Node::Undefined | Node::Symbol(_) | Node::Product(_) | Node::Power(..) => {
                self.bounds_by_sign(id)
            }
        }
    }

    fn bounds_by_sign(&self, id: Id) -> Bounds {
        let sign = self.sign(id);
        let mut bounds = Bounds::open(f64::NEG_INFINITY, f64::INFINITY);
        if !sign.negative {
            (bounds.low, bounds.is_low_taken) = (0.0, sign.zero);
        }
        if !sign.positive {
            (bounds.high, bounds.is_high_taken) = (0.0, sign.zero);
        }
        bounds
    }

    fn bounds_of_call(&self, id: Id, function: Function, arguments: &[Id]) -> Bounds {
        let Some(argument) = arguments.first() else {
            return self.bounds_by_sign(id);
        };
        if let Function::Sin | Function::Cos = function {
            return Bounds::closed(-1.0, 1.0);
        }
        let sign = self.sign(*argument);
        let (all, middle) = match function {
            Function::Asin => (Bounds::closed(-FRAC_PI_2, FRAC_PI_2), 0.0),
            Function::Atan => (Bounds::open(-FRAC_PI_2, FRAC_PI_2), 0.0),
            Function::Acos => (Bounds::closed(0.0, PI), FRAC_PI_2),
            Function::Atan2 => (Bounds::closed(-PI, PI), 0.0),
            _ => return self.bounds_by_sign(id),
        };
        // The inverse cosine falls, the others rise with their argument.
        let falls = function == Function::Acos;
        let mut bounds = all;
        if !sign.negative {
            bounds = match falls {
                true => bounds.below(middle, sign.zero),
                false => bounds.above(middle, sign.zero),
            };
        }
        if !sign.positive && function != Function::Atan2 {
            bounds = match falls {
                true => bounds.above(middle, sign.zero),
                false => bounds.below(middle, sign.zero),
            };
        }
        bounds
    }
}
