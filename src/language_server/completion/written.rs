//! Units that are partly written, told from the text alone.

use crate::quantity::{self, Dimension, Unit};
use crate::syntax::tokens::{Token, TokenKind, tokens};

/// The unit after the last number of a text, as far as it is written; nothing where something
/// else follows that number, or no unit yet.
pub(super) fn unit_after_number(text: &str) -> Option<&str> {
    let written: Vec<Token<'_>> = tokens(text).collect();
    let is_exponent = |at: usize| {
        let mut before = written[..at].iter().rev().map(|token| token.text);
        before.find(|text| *text != "-") == Some("^")
    };
    let mut has_unit = false;
    for (at, token) in written.iter().enumerate().rev() {
        match token.kind {
            TokenKind::Number if !is_exponent(at) => {
                let unit = text[token.end()..].trim_start();
                let begins = |letter: char| letter.is_alphabetic() || "°%".contains(letter);
                return (has_unit && unit.starts_with(begins)).then_some(unit);
            }
            TokenKind::Word if !quantity::is_unit(token.text) => return None,
            TokenKind::Word | TokenKind::UnitMark => has_unit = true,
            _ => {}
        }
    }
    None
}

/// The words that say what a reading in a unit counts from.
pub(super) fn datum_words(unit: &str) -> &'static [&'static str] {
    match Unit::from_source(unit.trim()) {
        Ok(unit) if unit.dimension() == Dimension::pressure() => &["gauge", "abs"],
        Ok(unit) if unit.dimension() == Dimension::temperature() => &["difference"],
        _ => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_is_known_as_far_as_it_is_written() {
        for (text, unit) in [
            (" 998 kg/", Some("kg/")),
            (" 998 kg/m^3 ", Some("kg/m^3 ")),
            (" 4.18 kJ/(kg ", Some("kJ/(kg ")),
            (" 2.5e-3 W/(m² K^-1", Some("W/(m² K^-1")),
            (" 4 kPa ± 2 mm", Some("mm")),
            (" 2*L", None),
            (" 2 + b", None),
            (" 12 ", None),
            ("", None),
        ] {
            assert_eq!(unit_after_number(text), unit, "{text}");
        }
    }

    #[test]
    fn words_of_a_datum_fit_the_unit() {
        assert_eq!(datum_words("kPa "), ["gauge", "abs"]);
        assert_eq!(datum_words("degC"), ["difference"]);
        assert_eq!(datum_words("mm "), [""; 0]);
        assert_eq!(datum_words("kPa gauge "), [""; 0]);
    }
}
