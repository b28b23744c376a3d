//! The size of a unit as a quotient of two numbers.
//!
//! Most defining constants are short decimals (an inch is 254/10000 m). Kept as quotients of
//! whole numbers they stay exact through products, so `lbf/in^2` and `psi` are the same number,
//! and a conversion rounds once or twice, never ten times.

use crate::functions::Measured;
use crate::precise::{Rational, ten_to};
use crate::quantity::{Exponent, powers};
use dashu_int::IBig;

/// Whole numbers up to here are exact in a double.
const EXACT: f64 = 9_007_199_254_740_992.0;

/// Outside of these limits the two parts are joined, so that neither overflows.
const LARGE: f64 = 1e100;
const SMALL: f64 = 1e-100;

/// The size of a unit in coherent SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::quantity) struct Size {
    pub numerator: f64,
    pub denominator: f64,
}

impl Size {
    /// The size of a coherent unit.
    pub const ONE: Size = whole(1.0);

    /// The product of two sizes.
    pub const fn times(self, other: Size) -> Size {
        Size {
            numerator: self.numerator * other.numerator,
            denominator: self.denominator * other.denominator,
        }
    }

    /// The quotient of two sizes.
    pub const fn over(self, other: Size) -> Size {
        Size {
            numerator: self.numerator * other.denominator,
            denominator: self.denominator * other.numerator,
        }
    }

    /// A number read from elsewhere: as a quotient by a whole number where it is the double
    /// nearest to one (0.001 is 1/1000).
    pub fn from_number(number: f64) -> Size {
        let inverse = (1.0 / number).round();
        if number < 1.0 && inverse < EXACT && 1.0 / inverse == number {
            return ratio(1.0, inverse);
        }
        whole(number)
    }

    /// Ten to a whole power.
    pub fn ten_to(power: i32) -> Size {
        let number = powers::whole_power(10.0, power.unsigned_abs());
        if power < 0 {
            ratio(1.0, number)
        } else {
            whole(number)
        }
    }

    /// A power; negative exponents swap the parts.
    pub fn raised(self, exponent: Exponent) -> Size {
        if exponent == Exponent::from_integer(1) {
            return self;
        }
        let (above, below) = if *exponent.numer() < 0 {
            (self.denominator, self.numerator)
        } else {
            (self.numerator, self.denominator)
        };
        let magnitude = Exponent::new_raw(exponent.numer().saturating_abs(), *exponent.denom());
        Size {
            numerator: powers::raise(above, magnitude),
            denominator: powers::raise(below, magnitude),
        }
    }

    /// The same size in lowest terms where its parts are exact whole numbers, and in one part
    /// where a part is so large or small that a value could overflow.
    pub fn reduced(self) -> Size {
        let Size {
            numerator,
            denominator,
        } = self;
        if denominator == 1.0 {
            return self;
        }
        if is_exact_whole(numerator) && is_exact_whole(denominator) {
            let divisor = common_divisor(numerator, denominator);
            return ratio(numerator / divisor, denominator / divisor);
        }
        let range = SMALL..LARGE;
        if range.contains(&numerator) && range.contains(&denominator) {
            return self;
        }
        whole(numerator / denominator)
    }

    /// The size without rounding: a decimal where it ends, else a quotient, with a decimal beside
    /// a long one.
    pub fn exactly(self) -> String {
        /// Longer quotients are not recognised at a glance.
        const LONG: usize = 9;
        let exact = whole_decimal(self.numerator).zip(whole_decimal(self.denominator));
        let Some(((above, by_above), (below, by_below))) = exact else {
            return format!("{}…", rounded(self.number()));
        };
        let scale = by_above - by_below;
        let ten = ten_to(scale.unsigned_abs() as usize);
        let size = Rational::new(above, below);
        let size = if scale < 0 { size / ten } else { size * ten };
        if let Some(decimal) = decimal(&size) {
            return decimal;
        }
        let quotient = size.to_string();
        match quotient.len() > LONG {
            true => format!("{quotient} = {}…", rounded(self.number())),
            false => quotient,
        }
    }

    /// Numerator and denominator with a bound on their rounding; whole numbers have none.
    pub fn measured(self) -> [Measured; 2] {
        [self.numerator, self.denominator].map(|value| match is_exact_whole(value) {
            true => Measured::exact(value),
            false => Measured {
                value,
                error: value.abs() * 16.0 * f64::EPSILON,
            },
        })
    }

