//! The constructors: every expression goes through them, and so is canonical.
//!
//! What they simplify holds wherever the original is defined: like terms and like factors are
//! gathered, numbers are exact. A power of a power or of a product is taken apart only where the
//! signs that are known allow it. Products are not multiplied out, and functions are not
//! rewritten: that is left to `expand` and `normal`.

use num_traits::{One, Zero};
use rustc_hash::FxHashMap;

use super::factors::Factors;
use super::node::{Function, Id, Node, Sum, Symbol};
use super::{Algebra, Rational, number};

impl Algebra {
    /// An exact number.
    pub fn number(&mut self, value: Rational) -> Id {
        self.intern(Node::Number(value))
    }

    /// A whole number.
    pub fn whole(&mut self, value: i64) -> Id {
        self.number(number::whole(value))
    }

    /// The ratio of circumference to diameter.
    pub fn pi(&mut self) -> Id {
        self.intern(Node::Pi)
    }

    /// A symbol.
    pub fn symbol(&mut self, symbol: Symbol) -> Id {
        self.intern(Node::Symbol(symbol))
    }

    /// The number, when the expression is one.
    pub fn as_number(&self, id: Id) -> Option<&Rational> {
        match self.node(id) {
            Node::Number(value) => Some(value),
            _ => None,
        }
    }

    /// What has no value.
    pub fn undefined(&mut self) -> Id {
        self.intern(Node::Undefined)
    }

    /// Whether the expression has no value.
    pub fn is_undefined(&self, id: Id) -> bool {
        matches!(self.node(id), Node::Undefined)
    }

    /// Whether the expression is the number 0.
    pub fn is_zero(&self, id: Id) -> bool {
        self.as_number(id).is_some_and(Zero::is_zero)
    }

    /// Whether the expression is the number 1.
    pub fn is_one(&self, id: Id) -> bool {
        self.as_number(id).is_some_and(One::is_one)
    }

    /// A sum.
    pub fn add(&mut self, terms: &[Id]) -> Id {
        let one = Rational::one();
        let terms: Vec<(Id, Rational)> = terms.iter().map(|term| (*term, one.clone())).collect();
        self.sum_of(&Rational::zero(), &terms)
    }

    /// `left - right`.
    pub fn subtract(&mut self, left: Id, right: Id) -> Id {
        let terms = [(left, Rational::one()), (right, -Rational::one())];
        self.sum_of(&Rational::zero(), &terms)
    }

    /// `-id`.
    pub fn negate(&mut self, id: Id) -> Id {
        self.scale(id, &-Rational::one())
    }

    /// A multiple.
    pub fn scale(&mut self, id: Id, coefficient: &Rational) -> Id {
        self.sum_of(&Rational::zero(), &[(id, coefficient.clone())])
    }

    /// A constant and terms with their coefficients.
    pub fn sum_of(&mut self, constant: &Rational, terms: &[(Id, Rational)]) -> Id {
        let mut constant = constant.clone();
        let mut gathered: FxHashMap<Id, Rational> = FxHashMap::default();
        for (term, coefficient) in terms {
            self.step();
            match self.node(*term) {
                Node::Undefined => return *term,
                Node::Number(value) => constant += value * coefficient,
                Node::Sum(sum) => {
                    constant += &sum.constant * coefficient;
                    for (inner, own) in &sum.terms {
                        *gathered.entry(*inner).or_insert_with(Rational::zero) += own * coefficient;
                    }
                }
                _ => *gathered.entry(*term).or_insert_with(Rational::zero) += coefficient,
            }
        }
        self.weigh(&constant);
        for coefficient in gathered.values() {
            self.weigh(coefficient);
        }
        let mut terms: Vec<(Id, Rational)> = gathered
            .into_iter()
            .filter(|(_, coefficient)| !coefficient.is_zero())
            .collect();
        terms.sort_by_key(|(term, _)| *term);
        match terms.as_slice() {
            [] => self.number(constant),
            [(only, coefficient)] if constant.is_zero() && coefficient.is_one() => *only,
            _ => self.intern(Node::Sum(Sum { constant, terms })),
        }
    }

