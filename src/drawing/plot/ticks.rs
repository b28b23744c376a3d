//! Ticks in steps of 1, 2 and 5 times a power of ten, and their numbers.

use super::scale::Scale;
use crate::typeset::{Face, Level, Run};

/// How far numbers of an axis stand apart, upward and to the right.
pub(super) const UPWARD: f64 = 50.0;
pub(super) const ACROSS: f64 = 95.0;

/// How much closer ticks may stand where fewer than two would have a number.
const CLOSER: [f64; 4] = [1.0, 2.0, 4.0, 8.0];

/// Ticks of a logarithmic axis with more decades than this have powers of ten alone.
const FEW_DECADES: f64 = 2.0;

/// A tick of an axis.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tick {
    pub value: f64,
    /// Its number; nothing where it is a small one.
    pub number: Option<Vec<Run>>,
}

/// The step of a range on so much of a drawing.
pub(super) fn step(range: f64, length: f64, apart: f64) -> f64 {
    let wanted = range / (length / apart).max(1.0);
    let power = 10_f64.powf(wanted.log10().floor());
    let part = wanted / power;
    // The next of 1, 2, 5 and 10 by ratio.
    let factor = match part {
        ..1.414 => 1.0,
        ..3.162 => 2.0,
        ..7.071 => 5.0,
        _ => 10.0,
    };
    factor * power
}

/// The ticks of an axis, from its least number to its greatest.
pub(super) fn ticks(scale: &Scale, apart: f64) -> Vec<Tick> {
    if let Some(times) = scale.times {
        return super::times::ticks(scale, times, apart);
    }
    let decades = (scale.to / scale.from).log10();
    let has_two = |found: &Vec<Tick>| {
        let numbered = found.iter().filter(|tick| tick.number.is_some());
        numbered.count() > 1
    };
    let found = match scale.is_logarithmic {
        true if decades > FEW_DECADES => {
            let mut closer = CLOSER
                .map(|times| powers(scale, decades, apart / times))
                .into_iter();
            closer.find(has_two)
        }
        true => Some(within_decades(scale)).filter(has_two),
        false => None,
    };
    found.unwrap_or_else(|| {
        let closer = CLOSER.map(|times| even(scale, apart / times));
        let found = closer.iter().find(|ticks| ticks.len() > 1);
        found.unwrap_or(&closer[0]).clone()
    })
}

/// Ticks in even steps.
fn even(scale: &Scale, apart: f64) -> Vec<Tick> {
    let (from, to) = (scale.from, scale.to);
    let step = step(to - from, (scale.end - scale.start).abs(), apart);
    let decimals = (-step.log10().floor()).max(0.0) as i32;
    let tick = |value: f64| Tick {
        value,
        number: Some(number(value, step, decimals, from.abs().max(to.abs()))),
    };
    multiples(scale, step).into_iter().map(tick).collect()
}

/// The multiples of a step from the least number of an axis to its greatest.
pub(super) fn multiples(scale: &Scale, step: f64) -> Vec<f64> {
    // A logarithmic axis has no 0, which may be as near as that to its least number.
    let slack = if scale.is_logarithmic { 0.0 } else { 1e-6 };
    let first = (scale.from / step - slack).ceil();
    let last = (scale.to / step + slack).floor();
    let count = last - first;
    if !count.is_finite() || count >= 1000.0 {
        return Vec::new();
    }
    (0..=(last - first) as i64)
        .map(|at| (first + at as f64) * step)
        .collect()
}

/// The numbers 1, 2 and 5 of each decade, and small ticks between.
fn within_decades(scale: &Scale) -> Vec<Tick> {
    let mut ticks = Vec::new();
    for (decade, digit) in digits(scale) {
        let value = f64::from(digit) * 10_f64.powi(decade);
        let number = matches!(digit, 1 | 2 | 5);
        ticks.push(Tick {
            value,
            number: number.then(|| self::number(value, value, (-decade).max(0), value)),
        });
    }
    ticks
}

