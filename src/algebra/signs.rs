//! The signs of expressions, as far as those of their symbols tell.

use super::Algebra;
use super::node::{Function, Id, Node};
use super::sign::Sign;

impl Algebra {
    /// Which signs the expression can have.
    pub fn sign(&self, id: Id) -> Sign {
        match self.node(id) {
            Node::Number(value) => Sign::of(value),
            Node::Undefined => Sign::ANY,
            Node::Pi => Sign::POSITIVE,
            Node::Symbol(symbol) => self.sign_of_symbol(*symbol),
            Node::Sum(sum) => sum
                .terms
                .iter()
                .map(|(term, coefficient)| self.sign(*term).times(Sign::of(coefficient)))
                .fold(Sign::of(&sum.constant), Sign::plus),
            Node::Product(factors) => factors
                .iter()
                .map(|(base, exponent)| self.sign(*base).raised(exponent))
                .fold(Sign::POSITIVE, Sign::times),
            Node::Power(base, _) if self.sign(*base).is_positive() => Sign::POSITIVE,
            Node::Power(..) => Sign::ANY,
            Node::Call(function, arguments) => self.sign_of_call(*function, arguments),
        }
    }

    fn sign_of_call(&self, function: Function, arguments: &[Id]) -> Sign {
        let argument = arguments
            .first()
            .map_or(Sign::ANY, |first| self.sign(*first));
        match function {
            Function::Exp | Function::Cosh => Sign::POSITIVE,
            Function::Abs => {
                Sign::new(false, argument.zero, argument.positive || argument.negative)
            }
            Function::Acos => Sign::NOT_NEGATIVE,
            // These have the sign of their argument.
            Function::Asin
            | Function::Atan
            | Function::Sinh
            | Function::Tanh
            | Function::Asinh
            | Function::Cbrt
            | Function::Sign => argument,
            _ => Sign::ANY,
        }
    }
}