    /// The coefficient of an expression, and what it multiplies: `3 x` is 3 and `x`.
    pub fn split_coefficient(&self, id: Id) -> (Rational, Option<Id>) {
        match self.node(id) {
            Node::Number(value) => (value.clone(), None),
            Node::Sum(sum) => match sum.terms.as_slice() {
                [(only, coefficient)] if sum.constant.is_zero() => {
                    (coefficient.clone(), Some(*only))
                }
                _ => (Rational::one(), Some(id)),
            },
            _ => (Rational::one(), Some(id)),
        }
    }

    /// A product.
    pub fn multiply(&mut self, factors: &[Id]) -> Id {
        let one = Rational::one();
        let mut gathered = Factors::default();
        for factor in factors {
            gathered.push(self, *factor, &one);
        }
        gathered.finish(self)
    }

    /// A product of rational powers.
    pub fn product_of(&mut self, factors: &[(Id, Rational)]) -> Id {
        let mut gathered = Factors::default();
        for (base, exponent) in factors {
            gathered.push(self, *base, exponent);
        }
        gathered.finish(self)
    }

    /// `above / below`.
    pub fn divide(&mut self, above: Id, below: Id) -> Id {
        self.product_of(&[(above, Rational::one()), (below, -Rational::one())])
    }

    /// A rational power.
    pub fn raise(&mut self, base: Id, exponent: &Rational) -> Id {
        self.product_of(&[(base, exponent.clone())])
    }

    /// The square root.
    pub fn square_root(&mut self, id: Id) -> Id {
        self.raise(id, &number::ratio(1, 2))
    }

    /// A power with any exponent.
    pub fn power(&mut self, base: Id, exponent: Id) -> Id {
        if self.is_undefined(exponent) {
            return exponent;
        }
        if let Some(exponent) = self.as_number(exponent).cloned() {
            return self.raise(base, &exponent);
        }
        let mut gathered = Factors::default();
        gathered.push_power(self, base, exponent);
        gathered.finish(self)
    }

    /// A function of its arguments.
    pub fn call(&mut self, function: Function, arguments: &[Id]) -> Id {
        match arguments {
            _ if arguments
                .iter()
                .any(|argument| self.is_undefined(*argument)) =>
            {
                self.undefined()
            }
            [only] => self.call_one(function, *only),
            _ => self.intern(Node::Call(function, arguments.to_vec())),
        }
    }

    fn call_one(&mut self, function: Function, argument: Id) -> Id {
        let simpler = match function {
            Function::Exp => self.exponential(argument),
            Function::Ln => self.logarithm(argument),
            Function::Abs => self.magnitude(argument),
            Function::Sign => self.sign_call(argument),
            Function::Cbrt if self.sign(argument).is_not_negative() => {
                self.lean(argument);
                Some(self.raise(argument, &number::ratio(1, 3)))
            }
            Function::Min | Function::Max => Some(argument),
            Function::Lawless(_) => None,
            _ => self.of_angles(function, argument),
        };
        simpler.unwrap_or_else(|| self.intern(Node::Call(function, vec![argument])))
    }

    /// `exp(0)` is 1, `exp(ln x)` is `x`, `exp(c ln x)` is `x^c`.
    fn exponential(&mut self, argument: Id) -> Option<Id> {
        if self.is_zero(argument) {
            return Some(self.whole(1));
        }
        let (coefficient, rest) = self.split_coefficient(argument);
        match self.node(rest?) {
            Node::Call(Function::Ln, inner) => {
                let base = *inner.first()?;
                Some(self.raise(base, &coefficient))
            }
            _ => None,
        }
    }

    /// `ln(1)` is 0, `ln(exp x)` is `x`.
    fn logarithm(&mut self, argument: Id) -> Option<Id> {
        if self.is_one(argument) {
            return Some(self.whole(0));
        }
        match self.node(argument) {
            Node::Call(Function::Exp, inner) => inner.first().copied(),
            _ => None,
        }
    }

