//! Exact fractions of whole numbers of any size.
//!
//! A whole number is a fraction below which stands 1, and most are: they are added and multiplied
//! without looking for what is common above and below.

use std::cmp::Ordering;
use std::fmt;
use std::ops::{Add, AddAssign, Div, Mul, MulAssign, Neg, Rem, Sub, SubAssign};

use dashu_base::{BitTest, DivRem, Gcd};
use dashu_int::IBig;
use num_traits::{One, Signed, ToPrimitive, Zero};

/// The bits of what a double holds, and the places of its last bit.
const DOUBLE: (isize, isize) = (53, -1074);

/// A fraction without what is common above and below; what is below is positive.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Rational {
    numer: IBig,
    denom: IBig,
}

impl Rational {
    /// `numer/denom`, of which the last is not zero.
    pub fn new(numer: IBig, denom: IBig) -> Self {
        if denom.is_one() {
            return Self { numer, denom };
        }
        let shared = gcd(&numer, &denom);
        let (numer, denom) = match shared.is_one() || shared.is_zero() {
            true => (numer, denom),
            false => (numer / &shared, denom / shared),
        };
        match denom.is_negative() {
            true => Self {
                numer: -numer,
                denom: -denom,
            },
            false => Self { numer, denom },
        }
    }

    /// A whole number.
    pub fn from_integer(numer: IBig) -> Self {
        Self {
            numer,
            denom: IBig::ONE,
        }
    }

    /// The number that a double is, to the last bit; `None` for what is none.
    pub fn from_float(value: f64) -> Option<Self> {
        if !value.is_finite() {
            return None;
        }
        let bits = value.to_bits();
        let (power, rest) = ((bits >> 52 & 0x7ff) as isize, bits & ((1 << 52) - 1));
        let (size, power) = match power {
            0 => (rest, DOUBLE.1),
            _ => (rest | 1 << 52, power - 1 + DOUBLE.1),
        };
        let size = match value.is_sign_negative() {
            true => -IBig::from(size),
            false => IBig::from(size),
        };
        let scale = power.unsigned_abs();
        Some(match power < 0 {
            true => Self::new(size, IBig::ONE << scale),
            false => Self::from_integer(size << scale),
        })
    }

    /// The nearest double; infinite where there is none.
    pub fn to_f64(&self) -> f64 {
        // A quotient of two doubles is the nearest one.
        let exact = |part: &IBig| {
            part.to_i64()
                .filter(|it| it.unsigned_abs() <= 1 << DOUBLE.0)
        };
        if let (Some(above), Some(below)) = (exact(&self.numer), exact(&self.denom)) {
            return above as f64 / below as f64;
        }
        // Two bits more than a double has, the last of which tells of all behind it.
        let more =
            bit_length(&self.numer) as isize - bit_length(&self.denom) as isize - DOUBLE.0 - 2;
        let place = more.max(DOUBLE.1 - 2);
        let by = place.unsigned_abs();
        let size = self.numer.clone() * self.numer.signum();
        let (above, below) = match place < 0 {
            true => (size << by, self.denom.clone()),
            false => (size, self.denom.clone() << by),
        };
        let (figures, rest) = above.div_rem(below);
        let Some(figures) = figures.to_u64() else {
            return f64::NAN;
        };
        let figures = figures | u64::from(!rest.is_zero());
        let size = libm::ldexp(figures as f64, i32::try_from(place).unwrap_or(i32::MAX));
        match self.is_negative() {
            true => -size,
            false => size,
        }
    }

    /// What stands above.
    pub fn numer(&self) -> &IBig {
        &self.numer
    }

    /// What stands below.
    pub fn denom(&self) -> &IBig {
        &self.denom
    }

    /// Whether it is a whole number.
    pub fn is_integer(&self) -> bool {
        self.denom.is_one()
    }

    /// Whether it is less than 0.
    pub fn is_negative(&self) -> bool {
        self.numer.is_negative()
    }

    /// Whether it is more than 0.
    pub fn is_positive(&self) -> bool {
        self.numer.is_positive()
    }

    /// Its size without its sign.
    #[must_use]
    pub fn abs(&self) -> Self {
        match self.is_negative() {
            true => -self,
            false => self.clone(),
        }
    }

    /// -1, 0 or 1.
    #[must_use]
    pub fn signum(&self) -> Self {
        Self::from_integer(self.numer.signum())
    }

