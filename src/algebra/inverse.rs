//! Functions of the unknown, and powers with exponents that are no numbers, undone.

use std::collections::BTreeSet;

use dashu_int::IBig;
use num_traits::{One, ToPrimitive, Zero};

use super::node::{Function, Id, Node};
use super::solution::{Operation, Requirement, Stuck};
use super::solver::{Found, Solver, Trail};
use super::{Rational, number};

/// Angles that differ by turns, at most.
const MOST_TURNS: i64 = 8;

impl Solver<'_> {
    /// `function(argument) = right`.
    pub fn peel_call(
        &mut self,
        function: Function,
        argument: Id,
        right: Id,
        trail: Trail,
    ) -> Found {
        let mut trail = trail;
        self.require_value_of(function, right, &mut trail)?;
        let (values, what) = self.inverses(function, argument, right)?;
        let half_turns = match function {
            Function::Sin | Function::Cos => 2,
            Function::Tan => 1,
            _ => 0,
        };
        let mut equations = Vec::new();
        for value in values {
            if half_turns == 0 {
                let mut trail = trail.clone();
                trail.step(argument, value, what.clone());
                equations.push((argument, value, trail));
            } else {
                equations.extend(self.turned((argument, value), half_turns, &what, &trail)?);
            }
        }
        self.any_of(equations)
    }

    /// The equations `angle = value` for an angle that is the same after so many half turns: those
    /// that make a difference where the unknown stands beside, and in a range those a turn before
    /// and after.
    pub fn turned(
        &mut self,
        (angle, value): (Id, Id),
        half_turns: i64,
        what: &Operation,
        trail: &Trail,
    ) -> Result<Vec<(Id, Id, Trail)>, Stuck> {
        self.has_angles = true;
        let slope = self.slope_of(angle);
        let differing = self.turns_beside(slope, half_turns)?;
        let pi = self.algebra.pi();
        let period = slope.map(|slope| {
            let turn = self
                .algebra
                .scale(pi, &number::whole(differing * half_turns));
            self.algebra.divide(turn, slope)
        });
        let mut turns: Vec<i64> = (0..differing).collect();
        if self.with_turns {
            turns.extend([differing, -1]);
        }
        let equations = turns.into_iter().map(|turn| {
            let added = number::whole(turn * half_turns);
            let terms = [(value, Rational::one()), (pi, added)];
            let value = self.algebra.sum_of(&Rational::zero(), &terms);
            let mut trail = trail.clone();
            trail.is_aside |= !(0..differing).contains(&turn);
            // Of an angle within an angle, the next is no one expression.
            trail.angle = Some(period.filter(|_| trail.angle.is_none()));
            trail.step(angle, value, what.clone());
            (angle, value, trail)
        });
        Ok(equations.collect())
    }

    /// What the unknown is multiplied by in an angle that is linear in it.
    fn slope_of(&mut self, angle: Id) -> Option<Id> {
        match self.algebra.powers_of(angle, self.unknown)?.as_slice() {
            [_, slope] => Some(*slope),
            _ => None,
        }
    }

    /// How many of the angles that follow each other after `half_turns` differ in the functions of
    /// angles that hold the unknown beside.
    fn turns_beside(&mut self, slope: Option<Id>, half_turns: i64) -> Result<i64, Stuck> {
        let mut angles = Vec::new();
        for id in self.beside.clone() {
            self.angles_into(id, &mut angles, &mut BTreeSet::new());
        }
        if angles.is_empty() {
            return Ok(1);
        }
        let slope = slope.ok_or(Stuck::NotSolvable)?;
        let mut turns = IBig::one();
        for angle in angles {
            let own = self.slope_of(angle).ok_or(Stuck::NotSolvable)?;
            let ratio = self.algebra.divide(own, slope);
            let ratio = self.algebra.as_number(ratio).ok_or(Stuck::NotSolvable)?;
            turns = number::lcm(&turns, ratio.denom());
        }
        let most = (turns * IBig::from(2 / half_turns)).to_i64();
        most.filter(|turns| *turns <= MOST_TURNS)
            .ok_or(Stuck::NotSolvable)
    }

    /// The arguments of functions of angles that hold the unknown.
    fn angles_into(&self, id: Id, angles: &mut Vec<Id>, seen: &mut BTreeSet<Id>) {
        if !self.holds(id) || !seen.insert(id) {
            return;
        }
        if let Node::Call(Function::Sin | Function::Cos | Function::Tan, arguments) =
            self.algebra.node(id)
        {
            angles.extend(arguments.first());
            return;
        }
        for part in self.algebra.parts(id) {
            self.angles_into(part, angles, seen);
        }
    }

    /// What a value of the function must be.
    fn require_value_of(
        &mut self,
        function: Function,
        right: Id,
        trail: &mut Trail,
    ) -> Result<(), Stuck> {
        let half = {
            let pi = self.algebra.pi();
            self.algebra.scale(pi, &number::ratio(1, 2))
        };
        let (low, high) = match function {
            Function::Exp => return self.require(Requirement::Positive(right), trail),
            Function::Abs => return self.require(Requirement::NotNegative(right), trail),
            Function::Cosh => {
                let one = self.algebra.whole(1);
                let beyond = self.algebra.subtract(right, one);
                return self.require(Requirement::NotNegative(beyond), trail);
            }
            Function::Sin | Function::Cos | Function::Tanh => {
                (self.algebra.whole(-1), self.algebra.whole(1))
            }
            Function::Asin | Function::Atan => (self.algebra.negate(half), half),
            Function::Acos => (self.algebra.whole(0), self.algebra.pi()),
            _ => return Ok(()),
        };
        let value = right;
        self.require(Requirement::Inside { value, low, high }, trail)
    }

    /// The values of the argument, and the operation that gives them.
    fn inverses(
        &mut self,
        function: Function,
        argument: Id,
        right: Id,
    ) -> Result<(Vec<Id>, Operation), Stuck> {
        let algebra = &mut *self.algebra;
        let apply = |applied: Function| Operation::Applied(applied);
        Ok(match function {
            Function::Exp => (
                vec![algebra.call(Function::Ln, &[right])],
                Operation::Logarithm,
            ),
            Function::Ln => {
                let (value, base) = self.exponential_of(right);
                (vec![value], Operation::Exponential(base))
            }
            Function::Sin => {
                let first = algebra.call(Function::Asin, &[right]);
                let pi = algebra.pi();
                let second = algebra.subtract(pi, first);
                (vec![first, second], apply(Function::Asin))
            }
            Function::Cos => {
                let first = algebra.call(Function::Acos, &[right]);
                let second = algebra.negate(first);
                let values = self.of_its_sign(argument, first, second);
                (values, apply(Function::Acos))
            }
            Function::Tan => (
                vec![algebra.call(Function::Atan, &[right])],
                apply(Function::Atan),
            ),
            Function::Asin => (
                vec![algebra.call(Function::Sin, &[right])],
                apply(Function::Sin),
            ),
            Function::Acos => (
                vec![algebra.call(Function::Cos, &[right])],
                apply(Function::Cos),
            ),
            Function::Atan => (
                vec![algebra.call(Function::Tan, &[right])],
                apply(Function::Tan),
            ),
            Function::Sinh => (
                vec![algebra.call(Function::Asinh, &[right])],
                apply(Function::Asinh),
            ),
            Function::Asinh => (
                vec![algebra.call(Function::Sinh, &[right])],
                apply(Function::Sinh),
            ),
            Function::Cosh => {
                let first = self.inverse_cosh(right);
                let second = self.algebra.negate(first);
                let values = self.of_its_sign(argument, first, second);
                (values, Operation::Inverse(Function::Cosh))
            }
            Function::Tanh => {
                let value = self.inverse_tanh(right);
                (vec![value], Operation::Inverse(Function::Tanh))
            }
            Function::Abs => {
                let opposite = algebra.negate(right);
                let values = self.of_its_sign(argument, right, opposite);
                (values, Operation::Inverse(Function::Abs))
            }
            Function::Cbrt => {
                let three = number::whole(3);
                (vec![algebra.raise(right, &three)], Operation::Raised(three))
            }
            _ => return Err(Stuck::NotSolvable),
        })
    }

    /// Of a value that is not negative and its opposite, those the argument can have.
    fn of_its_sign(&mut self, argument: Id, value: Id, opposite: Id) -> Vec<Id> {
        if value == opposite {
            return vec![value];
        }
        let sign = self.algebra.sign(argument);
        if sign.is_not_negative() {
            self.algebra.lean(argument);
            vec![value]
        } else if sign.is_not_positive() {
            self.algebra.lean(argument);
            vec![opposite]
        } else {
            vec![value, opposite]
        }
    }

    /// `ln(right + sqrt(right^2 - 1))`
    fn inverse_cosh(&mut self, right: Id) -> Id {
        let algebra = &mut *self.algebra;
        let square = algebra.raise(right, &number::whole(2));
        let inner = algebra.sum_of(&number::whole(-1), &[(square, Rational::one())]);
        let root = algebra.square_root(inner);
        let argument = algebra.add(&[right, root]);
        algebra.call(Function::Ln, &[argument])
    }

    /// `ln((1 + right)/(1 - right))/2`
    fn inverse_tanh(&mut self, right: Id) -> Id {
        let algebra = &mut *self.algebra;
        let above = algebra.sum_of(&Rational::one(), &[(right, Rational::one())]);
        let below = algebra.sum_of(&Rational::one(), &[(right, -Rational::one())]);
        let argument = algebra.divide(above, below);
        let logarithm = algebra.call(Function::Ln, &[argument]);
        algebra.scale(logarithm, &number::ratio(1, 2))
    }

    /// The exponential; with a factor `ln b` in the exponent as a power of `b`, which is given as
    /// well. That is how logarithms to another base are undone.
    pub fn exponential_of(&mut self, exponent: Id) -> (Id, Option<Id>) {
        let (coefficient, rest) = self.algebra.split_coefficient(exponent);
        if let Some(Node::Product(factors)) = rest.map(|rest| self.algebra.node(rest).clone()) {
            for (at, (base, power)) in factors.iter().enumerate() {
                let Node::Call(Function::Ln, arguments) = self.algebra.node(*base) else {
                    continue;
                };
                let Some(argument) = arguments.first().copied().filter(|_| power.is_one()) else {
                    continue;
                };
                if self.algebra.as_number(argument).is_none() {
                    continue;
                }
                let others: Vec<(Id, Rational)> = factors
                    .iter()
                    .enumerate()
                    .filter(|(other, _)| *other != at)
                    .map(|(_, factor)| factor.clone())
                    .collect();
                let others = self.algebra.product_of(&others);
                let others = self.algebra.scale(others, &coefficient);
                return (self.algebra.power(argument, others), Some(argument));
            }
        }
        (self.algebra.call(Function::Exp, &[exponent]), None)
    }

    /// A product of powers, at least one of them with an exponent that is no number or several
    /// of them with the unknown: of one base, or with the unknown in the exponents only. `None`
    /// when it is neither.
    pub fn peel_powers(
        &mut self,
        factors: &[(Id, Rational)],
        right: Id,
        trail: Trail,
    ) -> Option<Found> {
        let parts: Vec<(Option<Id>, Id)> = factors
            .iter()
            .map(|(base, exponent)| self.base_and_exponent(*base, exponent))
            .collect();
        let first = parts.first()?.0;
        let of_one_base = first.is_some_and(|base| self.holds(base))
            && parts
                .iter()
                .all(|(base, exponent)| *base == first && !self.holds(*exponent));
        if of_one_base {
            let exponents: Vec<Id> = parts.iter().map(|(_, exponent)| *exponent).collect();
            let total = self.algebra.add(&exponents);
            return Some(self.undo_power(first?, total, right, trail));
        }
        let in_exponents = parts
            .iter()
            .all(|(base, _)| base.is_none_or(|base| !self.holds(base)));
        in_exponents.then(|| self.take_logarithm(&parts, right, trail))
    }

    /// The base and the exponent of a factor; no base for the exponential function.
    pub fn base_and_exponent(&mut self, base: Id, exponent: &Rational) -> (Option<Id>, Id) {
        match self.algebra.node(base).clone() {
            Node::Power(inner, own) => (Some(inner), self.algebra.scale(own, exponent)),
            Node::Call(Function::Exp, arguments) => {
                let argument = arguments.first().copied().unwrap_or(base);
                (None, self.algebra.scale(argument, exponent))
            }
            _ => (Some(base), self.algebra.number(exponent.clone())),
        }
    }

    /// `base^exponent = right` with an exponent that does not hold the unknown.
    fn undo_power(&mut self, base: Id, exponent: Id, right: Id, trail: Trail) -> Found {
        if let Some(exponent) = self.algebra.as_number(exponent).cloned() {
            if exponent.is_zero() {
                let one = self.algebra.whole(1);
                return Err(self.without_unknown(one, right));
            }
            return self.peel_power(base, &exponent, right, trail);
        }
        let mut trail = trail;
        let (above, _) = self.algebra.over_one_line(exponent, None);
        self.require_not_zero(above, &mut trail)?;
        self.require(Requirement::Positive(right), &mut trail)?;
        let (above, below) = self.algebra.over_one_line(exponent, None);
        let below = self.algebra.product_of(&below);
        let inverse = self.algebra.divide(below, above);
        let value = self.algebra.power(right, inverse);
        let mut equations = Vec::new();
        if !self.algebra.sign(base).is_not_negative() {
            // A negative base does as well where the exponent is an even number.
            let opposite = self.algebra.negate(value);
            let mut trail = trail.clone();
            trail.is_aside = true;
            trail.step(base, opposite, Operation::RaisedTo(inverse));
            equations.push((base, opposite, trail));
        }
        trail.step(base, value, Operation::RaisedTo(inverse));
        equations.insert(0, (base, value, trail));
        self.any_of(equations)
    }

    /// A product of powers with the unknown in the exponents, equal to `right`.
    fn take_logarithm(&mut self, parts: &[(Option<Id>, Id)], right: Id, trail: Trail) -> Found {
        let mut trail = trail;
        self.require(Requirement::Positive(right), &mut trail)?;
        let logarithm = self.algebra.call(Function::Ln, &[right]);
        if let [(Some(base), exponent)] = parts {
            self.require(Requirement::Positive(*base), &mut trail)?;
            let one = self.algebra.whole(1);
            let beyond = self.algebra.subtract(*base, one);
            self.require_not_zero(beyond, &mut trail)?;
            let below = self.algebra.call(Function::Ln, &[*base]);
            let value = self.algebra.divide(logarithm, below);
            trail.step(*exponent, value, Operation::Logarithm);
            return self.solve(*exponent, value, trail);
        }
        let mut terms = Vec::new();
        for (base, exponent) in parts {
            terms.push(match base {
                None => *exponent,
                Some(base) => {
                    self.require(Requirement::Positive(*base), &mut trail)?;
                    let factor = self.algebra.call(Function::Ln, &[*base]);
                    self.algebra.multiply(&[*exponent, factor])
                }
            });
        }
        let left = self.algebra.add(&terms);
        trail.step(left, logarithm, Operation::Logarithm);
        self.solve(left, logarithm, trail)
    }
}
