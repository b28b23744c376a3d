//! What is known exactly about trigonometric and hyperbolic functions of one argument.

use num_traits::Zero;

use super::node::{Function, Id, Node};
use super::{Algebra, Rational, number};

impl Algebra {
    /// A simpler form of such a function, when there is one.
    pub(super) fn of_angles(&mut self, function: Function, argument: Id) -> Option<Id> {
        if let Some(inner) = self.inverse_of(function, argument) {
            return Some(inner);
        }
        let odd = matches!(
            function,
            Function::Sin
                | Function::Tan
                | Function::Asin
                | Function::Atan
                | Function::Sinh
                | Function::Tanh
                | Function::Asinh
                | Function::Cbrt
        );
        let even = matches!(function, Function::Cos | Function::Cosh);
        if (odd || even) && self.leads_with_minus(argument) {
            let opposite = self.negate(argument);
            if !self.leads_with_minus(opposite) {
                let value = self.call(function, &[opposite]);
                return Some(if odd { self.negate(value) } else { value });
            }
        }
        match function {
            Function::Sin | Function::Cos | Function::Tan => {
                self.of_known_angle(function, argument)
            }
            Function::Asin | Function::Acos | Function::Atan => {
                self.known_angle(function, argument)
            }
            Function::Sinh | Function::Tanh | Function::Asinh if self.is_zero(argument) => {
                Some(self.whole(0))
            }
            Function::Cosh if self.is_zero(argument) => Some(self.whole(1)),
            _ => None,
        }
    }

    /// `sin(asin x)` is `x`; the other way round holds for some angles only.
    fn inverse_of(&self, function: Function, argument: Id) -> Option<Id> {
        let Node::Call(inner, arguments) = self.node(argument) else {
            return None;
        };
        let undone = matches!(
            (function, inner),
            (Function::Sin, Function::Asin)
                | (Function::Cos, Function::Acos)
                | (Function::Tan, Function::Atan)
                | (Function::Sinh, Function::Asinh)
                | (Function::Asinh, Function::Sinh)
        );
        undone.then(|| arguments.first().copied()).flatten()
    }

    /// How many times pi the argument is, when it is a rational multiple.
    pub(super) fn turns_of_pi(&self, argument: Id) -> Option<Rational> {
        if self.is_zero(argument) {
            return Some(Rational::zero());
        }
        let (coefficient, rest) = self.split_coefficient(argument);
        matches!(self.node(rest?), Node::Pi).then_some(coefficient)
    }

    fn of_known_angle(&mut self, function: Function, argument: Id) -> Option<Id> {
        let multiple = self.turns_of_pi(argument)?;
        match function {
            Function::Sin => self.sine(&multiple),
            Function::Cos => self.sine(&(multiple + number::ratio(1, 2))),
            _ => {
                let below = self.sine(&(&multiple + number::ratio(1, 2)))?;
                let above = self.sine(&multiple)?;
                (!self.is_zero(below)).then(|| self.divide(above, below))
            }
        }
    }

    /// The sine of a multiple of pi, for whole multiples of 30 and 45 degrees.
    fn sine(&mut self, multiple: &Rational) -> Option<Id> {
        let two = number::whole(2);
        let mut turn = multiple - &two * (multiple / &two).floor();
        let negative = turn >= number::whole(1);
        if negative {
            turn -= number::whole(1);
        }
        if turn > number::ratio(1, 2) {
            turn = number::whole(1) - turn;
        }
        // sin^2 of 0, 30, 45, 60 and 90 degrees is 0, 1, 2, 3 and 4 quarters.
        let quarters = [(0, 1, 0), (1, 6, 1), (1, 4, 2), (1, 3, 3), (1, 2, 4)]
            .into_iter()
            .find(|(above, below, _)| turn == number::ratio(*above, *below))
            .map(|(_, _, quarters)| quarters)?;
        let square = self.number(number::ratio(quarters, 4));
        let value = self.square_root(square);
        Some(if negative { self.negate(value) } else { value })
    }

    /// The angle whose sine, cosine or tangent is the argument, where it is one of those.
    fn known_angle(&mut self, function: Function, argument: Id) -> Option<Id> {
        if function == Function::Acos && self.leads_with_minus(argument) {
            let opposite = self.negate(argument);
            let angle = self.known_angle(Function::Acos, opposite)?;
            let pi = self.pi();
            return Some(self.subtract(pi, angle));
        }
        let square = self.raise(argument, &number::whole(2));
        let square = self.as_number(square)?.clone();
        // The square of x/|x| is 1, and still it can be -1.
        if !self.sign(argument).is_not_negative() {
            return None;
        }
        let known: &[(i64, i64, i64, i64)] = match function {
            Function::Atan => &[(0, 1, 0, 1), (1, 3, 1, 6), (1, 1, 1, 4), (3, 1, 1, 3)],
            _ => &[
                (0, 1, 0, 1),
                (1, 4, 1, 6),
                (1, 2, 1, 4),
                (3, 4, 1, 3),
                (1, 1, 1, 2),
            ],
        };
        let (.., above, below) = known
            .iter()
            .copied()
            .find(|(over, under, ..)| square == number::ratio(*over, *under))?;
        let mut multiple = number::ratio(above, below);
        if function == Function::Acos {
            multiple = number::ratio(1, 2) - multiple;
        }
        let pi = self.pi();
        Some(self.scale(pi, &multiple))
    }
}
