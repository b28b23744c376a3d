//! Printed digits that are certain.
//!
//! The bound on the rounding says in most cases how a number rounds. Where it does not, the number
//! is had with more precision, until it does or the last level is reached; what that does not tell
//! from a half is one.

use std::sync::Arc;

use num_traits::Signed;

use super::Verdict;
use super::convert;
use super::made::Made;
use super::program::Rows;
use super::value::Value;
use crate::dimensions::{Counts, Reading};
use crate::functions::{Measured, STEP};
use crate::precise::{self, LEVELS, Precise, Rational};
use crate::quantity::{
    Decimal, Unit, fraction_to_decimals, fraction_to_figures, to_decimals, to_figures,
};
use crate::resolve::Shape;
use crate::syntax::Precision;
use crate::text;

/// What is not certain of a printed number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doubt {
    /// It is zero as far as is known, and its bound is printed.
    Cancelled,
    /// Fewer figures are certain than were asked, and these are printed.
    Fewer,
    /// No figure is certain.
    Lost,
}

/// Every number with so many digits is told from its neighbours by its double.
const DIGITS_OF_DOUBLES: usize = 15;

/// Numbers closer to a half than a part in two to so many bits are halves.
const NARROW: isize = 256;

/// The digits of a value's number in a row, in a unit, and what is not certain of them.
pub fn digits(
    value: &Value,
    row: usize,
    (reading, counts, unit): (Reading, Counts, &Unit),
    precision: Precision,
) -> (Decimal, Option<Doubt>) {
    let si = value.measured(row);
    if si.value == 0.0 && si.error == 0.0 && unit.offset() == 0.0 {
        return (round(0.0, precision), None);
    }
    let number = convert::measured_in_unit(si, reading, counts, unit);
    let close = number.value.abs() * f64::EPSILON;
    // Zero times a bound that is infinite is no number.
    let error = match number.error.is_finite() {
        true => number.error.max(close),
        false => f64::INFINITY,
    };
    let number = Measured { error, ..number };
    if let Some(digits) = agreed(number.value, number.error, precision) {
        return (digits, None);
    }
    precisely(value, row, (reading, counts, unit), precision)
        .unwrap_or_else(|| known(number, precision))
}

/// The value that printed digits are, with all of them.
pub fn entered(
    digits: &[Decimal],
    (reading, counts, unit): (Reading, Counts, &Unit),
    shape: Shape,
) -> Value {
    let rows: Vec<f64> = (digits.iter())
        .map(|digits| convert::to_si(digits.value(), reading, counts, unit))
        .collect();
    let exact = |digits: &Decimal| {
        convert::precise_to_si(&Precise::rational(digits.fraction()), reading, counts, unit)
    };
    let count = (shape != Shape::One).then(|| Rows::plain(rows.len(), shape));
    Value {
        errors: rows.iter().map(|row| row.abs() * STEP).collect(),
        made: Some(Arc::new(Made::numbers(
            digits.iter().map(exact).collect(),
            count,
        ))),
        rows,
        shape,
        ..Value::default()
    }
}

/// A value's number in a row, in a unit: with its bound where that is small beside the place that
/// it is looked at to, else the double nearest to it.
pub(super) fn number(
    value: &Value,
    row: usize,
    (reading, counts, unit): (Reading, Counts, &Unit),
    place: Option<f64>,
) -> f64 {
    let measured = convert::measured_in_unit(value.measured(row), reading, counts, unit);
    if place.is_none_or(|place| measured.error <= 1e-3 * place) {
        return measured.value;
    }
    let mut levels = 0..LEVELS.len();
    let precisely = levels.find_map(|level| {
        let number = convert::precise_in_unit(&value.precise(row, level), reading, counts, unit);
        number.is_narrow(64).then(|| number.to_f64().0)
    });
    precisely.unwrap_or(measured.value)
}

