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

/// Digits in groups of three, parted by narrow spaces, on either side of the point that has more
/// than four (ISO 80000-1). What is no plain decimal is left as it is.
pub fn grouped(digits: &str) -> Cow<'_, str> {
    let (whole, decimals) = digits.split_once('.').unwrap_or((digits, ""));
    let is_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    let is_short = |part: &str| part.len() < LONG;
    if is_short(whole) && is_short(decimals) || !is_digits(whole) || !is_digits(decimals) {
        return Cow::Borrowed(digits);
    }
    let mut found = match is_short(whole) {
        true => whole.to_owned(),
        false => in_threes(whole),
    };
    found.extend(digits.contains('.').then_some('.'));
    for (at, digit) in decimals.char_indices() {
        let is_parted = !is_short(decimals) && at > 0 && at.is_multiple_of(3);
        found.extend(is_parted.then_some(NARROW));
        found.push(digit);
    }
    Cow::Owned(found)
}

/// The digits before a point in groups of three, however few there are.
pub fn in_threes(whole: &str) -> String {
    let mut found = String::with_capacity(whole.len() + 8);
    for (at, digit) in whole.char_indices() {
        let is_parted = at > 0 && (whole.len() - at).is_multiple_of(3);
        found.extend(is_parted.then_some(NARROW));
        found.push(digit);
    }
    found
}

/// As many digits are parted into groups.
const LONG: usize = 5;

/// A space of a sixth of the size of the type, at which no line is broken.
pub const NARROW: char = '\u{202f}';

/// The number whose decimal digits are moved by as many places, rounded once, as its text would be read.
pub fn times_ten_to(value: f64, power: i32) -> f64 {
    let text = format!("{value:e}");
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let exponent: i64 = exponent.parse().unwrap_or(0);
    let moved = format!("{mantissa}e{}", exponent + i64::from(power));
    moved.parse().unwrap_or(f64::NAN)
}

/// A digit or minus sign raised above the line; anything else as it is.
pub fn superscript(character: char) -> char {
    match character {
        '-' => '⁻',
        '0' => '⁰',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        '4' => '⁴',
        '5' => '⁵',
        '6' => '⁶',
        '7' => '⁷',
        '8' => '⁸',
        '9' => '⁹',
        other => other,
    }
}

/// The digit or minus sign that is raised above the line here.
pub fn lowered(character: char) -> Option<char> {
    "-0123456789"
        .chars()
        .find(|it| superscript(*it) == character)
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
