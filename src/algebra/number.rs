//! Exact numbers: coefficients and exponents are never rounded.

use num_bigint::BigInt;
use num_traits::{One, Signed, ToPrimitive, Zero};

pub use crate::precise::{Rational, decimal};

/// Primes that are taken out of roots; what is left of a number beyond them stays under its root.
const LARGEST_PRIME: u32 = 1000;

/// A whole number.
pub fn whole(value: i64) -> Rational {
    Rational::from_integer(BigInt::from(value))
}

/// `numerator/denominator`; the denominator is not zero.
pub fn ratio(numerator: i64, denominator: i64) -> Rational {
    Rational::new(BigInt::from(numerator), BigInt::from(denominator))
}

/// The nearest `f64`; infinite when there is none.
pub fn to_f64(value: &Rational) -> f64 {
    value.to_f64().unwrap_or(f64::NAN)
}

/// The number as a small whole one.
pub fn as_whole(value: &Rational) -> Option<i64> {
    if value.is_integer() {
        value.numer().to_i64()
    } else {
        None
    }
}

/// Whether it is a whole even number.
pub fn is_even(value: &Rational) -> bool {
    value.is_integer() && (value.numer() % BigInt::from(2)).is_zero()
}

/// How many bits numerator and denominator have together.
pub fn bits(value: &Rational) -> u64 {
    value.numer().bits() + value.denom().bits()
}

/// `base` to a whole power; `None` when it is 0 to a negative power or grows beyond `most` bits.
pub fn raised(base: &Rational, exponent: i64, most: u64) -> Option<Rational> {
    if base.is_zero() && exponent < 0 {
        return None;
    }
    let steps = exponent.unsigned_abs();
    if !base.abs().is_one() && bits(base).saturating_mul(steps) > most {
        return None;
    }
    let power = num_traits::pow(base.clone(), usize::try_from(steps).ok()?);
    Some(if exponent < 0 { power.recip() } else { power })
}

/// A positive whole number as primes with their powers; what has no small prime stays whole.
pub fn factors(value: &BigInt) -> Vec<(BigInt, i64)> {
    let mut found = Vec::new();
    let mut rest = value.clone();
    let mut candidate = 2_u32;
    while candidate <= LARGEST_PRIME && BigInt::from(candidate * candidate) <= rest {
        let prime = BigInt::from(candidate);
        let mut power = 0;
        while (&rest % &prime).is_zero() {
            rest /= &prime;
            power += 1;
        }
        if power > 0 {
            found.push((prime, power));
        }
        candidate += 1;
    }
    if !rest.is_one() {
        found.push((rest, 1));
    }
    found
}

/// The greatest number of which all of `values` are whole multiples; positive.
pub fn content<'a>(values: impl Iterator<Item = &'a Rational>) -> Rational {
    let mut numerator = BigInt::zero();
    let mut denominator = BigInt::one();
    for value in values.filter(|value| !value.is_zero()) {
        numerator = num_integer::gcd(numerator, value.numer().clone());
        denominator = num_integer::lcm(denominator, value.denom().clone());
    }
    if numerator.is_zero() {
        return Rational::one();
    }
    Rational::new(numerator.abs(), denominator)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_exact_as_they_are_written() {
        assert_eq!(decimal("0.25"), Some(ratio(1, 4)));
        assert_eq!(decimal("1.2e3"), Some(whole(1200)));
        assert_eq!(decimal("1e999"), None);
    }
}