    /// The greatest whole number that is not above it.
    #[must_use]
    pub fn floor(&self) -> Self {
        let (quotient, rest) = (&self.numer).div_rem(&self.denom);
        Self::from_integer(match rest.is_negative() {
            true => quotient - IBig::ONE,
            false => quotient,
        })
    }

    /// The nearest whole number; of two, the one farther from zero.
    #[must_use]
    pub fn round(&self) -> Self {
        let half = Self::new(IBig::ONE, IBig::from(2));
        let nearest = (self.abs() + half).floor();
        match self.is_negative() {
            true => -nearest,
            false => nearest,
        }
    }

    /// Its whole part, towards zero.
    pub fn to_integer(&self) -> IBig {
        &self.numer / &self.denom
    }

    /// 1 over it, which is not 0.
    #[must_use]
    pub fn recip(&self) -> Self {
        let sign = self.numer.signum();
        Self {
            numer: &self.denom * &sign,
            denom: &self.numer * sign,
        }
    }

    /// A whole power.
    #[must_use]
    pub fn raised(&self, exponent: usize) -> Self {
        Self {
            numer: self.numer.pow(exponent),
            denom: self.denom.pow(exponent),
        }
    }

    fn plus(&self, other: &Self, sum: impl Fn(IBig, IBig) -> IBig) -> Self {
        if self.denom == other.denom {
            let numer = sum(self.numer.clone(), other.numer.clone());
            return Self::new(numer, self.denom.clone());
        }
        let numer = sum(&self.numer * &other.denom, &other.numer * &self.denom);
        Self::new(numer, &self.denom * &other.denom)
    }

    fn times(&self, other: &Self) -> Self {
        let numer = &self.numer * &other.numer;
        match self.is_integer() && other.is_integer() {
            true => Self::from_integer(numer),
            false => Self::new(numer, &self.denom * &other.denom),
        }
    }
}

/// How many bits the size of a whole number has.
pub fn bit_length(whole: &IBig) -> u64 {
    match whole.is_negative() {
        true => (-whole).bit_len() as u64,
        false => whole.bit_len() as u64,
    }
}

/// The greatest common divisor; 0 for two zeros.
pub fn gcd(one: &IBig, two: &IBig) -> IBig {
    match (one.is_zero(), two.is_zero()) {
        (true, _) => two * two.signum(),
        (_, true) => one * one.signum(),
        _ => one.gcd(two).into(),
    }
}

/// The least common multiple of numbers that are not 0.
pub fn lcm(one: &IBig, two: &IBig) -> IBig {
    let product = one / gcd(one, two) * two;
    let sign = product.signum();
    product * sign
}

/// A power of ten.
pub fn ten_to(places: usize) -> IBig {
    IBig::from(10).pow(places)
}

impl fmt::Display for Rational {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.is_integer() {
            true => write!(out, "{}", self.numer),
            false => write!(out, "{}/{}", self.numer, self.denom),
        }
    }
}

impl From<IBig> for Rational {
    fn from(whole: IBig) -> Self {
        Self::from_integer(whole)
    }
}

impl Ord for Rational {
    fn cmp(&self, other: &Self) -> Ordering {
        match self.denom == other.denom {
            true => self.numer.cmp(&other.numer),
            false => (&self.numer * &other.denom).cmp(&(&other.numer * &self.denom)),
        }
    }
}

impl PartialOrd for Rational {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Zero for Rational {
    fn zero() -> Self {
        Self::from_integer(IBig::ZERO)
    }

    fn is_zero(&self) -> bool {
        self.numer.is_zero()
    }
}

impl One for Rational {
    fn one() -> Self {
        Self::from_integer(IBig::ONE)
    }

    fn is_one(&self) -> bool {
        self.numer.is_one() && self.denom.is_one()
    }
}

impl Neg for Rational {
    type Output = Self;

    fn neg(self) -> Self {
        Self {
            numer: -self.numer,
            denom: self.denom,
        }
    }
}

impl Neg for &Rational {
    type Output = Rational;

