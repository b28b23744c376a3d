//! Printed figures: correctly rounded decimal digits, and how they are laid out.
//!
//! Rounding is to the nearest, and halves go to the even digit: of a double from the shortest
//! decimal that reads back as it, of a fraction exactly. No digits are lost on tiny or huge values.

use std::ops::Range;

use dashu_base::DivRem;
use dashu_int::IBig;
use num_traits::{Signed, Zero};

use crate::precise::{Rational, ten_to};

/// The most digits that are ever asked for; more than a double holds.
const MOST_FIGURES: usize = 40;

/// Plain notation serves magnitudes from 10⁻³ up to 10⁶: exponents of the leading digit.
pub(super) const PLAIN: Range<i32> = -3..6;

/// A number that was asked for in decimals is printed plainly as far as its digits mean something.
pub(super) const PLAIN_DECIMALS: Range<i32> = -40..15;

/// A number in decimal digits, as it is printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Decimal {
    pub(super) negative: bool,
    /// The digits without point. The first is not 0; what rounds to zero has the one digit 0, an
    /// exact zero has none.
    pub(super) digits: String,
    /// The power of ten of the last digit.
    pub(super) last: i32,
    /// Exponents of the leading digit for which it is printed without a power of ten.
    pub(super) plain: Range<i32>,
    /// What is printed where the value is not a finite number.
    pub(super) special: Option<&'static str>,
    /// Whether it is no value but what the value is less than: zero, as far as is known.
    pub(super) is_bound: bool,
}

impl Decimal {
    /// The power of ten of its last digit.
    pub fn last_place(&self) -> i32 {
        self.last
    }
}

/// The parts of a printed number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    /// Whether a minus sign stands before it.
    pub negative: bool,
    /// Digits and decimal point.
    pub mantissa: String,
    /// The power of ten it is multiplied by, where plain notation would not do.
    pub exponent: Option<i32>,
}

/// A value to a number of significant figures; none counts as one.
///
/// ```
/// use setsquare::quantity::to_figures;
///
/// assert_eq!(to_figures(-19.0123, 3).text(), "−19.0");
/// assert_eq!(to_figures(12345.6, 3).ascii(), "1.23e4");
/// ```
pub fn to_figures(value: f64, figures: u8) -> Decimal {
    let figures = usize::from(figures).clamp(1, MOST_FIGURES);
    if let Some(special) = unusual(value) {
        return special;
    }
    let (digits, leading) = shortest(value);
    let (digits, carried) = rounded(&digits, figures);
    Decimal {
        negative: value < 0.0,
        digits,
        last: leading + carried - (figures as i32 - 1),
        plain: PLAIN,
        special: None,
        is_bound: false,
    }
}

/// The shortest decimal digits that read back as the value, and the power of ten of the first.
///
/// Rounding starts from these, because they are the number a reader has in mind: 20 °C is
/// 293.15 K and prints as 293.2, although the nearest double lies just below 293.15.
fn shortest(value: f64) -> (String, i32) {
    let text = format!("{:e}", value.abs());
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    (mantissa.replace('.', ""), exponent.parse().unwrap_or(0))
}

/// The decimal digits that a reader has in mind at a computed value, and the power of ten of the
/// first: 15 figures, which no rounding of a few steps reaches.
pub(super) fn decimal_digits(value: f64) -> (String, i32) {
    let text = format!("{:.14e}", value.abs());
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let digits = mantissa.replace('.', "");
    let digits = match digits.trim_end_matches('0') {
        "" => "0",
        digits => digits,
    };
    (digits.to_owned(), exponent.parse().unwrap_or(0))
}

