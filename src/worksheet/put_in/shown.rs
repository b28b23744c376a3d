//! Values in another unit than they were printed in.

use std::sync::Arc;

use super::super::model::Shown;
use super::super::show;
use crate::dimensions::{Counts, Reading};
use crate::evaluate::{self, Value};
use crate::quantity::{self, Unit};
use crate::resolve::{Quantity, Shape};
use crate::syntax::Precision;

/// A length is put in as a decimal from here on, below with its power of ten.
const LEAST_DECIMAL: f64 = 1e-3;

/// The same number in a unit that is a simple part of its own, with the digits that it has and
/// the factor to be seen: `22 × 10⁻³ m³/s` for `22 L/s`, `0.700 m` for `700 mm`, `58 × 144 lbf/ft²`
/// for `58 psi`. `None` where the other unit is none, or the number no decimal.
pub(super) fn shifted(shown: &Shown, unit: &Unit) -> Option<Shown> {
    if shown.shape != Shape::One || shown.unit.offset() != 0.0 {
        return None;
    }
    let scale = Scale::of(shown.unit.ratio(unit))?;
    let digits = || shown.digits.first().map(quantity::Decimal::ascii);
    let text = shown.written.clone().or_else(digits)?;
    let mut written = with_power(
        &text,
        scale.power,
        (
            is_length(unit) && scale.factor.is_empty(),
            shown.written.is_some(),
        ),
    )?;
    written.push_str(&scale.factor);
    Some(Shown {
        written: Some(written),
        values: shown
            .values
            .iter()
            .map(|it| it * shown.unit.ratio(unit))
            .collect(),
        digits: Vec::new(),
        unit: unit.clone(),
        ..shown.bare()
    })
}

/// What was read on a scale is told with so many figures from absolute zero.
const FIGURES_OF_SCALES: u8 = 5;

/// A value in another unit, with as many figures as it had.
pub(super) fn convert(shown: &mut Shown, unit: &Unit) {
    let (reading, counts) = match shown.origin.as_deref() {
        Some((_, reading, counts)) => (*reading, *counts),
        None => (Reading::Plain, Counts::NOTHING),
    };
    let is_on_a_scale = shown.unit.offset() != 0.0;
    let least = if is_on_a_scale { FIGURES_OF_SCALES } else { 1 };
    let precision = match &shown.written {
        // A reading on a scale keeps its last place, any other number its figures.
        Some(written) if is_on_a_scale => {
            let place = quantity::written_precision(written).unwrap_or(0.01);
            Precision::Decimals(quantity::decimals_of(place).clamp(2, 15) as u8)
        }
        Some(written) => Precision::Figures(figures(written)),
        None => Precision::Figures(shown.figures.max(least)),
    };
    shown.figures = match precision {
        Precision::Figures(figures) => figures,
        Precision::Decimals(_) | Precision::Uncertainty(_) => shown.figures.max(1),
    };
    let rows = shown.si.iter();
    shown.values = rows
        .map(|si| evaluate::in_unit(*si, reading, counts, unit))
        .collect();
    shown.written = None;
    shown.uncertainties = Vec::new();
    shown.sizes = Vec::new();
    shown.word = None;
    shown.unit = unit.clone();
    show::again(shown, precision);
}

/// What a formula writes itself in another unit.
pub(super) fn literal(text: &str, quantity: &Quantity, unit: &Unit) -> Shown {
    let rows = (quantity.values.iter())
        .map(|number| evaluate::to_si(*number, Reading::Plain, Counts::NOTHING, &quantity.unit));
    let value = Value {
        rows: rows.collect(),
        shape: quantity.shape,
        ..Value::default()
    };
    let mut shown = show::literal(text, quantity, &Arc::new(value));
    match shifted(&shown, unit) {
        Some(shifted) => shifted,
        None => {
            convert(&mut shown, unit);
            // The author's number is exact, and no other digits than its own are needed of it.
            show::again(&mut shown, Precision::Figures(LITERAL_FIGURES));
            shown.written = shown
                .digits
                .first()
                .map(|digits| without_zeros(&digits.ascii()));
            shown
        }
    }
}

