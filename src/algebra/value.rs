//! The number that an expression is at a point.

use rustc_hash::FxHashMap;

use super::node::{Id, Node, Symbol};
use super::{Algebra, number};

/// Numbers of expressions at one point, remembered so that shared parts are computed once.
#[derive(Debug)]
pub struct Point {
    at: FxHashMap<Symbol, f64>,
    done: FxHashMap<Id, f64>,
}

impl Point {
    /// A point by the values of its symbols.
    pub fn new(at: FxHashMap<Symbol, f64>) -> Self {
        Self {
            at,
            done: FxHashMap::default(),
        }
    }

    /// The value of a symbol; not a number when it has none.
    pub fn symbol(&self, symbol: Symbol) -> f64 {
        self.at.get(&symbol).copied().unwrap_or(f64::NAN)
    }

    /// Sets the value of a symbol; what was computed with another is forgotten.
    pub fn set(&mut self, symbol: Symbol, value: f64) {
        self.at.insert(symbol, value);
        self.done.clear();
    }

    /// The number that an expression is here; not a number where it has no real value.
    pub fn value(&mut self, algebra: &Algebra, id: Id) -> f64 {
        if let Some(found) = self.done.get(&id) {
            return *found;
        }
        let value = match algebra.node(id) {
            Node::Number(value) => number::to_f64(value),
            Node::Undefined => f64::NAN,
            Node::Pi => std::f64::consts::PI,
            Node::Symbol(symbol) => self.symbol(*symbol),
            Node::Sum(sum) => {
                let mut total = number::to_f64(&sum.constant);
                for (term, coefficient) in &sum.terms {
                    total += self.value(algebra, *term) * number::to_f64(coefficient);
                }
                total
            }
            Node::Product(factors) => {
                let mut total = 1.0;
                for (base, exponent) in factors {
                    let base = self.value(algebra, *base);
                    total *= match number::as_whole(exponent) {
                        Some(whole) if whole.abs() < 1000 => base.powi(whole as i32),
                        _ => base.powf(number::to_f64(exponent)),
                    };
                }
                total
            }
            Node::Power(base, exponent) => {
                let base = self.value(algebra, *base);
                base.powf(self.value(algebra, *exponent))
            }
            Node::Call(function, arguments) => {
                let values: Vec<f64> = arguments
                    .iter()
                    .map(|argument| self.value(algebra, *argument))
                    .collect();
                function.value(&values)
            }
        };
        self.done.insert(id, value);
        value
    }
}
