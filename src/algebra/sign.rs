//! What is known about the sign of an expression, from what is known about its symbols.

use num_traits::Zero;

use super::{Rational, number};

/// Which signs a real expression can have where it is defined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Sign {
    /// It can be below zero.
    pub negative: bool,
    /// It can be zero.
    pub zero: bool,
    /// It can be above zero.
    pub positive: bool,
}

impl Sign {
    /// Nothing is known.
    pub const ANY: Sign = Sign::new(true, true, true);
    /// Above zero.
    pub const POSITIVE: Sign = Sign::new(false, false, true);
    /// Zero or above.
    pub const NOT_NEGATIVE: Sign = Sign::new(false, true, true);
    /// Below zero.
    pub const NEGATIVE: Sign = Sign::new(true, false, false);
    /// Zero.
    pub const ZERO: Sign = Sign::new(false, true, false);

    pub(super) const fn new(negative: bool, zero: bool, positive: bool) -> Self {
        Self {
            negative,
            zero,
            positive,
        }
    }

    /// The sign of a number.
    pub fn of(value: &Rational) -> Self {
        Self::new(value.is_negative(), value.is_zero(), value.is_positive())
    }

    /// Whether it is certainly above zero.
    pub fn is_positive(self) -> bool {
        self == Self::POSITIVE
    }

    /// Whether it is certainly not below zero.
    pub fn is_not_negative(self) -> bool {
        !self.negative
    }

    /// Whether it is certainly not above zero.
    pub fn is_not_positive(self) -> bool {
        !self.positive
    }

    /// Whether it is certainly not zero.
    pub fn is_not_zero(self) -> bool {
        !self.zero
    }

    pub(super) fn plus(self, other: Self) -> Self {
        let (up, down) = (
            self.positive || other.positive,
            self.negative || other.negative,
        );
        Self {
            positive: up,
            negative: down,
            zero: (self.zero && other.zero)
                || (self.positive && other.negative)
                || (self.negative && other.positive),
        }
    }

    pub(super) fn times(self, other: Self) -> Self {
        Self {
            positive: (self.positive && other.positive) || (self.negative && other.negative),
            negative: (self.positive && other.negative) || (self.negative && other.positive),
            zero: self.zero || other.zero,
        }
    }

    /// The sign of a rational power, where it is a real number.
    pub(super) fn raised(self, exponent: &Rational) -> Self {
        let zero = self.zero && !exponent.is_negative();
        if number::is_even(exponent) {
            return Self::new(false, zero, self.positive || self.negative);
        }
        if exponent.is_integer() {
            return Self { zero, ..self };
        }
        // A fractional power has no real value for a negative base.
        Self::new(false, zero, true)
    }
}
