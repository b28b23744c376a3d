//! The signs of expressions, as far as those of their symbols tell.

use super::Algebra;
use super::node::{Function, Id, Node};
use super::sign::Sign;

/// What rounding makes of the ends of a half turn.
const ROUNDING: f64 = 1e-12;

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

    /// The sign of a sine or cosine, where its angle lies within one half turn in which it keeps
    /// its sign.
    fn sign_of_wave(&self, function: Function, arguments: &[Id]) -> Sign {
        use std::f64::consts::{FRAC_PI_2, PI};
        let Some(angle) = arguments.first().map(|first| self.bounds(*first)) else {
            return Sign::ANY;
        };
        // Counted from where the function rises through zero.
        let shift = if function == Function::Cos {
            FRAC_PI_2
        } else {
            0.0
        };
        let (low, high) = ((angle.low + shift) / PI, (angle.high + shift) / PI);
        let half_turn = (low + ROUNDING).floor();
        if !low.is_finite() || high > half_turn + 1.0 + ROUNDING {
            return Sign::ANY;
        }
        let at_start = low <= half_turn + ROUNDING && angle.is_low_taken;
        let at_end = high >= half_turn + 1.0 - ROUNDING && angle.is_high_taken;
        let is_positive = half_turn % 2.0 == 0.0;
        Sign::new(!is_positive, at_start || at_end, is_positive)
    }

    fn sign_of_call(&self, function: Function, arguments: &[Id]) -> Sign {
        if let Function::Sin | Function::Cos = function {
            return self.sign_of_wave(function, arguments);
        }
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
