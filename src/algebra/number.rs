//! Exact numbers: coefficients and exponents are never rounded.

use dashu_int::IBig;
use num_traits::{One, Signed, ToPrimitive, Zero};

pub use crate::precise::{Rational, bit_length, decimal, gcd, lcm, ten_to};

/// Primes that are taken out of roots; what is left of a number beyond them stays under its root.
const LARGEST_PRIME: u32 = 1000;

/// So many pairs of words are worked on in a step.
const WORDS_OF_A_STEP: u64 = 512;

/// A whole number.
pub fn whole(value: i64) -> Rational {
    Rational::from_integer(IBig::from(value))
}

/// `numerator/denominator`; the denominator is not zero.
pub fn ratio(numerator: i64, denominator: i64) -> Rational {
    Rational::new(IBig::from(numerator), IBig::from(denominator))
}

/// The nearest `f64`; infinite when there is none.
pub fn to_f64(value: &Rational) -> f64 {
    value.to_f64()
}

/// The number as a small whole one.
pub fn as_whole(value: &Rational) -> Option<i64> {
    if value.is_integer() {
        value.numer().to_i64()
    } else {
        None
    }
}

/// The greatest common divisor of numbers that are not negative; 0 for two zeros.
pub fn common(one: i64, two: i64) -> i64 {
    if two == 0 {
        one
    } else {
        common(two, one % two)
    }
}

/// Whether it is a whole even number.
pub fn is_even(value: &Rational) -> bool {
    value.is_integer() && (value.numer() % IBig::from(2)).is_zero()
}

/// How many bits numerator and denominator have together.
pub fn bits(value: &Rational) -> u64 {
    bit_length(value.numer()) + bit_length(value.denom())
}

/// What a number of so many bits costs beside a short one, in steps: what two such numbers have in
/// common, or their product, takes the square of their words. Short numbers cost nothing.
pub fn weight(bits: u64) -> u32 {
    let words = bits / 64;
    u32::try_from(words * words / WORDS_OF_A_STEP).unwrap_or(u32::MAX)
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
    let power = base.raised(usize::try_from(steps).ok()?);
    Some(if exponent < 0 { power.recip() } else { power })
}

/// A positive whole number as primes with their powers; what has no small prime stays whole.
pub fn factors(value: &IBig) -> Vec<(IBig, i64)> {
    let mut found = Vec::new();
    let mut rest = value.clone();
    let mut candidate = 2_u32;
    while candidate <= LARGEST_PRIME && IBig::from(candidate * candidate) <= rest {
        let prime = IBig::from(candidate);
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
    let mut numerator = IBig::zero();
    let mut denominator = IBig::one();
    for value in values.filter(|value| !value.is_zero()) {
        numerator = gcd(&numerator, value.numer());
        denominator = lcm(&denominator, value.denom());
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
