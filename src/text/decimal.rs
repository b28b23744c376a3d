//! Numbers as authors write them.

use std::borrow::Cow;

/// A decimal number with its sign and exponent as every reader of numbers takes them: `−5 · 10^3` and
/// `−5×10³` as `-5e3`. Any other text is left as it is.
pub fn decimal(text: &str) -> Cow<'_, str> {
    let text = text.trim();
    if text.is_ascii() && !text.contains('*') && !text.contains('^') {
        return Cow::Borrowed(text);
    }
    let plain = text.replace('−', "-");
    let Some((mantissa, power)) = plain.split_once(['*', '·', '×', '⋅']) else {
        return Cow::Owned(plain);
    };
    let exponent: Option<String> = match power.trim().strip_prefix("10") {
        Some(raised) => match raised.strip_prefix('^') {
            Some(exponent) => Some(exponent.trim().to_owned()),
            None => raised.chars().map(lowered).collect(),
        },
        None => None,
    };
    match exponent.filter(|exponent| !exponent.is_empty()) {
        Some(exponent) => Cow::Owned(format!("{}e{exponent}", mantissa.trim())),
        None => Cow::Owned(plain),
    }
}

/// A raised digit or sign on the line.
pub fn lowered(character: char) -> Option<char> {
    const DIGITS: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    if character == '⁻' {
        return Some('-');
    }
    let digit = DIGITS.iter().position(|digit| *digit == character)?;
    char::from_digit(digit as u32, 10)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_power_of_ten_is_an_exponent_however_it_is_written() {
        let cases = [
            ("5 · 10^3", "5e3"),
            ("-1.2*10^-4", "-1.2e-4"),
            ("−5×10⁻³", "-5e-3"),
            ("7 ⋅ 10^+2", "7e+2"),
            ("2.5e6", "2.5e6"),
            ("−3", "-3"),
            ("5 ft 3", "5 ft 3"),
            ("5 · 9", "5 · 9"),
        ];
        for (text, plain) in cases {
            assert_eq!(decimal(text), plain, "{text}");
        }
    }
}