/// A literal in another unit is told to so many figures, without zeros at the end.
const LITERAL_FIGURES: u8 = 9;

/// The result in the unit in which the numbers give it.
pub(super) fn between(result: &Shown, unit: &Unit) -> Shown {
    let bare = Shown {
        word: None,
        ..result.bare()
    };
    match Scale::of(bare.unit.ratio(unit)) {
        Some(scale) if scale.factor.is_empty() => shifted(&bare, unit),
        _ => None,
    }
    .unwrap_or_else(|| {
        let mut own = bare;
        let figures = own.digits.first().map_or(4, |it| it.figures() as u8);
        own.figures = figures.max(1);
        convert(&mut own, unit);
        own
    })
}

/// A ratio of units as it is put in: a power of ten, and a factor that is known by heart.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Scale {
    power: i32,
    /// `*144`, `÷60`; empty for none.
    factor: String,
}

impl Scale {
    /// A ratio with more digits than this is no factor to be seen.
    const MOST_DIGITS: usize = 5;

    fn of(ratio: f64) -> Option<Self> {
        let (times, over) = (significant(ratio)?, significant(1.0 / ratio)?);
        if times.0 == "1" {
            return Some(Self {
                power: times.1,
                factor: String::new(),
            });
        }
        if times.0.len() <= Self::MOST_DIGITS {
            let (power, digits) = split(times);
            let factor = format!("*{digits}");
            return Some(Self { power, factor });
        }
        (over.0.len() <= Self::MOST_DIGITS).then(|| {
            let (power, digits) = split(over);
            Self {
                power: -power,
                factor: format!("÷{digits}"),
            }
        })
    }
}

/// The digits of a number without zeros at the end, and the power of ten of the last.
fn significant(number: f64) -> Option<(String, i32)> {
    let text = format!("{number:.11e}");
    let (mantissa, power) = text.split_once('e')?;
    let power: i32 = power.parse().ok()?;
    let all = mantissa.replace('.', "");
    let digits = all.trim_end_matches('0');
    let last = power + 1 - digits.len() as i32;
    Some((digits.to_owned(), last))
}

/// Digits as a decimal of a handy size, and the power of ten by thousands that is left.
fn split((digits, last): (String, i32)) -> (i32, String) {
    let first = last + digits.len() as i32 - 1;
    let power = match first {
        -2..=3 => 0,
        first => 3 * first.div_euclid(3),
    };
    (power, moved(&digits, last - power))
}

fn is_length(unit: &Unit) -> bool {
    matches!(unit.text(), "m" | "mm" | "ft")
}

/// The text of a number times a power of ten: a length as a decimal, anything else with the power
/// to be seen. Zeros that a rounded number does not have are not put behind it.
fn with_power(
    text: &str,
    power: i32,
    (as_decimal, may_end_in_zeros): (bool, bool),
) -> Option<String> {
    let text = crate::text::decimal(text);
    let (mantissa, own) = match text.split_once(['e', 'E']) {
        Some((mantissa, own)) => (mantissa, own.parse::<i32>().ok()?),
        None => (&*text, 0),
    };
    let number: f64 = text.parse().ok()?;
    let power = power + own;
    let scaled = (number * 10_f64.powi(power - own)).abs();
    if power == 0 {
        return Some(mantissa.to_owned());
    }
    let decimals = mantissa.split_once('.').map_or(0, |(_, part)| part.len());
    let ends_in_zeros = power > decimals as i32;
    let is_handy = scaled >= LEAST_DECIMAL && (may_end_in_zeros || !ends_in_zeros);
    if (as_decimal && is_handy) || number == 0.0 {
        return Some(moved(mantissa, power));
    }
    Some(format!("{mantissa}e{power}"))
}