    fn neg(self) -> Rational {
        -self.clone()
    }
}

/// An operation of two fractions, of a fraction and a whole number, each by itself or borrowed.
macro_rules! operation {
    ($operation:ident, $name:ident, $of:expr) => {
        impl $operation<&Rational> for &Rational {
            type Output = Rational;

            fn $name(self, other: &Rational) -> Rational {
                $of(self, other)
            }
        }

        impl $operation<&Rational> for Rational {
            type Output = Rational;

            fn $name(self, other: &Rational) -> Rational {
                $of(&self, other)
            }
        }

        impl $operation<Rational> for &Rational {
            type Output = Rational;

            fn $name(self, other: Rational) -> Rational {
                $of(self, &other)
            }
        }

        impl $operation for Rational {
            type Output = Rational;

            fn $name(self, other: Rational) -> Rational {
                $of(&self, &other)
            }
        }

        impl $operation<IBig> for Rational {
            type Output = Rational;

            fn $name(self, other: IBig) -> Rational {
                $of(&self, &Rational::from_integer(other))
            }
        }

        impl $operation<IBig> for &Rational {
            type Output = Rational;

            fn $name(self, other: IBig) -> Rational {
                $of(self, &Rational::from_integer(other))
            }
        }
    };
}

operation!(Add, add, |one: &Rational, two: &Rational| one
    .plus(two, |one, two| one + two));
operation!(Sub, sub, |one: &Rational, two: &Rational| one
    .plus(two, |one, two| one - two));
operation!(Mul, mul, |one: &Rational, two: &Rational| one.times(two));
operation!(Rem, rem, |one: &Rational, two: &Rational| {
    let times = (one / two).to_integer();
    one - two * times
});
operation!(Div, div, |one: &Rational, two: &Rational| one
    .times(&two.recip()));

impl AddAssign<&Rational> for Rational {
    fn add_assign(&mut self, other: &Rational) {
        match self.is_integer() && other.is_integer() {
            true => self.numer += &other.numer,
            false => *self = &*self + other,
        }
    }
}

impl AddAssign for Rational {
    fn add_assign(&mut self, other: Rational) {
        *self += &other;
    }
}

impl SubAssign for Rational {
    fn sub_assign(&mut self, other: Rational) {
        *self -= &other;
    }
}

impl SubAssign<&Rational> for Rational {
    fn sub_assign(&mut self, other: &Rational) {
        *self = &*self - other;
    }
}

impl MulAssign<&Rational> for Rational {
    fn mul_assign(&mut self, other: &Rational) {
        *self = self.times(other);
    }
}

impl MulAssign for Rational {
    fn mul_assign(&mut self, other: Rational) {
        *self *= &other;
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Held against a library of its own.
        #[test]
        fn a_double_is_read_and_told_to_the_last_bit(bits in any::<u64>()) {
            let value = f64::from_bits(bits);
            match Rational::from_float(value) {
                Some(exact) => prop_assert_eq!(exact.to_f64(), value),
                None => prop_assert!(!value.is_finite()),
            }
        }

        /// The division of doubles rounds to the nearest, too.
        #[test]
        fn a_quotient_is_rounded_as_doubles_are(above in -1_i64 << 53..1 << 53, below in 1_i64..1 << 53) {
            let exact = Rational::new(above.into(), below.into());
            prop_assert_eq!(exact.to_f64(), above as f64 / below as f64);
        }

        /// Below what doubles hold in full, the places end at one.
        #[test]
        fn the_smallest_are_rounded_once(bits in 0_u64..1 << 54, rest in 1_u64..1 << 20) {
            let value = f64::from_bits(bits);
            let next = f64::from_bits(bits + 1);
            let (low, high) = (Rational::from_float(value), Rational::from_float(next));
            let (Some(low), Some(high)) = (low, high) else { return Ok(()) };
            let part = Rational::new(rest.into(), (1_u64 << 21).into());
            let between = &low + &(&high - &low) * part;
            prop_assert_eq!(between.to_f64(), value);
        }

        #[test]
        fn fractions_are_added_multiplied_and_ordered_as_they_are_on_paper(
            (a, b, c, d) in (-99_i64..99, 1_i64..99, -99_i64..99, 1_i64..99),
        ) {
            let of = |above: i64, below: i64| Rational::new(above.into(), below.into());
            let (one, two) = (of(a, b), of(c, d));
            prop_assert_eq!(&one + &two, of(a * d + c * b, b * d));
            prop_assert_eq!(&one - &two, of(a * d - c * b, b * d));
            prop_assert_eq!(&one * &two, of(a * c, b * d));
            if c != 0 {
                prop_assert_eq!(&one / &two, of(a * d, b * c));
            }
            prop_assert_eq!(one.cmp(&two), (a * d).cmp(&(c * b)));
            prop_assert_eq!(one.floor(), of(a.div_euclid(b), 1));
            prop_assert_eq!(one.round().to_f64(), (a as f64 / b as f64).round());
        }
    }
}
