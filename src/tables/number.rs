//! Fields to numbers, exactly as they stand there.

use super::Pattern;

/// A decimal number exactly: so many times a power of ten.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Decimal {
    /// The digits, zeros at the end among them, as a whole number.
    pub digits: i128,
    /// The power of ten of the last digit.
    pub power: i32,
}

/// A number of a field, and the uncertainty that stands with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reading {
    /// The number.
    pub number: Decimal,
    /// `22.05 ± 0.03` or `22.05(3)`: its standard uncertainty.
    pub uncertainty: Option<Decimal>,
}

/// The sign before the fraction of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// `21.90`
    Point,
    /// `21,90`
    Comma,
}

impl Sign {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Point, Self::Comma];

    /// As an author writes it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::Comma => "comma",
        }
    }

    /// The sign.
    pub fn byte(self) -> u8 {
        match self {
            Self::Point => b'.',
            Self::Comma => b',',
        }
    }
}

/// Why a field is no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoNumber {
    /// `22,05` where the decimal sign is a point.
    Comma,
    /// `22.05` where it is a comma.
    Point,
    /// `<0.05`
    Limit,
    /// `1 234`
    Thousands,
    /// `12:05`
    Time,
    /// No time in this pattern.
    Pattern(Pattern),
    /// More digits or a higher power of ten than there is room for.
    TooLarge,
    /// Anything else.
    Words,
}

/// The most digits of a number.
const MOST_DIGITS: usize = 36;

/// The highest power of ten.
const HIGHEST_POWER: i32 = 300;

impl Decimal {
    /// The nearest double.
    pub fn value(self) -> f64 {
        // Below these bounds both numbers are doubles, and one operation rounds once.
        const EXACT: i128 = 1 << 53;
        if self.digits.abs() < EXACT {
            let digits = self.digits as f64;
            match self.power {
                0 => return digits,
                power @ 1..=22 => return digits * 10_f64.powi(power),
                power @ -22..=-1 => return digits / 10_f64.powi(-power),
                _ => {}
            }
        }
        let text = format!("{}e{}", self.digits, self.power);
        text.parse().unwrap_or(f64::NAN)
    }

    /// As it is read again: `-3.10`, `12e3`.
    pub fn text(self) -> String {
        let sign = if self.digits < 0 { "-" } else { "" };
        let digits = self.digits.unsigned_abs().to_string();
        match self.power {
            0 => format!("{sign}{digits}"),
            1.. => format!("{sign}{digits}e{}", self.power),
            _ => {
                let places = self.power.unsigned_abs() as usize;
                let digits = format!("{digits:0>width$}", width = places + 1);
                let (whole, rest) = digits.split_at(digits.len() - places);
                format!("{sign}{whole}.{rest}")
            }
        }
    }
}

/// The number that a field is.
///
/// # Errors
/// A [`NoNumber`] that says what it is instead.
pub fn reading(field: &str) -> Result<Reading, NoNumber> {
    reading_with(field, Sign::Point)
}

/// The number that a field is, with this decimal sign.
///
/// # Errors
/// A [`NoNumber`] that says what it is instead.
pub fn reading_with(field: &str, sign: Sign) -> Result<Reading, NoNumber> {
    let decimal = |text| decimal(text, sign);
    let exact = |number| Reading {
        number,
        uncertainty: None,
    };
    if let Some((number, size)) = parted(field) {
        let (number, size) = (decimal(number.trim_end())?, decimal(size.trim_start())?);
        return Ok(Reading {
            uncertainty: Some(size),
            ..exact(number)
        });
    }
    if let Some((number, last)) = field
        .strip_suffix(')')
        .and_then(|field| field.split_once('('))
    {
        let number = decimal(number)?;
        let digits = last.bytes().all(|byte| byte.is_ascii_digit()) && !last.is_empty();
        let last = decimal(last).ok().filter(|_| digits);
        let last = last.ok_or(NoNumber::Words)?;
        return Ok(Reading {
            uncertainty: Some(Decimal {
                power: number.power,
                ..last
            }),
            ..exact(number)
        });
    }
    decimal(field).map(exact)
}

fn parted(field: &str) -> Option<(&str, &str)> {
    ["±", "+/-", "+-"]
        .iter()
        .find_map(|sign| field.split_once(sign))
}