/// A decimal with its point moved, and every digit kept.
fn moved(mantissa: &str, power: i32) -> String {
    let (sign, digits) = match mantissa.strip_prefix(['-', '−']) {
        Some(digits) => ("-", digits),
        None => ("", mantissa.trim_start_matches('+')),
    };
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let all = format!("{whole}{fraction}");
    let place = whole.len() as i32 + power;
    let text = if place <= 0 {
        format!("0.{}{all}", "0".repeat(place.unsigned_abs() as usize))
    } else if place as usize >= all.len() {
        format!("{all}{}", "0".repeat(place as usize - all.len()))
    } else {
        let (whole, fraction) = all.split_at(place as usize);
        format!("{whole}.{fraction}")
    };
    let text = match text.trim_start_matches('0') {
        "" => "0".to_owned(),
        rest if rest.starts_with('.') => format!("0{rest}"),
        rest => rest.to_owned(),
    };
    format!("{sign}{text}")
}

/// How many figures a number is written with.
fn figures(written: &str) -> u8 {
    let decimal = crate::text::decimal(written);
    let mantissa = decimal.split(['e', 'E']).next().unwrap_or_default();
    let digits = mantissa.trim_start_matches(['-', '+', '0', '.']);
    let count = digits.bytes().filter(u8::is_ascii_digit).count();
    count.clamp(4, 15) as u8
}

fn without_zeros(text: &str) -> String {
    let (mantissa, power) = text
        .split_once('e')
        .map_or((text, None), |(it, power)| (it, Some(power)));
    let mantissa = match mantissa.contains('.') {
        true => mantissa.trim_end_matches('0').trim_end_matches('.'),
        false => mantissa,
    };
    match power {
        Some(power) => format!("{mantissa}e{power}"),
        None => mantissa.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_are_moved_and_digits_kept() {
        for (text, power, moved_text) in [
            ("700", -3, "0.700"),
            ("65", -3, "0.065"),
            ("1.60", 3, "1600"),
            ("-12.5", -1, "-1.25"),
            ("0.05", 2, "5"),
            ("0", -3, "0.000"),
            ("250.0", -3, "0.2500"),
        ] {
            assert_eq!(moved(text, power), moved_text, "{text} {power}");
        }
    }

    #[test]
    fn ratios_are_powers_and_factors_that_are_known_by_heart() {
        for (ratio, power, factor) in [
            (1e-3, -3, ""),
            (144.0, 0, "*144"),
            (1.0 / 12.0, 0, "÷12"),
            (1.0 / 60.0, 0, "÷60"),
            (1e-3 / 60.0, -3, "÷60"),
            (1.0 / 3.6, 0, "÷3.6"),
            (3.6e6, 6, "*3.6"),
            (0.3048, 0, "*0.3048"),
            (3600.0, 0, "*3600"),
        ] {
            let found = Scale::of(ratio).expect("a scale");
            assert_eq!((found.power, &*found.factor), (power, factor), "{ratio}");
        }
        assert_eq!(Scale::of(0.45359237), None);
    }

    #[test]
    fn powers_of_ten_are_seen() {
        assert_eq!(
            with_power("22", -3, (false, true)).as_deref(),
            Some("22e-3")
        );
        assert_eq!(
            with_power("1.2e5", 3, (false, true)).as_deref(),
            Some("1.2e8")
        );
        assert_eq!(
            with_power("1.2e3", -3, (false, true)).as_deref(),
            Some("1.2")
        );
        assert_eq!(
            with_power("0.046", -3, (true, true)).as_deref(),
            Some("0.046e-3")
        );
        assert_eq!(with_power("24", 3, (true, true)).as_deref(), Some("24000"));
        assert_eq!(with_power("24", 3, (true, false)).as_deref(), Some("24e3"));
        assert_eq!(with_power("3/8", -3, (true, true)), None);
    }
}
