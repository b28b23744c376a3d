//! Signs of sums with a square root in them, by what their squares say.
//!
//! `a + b sqrt(c)` has the sign of the part that is larger, and which one that is the difference
//! of the squares tells: `v - sqrt(v^2 + 2 g h)` is negative where `g` and `h` are positive.

use num_traits::One;

use super::node::{Id, Node};
use super::sign::Sign;
use super::{Algebra, Rational, number};

/// Roots that are squared one after the other.
const MOST_ROOTS: u32 = 2;

/// What is longer than this is not squared.
const MOST_LENGTH: u64 = 80;

impl Algebra {
    /// Which signs an expression can have.
    pub(super) fn sign_by_squares(&mut self, id: Id) -> Sign {
        self.sign_within(id, MOST_ROOTS)
    }

    fn sign_within(&mut self, id: Id, roots: u32) -> Sign {
        let plain = self.sign(id);
        if roots == 0 || plain != Sign::ANY || self.length(id) > MOST_LENGTH {
            return plain;
        }
        match self.node(id).clone() {
            Node::Product(factors) => {
                let mut sign = Sign::POSITIVE;
                for (base, exponent) in factors {
                    sign = sign.times(self.sign_within(base, roots - 1).raised(&exponent));
                }
                sign
            }
            Node::Sum(sum) => {
                let root = sum
                    .terms
                    .iter()
                    .find(|(term, _)| self.is_square_root(*term));
                let Some((term, coefficient)) = root.cloned() else {
                    return plain;
                };
                let root = self.scale(term, &coefficient);
                let rest = self.subtract(id, root);
                self.sign_of_two(rest, root, roots)
            }
            _ => plain,
        }
    }

    /// The sign of `one + other`.
    fn sign_of_two(&mut self, one: Id, other: Id, roots: u32) -> Sign {
        let two = number::whole(2);
        let squares = [one, other].map(|part| {
            let square = self.raise(part, &two);
            self.expand(square)
        });
        let difference = self.subtract(squares[0], squares[1]);
        let difference = self.expand(difference);
        let larger = self.sign_within(difference, roots - 1);
        let zero = larger.zero;
        let mut found = Sign {
            negative: false,
            zero: false,
            positive: false,
        };
        // Where the first is larger in size, its sign counts, where the second is, that.
        for (counts, part) in [(larger.positive, one), (larger.negative, other)] {
            if counts {
                let own = self.sign_within(part, roots - 1);
                found.negative |= own.negative;
                found.positive |= own.positive;
            }
        }
        if zero {
            // Both are of one size: either they cancel, or the sum is twice the one.
            let own = self.sign_within(other, roots - 1);
            found = Sign {
                negative: found.negative || own.negative,
                zero: true,
                positive: found.positive || own.positive,
            };
        }
        found
    }

    /// Whether a term has one square root as a factor.
    fn is_square_root(&self, term: Id) -> bool {
        let half = number::ratio(1, 2);
        let Node::Product(factors) = self.node(term) else {
            return false;
        };
        let roots = factors
            .iter()
            .filter(|(_, exponent)| !exponent.is_integer());
        let mut roots = roots.map(|(_, exponent)| exponent.clone() % Rational::one());
        let is_half = |root: Rational| root == half || root == -half.clone();
        roots.next().is_some_and(is_half) && roots.next().is_none()
    }
}