    fn magnitude(&mut self, argument: Id) -> Option<Id> {
        let sign = self.sign(argument);
        if sign.is_not_negative() {
            self.lean(argument);
            return Some(argument);
        }
        if sign.is_not_positive() {
            self.lean(argument);
            return Some(self.negate(argument));
        }
        let (coefficient, rest) = self.split_coefficient(argument);
        let rest = rest?;
        if let Node::Product(factors) = self.node(rest) {
            let factors = factors.clone();
            let sized: Vec<(Id, Rational)> = factors
                .iter()
                .map(|(base, exponent)| (self.call_one(Function::Abs, *base), exponent.clone()))
                .collect();
            let size = self.product_of(&sized);
            return Some(self.scale(size, &coefficient.abs()));
        }
        if !coefficient.abs().is_one() || coefficient.is_negative() {
            let size = self.call_one(Function::Abs, rest);
            return Some(self.scale(size, &coefficient.abs()));
        }
        // Of a sum and its opposite one is chosen.
        let opposite = self.negate(argument);
        (self.leads_with_minus(argument) && !self.leads_with_minus(opposite))
            .then(|| self.call_one(Function::Abs, opposite))
    }

    fn sign_call(&mut self, argument: Id) -> Option<Id> {
        let sign = self.sign(argument);
        let value = match (sign.negative, sign.zero, sign.positive) {
            (false, false, true) => 1,
            (true, false, false) => -1,
            (false, true, false) => 0,
            _ => return None,
        };
        self.lean(argument);
        Some(self.whole(value))
    }

    /// Whether the first part of an expression has a minus.
    pub fn leads_with_minus(&self, id: Id) -> bool {
        match self.node(id) {
            Node::Number(value) => value.is_negative(),
            Node::Sum(sum) => sum
                .terms
                .first()
                .is_some_and(|(_, coefficient)| coefficient.is_negative()),
            _ => false,
        }
    }

    /// The same expression with symbols, or any other parts, replaced.
    pub fn substitute(&mut self, id: Id, by: &FxHashMap<Id, Id>) -> Id {
        let mut done = by.clone();
        self.substitute_into(id, &mut done)
    }

    /// The same expression with another in place of a part.
    pub(super) fn replace(&mut self, id: Id, part: Id, by: Id) -> Id {
        self.asked(
            |asked| &mut asked.replaced,
            (id, part, by),
            |algebra| algebra.substitute(id, &FxHashMap::from_iter([(part, by)])),
        )
    }

    fn substitute_into(&mut self, id: Id, done: &mut FxHashMap<Id, Id>) -> Id {
        if let Some(found) = done.get(&id) {
            return *found;
        }
        let result = match self.node(id).clone() {
            Node::Undefined | Node::Number(_) | Node::Pi | Node::Symbol(_) => id,
            Node::Sum(sum) => {
                let terms: Vec<(Id, Rational)> = sum
                    .terms
                    .into_iter()
                    .map(|(term, coefficient)| (self.substitute_into(term, done), coefficient))
                    .collect();
                self.sum_of(&sum.constant, &terms)
            }
            Node::Product(factors) => {
                let factors: Vec<(Id, Rational)> = factors
                    .into_iter()
                    .map(|(base, exponent)| (self.substitute_into(base, done), exponent))
                    .collect();
                self.product_of(&factors)
            }
            Node::Power(base, exponent) => {
                let base = self.substitute_into(base, done);
                let exponent = self.substitute_into(exponent, done);
                self.power(base, exponent)
            }
            Node::Call(function, arguments) => {
                let arguments: Vec<Id> = arguments
                    .into_iter()
                    .map(|argument| self.substitute_into(argument, done))
                    .collect();
                self.call(function, &arguments)
            }
        };
        done.insert(id, result);
        result
    }
}
