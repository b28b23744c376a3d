//! Exponentials, logarithms and powers with symbolic exponents, taken apart.
//!
//! `ln(a b)` is `ln a + ln b` only for factors that are known not to be negative; the others
//! stay together. `exp(n ln x + t)` is `x^n exp(t)`, and so any power of a number or a product
//! is one of what its logarithm is made of: `10^(log10 x)` is `x`.

use num_traits::One;

use super::node::{Function, Id, Node};
use super::normal::{Normal, Parts};
use super::{Rational, number};

impl Normal<'_> {
    /// The natural logarithm of what is canonical.
    pub fn logarithm(&mut self, argument: Id) -> Id {
        let Some(parts) = self.parts_by_sign(argument) else {
            return self.algebra.call(Function::Ln, &[argument]);
        };
        if let Some((base, _)) = parts.together {
            self.imply(base);
        }
        self.logarithm_apart(parts)
    }

    fn logarithm_apart(&mut self, parts: Parts) -> Id {
        let mut terms = Vec::new();
        for (base, exponent) in parts.apart.into_iter().chain(parts.together) {
            let logarithm = self.logarithm_of_factor(base);
            terms.push(self.algebra.scale(logarithm, &exponent));
        }
        self.algebra.add(&terms)
    }

    fn logarithm_of_factor(&mut self, base: Id) -> Id {
        match self.algebra.node(base).clone() {
            Node::Number(value) if value.is_positive() => self.logarithm_of_number(&value),
            // Where a power is positive, so is the size of its base.
            Node::Power(inner, exponent) => {
                let size = self.algebra.call(Function::Abs, &[inner]);
                let size = self.settle(size);
                let logarithm = self.logarithm(size);
                self.algebra.multiply(&[exponent, logarithm])
            }
            _ => self.algebra.call(Function::Ln, &[base]),
        }
    }

    /// `ln 12` is `2 ln 2 + ln 3`.
    fn logarithm_of_number(&mut self, value: &Rational) -> Id {
        let mut terms = Vec::new();
        for (part, sign) in [(value.numer(), 1), (value.denom(), -1)] {
            for (prime, power) in number::factors(part) {
                let prime = self.algebra.number(Rational::from_integer(prime));
                let logarithm = self.algebra.call(Function::Ln, &[prime]);
                terms.push(self.algebra.scale(logarithm, &number::whole(power * sign)));
            }
        }
        self.algebra.add(&terms)
    }

    /// A power of what is canonical.
    pub fn power(&mut self, base: Id, exponent: Id) -> Id {
        if let Some(exponent) = self.algebra.as_number(exponent).cloned() {
            return self.raise(base, &exponent);
        }
        if self.algebra.is_zero(base) {
            return self.algebra.power(base, exponent);
        }
        // A power can be defined for a negative base: nothing is implied.
        let Some(parts) = self.parts_by_sign(base) else {
            return self.algebra.power(base, exponent);
        };
        let logarithm = self.logarithm_apart(parts);
        let product = self.algebra.multiply(&[exponent, logarithm]);
        let product = self.settle(product);
        self.exponential(product)
    }

    /// The exponential of what is canonical.
    pub fn exponential(&mut self, argument: Id) -> Id {
        let terms = self.terms(argument);
        let mut factors = Vec::with_capacity(terms.len());
        for (term, coefficient) in terms {
            let factor = match self.split_logarithm(term) {
                Some((base, rest)) => {
                    let exponent = self.algebra.scale(rest, &coefficient);
                    match self.algebra.as_number(exponent).cloned() {
                        Some(exponent) => self.raise(base, &exponent),
                        None => self.algebra.power(base, exponent),
                    }
                }
                None => {
                    let term = self.algebra.scale(term, &coefficient);
                    self.algebra.call(Function::Exp, &[term])
                }
            };
            factors.push(factor);
        }
        self.algebra.multiply(&factors)
    }

    /// What a logarithm in the term is of, and what it is multiplied by.
    fn split_logarithm(&mut self, term: Id) -> Option<(Id, Id)> {
        if let Node::Call(Function::Ln, arguments) = self.algebra.node(term) {
            return Some((*arguments.first()?, self.algebra.whole(1)));
        }
        let Node::Product(factors) = self.algebra.node(term) else {
            return None;
        };
        let (logarithm, base) =
            factors
                .iter()
                .find_map(|(base, exponent)| match self.algebra.node(*base) {
                    Node::Call(Function::Ln, arguments) if exponent.is_one() => {
                        Some((*base, *arguments.first()?))
                    }
                    _ => None,
                })?;
        Some((base, self.algebra.divide(term, logarithm)))
    }

    /// Hyperbolic functions as exponentials.
    pub fn hyperbolic(&mut self, function: Function, argument: Id) -> Id {
        let up = self.exponential(argument);
        let down = self.algebra.raise(up, &-Rational::one());
        let sinh = self.algebra.subtract(up, down);
        let cosh = self.algebra.add(&[up, down]);
        match function {
            Function::Sinh => self.algebra.scale(sinh, &number::ratio(1, 2)),
            Function::Cosh => self.algebra.scale(cosh, &number::ratio(1, 2)),
            _ => self.algebra.divide(sinh, cosh),
        }
    }
}
