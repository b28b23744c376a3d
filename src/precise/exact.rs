//! Exact numbers: a fraction times the root of a whole number times a power of π.
//!
//! Sums of unlike ones are none. What is more than this is left to intervals.

use std::cmp::Ordering;
use std::ops::Neg;

use dashu_base::SquareRoot;
use dashu_int::IBig;
use num_traits::{One, Signed, Zero};

use super::interval::Interval;
use super::{Rational, bit_length};

/// Fractions with more bits than this are not kept exactly.
const MOST_BITS: u64 = 8000;

/// An exact number. Zero has no root and no power of π.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Exact {
    pub coefficient: Rational,
    /// What stands under the root; at least 1.
    root: IBig,
    /// The power of π.
    pub pi: i32,
}

impl Exact {
    pub fn rational(coefficient: Rational) -> Self {
        Exact {
            coefficient,
            root: IBig::one(),
            pi: 0,
        }
    }

    pub fn whole(value: i64) -> Self {
        Exact::rational(Rational::from_integer(value.into()))
    }

    pub fn pi() -> Self {
        Exact {
            pi: 1,
            ..Exact::whole(1)
        }
    }

    /// `coefficient · √root · π^pi`
    pub fn new(coefficient: Rational, root: IBig, pi: i32) -> Self {
        if coefficient.is_zero() {
            return Exact::rational(coefficient);
        }
        let whole = IBig::from(root.sqrt());
        match &whole * &whole == root {
            true => Exact {
                coefficient: coefficient * whole,
                root: IBig::one(),
                pi,
            },
            false => Exact {
                coefficient,
                root,
                pi,
            },
        }
    }

    /// It as a fraction, where it is one.
    pub fn as_rational(&self) -> Option<&Rational> {
        (self.pi == 0 && self.root.is_one()).then_some(&self.coefficient)
    }

    /// How often it is π, as a fraction, where it is such a multiple.
    pub fn as_turn(&self) -> Option<&Rational> {
        let is_turn = self.root.is_one() && (self.pi == 1 || self.is_zero());
        is_turn.then_some(&self.coefficient)
    }

    pub fn is_zero(&self) -> bool {
        self.coefficient.is_zero()
    }

    pub fn sign(&self) -> Ordering {
        self.coefficient.cmp(&Rational::zero())
    }

    /// Whether it is short enough to be kept.
    pub fn is_short(&self) -> bool {
        let fraction = bit_length(self.coefficient.numer()) + bit_length(self.coefficient.denom());
        fraction + bit_length(&self.root) <= MOST_BITS && self.pi.abs() <= 64
    }

    pub fn plus(&self, other: &Exact) -> Option<Exact> {
        if self.is_zero() {
            return Some(other.clone());
        }
        if other.is_zero() {
            return Some(self.clone());
        }
        if self.pi != other.pi {
            return None;
        }
        // √b is √a times √(ab)/a.
        let product = &self.root * &other.root;
        let common = IBig::from(product.sqrt());
        if &common * &common != product {
            return None;
        }
        let ratio = Rational::new(common, self.root.clone());
        let coefficient = &self.coefficient + &other.coefficient * ratio;
        Some(Exact::new(coefficient, self.root.clone(), self.pi))
    }

    pub fn times(&self, other: &Exact) -> Exact {
        Exact::new(
            &self.coefficient * &other.coefficient,
            &self.root * &other.root,
            self.pi + other.pi,
        )
    }

    /// `None` for zero.
    pub fn inverse(&self) -> Option<Exact> {
        if self.is_zero() {
            return None;
        }
        let square = Rational::from_integer(self.root.clone());
        Some(Exact::new(
            (&self.coefficient * square).recip(),
            self.root.clone(),
            -self.pi,
        ))
    }

    /// A whole power, where it stays short.
    pub fn raised(&self, exponent: i64) -> Option<Exact> {
        let steps = exponent.unsigned_abs();
        let bits = bit_length(self.coefficient.numer()) + bit_length(self.coefficient.denom());
        let is_unit = self.coefficient.numer().abs().is_one()
            && self.coefficient.denom().is_one()
            && self.root.is_one();
        let bits = if is_unit {
            1
        } else {
            bits + bit_length(&self.root)
        };
        if bits.saturating_mul(steps) > MOST_BITS {
            return None;
        }
        let base = if exponent < 0 {
            self.inverse()?
        } else {
            self.clone()
        };
        let steps = usize::try_from(steps).ok()?;
        let coefficient = base.coefficient.raised(steps);
        let root = base.root.pow(steps);
        let pi = base.pi.checked_mul(i32::try_from(steps).ok()?)?;
        Some(Exact::new(coefficient, root, pi))
    }

    pub fn square_root(&self) -> Option<Exact> {
        if self.coefficient.is_negative() || self.pi % 2 != 0 || !self.root.is_one() {
            return None;
        }
        let (above, below) = (self.coefficient.numer(), self.coefficient.denom());
        let coefficient = Rational::new(IBig::one(), below.clone());
        Some(Exact::new(coefficient, above * below, self.pi / 2))
    }

    /// A root of any degree, where it is a fraction.
    pub fn root_of_degree(&self, degree: u32) -> Option<Exact> {
        let value = self.as_rational()?;
        let root = |whole: &IBig| {
            let size = whole.abs();
            let root = size.nth_root(degree as usize);
            let is_whole = root.pow(degree as usize) == size;
            is_whole.then_some(root)
        };
        if value.is_negative() && degree.is_multiple_of(2) {
            return None;
        }
        let size = Rational::new(root(value.numer())?, root(value.denom())?);
        Some(Exact::rational(match value.is_negative() {
            true => -size,
            false => size,
        }))
    }

    pub fn to_interval(&self, bits: usize) -> Option<Interval> {
        let mut found = Interval::rational(&self.coefficient, bits)?;
        if !self.root.is_one() {
            let root = Interval::rational(&Rational::from_integer(self.root.clone()), bits)?;
            found = found.times(&root.square_root(bits)?, bits)?;
        }
        let pi = || Interval::pi(bits)?.raised(self.pi.unsigned_abs(), bits);
        match self.pi.cmp(&0) {
            Ordering::Equal => Some(found),
            Ordering::Greater => found.times(&pi()?, bits),
            Ordering::Less => found.over(&pi()?, bits),
        }
    }
}

impl Neg for Exact {
    type Output = Exact;

    fn neg(self) -> Exact {
        Exact {
            coefficient: -self.coefficient,
            ..self
        }
    }
}