/// Decimal digits to a number of figures, halves to the even digit; 1 more in the second place when
/// the rounding carried into a new first digit.
fn rounded(digits: &str, figures: usize) -> (String, i32) {
    let Some(next) = digits.as_bytes().get(figures) else {
        return (format!("{digits:0<figures$}"), 0);
    };
    let mut kept: Vec<u8> = digits.bytes().take(figures).collect();
    let is_half = *next == b'5' && digits.bytes().skip(figures + 1).all(|digit| digit == b'0');
    let is_odd = kept.last().is_some_and(|last| last % 2 == 1);
    if *next >= b'5' && (!is_half || is_odd) {
        for digit in kept.iter_mut().rev() {
            if *digit < b'9' {
                *digit += 1;
                return (String::from_utf8_lossy(&kept).into_owned(), 0);
            }
            *digit = b'0';
        }
        kept.insert(0, b'1');
        kept.truncate(figures.max(1));
        return (String::from_utf8_lossy(&kept).into_owned(), 1);
    }
    (String::from_utf8_lossy(&kept).into_owned(), 0)
}

/// A value to a number of decimals; what rounds to zero keeps its decimals and loses its
/// sign, an exact zero is `0`.
pub fn to_decimals(value: f64, decimals: u8) -> Decimal {
    let decimals = usize::from(decimals).min(MOST_FIGURES);
    if let Some(special) = unusual(value) {
        return special;
    }
    let (all, leading) = shortest(value);
    // Digits up to the last decimal; with none of them the first dropped digit decides.
    let figures = leading + 1 + decimals as i32;
    let digits = match usize::try_from(figures) {
        // A half goes to the even digit, which is 0.
        Ok(0) if all.as_str() > "5" => "1".to_owned(),
        Ok(0) | Err(_) => String::new(),
        Ok(figures) => {
            let (kept, carried) = rounded(&all, figures);
            if carried == 1 {
                format!("{kept}0")
            } else {
                kept
            }
        }
    };
    let is_zero = digits.is_empty();
    Decimal {
        negative: value < 0.0 && !is_zero,
        digits: if is_zero { "0".to_owned() } else { digits },
        last: -(decimals as i32),
        plain: PLAIN_DECIMALS,
        special: None,
        is_bound: false,
    }
}

/// An exact fraction to a number of significant figures; none counts as one.
pub(crate) fn fraction_to_figures(value: &Rational, figures: u8) -> Decimal {
    if value.is_zero() {
        return to_figures(0.0, figures);
    }
    let figures = i32::from(figures.clamp(1, MOST_FIGURES as u8));
    let last = leading(value) - (figures - 1);
    let digits = units_of(value, last).to_string();
    let carried = digits.len() as i32 - figures;
    let kept = digits.len() - carried.max(0) as usize;
    Decimal {
        negative: value.is_negative(),
        digits: digits[..kept].to_owned(),
        last: last + carried.max(0),
        plain: PLAIN,
        special: None,
        is_bound: false,
    }
}

/// An exact fraction to a number of decimals, as [`to_decimals`].
pub(crate) fn fraction_to_decimals(value: &Rational, decimals: u8) -> Decimal {
    if value.is_zero() {
        return to_decimals(0.0, decimals);
    }
    let last = -i32::from(decimals.min(MOST_FIGURES as u8));
    let units = units_of(value, last);
    Decimal {
        negative: value.is_negative() && !units.is_zero(),
        digits: units.to_string(),
        last,
        plain: PLAIN_DECIMALS,
        special: None,
        is_bound: false,
    }
}

/// How many units of a place the size of a fraction is: to the nearest, halves to the even.
fn units_of(value: &Rational, place: i32) -> IBig {
    let scale = ten_to(place.unsigned_abs() as usize);
    let (above, below) = match place < 0 {
        true => (value.numer().abs() * scale, value.denom().clone()),
        false => (value.numer().abs(), value.denom() * scale),
    };
    let (units, rest) = above.div_rem(&below);
    let up = match (rest * IBig::from(2)).cmp(&below) {
        std::cmp::Ordering::Less => false,
        std::cmp::Ordering::Equal => !(&units % IBig::from(2)).is_zero(),
        std::cmp::Ordering::Greater => true,
    };
    units + i32::from(up)
}

