//! Angles: sines and cosines of sums and multiples, in those of base angles.
//!
//! An angle is a sum of multiples of products, such as `w t + phi - pi/3`. All multiples of one
//! product are whole multiples of one base angle, so that `sin(x/2)` and `sin(x)` meet in
//! `x/2`. Inverse functions are all written with `atan`.

use num_traits::{One, Signed, ToPrimitive, Zero};

use super::node::{Function, Id, Node};
use super::normal::Normal;
use super::{Rational, number};

/// A higher multiple of a base angle stays an angle of its own.
const MOST_MULTIPLE: i64 = 12;

/// An angle of more parts than this is not taken apart.
const MOST_PARTS: usize = 5;

/// Sine and cosine.
type Pair = (Id, Id);

impl Normal<'_> {
    /// Sine and cosine of a canonical angle.
    pub fn angle(&mut self, angle: Id) -> Pair {
        let terms = self.terms(angle);
        if terms.len() > MOST_PARTS {
            return self.plain_angle(angle);
        }
        let mut total = (self.algebra.whole(0), self.algebra.whole(1));
        for (term, coefficient) in terms {
            if coefficient.is_zero() {
                continue;
            }
            let part = match self.algebra.node(term) {
                Node::Pi => self.angle_of_pi(term, &coefficient),
                _ => self.multiple(term, &coefficient),
            };
            total = self.added(total, part);
        }
        total
    }

    fn plain_angle(&mut self, angle: Id) -> Pair {
        let sine = self.algebra.call(Function::Sin, &[angle]);
        let cosine = self.algebra.call(Function::Cos, &[angle]);
        (sine, cosine)
    }

    /// Sine and cosine of the sum of two angles.
    fn added(&mut self, one: Pair, two: Pair) -> Pair {
        let algebra = &mut *self.algebra;
        let crossed = [
            algebra.multiply(&[one.0, two.1]),
            algebra.multiply(&[one.1, two.0]),
        ];
        let straight = (
            algebra.multiply(&[one.1, two.1]),
            algebra.multiply(&[one.0, two.0]),
        );
        (
            algebra.add(&crossed),
            algebra.subtract(straight.0, straight.1),
        )
    }

    /// Of a multiple of pi: quarter turns are taken off, known angles are known.
    fn angle_of_pi(&mut self, pi: Id, multiple: &Rational) -> Pair {
        let quarter = number::ratio(1, 2);
        let quarters = (multiple / &quarter).round();
        let rest = multiple - &quarters * &quarter;
        let angle = self.algebra.scale(pi, &rest);
        let (sine, cosine) = self.plain_angle(angle);
        let (sine, cosine) = if !self.is_plain(sine) && !self.is_plain(cosine) {
            (sine, cosine)
        } else if rest.abs() == number::ratio(1, 12) {
            // 15 degrees are 60 less 45.
            let sign = rest.signum();
            let third = self.angle_of_pi(pi, &(&sign * number::ratio(1, 3)));
            let quarter = self.angle_of_pi(pi, &(sign * number::ratio(-1, 4)));
            self.added(third, quarter)
        } else {
            self.multiple(pi, &rest)
        };
        let quarters = (quarters % number::whole(4))
            .to_integer()
            .to_i64()
            .unwrap_or(0);
        match quarters.rem_euclid(4) {
            0 => (sine, cosine),
            1 => (cosine, self.algebra.negate(sine)),
            2 => (self.algebra.negate(sine), self.algebra.negate(cosine)),
            _ => (self.algebra.negate(cosine), sine),
        }
    }

    fn is_plain(&self, id: Id) -> bool {
        let (_, rest) = self.algebra.split_coefficient(id);
        let node = rest.map(|rest| self.algebra.node(rest));
        matches!(node, Some(Node::Call(Function::Sin | Function::Cos, _)))
    }

    /// Of a multiple of an angle, in those of its base angle.
    fn multiple(&mut self, angle: Id, coefficient: &Rational) -> Pair {
        let base = self.base_of(angle, coefficient);
        let times = number::as_whole(&(coefficient / &base));
        let Some(times) = times.filter(|times| times.abs() <= MOST_MULTIPLE) else {
            let angle = self.algebra.scale(angle, coefficient);
            return self.plain_angle(angle);
        };
        let once = self.base_pair(angle, &base);
        let mut total = once;
        for _ in 1..times.abs() {
            total = self.added(total, once);
        }
        if times < 0 {
            total.0 = self.algebra.negate(total.0);
        }
        total
    }

    /// The multiple of the angle of which all that were met are whole multiples.
    fn base_of(&mut self, angle: Id, coefficient: &Rational) -> Rational {
        // Of an inverse function the angle itself is what is known.
        let is_inverse = matches!(
            self.algebra.node(angle),
            Node::Call(Function::Atan | Function::Atan2, _)
        );
        let first = if is_inverse {
            Rational::one()
        } else {
            coefficient.abs()
        };
        let known = self.angles.entry(angle).or_insert(first);
        let shared = number::content([&*known, coefficient].into_iter());
        let most = number::whole(MOST_MULTIPLE);
        // Far multiples have nothing to do with each other in any formula.
        if shared == *known || &*known / &shared > most || coefficient.abs() / &shared > most {
            return known.clone();
        }
        self.angles.insert(angle, shared.clone());
        self.is_split = true;
        shared
    }

    fn base_pair(&mut self, angle: Id, base: &Rational) -> Pair {
        let known = match self.algebra.node(angle).clone() {
            Node::Call(function, arguments) if base.is_one() => {
                self.of_inverse(function, &arguments)
            }
            _ => None,
        };
        known.unwrap_or_else(|| {
            let angle = self.algebra.scale(angle, base);
            self.plain_angle(angle)
        })
    }

    /// Sine and cosine of an inverse function.
    fn of_inverse(&mut self, function: Function, arguments: &[Id]) -> Option<Pair> {
        match (function, arguments) {
            (Function::Atan, [slope]) => {
                let one = self.algebra.whole(1);
                let cosine = self.root_of_squares(&[(one, 1), (*slope, 1)], -1);
                Some((self.algebra.multiply(&[*slope, cosine]), cosine))
            }
            (Function::Atan2, [above, below]) => {
                let inverse = self.root_of_squares(&[(*above, 1), (*below, 1)], -1);
                let sine = self.algebra.multiply(&[*above, inverse]);
                Some((sine, self.algebra.multiply(&[*below, inverse])))
            }
            _ => None,
        }
    }

    /// `sqrt(a^2 - b^2)` of what has signs, or one over it.
    fn root_of_squares(&mut self, of: &[(Id, i64)], power: i64) -> Id {
        let mut squares = Vec::with_capacity(of.len());
        for (part, sign) in of {
            let square = self.algebra.raise(*part, &number::whole(2));
            squares.push(self.algebra.scale(square, &number::whole(*sign)));
        }
        let sum = self.algebra.add(&squares);
        self.raise(sum, &number::ratio(power, 2))
    }

    /// Inverse functions of what is canonical, written with `atan` and `ln`.
    pub fn inverse(&mut self, function: Function, argument: Id) -> Id {
        match function {
            Function::Atan => self.inverse_tangent(argument),
            Function::Asinh => {
                let one = self.algebra.whole(1);
                let root = self.root_of_squares(&[(one, 1), (argument, 1)], 1);
                let sum = self.algebra.add(&[argument, root]);
                let sum = self.settle(sum);
                self.logarithm(sum)
            }
            Function::Acos => {
                let angle = self.inverse(Function::Asin, argument);
                let pi = self.algebra.pi();
                let right = self.algebra.scale(pi, &number::ratio(1, 2));
                self.algebra.subtract(right, angle)
            }
            _ => {
                let known = self.algebra.call(function, &[argument]);
                if !matches!(self.algebra.node(known), Node::Call(..)) {
                    return known;
                }
                let one = self.algebra.whole(1);
                let inverse = self.root_of_squares(&[(one, 1), (argument, -1)], -1);
                let slope = self.algebra.multiply(&[argument, inverse]);
                let slope = self.settle(slope);
                self.inverse_tangent(slope)
            }
        }
    }

    /// Of a positive slope and its reciprocal one is chosen; the angles add up to a right one.
    fn inverse_tangent(&mut self, slope: Id) -> Id {
        let slope = self.settle(slope);
        let direct = self.algebra.call(Function::Atan, &[slope]);
        if !self.algebra.sign(slope).is_positive() {
            return direct;
        }
        let other = self.algebra.raise(slope, &-Rational::one());
        let other = self.settle(other);
        if slope <= other || !matches!(self.algebra.node(direct), Node::Call(..)) {
            return direct;
        }
        self.algebra.lean(slope);
        let complement = self.algebra.call(Function::Atan, &[other]);
        let pi = self.algebra.pi();
        let right = self.algebra.scale(pi, &number::ratio(1, 2));
        self.algebra.subtract(right, complement)
    }
}
