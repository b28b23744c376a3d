//! The form in which a formula is written by hand.
//!
//! In goes an expression in canonical form; out comes a small tree with the same value wherever
//! the expression is defined: one quotient instead of negative exponents, one root instead of
//! several, common factors in front of their sum, a positive term first. Only what is local is
//! looked at: nothing is multiplied out, cancelled or looked for. The tree has no brackets; whoever
//! sets it adds them by precedence.

use dashu_int::IBig;
use rustc_hash::FxHashMap;

use super::node::{Function, Id, Node, Symbol};
use super::{Algebra, number};
use crate::functions;

mod author;
mod common;
#[cfg(test)]
mod laws;
mod logarithms;
mod order;
mod powers;
mod product;
mod sum;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod text;

/// An expression with more leaves than this is not written.
const MOST_LEAVES: usize = 2000;

/// A formula as it is written by hand, without brackets.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Written {
    /// A whole number, not negative.
    Whole(IBig),
    /// A positive number by its decimal digits, `0.0254`, where no short fraction is that number.
    Decimal(String),
    /// The ratio of circumference to diameter.
    Pi,
    /// A symbol.
    Symbol(Symbol),
    /// Terms, at least two, each with whether it is subtracted. None is a sum or negative.
    Sum(Vec<(bool, Written)>),
    /// Factors, at least two. None is a product, a quotient or negative.
    Product(Vec<Written>),
    /// A numerator over a denominator.
    Quotient(Box<Written>, Box<Written>),
    /// A base with its exponent.
    Power(Box<Written>, Box<Written>),
    /// A square root.
    Root(Box<Written>),
    /// A cube root.
    CubeRoot(Box<Written>),
    /// What has a minus in front.
    Negative(Box<Written>),
    /// A function of its arguments.
    Call(functions::Function, Vec<Written>),
    /// A magnitude.
    Abs(Box<Written>),
}

impl Written {
    /// How many leaves and operators it has: what is short is for the caller to decide.
    pub fn size(&self) -> usize {
        match self {
            Self::Whole(_) | Self::Decimal(_) | Self::Pi | Self::Symbol(_) => 1,
            Self::Sum(terms) => {
                let leading = usize::from(terms.first().is_some_and(|(minus, _)| *minus));
                let parts: usize = terms.iter().map(|(_, term)| term.size()).sum();
                parts + terms.len().saturating_sub(1) + leading
            }
            Self::Product(factors) => {
                let parts: usize = factors.iter().map(Self::size).sum();
                parts + factors.len().saturating_sub(1)
            }
            Self::Quotient(one, other) | Self::Power(one, other) => 1 + one.size() + other.size(),
            Self::Root(inner)
            | Self::CubeRoot(inner)
            | Self::Negative(inner)
            | Self::Abs(inner) => 1 + inner.size(),
            Self::Call(_, arguments) => 1 + arguments.iter().map(Self::size).sum::<usize>(),
        }
    }

    fn whole(value: i64) -> Self {
        Self::Whole(IBig::from(value))
    }

    fn negative(self) -> Self {
        Self::Negative(Box::new(self))
    }

    fn over(self, below: Self) -> Self {
        Self::Quotient(Box::new(self), Box::new(below))
    }

    fn raised_to(self, exponent: Self) -> Self {
        Self::Power(Box::new(self), Box::new(exponent))
    }

    /// The product of factors in their order; 1 when there are none.
    fn product(mut factors: Vec<Self>) -> Self {
        match factors.len() {
            0 => Self::whole(1),
            1 => factors.remove(0),
            _ => Self::Product(factors),
        }
    }
}

impl Algebra {
    /// The form in which an expression is written by hand.
    ///
    /// `None` for what has no value, and for what is too long to be written (more than about
    /// 2000 leaves).
    pub fn written(&mut self, id: Id) -> Option<Written> {
        if self.is_undefined(id) || self.leaves(id, &mut FxHashMap::default()) > MOST_LEAVES {
            return None;
        }
        Some(self.write(id))
    }

    /// How many leaves an expression has when shared parts are written out.
    fn leaves(&self, id: Id, done: &mut FxHashMap<Id, usize>) -> usize {
        if let Some(found) = done.get(&id) {
            return *found;
        }
        let parts = self.parts(id);
        let below = parts.iter().fold(0_usize, |total, part| {
            total.saturating_add(self.leaves(*part, done))
        });
        let own = match self.node(id) {
            // Written as a logarithm, its argument stands there twice.
            Node::Call(Function::Asinh, _) => below.saturating_mul(2),
            _ => below.max(1),
        };
        done.insert(id, own);
        own
    }

    fn write(&mut self, id: Id) -> Written {
        self.step();
        match self.node(id).clone() {
            // Only a part that has no value makes the whole have none.
            Node::Undefined => Written::whole(1).over(Written::whole(0)),
            Node::Number(value) => self.write_product(&value, &[]),
            Node::Pi => Written::Pi,
            Node::Symbol(symbol) => Written::Symbol(symbol),
            Node::Sum(_) => self.write_sum(id),
            Node::Product(_) | Node::Power(..) => {
                let factors = self.factors_of(id);
                self.write_product(&number::whole(1), &factors)
            }
            Node::Call(function, arguments) => self.write_call(function, &arguments),
        }
    }

    fn write_call(&mut self, function: Function, arguments: &[Id]) -> Written {
        let mut written: Vec<Written> = arguments.iter().map(|it| self.write(*it)).collect();
        match (function.named(), arguments) {
            (Some(functions::Function::Cbrt), [_]) => {
                Written::CubeRoot(Box::new(written.remove(0)))
            }
            (Some(functions::Function::Abs), [_]) => Written::Abs(Box::new(written.remove(0))),
            (Some(function), _) => Written::Call(function, written),
            (None, [argument]) => self.write_as_logarithm(*argument),
            (None, _) => Written::whole(1).over(Written::whole(0)),
        }
    }

    /// The inverse hyperbolic sine, which has no name in the language.
    fn write_as_logarithm(&mut self, argument: Id) -> Written {
        let square = self.raise(argument, &number::whole(2));
        let one = self.whole(1);
        let sum = self.add(&[square, one]);
        let root = self.square_root(sum);
        let inner = self.add(&[argument, root]);
        Written::Call(functions::Function::Ln, vec![self.write(inner)])
    }

    /// An expression as factors with rational exponents.
    fn factors_of(&self, id: Id) -> Vec<(Id, super::Rational)> {
        match self.node(id) {
            Node::Product(factors) => factors.clone(),
            _ => vec![(id, number::whole(1))],
        }
    }
}
