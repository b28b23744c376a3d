//! In which figures and units results are shown: against decimal arithmetic that shares no code
//! with the program.

use proptest::prelude::*;
use setsquare::text::Source;
use setsquare::worksheet::{self, Body, Shown, Worksheet};

fn compile(text: &str) -> Worksheet {
    worksheet::compile(Source::new("law.md", text.to_owned()))
}

/// What the last line of work shows, as it is filled in behind its `=`.
fn filled(text: &str) -> Option<String> {
    let worksheet = compile(text);
    if !worksheet.diagnostics.is_empty() {
        return None;
    }
    let filled = worksheet::fill(&worksheet);
    let line = filled.lines().rfind(|line| line.ends_with('?'))?;
    let shown = line.rsplit("= ").next()?;
    Some(shown.trim_end_matches('?').trim_end().to_owned())
}

/// A decimal number: digits and a power of ten.
#[derive(Debug, Clone, Copy)]
struct Decimal {
    digits: i128,
    power: i32,
}

impl Decimal {
    /// `0.0120`, `120`, `-3.5`.
    fn read(text: &str) -> Option<Decimal> {
        let (mantissa, power) = match text.split_once('e') {
            Some((mantissa, power)) => (mantissa, power.parse().ok()?),
            None => (text, 0),
        };
        let places = mantissa.split_once('.').map_or(0, |(_, part)| part.len());
        Some(Decimal {
            digits: mantissa.replace('.', "").parse().ok()?,
            power: power - i32::try_from(places).ok()?,
        })
    }

    /// Its digits where the last one counts this power of ten, twice over and rounded down, so
    /// that halves are whole.
    fn halves(self, power: i32) -> i128 {
        let by = 10_i128.pow(self.power.abs_diff(power));
        match self.power >= power {
            true => 2 * self.digits * by,
            false => (2 * self.digits).div_euclid(by),
        }
    }
}

/// Whether a printed number is a rounding of a true one.
fn is_rounded(printed: Decimal, exact: Decimal) -> bool {
    let (printed, exact) = (2 * printed.digits, exact.halves(printed.power));
    (exact - printed).abs() <= 1
}

/// `(1.350 ± 0.010) × 10^-5 mm`: the number, its uncertainty, the unit.
fn parts(shown: &str) -> Option<(Decimal, Decimal, &str)> {
    let (numbers, rest) = match shown.strip_prefix('(') {
        Some(inside) => inside.split_once(')')?,
        None => shown
            .split_at(shown.find(|letter: char| letter.is_ascii_alphabetic() && letter != 'e')?),
    };
    let (number, uncertain) = numbers.split_once('±')?;
    let (power, unit) = match rest.trim_start().strip_prefix("× 10^") {
        Some(rest) => rest.split_once(' ')?,
        None => ("0", rest),
    };
    let power: i32 = power.parse().ok()?;
    let part = |text: &str| {
        let read = Decimal::read(text.trim())?;
        Some(Decimal {
            power: read.power + power,
            ..read
        })
    };
    Some((part(number)?, part(uncertain)?, unit.trim()))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// JCGM 100:2008, 7.2.6: no more than two figures of the uncertainty, the value to its place.
    #[test]
    fn an_uncertain_result_has_two_figures_behind_its_sign_and_the_value_their_place(
        digits in 1_i64..999_999,
        power in -6..4_i32,
        uncertain in 1_i64..999,
        below in 0..5_i32,
        factor in 1_i64..4,
        up in prop::bool::ANY,
    ) {
        let of = power - below;
        let (unit, per) = if up { ("mm", 3) } else { ("m", 0) };
        let text = format!(
            "```given\nx = ({digits}e{power} ± {uncertain}e{of}) m\n```\n\n\
             ```work\ny = {factor} x = ? {unit}\n```\n"
        );
        let shown = filled(&text);
        let Some((value, spread, found)) = shown.as_deref().and_then(parts) else {
            return Err(TestCaseError::fail(format!("{text}: {shown:?}")));
        };
        let exact = |digits: i64, power: i32| Decimal {
            digits: i128::from(factor * digits),
            power: power + per,
        };
        prop_assert_eq!(found, unit);
        prop_assert_eq!(value.power, spread.power, "{}: {:?}", text, shown);
        prop_assert_eq!(spread.digits.to_string().len(), 2, "{}: {:?}", text, shown);
        prop_assert!(is_rounded(value, exact(digits, power)), "{text}: {shown:?}");
        prop_assert!(is_rounded(spread, exact(uncertain, of)), "{text}: {shown:?}");
    }
}

/// Units, what one of them is in coherent ones, and how their unit of the slope is written.
const UNITS: [(&str, f64); 12] = [
    ("m", 1.0),
    ("mm", 1e-3),
    ("kN", 1e3),
    ("L/min", 1e-3 / 60.0),
    ("kg/m^3", 1.0),
    ("GPa", 1e9),
    ("min", 60.0),
    ("kWh", 3.6e6),
    ("psi", 6894.757293168361),
    ("uF", 1e-6),
    ("N/mm", 1e3),
    ("K", 1.0),
];
/// What may stand above.
const ABOVE: [(&str, f64); 4] = [
    ("%", 0.01),
    ("Hz", 1.0),
    ("rad/s", 1.0),
    ("rpm", 1.0 / 60.0),
];

/// The slope of the check of a worksheet.
fn slope(worksheet: &Worksheet) -> Option<&Shown> {
    worksheet
        .statements()
        .find_map(|(_, line)| match &line.body {
            Body::Trend(trend) => Some(&trend.derivative),
            _ => None,
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_slope_is_in_the_unit_of_the_result_over_that_of_what_changes(
        above in 0..UNITS.len() + ABOVE.len(),
        below in 0..UNITS.len(),
        value in 1..2000_i32,
        at in 1..2000_i32,
        power in 1..4_i32,
    ) {
        let (unit, size) = *UNITS.iter().chain(&ABOVE).nth(above).unwrap();
        let (by, of) = UNITS[below];
        let text = format!(
            "```given\nA = {value} {unit}\nx = {at} {by}\nx_0 = {at} {by}\n```\n\n\
             ```work\ny = A (x/x_0)^{power} = ? {unit}\n```\n\n```check\ny rises with x\n```\n"
        );
        let worksheet = compile(&text);
        prop_assert!(worksheet.diagnostics.is_empty(), "{text}");
        let found = slope(&worksheet).unwrap();
        let number = f64::from(power * value) / f64::from(at);
        // Where both units are of one dimension, the ratio is a plain number.
        let is_plain = unit == by || [["m", "mm"]].iter().any(|pair| pair.contains(&unit) && pair.contains(&by))
            || [["GPa", "psi"]].iter().any(|pair| pair.contains(&unit) && pair.contains(&by));
        let expected = if is_plain { number * size / of } else { number };
        prop_assert!(
            (found.values[0] - expected).abs() <= 1e-9 * expected.abs(),
            "{text}: {} {} for {expected}", found.values[0], found.unit.text()
        );
        if unit != "%" {
            prop_assert_eq!(found.unit.dimension().is_none(), is_plain);
        }
    }
}