/// Powers of ten, no closer than they have room, and small ticks between where there is room.
fn powers(scale: &Scale, decades: f64, apart: f64) -> Vec<Tick> {
    let length = (scale.end - scale.start).abs();
    let every = (decades * 0.6 * apart / length).ceil().max(1.0) as i32;
    let mut ticks = Vec::new();
    for (decade, digit) in digits(scale) {
        let value = f64::from(digit) * 10_f64.powi(decade);
        let number = digit == 1 && decade.rem_euclid(every) == 0;
        if digit == 1 || every == 1 {
            ticks.push(Tick {
                value,
                number: number.then(|| power_of_ten(decade)),
            });
        }
    }
    ticks
}

/// Each digit of each decade of a logarithmic axis.
fn digits(scale: &Scale) -> Vec<(i32, i32)> {
    let first = scale.from.log10().floor() as i32;
    let last = scale.to.log10().ceil() as i32;
    let all = (first..=last).flat_map(|decade| (1..10).map(move |digit| (decade, digit)));
    let slack = 1e-9;
    all.filter(|(decade, digit)| {
        let value = f64::from(*digit) * 10_f64.powi(*decade);
        value >= scale.from * (1.0 - slack) && value <= scale.to * (1.0 + slack)
    })
    .collect()
}

/// A number of an axis whose numbers are no larger than `largest`.
fn number(value: f64, step: f64, decimals: i32, largest: f64) -> Vec<Run> {
    let power = largest.log10().floor();
    if value == 0.0 || (-4.0..6.0).contains(&power) && decimals <= 5 {
        let text = format!("{value:.*}", decimals.clamp(0, 5) as usize);
        let is_zero = text.trim_start_matches('-').parse() == Ok(0.0);
        let text = if is_zero { "0".to_owned() } else { text };
        return vec![Run::words(text.replace('-', "−"))];
    }
    let power = power as i32;
    let places = (f64::from(power) - step.log10().floor()).clamp(0.0, 12.0) as usize;
    let mantissa = format!("{:.*}", places, value / 10_f64.powi(power));
    if mantissa == "1" {
        return power_of_ten(power);
    }
    let mut runs = vec![Run::words(format!("{} × ", mantissa.replace('-', "−")))];
    runs.extend(power_of_ten(power));
    runs
}

fn power_of_ten(power: i32) -> Vec<Run> {
    match power {
        0 => vec![Run::words("1")],
        1 => vec![Run::words("10")],
        _ => vec![
            Run::words("10"),
            Run {
                text: power.to_string().replace('-', "−"),
                face: Face::Word,
                level: Level::Raised,
            },
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::letters::plain;

    fn check(from: f64, to: f64, is_logarithmic: bool, wanted: &[&str]) {
        let scale = Scale {
            from,
            to,
            start: 0.0,
            end: 500.0,
            is_logarithmic,
            times: None,
        };
        let found = ticks(&scale, ACROSS);
        let numbers = found.iter().filter_map(|tick| tick.number.as_deref());
        let numbers: Vec<String> = numbers.map(plain).collect();
        assert_eq!(numbers, wanted);
    }

    #[test]
    fn steps_are_one_two_and_five() {
        check(0.0, 5.0, false, &["0", "1", "2", "3", "4", "5"]);
        check(
            -0.2,
            0.45,
            false,
            &["−0.2", "−0.1", "0", "0.1", "0.2", "0.3", "0.4"],
        );
        check(
            0.0,
            2.3e7,
            false,
            &["0", "0.5 × 10^7", "1.0 × 10^7", "1.5 × 10^7", "2.0 × 10^7"],
        );
    }

    #[test]
    fn two_decades_have_their_digits_and_more_have_powers() {
        check(3.0, 120.0, true, &["5", "10", "20", "50", "100"]);
        check(1.0, 1e4, true, &["1", "10", "10^2", "10^3", "10^4"]);
        check(
            30.0,
            36.0,
            true,
            &["30", "31", "32", "33", "34", "35", "36"],
        );
    }
}