/// The power of ten of the first digit of a fraction that is not zero.
fn leading(value: &Rational) -> i32 {
    let digits = |whole: &IBig| whole.abs().to_string().len() as i32;
    let most = digits(value.numer()) - digits(value.denom());
    let scale = ten_to(most.unsigned_abs() as usize);
    let reaches = match most < 0 {
        true => value.numer().abs() * scale >= *value.denom(),
        false => value.numer().abs() >= value.denom() * scale,
    };
    if reaches { most } else { most - 1 }
}

/// How many decimals a last place of this size means: 2 for 0.01, 0 for 1, −2 for 100.
pub fn decimals_of(place: f64) -> i32 {
    -place.log10().round() as i32
}

/// Zero and what is not finite.
fn unusual(value: f64) -> Option<Decimal> {
    let special = if value.is_nan() {
        Some("–")
    } else if value.is_infinite() {
        Some("∞")
    } else if value == 0.0 {
        None
    } else {
        return None;
    };
    Some(Decimal {
        negative: value < 0.0,
        digits: String::new(),
        last: 0,
        plain: PLAIN,
        special,
        is_bound: false,
    })
}

impl Decimal {
    /// The same without its sign.
    #[must_use]
    pub fn magnitude(&self) -> Self {
        Self {
            negative: false,
            ..self.clone()
        }
    }

    /// The double nearest to the printed digits.
    pub fn value(&self) -> f64 {
        match self.special {
            Some("–") => return f64::NAN,
            Some(_) if self.negative => return f64::NEG_INFINITY,
            Some(_) => return f64::INFINITY,
            None => {}
        }
        let magnitude = if self.is_zero() || self.is_bound {
            0.0
        } else {
            parse(&format!("{}e{}", self.digits, self.last))
        };
        if self.negative { -magnitude } else { magnitude }
    }

    /// One unit in the last printed place: 0.1 for 19.0, 0 for an exact zero.
    pub fn unit_in_last_place(&self) -> f64 {
        if self.special.is_some() || self.digits.is_empty() {
            return 0.0;
        }
        parse(&format!("1e{}", self.last))
    }

    /// The printed number exactly, as so many times a power of ten; `None` where it is none.
    pub(crate) fn exact(&self) -> Option<(i128, i32)> {
        if self.special.is_some() || self.is_bound {
            return None;
        }
        let digits: i128 = match self.digits.as_str() {
            "" => 0,
            digits => digits.parse().ok()?,
        };
        Some((if self.negative { -digits } else { digits }, self.last))
    }

    /// How many figures are printed.
    pub fn figures(&self) -> usize {
        self.digits.len()
    }

    /// The first power of ten beyond a size: what is known of a number that is zero as far as is
    /// known.
    pub(crate) fn bound(size: &Rational) -> Decimal {
        Decimal {
            digits: "1".to_owned(),
            last: leading(size) + 1,
            is_bound: true,
            ..to_figures(0.0, 1)
        }
    }

    /// The number that its digits are, and one unit in the last place.
    pub(crate) fn fraction(&self) -> Rational {
        let units: IBig = self.digits.parse().unwrap_or_default();
        let scale = ten_to(self.last.unsigned_abs() as usize);
        let size = match self.last < 0 {
            true => Rational::new(units, scale),
            false => Rational::from_integer(units * scale),
        };
        if self.negative { -size } else { size }
    }

    /// Whether what is printed is zero.
    pub fn is_zero(&self) -> bool {
        self.is_bound || self.special.is_none() && matches!(self.digits.as_str(), "" | "0")
    }