    /// The size as one number.
    pub fn number(self) -> f64 {
        self.numerator / self.denominator
    }
}

/// A size that is one number.
pub(super) const fn whole(number: f64) -> Size {
    ratio(number, 1.0)
}

/// A quotient.
pub(super) const fn ratio(numerator: f64, denominator: f64) -> Size {
    Size {
        numerator,
        denominator,
    }
}

/// A number as a whole one times a power of ten, where its digits are those that were typed: a
/// product that was rounded to a double has all 16 or 17.
fn whole_decimal(number: f64) -> Option<(IBig, i32)> {
    const TYPED: usize = 16;
    let text = format!("{number:e}");
    let (mantissa, exponent) = text.split_once('e')?;
    let digits = mantissa.replace('.', "");
    let exponent: i32 = exponent.parse().ok()?;
    let is_typed = digits.len() < TYPED || is_exact_whole(number);
    let last = exponent + 1 - digits.len() as i32;
    is_typed.then_some((digits.parse().ok()?, last))
}

/// The decimal digits of a number that ends: `0.3048`, `1.66053906892e-27`.
fn decimal(number: &Rational) -> Option<String> {
    /// No published factor ends later.
    const MOST: usize = 60;
    let ten = |places| ten_to(places);
    let places = (0..MOST).find(|places| (number * ten(*places)).is_integer())?;
    let digits = (number * ten(places)).to_integer().to_string();
    let leading = digits.len() as i32 - 1 - places as i32;
    let significant = digits.trim_end_matches('0');
    if (-4..7).contains(&leading) {
        let padded = format!("{digits:0>width$}", width = places + 1);
        let (whole, fraction) = padded.split_at(padded.len() - places);
        let point = if fraction.is_empty() { "" } else { "." };
        return Some(format!("{whole}{point}{fraction}"));
    }
    let (first, rest) = significant.split_at(1);
    let point = if rest.is_empty() { "" } else { "." };
    Some(format!("{first}{point}{rest}e{leading}"))
}

/// Digits that are there whatever comes after them.
fn rounded(number: f64) -> String {
    const SURE: usize = 15;
    let text = format!("{number:.15e}");
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let cut = mantissa.get(..SURE).unwrap_or(mantissa);
    let exponent: i32 = exponent.parse().unwrap_or(0);
    if !(-4..7).contains(&exponent) {
        return format!("{cut}e{exponent}");
    }
    let places = (SURE as i32 - 2 - exponent).max(0) as usize;
    let shown = format!("{number:.width$}", width = places + 3);
    shown
        .get(..shown.len() - 3)
        .unwrap_or(&shown)
        .trim_end_matches('.')
        .to_owned()
}

fn is_exact_whole(number: f64) -> bool {
    (1.0..=EXACT).contains(&number) && number.fract() == 0.0
}

/// The greatest common divisor of two exact whole numbers.
fn common_divisor(mut a: f64, mut b: f64) -> f64 {
    while b > 0.0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_numbers_are_reduced_and_large_ones_joined() {
        assert_eq!(ratio(1000.0, 1000.0).reduced(), Size::ONE);
        assert_eq!(ratio(1000.0, 3600.0).reduced(), ratio(5.0, 18.0));
        assert_eq!(ratio(2e200, 1e200).reduced(), whole(2.0));
    }

    #[test]
    fn sizes_are_told_without_rounding() {
        let cases = [
            (ratio(1.0, 60.0), "1/60"),
            (ratio(5.0, 9.0), "5/9"),
            (ratio(1000.0, 3600.0), "5/18"),
            (ratio(3048.0, 1e4), "0.3048"),
            (whole(1.660_539_068_92e-27), "1.66053906892e-27"),
            (whole(1e7), "1e7"),
            (whole(101_325.0), "101325"),
            (ratio(231.0 * 254.0 * 254.0 * 254.0, 1e12), "0.003785411784"),
        ];
        for (size, told) in cases {
            assert_eq!(size.exactly(), told);
        }
        let pressure = ratio(45_359_237.0 * 980_665.0, 1e13).over(ratio(64_516.0, 1e8));
        let told = pressure.exactly();
        assert_eq!(told, "8896443230521/1290320000 = 6894.7572931683…");
    }

    #[test]
    fn decimal_fractions_become_quotients() {
        assert_eq!(Size::from_number(0.001), ratio(1.0, 1000.0));
        assert_eq!(Size::from_number(3600.0), whole(3600.0));
        assert_eq!(Size::from_number(0.3), whole(0.3));
    }
}
