//! Numbers: proper minus signs and powers of ten.

use crate::quantity;

/// A number taken apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Parts<'a> {
    /// Whether it has a minus sign.
    pub(super) negative: bool,
    /// Its digits without sign.
    pub(super) mantissa: &'a str,
    /// Its power of ten, where one is written.
    pub(super) exponent: Option<i32>,
}

/// Takes the text of a number apart: `-1.2e5`.
pub(super) fn parts(text: &str) -> Parts<'_> {
    let text = text.trim();
    let unsigned = text.trim_start_matches(['-', '−', '+', ' ']);
    let negative = text.starts_with(['-', '−']);
    let (mantissa, exponent) = match unsigned.split_once(['e', 'E']) {
        Some((mantissa, power)) => {
            let power = power.trim().replace('−', "-");
            (mantissa, power.trim_start_matches('+').parse().ok())
        }
        None => (unsigned, None),
    };
    if exponent.is_none() {
        return Parts {
            negative,
            mantissa: unsigned,
            exponent,
        };
    }
    Parts {
        negative,
        mantissa,
        exponent,
    }
}

impl Parts<'_> {
    /// Estimated width in em.
    pub(super) fn width(&self) -> f32 {
        let digits = 0.5 * self.mantissa.len() as f32;
        let sign = if self.negative { 0.7 } else { 0.0 };
        digits + sign + if self.exponent.is_some() { 2.8 } else { 0.0 }
    }

    /// Appends MathML; tells how many elements.
    pub(super) fn mathml(&self, out: &mut String) -> u32 {
        out.push_str("<mn>");
        if self.negative {
            out.push('−');
        }
        super::escape::escape(self.mantissa, out);
        out.push_str("</mn>");
        let Some(exponent) = self.exponent else {
            return 1;
        };
        out.push_str("<mo>×</mo><msup><mn>10</mn><mn>");
        integer(exponent, out);
        out.push_str("</mn></msup>");
        3
    }

    /// Appends HTML.
    pub(super) fn html(&self, out: &mut String) {
        if self.negative {
            out.push('−');
        }
        super::escape::escape(self.mantissa, out);
        if let Some(exponent) = self.exponent {
            out.push_str("\u{2009}×\u{2009}10<sup>");
            integer(exponent, out);
            out.push_str("</sup>");
        }
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

fn integer(value: i32, out: &mut String) {
    use std::fmt::Write;
    if value < 0 {
        out.push('−');
    }
    // Writing to a string cannot fail.
    let _ = write!(out, "{}", value.unsigned_abs());
}

#[cfg(test)]
mod tests {
    use super::*;

    fn html(text: &str) -> String {
        let mut out = String::new();
        parts(text).html(&mut out);
        out
    }

    #[test]
    fn a_minus_is_a_minus_sign() {
        assert_eq!(html("-19.0"), "−19.0");
    }

    #[test]
    fn an_exponent_becomes_a_power_of_ten() {
        assert_eq!(html("1.2e5"), "1.2\u{2009}×\u{2009}10<sup>5</sup>");
        assert_eq!(html("-3E-4"), "−3\u{2009}×\u{2009}10<sup>−4</sup>");
    }

    #[test]
    fn mathml_sets_the_power_of_ten_with_a_superscript() {
        let mut out = String::new();
        let elements = parts("1.2e5").mathml(&mut out);
        assert_eq!(
            out,
            "<mn>1.2</mn><mo>×</mo><msup><mn>10</mn><mn>5</mn></msup>"
        );
        assert_eq!(elements, 3);
    }
}
