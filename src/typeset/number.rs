//! Numbers: proper minus signs and powers of ten.

use super::tree::{Factor, Number};
use crate::quantity::{self, Decimal};

/// Takes the text of a number apart: `-1.2e5`; `58*144` and `4÷12` where it is put into another
/// unit by a factor.
pub(super) fn read(text: &str) -> Number {
    let (text, factor) = match text.split_once(['*', '÷']) {
        Some((number, digits)) => {
            let is_over = text[number.len()..].starts_with('÷');
            let digits = digits.into();
            (number, Some(Factor { is_over, digits }))
        }
        None => (text, None),
    };
    let text = crate::text::decimal(text);
    let unsigned = text.trim_start_matches(['-', '+', ' ']);
    let power = |text: &str| text.trim_start_matches('+').parse().ok();
    let split = unsigned.split_once(['e', 'E']);
    let scaled = split.and_then(|(mantissa, text)| Some((mantissa, power(text)?)));
    Number {
        negative: text.starts_with('-'),
        mantissa: (scaled.map_or(unsigned, |(mantissa, _)| mantissa))
            .replace('\'', "′")
            .into(),
        exponent: scaled.map(|(_, exponent)| exponent),
        factor,
    }
}

/// A number that was rounded to its figures.
pub(super) fn rounded(digits: &Decimal) -> Number {
    let layout = digits.layout();
    Number {
        negative: layout.negative,
        mantissa: layout.mantissa.into(),
        exponent: layout.exponent,
        factor: None,
    }
}

impl Number {
    /// Estimated width in em.
    pub(super) fn width(&self) -> f32 {
        let digits = 0.5 * self.mantissa.len() as f32;
        let sign = if self.negative { 0.7 } else { 0.0 };
        let factor = self.factor.as_ref();
        let factor = factor.map_or(0.0, |it| 0.8 + 0.5 * it.digits.len() as f32);
        digits + sign + factor + if self.exponent.is_some() { 2.8 } else { 0.0 }
    }
}

/// The text of a number that the engine wrote: whole where it is, and never longer than needed to
/// recognise it.
pub(super) fn numeral(value: f64) -> String {
    /// Decimals of more digits than this are rounded.
    const LONG: usize = 9;
    const FIGURES: u8 = 6;
    let text = value.to_string();
    if text.len() <= LONG {
        return text;
    }
    if value.fract() == 0.0 && value.abs() < 1e15 {
        return text;
    }
    let rounded = quantity::to_figures(value, FIGURES).ascii();
    match rounded.split_once('e') {
        Some((mantissa, exponent)) => format!("{}e{exponent}", without_zeros(mantissa)),
        None => without_zeros(&rounded).to_owned(),
    }
}

fn without_zeros(text: &str) -> &str {
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, negative: bool, mantissa: &str, exponent: Option<i32>) {
        let mantissa = mantissa.into();
        let expected = Number {
            negative,
            mantissa,
            exponent,
            factor: None,
        };
        assert_eq!(read(text), expected);
    }

    #[test]
    fn a_number_is_taken_apart() {
        check("-19.0", true, "19.0", None);
        check(" 1.2e5 ", false, "1.2", Some(5));
        check("−3E−4", true, "3", Some(-4));
        check("+7e+2", false, "7", Some(2));
    }

    #[test]
    fn what_is_no_power_of_ten_stays_with_the_digits() {
        check("1e", false, "1e", None);
        check("2e99999999999", false, "2e99999999999", None);
    }
}
