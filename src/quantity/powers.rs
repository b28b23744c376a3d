//! Exponents: how they are printed, and how numbers are raised to them.

use super::dimension::Exponent;
use crate::text::{lowered, superscript};

/// An exponent as it is printed after a symbol: `²`, `⁻¹`, `^(1/2)`, nothing for 1.
pub(super) fn printed(exponent: Exponent) -> String {
    if exponent == Exponent::from_integer(1) {
        return String::new();
    }
    if !exponent.is_integer() {
        return typed(exponent);
    }
    let digits = exponent.to_integer().to_string();
    digits.chars().map(superscript).collect()
}

/// Factors above and below a slash; several below it stand in brackets.
pub(super) fn slash(above: &[String], below: &[String], separator: &str) -> String {
    let above = if above.is_empty() {
        "1".to_owned()
    } else {
        above.join(separator)
    };
    match below {
        [] => above,
        [one] => format!("{above}/{one}"),
        several => format!("{above}/({})", several.join(separator)),
    }
}

/// An exponent as an author types it after a symbol: `^2`, `^-1`, `^(1/2)`, nothing for 1.
pub(super) fn typed(exponent: Exponent) -> String {
    if exponent == Exponent::from_integer(1) {
        String::new()
    } else if exponent.is_integer() {
        format!("^{}", exponent.to_integer())
    } else {
        format!("^({}/{})", exponent.numer(), exponent.denom())
    }
}

/// A whole number raised above the line: `⁻⁹`.
pub(crate) fn raised(exponent: i32) -> String {
    exponent.to_string().chars().map(superscript).collect()
}

/// An exponent in one of the two spellings; `None` when there is none.
pub(super) fn read(text: &str) -> Option<Exponent> {
    let plain: String = text
        .trim_matches(['^', '(', ')'])
        .chars()
        .map(|it| lowered(it).unwrap_or(it))
        .collect();
    let (numerator, denominator) = plain.split_once('/').unwrap_or((&plain, "1"));
    let denominator = denominator.parse().ok().filter(|it| *it > 0)?;
    Some(Exponent::new(numerator.parse().ok()?, denominator))
}

/// A positive number raised to a power. Whole powers are products, so that powers of whole
/// numbers stay exact as long as they fit; the standard library does not promise that.
pub(super) fn raise(base: f64, exponent: Exponent) -> f64 {
    let (numerator, denominator) = (*exponent.numer(), *exponent.denom());
    let root = match denominator {
        1 => base,
        2 => base.sqrt(),
        3 => base.cbrt(),
        _ => return base.powf(f64::from(numerator) / f64::from(denominator)),
    };
    let power = whole_power(root, numerator.unsigned_abs());
    if numerator < 0 { 1.0 / power } else { power }
}

/// A number times itself, by squaring.
pub(super) fn whole_power(mut base: f64, mut exponent: u32) -> f64 {
    let mut product = 1.0;
    while exponent > 0 {
        if exponent % 2 == 1 {
            product *= base;
        }
        exponent /= 2;
        if exponent > 0 {
            base *= base;
        }
    }
    product
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exponents_are_printed_raised_and_typed_with_a_caret() {
        assert_eq!(printed(Exponent::from_integer(-12)), "⁻¹²");
        assert_eq!(printed(Exponent::from_integer(1)), "");
        assert_eq!(printed(Exponent::new(1, 2)), "^(1/2)");
        assert_eq!(typed(Exponent::from_integer(-1)), "^-1");
        assert_eq!(typed(Exponent::new(-3, 2)), "^(-3/2)");
    }

    #[test]
    fn powers_of_ten_are_exact_as_far_as_they_can_be() {
        assert_eq!(raise(10.0, Exponent::from_integer(22)), 1e22);
        assert_eq!(raise(10.0, Exponent::from_integer(-3)), 1e-3);
        assert_eq!(raise(4.0, Exponent::new(3, 2)), 8.0);
        assert_eq!(raise(1e6, Exponent::new(1, 2)), 1e3);
    }
}