    /// The parts to print: plain where the number is neither tiny nor huge and every digit before
    /// the decimal point is one of its figures, else with a power of ten.
    pub fn layout(&self) -> Layout {
        let plain = |mantissa: String| Layout {
            negative: self.negative,
            mantissa,
            exponent: None,
        };
        if let Some(special) = self.special {
            return plain(special.to_owned());
        }
        if self.is_bound || self.digits.is_empty() {
            return plain("0".to_owned());
        }
        let leading = self.leading();
        if self.is_zero() || (self.plain.contains(&leading) && self.last <= 0) {
            return plain(with_point(&self.digits, self.last));
        }
        let decimals = 1 - self.digits.len() as i32;
        Layout {
            negative: self.negative,
            mantissa: with_point(&self.digits, decimals),
            exponent: Some(leading),
        }
    }

    /// As it is typed into a worksheet: "-19.0", "1.23e-7".
    pub fn ascii(&self) -> String {
        if self.is_bound {
            return "0".to_owned();
        }
        let layout = self.layout();
        let sign = if layout.negative { "-" } else { "" };
        let exponent = layout.exponent.map(|it| format!("e{it}"));
        let mantissa = layout.mantissa.replace('∞', "inf");
        format!("{sign}{mantissa}{}", exponent.unwrap_or_default())
    }

    /// As plain text: "−19.0", "1.23 × 10⁻⁷".
    pub fn text(&self) -> String {
        let layout = self.layout();
        let sign = if layout.negative { "−" } else { "" };
        let exponent = layout.exponent.map(|it| {
            let raised: String = it
                .to_string()
                .chars()
                .map(crate::text::superscript)
                .collect();
            format!(" × 10{raised}")
        });
        let within = self.within().map(|it| format!(" (within {})", it.text()));
        format!(
            "{sign}{}{}{}",
            layout.mantissa,
            exponent.unwrap_or_default(),
            within.unwrap_or_default()
        )
    }

    /// What zero is known within, where it is zero as far as is known.
    pub fn within(&self) -> Option<Self> {
        self.is_bound.then(|| Self {
            is_bound: false,
            ..self.clone()
        })
    }

    /// The power of ten of the first digit.
    pub(super) fn leading(&self) -> i32 {
        self.last + self.digits.len() as i32 - 1
    }
}

/// The digits with a decimal point, so that the last has the given power of ten (zero or less).
pub(super) fn with_point(digits: &str, last: i32) -> String {
    let decimals = usize::try_from(-last).unwrap_or(0);
    if decimals == 0 {
        return digits.to_owned();
    }
    let padded = format!("{digits:0>width$}", width = decimals + 1);
    let (whole, fraction) = padded.split_at(padded.len() - decimals);
    format!("{whole}.{fraction}")
}

/// Digits we wrote ourselves, as a number.
fn parse(text: &str) -> f64 {
    text.parse().unwrap_or(f64::NAN)
}

