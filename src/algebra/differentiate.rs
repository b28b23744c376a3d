//! Exact derivatives.
//!
//! In goes an expression and a symbol; out comes the derivative, simplified as far as the
//! constructors do it. It holds wherever the expression is differentiable.

use num_traits::{One, Zero};
use rustc_hash::FxHashMap;

use super::node::{Function, Id, Node, Sum, Symbol};
use super::{Algebra, Rational, number};

#[cfg(test)]
pub(crate) mod tests;

impl Algebra {
    /// The derivative of an expression by a symbol, the other symbols held constant.
    ///
    /// The derivative of `abs(u)` is `sign(u)` times that of `u`. `None` where there is none to
    /// give: the expression has no value, or the symbol stands in `sign`, `min`, `max` or a
    /// function without laws.
    pub fn differentiate(&mut self, id: Id, by: Symbol) -> Option<Id> {
        let mut derivative = Derivative {
            algebra: self,
            by,
            done: FxHashMap::default(),
        };
        derivative.of(id)
    }
}

struct Derivative<'a> {
    algebra: &'a mut Algebra,
    by: Symbol,
    done: FxHashMap<Id, Option<Id>>,
}

impl Derivative<'_> {
    fn of(&mut self, id: Id) -> Option<Id> {
        if let Some(known) = self.done.get(&id) {
            return *known;
        }
        self.algebra.step();
        let result = match self.algebra.node(id).clone() {
            Node::Undefined => None,
            Node::Number(_) | Node::Pi => Some(self.algebra.whole(0)),
            Node::Symbol(symbol) => Some(self.algebra.whole(i64::from(symbol == self.by))),
            Node::Sum(sum) => self.of_sum(&sum),
            Node::Product(factors) => self.of_product(&factors),
            Node::Power(base, exponent) => self.of_power(id, base, exponent),
            Node::Call(function, arguments) => self.of_call(function, id, &arguments),
        };
        self.done.insert(id, result);
        result
    }

    fn of_sum(&mut self, sum: &Sum) -> Option<Id> {
        let mut terms = Vec::new();
        for (term, coefficient) in &sum.terms {
            terms.push((self.of(*term)?, coefficient.clone()));
        }
        Some(self.algebra.sum_of(&Rational::zero(), &terms))
    }

    /// Each factor in turn is differentiated beside the others.
    fn of_product(&mut self, factors: &[(Id, Rational)]) -> Option<Id> {
        let mut terms = Vec::new();
        for (at, (base, exponent)) in factors.iter().enumerate() {
            let slope = self.of(*base)?;
            if self.algebra.is_zero(slope) {
                continue;
            }
            let mut term = factors.to_vec();
            if let Some((_, power)) = term.get_mut(at) {
                *power -= Rational::one();
            }
            term.push((slope, Rational::one()));
            terms.push((self.algebra.product_of(&term), exponent.clone()));
        }
        Some(self.algebra.sum_of(&Rational::zero(), &terms))
    }

    /// `u^v` changes by `v u^(v - 1)` with its base and by `u^v ln(u)` with its exponent.
    fn of_power(&mut self, id: Id, base: Id, exponent: Id) -> Option<Id> {
        if self.algebra.is_zero(base) {
            // 0 where it has a value on both sides; there is no logarithm of 0.
            return Some(self.algebra.whole(0));
        }
        let (base_slope, exponent_slope) = (self.of(base)?, self.of(exponent)?);
        let one = Rational::one();
        let mut terms = Vec::new();
        if !self.algebra.is_zero(base_slope) {
            let factors = [
                (id, one.clone()),
                (exponent, one.clone()),
                (base, -&one),
                (base_slope, one),
            ];
            terms.push(self.algebra.product_of(&factors));
        }
        if !self.algebra.is_zero(exponent_slope) {
            let logarithm = self.algebra.call(Function::Ln, &[base]);
            terms.push(self.algebra.multiply(&[id, logarithm, exponent_slope]));
        }
        Some(self.algebra.add(&terms))
    }

    fn of_call(&mut self, function: Function, id: Id, arguments: &[Id]) -> Option<Id> {
        if !self.algebra.contains(id, self.by) {
            return Some(self.algebra.whole(0));
        }
        match arguments {
            [argument] => {
                // The outer one first: whether there is one does not depend on what is inside.
                let outer = self.of_function(function, id, *argument)?;
                let inner = self.of(*argument)?;
                Some(self.algebra.multiply(&[outer, inner]))
            }
            [above, below] if function == Function::Atan2 => self.of_angle(*above, *below),
            _ => None,
        }
    }

    /// The derivative of a function by its argument; `id` is its value.
    fn of_function(&mut self, function: Function, id: Id, argument: Id) -> Option<Id> {
        let algebra = &mut *self.algebra;
        Some(match function {
            Function::Exp => id,
            Function::Ln => algebra.raise(argument, &number::whole(-1)),
            Function::Sin => algebra.call(Function::Cos, &[argument]),
            Function::Cos => {
                let sine = algebra.call(Function::Sin, &[argument]);
                algebra.negate(sine)
            }
            Function::Tan => {
                let cosine = algebra.call(Function::Cos, &[argument]);
                algebra.raise(cosine, &number::whole(-2))
            }
            Function::Asin => one_and_square(algebra, argument, -1, &number::ratio(-1, 2)),
            Function::Acos => {
                let slope = one_and_square(algebra, argument, -1, &number::ratio(-1, 2));
                algebra.negate(slope)
            }
            Function::Atan => one_and_square(algebra, argument, 1, &number::whole(-1)),
            Function::Sinh => algebra.call(Function::Cosh, &[argument]),
            Function::Cosh => algebra.call(Function::Sinh, &[argument]),
            Function::Tanh => {
                let cosine = algebra.call(Function::Cosh, &[argument]);
                algebra.raise(cosine, &number::whole(-2))
            }
            Function::Asinh => one_and_square(algebra, argument, 1, &number::ratio(-1, 2)),
            Function::Abs => algebra.call(Function::Sign, &[argument]),
            Function::Cbrt => {
                let slope = algebra.raise(id, &number::whole(-2));
                algebra.scale(slope, &number::ratio(1, 3))
            }
            Function::Atan2
            | Function::Sign
            | Function::Min
            | Function::Max
            | Function::Lawless(_) => return None,
        })
    }

    /// The angle of a point turns by `(x dy - y dx)/(x^2 + y^2)`.
    fn of_angle(&mut self, above: Id, below: Id) -> Option<Id> {
        let (rise, run) = (self.of(above)?, self.of(below)?);
        let algebra = &mut *self.algebra;
        let (forward, backward) = (
            algebra.multiply(&[below, rise]),
            algebra.multiply(&[above, run]),
        );
        let squares = [above, below].map(|side| algebra.raise(side, &number::whole(2)));
        let turned = algebra.subtract(forward, backward);
        let distance = algebra.add(&squares);
        Some(algebra.divide(turned, distance))
    }
}

/// `(1 + sign x^2)^exponent`.
fn one_and_square(algebra: &mut Algebra, argument: Id, sign: i64, exponent: &Rational) -> Id {
    let square = algebra.raise(argument, &number::whole(2));
    let sum = algebra.sum_of(&Rational::one(), &[(square, number::whole(sign))]);
    algebra.raise(sum, exponent)
}