fn decimal(text: &str, sign: Sign) -> Result<Decimal, NoNumber> {
    let (is_negative, unsigned) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (mantissa, power) = match unsigned.split_once(['e', 'E']) {
        Some((mantissa, power)) => {
            let power = power.replace('−', "-");
            (
                mantissa,
                power.parse::<i32>().map_err(|_| kind(text, sign))?,
            )
        }
        None => (unsigned, 0),
    };
    let (mut digits, mut count, mut places) = (0_i128, 0, None);
    for byte in mantissa.bytes() {
        match byte {
            _ if byte == sign.byte() && places.is_none() => places = Some(0),
            b'0'..=b'9' => {
                // Zeros in front are no digits.
                count += usize::from(digits != 0 || byte != b'0');
                if count > MOST_DIGITS {
                    return Err(NoNumber::TooLarge);
                }
                digits = digits * 10 + i128::from(byte - b'0');
                places = places.map(|places: i32| places + 1);
            }
            _ => return Err(kind(text, sign)),
        }
    }
    if !mantissa.bytes().any(|byte| byte.is_ascii_digit()) {
        return Err(kind(text, sign));
    }
    let power = power.checked_sub(places.unwrap_or(0));
    let is_known = |power: &i32| power.abs() <= HIGHEST_POWER;
    let power = power.filter(is_known).ok_or(NoNumber::TooLarge)?;
    Ok(Decimal {
        digits: if is_negative { -digits } else { digits },
        power,
    })
}

/// What a text is that is no number.
fn kind(text: &str, sign: Sign) -> NoNumber {
    let is_of = |others: &[char]| {
        let mut letters = text.trim_start_matches(['-', '−', '+']).chars();
        letters.all(|letter| letter.is_ascii_digit() || others.contains(&letter))
            && text.contains(|letter: char| letter.is_ascii_digit())
    };
    if text.starts_with(['<', '>', '≤', '≥']) {
        NoNumber::Limit
    } else if sign == Sign::Point && text.contains(',') && is_of(&[',', '.']) {
        NoNumber::Comma
    } else if sign == Sign::Comma && text.contains('.') && is_of(&[',', '.']) {
        NoNumber::Point
    } else if is_of(&[' ', '.', ',', '\u{a0}', '\u{202f}', '\'', '_']) {
        NoNumber::Thousands
    } else if is_of(&[':', '.', ',']) {
        NoNumber::Time
    } else {
        NoNumber::Words
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn number(text: &str) -> (i128, i32) {
        let number = reading(text).unwrap().number;
        (number.digits, number.power)
    }

    #[test]
    fn a_number_keeps_its_digits() {
        assert_eq!(number("21.90"), (2190, -2));
        assert_eq!(number("287"), (287, 0));
        assert_eq!(number("-0.5"), (-5, -1));
        assert_eq!(number("−12.0"), (-120, -1));
        assert_eq!(number("+1.2e-3"), (12, -4));
        assert_eq!(number("1e6"), (1, 6));
        assert_eq!(number(".5"), (5, -1));
    }

    #[test]
    fn a_field_may_have_its_own_uncertainty() {
        let own = |text: &str| reading(text).unwrap().uncertainty.unwrap();
        assert_eq!(own("22.05 ± 0.03").text(), "0.03");
        assert_eq!(own("22.05(3)").text(), "0.03");
        assert_eq!(own("1.2e3(4)").text(), "4e2");
        assert_eq!(own("22.05 +/- 1").text(), "1");
    }

    #[test]
    fn what_is_no_number_is_told_apart() {
        let cases = [
            ("22,05", NoNumber::Comma),
            ("1,234.5", NoNumber::Comma),
            ("<0.05", NoNumber::Limit),
            ("1 234", NoNumber::Thousands),
            ("12:05", NoNumber::Time),
            ("", NoNumber::Words),
            (".", NoNumber::Words),
            ("e5", NoNumber::Words),
            ("12 mm", NoNumber::Words),
            ("22.05()", NoNumber::Words),
            ("22.05(x)", NoNumber::Words),
            ("1e999", NoNumber::TooLarge),
            ("1.2.3", NoNumber::Thousands),
        ];
        for (text, why) in cases {
            assert_eq!(reading(text), Err(why), "{text}");
        }
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_again(digits in -10_i128.pow(30)..10_i128.pow(30), power in -40..40) {
            let number = Decimal { digits, power };
            prop_assert_eq!(reading(&number.text()).unwrap().number, number);
        }

        #[test]
        fn a_value_is_the_nearest_double(digits in any::<i64>(), power in -30..30) {
            let number = Decimal { digits: digits.into(), power };
            let plain: f64 = format!("{digits}e{power}").parse().unwrap();
            prop_assert_eq!(number.value(), plain);
        }

        #[test]
        fn no_text_makes_it_panic(text in "\\PC{0,12}") {
            let _ = reading(&text);
        }
    }
}
