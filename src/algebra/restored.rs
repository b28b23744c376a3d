//! From fractions of polynomials in generators back to expressions.

use num_traits::{One, Zero};

use super::divisor::factored;
use super::fraction::Fraction;
use super::generators::Generators;
use super::node::{Function, Id, Node};
use super::polynomial::{self, Monomial, Polynomial};
use super::{Algebra, Rational, number};

impl Generators {
    /// The expression that a polynomial stands for, multiplied out.
    pub fn polynomial_id(&self, algebra: &mut Algebra, polynomial: &Polynomial) -> Id {
        let mut constant = Rational::zero();
        let mut terms = Vec::with_capacity(polynomial.terms().len());
        for (monomial, value) in polynomial.terms() {
            let value = Rational::from_integer(value.clone());
            if monomial.powers().is_empty() {
                constant = value;
            } else {
                terms.push((self.monomial_id(algebra, monomial), value));
            }
        }
        algebra.sum_of(&constant, &terms)
    }

    fn monomial_id(&self, algebra: &mut Algebra, monomial: &Monomial) -> Id {
        let mut factors = Vec::with_capacity(monomial.powers().len());
        for (at, power) in monomial.powers() {
            let generator = &self.found[usize::from(*at)];
            let exponent = number::ratio(i64::from(*power), i64::from(generator.order));
            match algebra.node(generator.base).clone() {
                Node::Power(base, inner) if !generator.is_root => {
                    let inner = algebra.scale(inner, &exponent);
                    factors.push((algebra.power(base, inner), Rational::one()));
                }
                _ => factors.push((generator.base, exponent)),
            }
        }
        algebra.product_of(&factors)
    }

    /// What a fraction stands for, above and below: numbers and powers of generators taken out
    /// in front; what is above is split into factors as well when it is `factoring`.
    pub fn ids(&self, algebra: &mut Algebra, fraction: &Fraction, factoring: bool) -> (Id, Id) {
        let content = fraction.above.content();
        let mut above = vec![algebra.number(Rational::from_integer(content.clone()))];
        if fraction.above.is_zero() {
            return (algebra.whole(0), algebra.whole(1));
        }
        if factoring {
            for (factor, power) in factored(&fraction.above) {
                let factor = self.polynomial_id(algebra, &factor);
                above.push(algebra.raise(factor, &number::whole(i64::from(power))));
            }
        } else {
            let monomial = fraction.above.common_monomial();
            above.push(self.monomial_id(algebra, &monomial));
            let rest = fraction.above.lowered(&monomial).divided(&content);
            above.push(self.polynomial_id(algebra, &rest));
        }
        let mut below = vec![algebra.number(Rational::from_integer(fraction.divisor.clone()))];
        for (factor, power) in &fraction.below {
            let factor = self.polynomial_id(algebra, factor);
            below.push(algebra.raise(factor, &number::whole(i64::from(*power))));
        }
        algebra.count(polynomial::take_steps());
        (algebra.multiply(&above), algebra.multiply(&below))
    }

    /// Whether no generators but independent ones stand in a polynomial: then it is 0 only when
    /// it has no terms. Such are symbols, pi, roots of primes, and sine, exponential and
    /// logarithm of single symbols.
    pub fn are_independent(&self, algebra: &Algebra, polynomial: &Polynomial) -> bool {
        let variables = polynomial.variables().into_iter();
        let mut found = variables.filter_map(|at| self.found.get(usize::from(at)));
        found.all(|generator| !generator.is_root && is_independent(algebra, generator.base))
    }
}

/// By the theorem of Ostrowski and Kolchin, exponentials and logarithms of different single
/// symbols are independent of each other and of the symbols.
fn is_independent(algebra: &Algebra, base: Id) -> bool {
    match algebra.node(base) {
        Node::Symbol(symbol) => {
            let sign = algebra.sign_of_symbol(*symbol);
            sign.positive || sign.negative
        }
        Node::Pi => true,
        // What is left of a number beyond its small primes can have a prime in common with another.
        Node::Number(value) => value.is_positive() && *value < number::whole(1_000_000),
        Node::Call(Function::Sin | Function::Cos | Function::Exp | Function::Ln, arguments) => {
            let argument = arguments.first();
            argument.is_some_and(|only| matches!(algebra.node(*only), Node::Symbol(_)))
        }
        _ => false,
    }
}