/// One unit in the last place of a literal as it is written: 0.001 for `3.006`, 10⁴ for `1.2e5`,
/// 1 for `3000`. `None` when it is not a decimal number.
pub fn written_precision(text: &str) -> Option<f64> {
    let text = crate::text::decimal(text);
    let (mantissa, exponent) = match text.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, exponent.parse::<i32>().ok()?),
        None => (&*text, 0),
    };
    let unsigned = mantissa.trim_start_matches(['+', '-']);
    let (whole, fraction) = unsigned.split_once('.').unwrap_or((unsigned, ""));
    let all_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if whole.len() + fraction.len() == 0 || !all_digits(whole) || !all_digits(fraction) {
        return None;
    }
    let decimals = i32::try_from(fraction.len()).ok()?;
    let place = format!("1e{}", exponent.checked_sub(decimals)?);
    place.parse().ok().filter(|it: &f64| it.is_normal())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn significant_figures_are_rounded_and_trailing_zeros_kept() {
        let cases = [
            (-19.0123, 3, "-19.0", "−19.0"),
            (0.012345, 3, "0.0123", "0.0123"),
            (0.001, 3, "0.00100", "0.00100"),
            (1.2345e-7, 3, "1.23e-7", "1.23 × 10⁻⁷"),
            (12345.6, 3, "1.23e4", "1.23 × 10⁴"),
            (12345.6, 5, "12346", "12346"),
            (12345.6, 7, "12345.60", "12345.60"),
            (999.96, 4, "1000", "1000"),
            (999_999.6, 6, "1.00000e6", "1.00000 × 10⁶"),
            (0.000_999_96, 4, "0.001000", "0.001000"),
            (5e-324, 2, "5.0e-324", "5.0 × 10⁻³²⁴"),
            (f64::MAX, 3, "1.80e308", "1.80 × 10³⁰⁸"),
            (7.0, 0, "7", "7"),
            (0.0, 4, "0", "0"),
            (-0.0, 4, "0", "0"),
        ];
        for (value, figures, ascii, text) in cases {
            let decimal = to_figures(value, figures);
            assert_eq!(
                (decimal.ascii().as_str(), decimal.text().as_str()),
                (ascii, text)
            );
        }
    }

    #[test]
    fn decimals_are_kept_and_a_rounded_zero_has_no_sign() {
        assert_eq!(to_decimals(2.5, 2).ascii(), "2.50");
        assert_eq!(to_decimals(1_234_567.89, 1).ascii(), "1234567.9");
        assert_eq!(to_decimals(0.000_012, 5).ascii(), "0.00001");
        assert_eq!(to_decimals(-0.001, 2).ascii(), "0.00");
        assert_eq!(to_decimals(0.4, 0).ascii(), "0");
        assert_eq!(to_decimals(0.0, 2).ascii(), "0");
        assert_eq!(to_decimals(1e300, 1).ascii().len(), 303 + "e300".len());
    }

    #[test]
    fn the_last_place_is_that_of_the_printed_digits() {
        assert_eq!(to_figures(-19.0123, 3).unit_in_last_place(), 0.1);
        assert_eq!(to_figures(12345.6, 3).unit_in_last_place(), 100.0);
        assert_eq!(to_decimals(0.4, 0).unit_in_last_place(), 1.0);
        assert_eq!(to_figures(0.0, 3).unit_in_last_place(), 0.0);
    }

    #[test]
    fn what_is_not_finite_is_not_given_digits() {
        assert_eq!(to_figures(f64::NAN, 3).text(), "–");
        assert_eq!(to_figures(f64::NEG_INFINITY, 3).text(), "−∞");
        assert_eq!(to_decimals(f64::INFINITY, 3).ascii(), "inf");
        assert!(!to_figures(f64::NAN, 3).is_zero());
        assert!(to_figures(f64::NAN, 3).value().is_nan());
    }

    #[test]
    fn a_literal_is_as_precise_as_it_is_written() {
        let cases = [
            ("3.006", Some(0.001)),
            ("1.2e5", Some(1e4)),
            ("3000", Some(1.0)),
            ("-19.0", Some(0.1)),
            ("−19.0", Some(0.1)),
            ("1e-3", Some(1e-3)),
            ("", None),
            (".", None),
            ("1.2.3", None),
            ("3/8", None),
            ("1e999", None),
            ("1e99999999999", None),
        ];
        for (text, precision) in cases {
            assert_eq!(written_precision(text), precision, "{text}");
        }
    }

    proptest! {
        #[test]
        fn what_is_printed_reads_back_as_the_decimal(
            value in prop::num::f64::NORMAL, figures in 1..20u8,
        ) {
            let decimal = to_figures(value, figures);
            let read: f64 = decimal.ascii().parse().expect("a number");
            prop_assert_eq!(read, decimal.value());
            let error = (decimal.value() - value).abs();
            prop_assert!(error <= 0.501 * decimal.unit_in_last_place() + value.abs() * f64::EPSILON);
        }

        #[test]
        fn the_written_precision_of_what_is_printed_is_its_last_place(
            value in -1e9..1e9f64, figures in 1..12u8,
        ) {
            let decimal = to_figures(value, figures);
            prop_assert_eq!(written_precision(&decimal.ascii()), Some(decimal.unit_in_last_place()));
        }
    }
}