/// How a claim compares that is written with more digits than a double tells apart; `None` for
/// one with fewer, and where more precision is not had.
pub(super) fn claimed(
    value: &Value,
    row: usize,
    (reading, counts, unit): (Reading, Counts, &Unit),
    text: &str,
) -> Option<Verdict> {
    let digits = text.bytes().filter(u8::is_ascii_digit);
    let digits = digits.skip_while(|digit| *digit == b'0').count();
    let text = text::decimal(text);
    let (mantissa, exponent) = text.split_once(['e', 'E']).unwrap_or((&text, "0"));
    if digits <= DIGITS_OF_DOUBLES {
        return None;
    }
    let decimals = mantissa.split_once('.').map_or(0, |(_, after)| after.len());
    let place = i32::try_from(decimals).ok()?;
    let place = exponent.parse::<i32>().ok()?.checked_sub(place)?;
    let place = precise::decimal(&format!("1e{place}"))?;
    let claimed = precise::decimal(&text)?;
    let two = Rational::from_integer(2.into());
    let verdict = |computed: &Rational| {
        let apart = (computed - &claimed).abs();
        if &apart * &two <= place {
            Verdict::Right
        } else if apart <= &place * &two {
            Verdict::Slip
        } else {
            Verdict::Wrong
        }
    };
    let mut levels = 0..LEVELS.len();
    levels.find_map(|level| {
        let number = convert::precise_in_unit(&value.precise(row, level), reading, counts, unit);
        let [low, high] = number.ends()?.map(|end| verdict(&end));
        let is_last = level + 1 == LEVELS.len() && number.is_narrow(NARROW);
        (low == high || is_last).then_some(low)
    })
}

/// The digits of all numbers within an error, where they are the same.
fn agreed(value: f64, error: f64, precision: Precision) -> Option<Decimal> {
    if !value.is_finite() {
        return Some(round(value, precision));
    }
    if !error.is_finite() {
        return None;
    }
    let low = round(value - error, precision);
    (low == round(value + error, precision)).then_some(low)
}

/// The digits with as much precision as it takes; `None` where that is not had.
fn precisely(
    value: &Value,
    row: usize,
    (reading, counts, unit): (Reading, Counts, &Unit),
    precision: Precision,
) -> Option<(Decimal, Option<Doubt>)> {
    let mut last = None;
    for level in 0..LEVELS.len() {
        let number = convert::precise_in_unit(&value.precise(row, level), reading, counts, unit);
        let Some([low, high]) = number.ends() else {
            // What fewer bits say is not the last word.
            last = None;
            continue;
        };
        let found = [&low, &high].map(|end| round_fraction(end, precision));
        if found[0] == found[1] {
            let [found, _] = found;
            return Some((found, None));
        }
        last = Some((number, found, low, high));
    }
    let (number, [below, above], low, high) = last?;
    if number.is_narrow(NARROW) {
        let half = (below.fraction() + above.fraction()) / Rational::from_integer(2.into());
        return Some((round_fraction(&half, precision), None));
    }
    if low <= Rational::from_integer(0.into()) && high >= Rational::from_integer(0.into()) {
        return Some((Decimal::bound(&(-low).max(high)), Some(Doubt::Cancelled)));
    }
    None
}

/// As many figures as the bound leaves, or all where it leaves none.
fn known(number: Measured, precision: Precision) -> (Decimal, Option<Doubt>) {
    let fewer = (1..15).rev().find_map(|figures| {
        let precision = Precision::Figures(figures);
        agreed(number.value, number.error, precision)
    });
    match fewer {
        Some(digits) => (digits, Some(Doubt::Fewer)),
        // Nothing but rounding is left of a number that was to be zero.
        None if number.error.is_finite() && number.value.abs() <= number.error => {
            let most = Rational::from_float(number.value.abs() + number.error);
            let zero = || round(number.value, precision);
            (
                most.map_or_else(zero, |most| Decimal::bound(&most)),
                Some(Doubt::Lost),
            )
        }
        None => (round(number.value, precision), Some(Doubt::Lost)),
    }
}

fn round(value: f64, precision: Precision) -> Decimal {
    match precision {
        Precision::Figures(figures) | Precision::Uncertainty(figures) => to_figures(value, figures),
        Precision::Decimals(decimals) => to_decimals(value, decimals),
    }
}

fn round_fraction(value: &Rational, precision: Precision) -> Decimal {
    match precision {
        Precision::Figures(figures) | Precision::Uncertainty(figures) => {
            fraction_to_figures(value, figures)
        }
        Precision::Decimals(decimals) => fraction_to_decimals(value, decimals),
    }
}
