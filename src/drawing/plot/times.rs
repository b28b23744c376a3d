//! Ticks of an axis of times, in steps of the clock and the calendar.

use super::scale::Scale;
use super::ticks::{self, Tick};
use crate::tables::Pattern;
use crate::text::Date;
use crate::typeset::Run;

const MINUTE: f64 = 60.0;
const HOUR: f64 = 3600.0;
const DAY: f64 = 86_400.0;

/// About a month and a year: the months themselves are not alike.
const MONTH: f64 = 30.44 * DAY;
const YEAR: f64 = 365.2425 * DAY;

/// The steps of clocks and days.
const STEPS: [f64; 21] = [
    1.0,
    2.0,
    5.0,
    10.0,
    15.0,
    30.0,
    MINUTE,
    2.0 * MINUTE,
    5.0 * MINUTE,
    10.0 * MINUTE,
    15.0 * MINUTE,
    30.0 * MINUTE,
    HOUR,
    2.0 * HOUR,
    3.0 * HOUR,
    6.0 * HOUR,
    12.0 * HOUR,
    DAY,
    2.0 * DAY,
    7.0 * DAY,
    14.0 * DAY,
];

/// The steps of the calendar, in months.
const MONTHS: [i64; 4] = [1, 2, 3, 6];

/// How far one tick stands from the next.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Step {
    Seconds(f64),
    Months(i64),
}

/// The step of a range on so much of a drawing, where it is one of seconds.
pub(super) fn even_step(pattern: Pattern, range: f64, length: f64, apart: f64) -> Option<f64> {
    match step(pattern, range, length, apart) {
        Step::Seconds(step) => Some(step),
        Step::Months(_) => None,
    }
}

fn step(pattern: Pattern, range: f64, length: f64, apart: f64) -> Step {
    /// A step may be so much shorter than what is wanted.
    const SHORTER: f64 = 0.8;
    let wanted = SHORTER * range / (length / apart).max(1.0);
    let least = least(pattern);
    if wanted < 1.0 && least < 1.0 {
        return Step::Seconds(ticks::step(range, length, apart).min(1.0));
    }
    let mut steps = STEPS.into_iter().filter(|step| *step >= least);
    if let Some(step) = steps.find(|step| *step >= wanted) {
        return Step::Seconds(step);
    }
    if pattern == Pattern::STOPWATCH || !pattern.has_date() {
        return Step::Seconds(DAY * ticks::step(range / DAY, length, apart).max(1.0));
    }
    let mut months = MONTHS.into_iter();
    let months = months.find(|months| *months as f64 * MONTH >= wanted);
    let years = || ticks::step(range / YEAR, length, apart).max(1.0) as i64;
    Step::Months(months.unwrap_or_else(|| 12 * years()))
}

/// The smallest step that a pattern can tell.
fn least(pattern: Pattern) -> f64 {
    match pattern.text() {
        text if text.ends_with('s') => 0.0,
        text if text.ends_with('m') => MINUTE,
        _ => DAY,
    }
}

/// The ticks of an axis, from its least number to its greatest.
pub(super) fn ticks(scale: &Scale, pattern: Pattern, apart: f64) -> Vec<Tick> {
    let length = (scale.end - scale.start).abs();
    let step = step(pattern, scale.to - scale.from, length, apart);
    let values = match step {
        Step::Seconds(step) => ticks::multiples(scale, step),
        Step::Months(months) => months_of(scale, months),
    };
    let is_midnight = |value: &f64| value.rem_euclid(DAY) == 0.0;
    // Some tick has to say which day it is.
    let is_whole = pattern.has_date() && !values.iter().any(is_midnight);
    let decimals = match step {
        Step::Seconds(step) if step < 1.0 => (-step.log10().floor()) as usize,
        Step::Seconds(_) | Step::Months(_) => 0,
    };
    let has_seconds = matches!(step, Step::Seconds(step) if step < MINUTE);
    let number = |value: f64| match (pattern.has_date(), is_midnight(&value)) {
        _ if pattern == Pattern::STOPWATCH => stopwatch(value, decimals),
        (true, true) => date(pattern, value),
        (true, false) if is_whole => {
            format!(
                "{} {}",
                date(pattern, value),
                of_day(value, has_seconds, decimals)
            )
        }
        _ => of_day(value, has_seconds, decimals),
    };
    let tick = |value: f64| Tick {
        value,
        number: Some(vec![Run::words(number(value))]),
    };
    values.into_iter().map(tick).collect()
}

/// The first days of months.
fn months_of(scale: &Scale, months: i64) -> Vec<f64> {
    /// No axis has more.
    const MOST: usize = 1000;
    let day = |value: f64| Date::of_days((value / DAY).floor() as i64);
    let Some(first) = day(scale.from) else {
        return Vec::new();
    };
    let starts = (0..).map(|at| (first.months().div_euclid(months) + at) * months);
    let starts = starts.map_while(|month| {
        let year = u16::try_from(month.div_euclid(12)).ok()?;
        let date = Date::new(year, month.rem_euclid(12) as u8 + 1, 1)?;
        Some(date.days() as f64 * DAY)
    });
    let within = starts.take(MOST).take_while(|value| *value <= scale.to);
    within.filter(|value| *value >= scale.from).collect()
}

/// A time as its pattern writes it, to the second or what it has of one.
pub(super) fn text(pattern: Pattern, value: f64) -> String {
    let decimals = if value.fract() == 0.0 { 0 } else { 3 };
    let has_seconds = pattern.text().ends_with('s') || value % MINUTE != 0.0;
    match (pattern.has_date(), pattern.text().contains('h')) {
        _ if pattern == Pattern::STOPWATCH => stopwatch(value, decimals),
        (true, false) if value % DAY == 0.0 => date(pattern, value),
        (true, _) => format!(
            "{} {}",
            date(pattern, value),
            of_day(value, has_seconds, decimals)
        ),
        (false, _) => of_day(value, has_seconds, decimals),
    }
}

fn date(pattern: Pattern, value: f64) -> String {
    let days = (value / DAY).floor() as i64;
    Date::of_days(days).map_or_else(|| "–".to_owned(), |date| pattern.date(date))
}

/// "1:05"
fn stopwatch(value: f64, decimals: usize) -> String {
    let sign = if value < 0.0 { "−" } else { "" };
    let (whole, part) = parts(value.abs(), decimals);
    format!("{sign}{}:{:02}{part}", whole / 60, whole % 60)
}

/// "09:05", or with seconds; the end of a day is 24:00.
fn of_day(value: f64, has_seconds: bool, decimals: usize) -> String {
    let of_day = if value == DAY {
        value
    } else {
        value.rem_euclid(DAY)
    };
    let (whole, part) = parts(of_day, decimals);
    let minutes = format!("{:02}:{:02}", whole / 3600, whole / 60 % 60);
    match has_seconds {
        true => format!("{minutes}:{:02}{part}", whole % 60),
        false => minutes,
    }
}

/// Whole seconds, and the decimals behind them with their point.
fn parts(seconds: f64, decimals: usize) -> (u64, String) {
    let text = format!("{seconds:.decimals$}");
    let (whole, part) = text.split_once('.').unwrap_or((&text, ""));
    let part = match part {
        "" => String::new(),
        part => format!(".{part}"),
    };
    (whole.parse().unwrap_or(0), part)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::letters::plain;

    fn check(pattern: &str, from: f64, to: f64, wanted: &[&str]) {
        let pattern = Pattern::read(pattern).expect(pattern);
        let scale = Scale {
            from,
            to,
            start: 0.0,
            end: 500.0,
            is_logarithmic: false,
            times: Some(pattern),
        };
        let found = ticks(&scale, pattern, ticks::ACROSS);
        let numbers = found.iter().filter_map(|tick| tick.number.as_deref());
        let numbers: Vec<String> = numbers.map(plain).collect();
        assert_eq!(numbers, wanted);
    }

    #[test]
    fn steps_are_those_of_clocks_and_calendars() {
        check(
            "mm:ss",
            0.0,
            300.0,
            &["0:00", "1:00", "2:00", "3:00", "4:00", "5:00"],
        );
        check(
            "mm:ss",
            0.0,
            1.0,
            &["0:00.0", "0:00.2", "0:00.4", "0:00.6", "0:00.8", "0:01.0"],
        );
        check(
            "mm:ss",
            3600.0,
            9000.0,
            &[
                "60:00", "75:00", "90:00", "105:00", "120:00", "135:00", "150:00",
            ],
        );
        let of_day = |hours: f64| hours * HOUR;
        check(
            "hh:mm",
            of_day(21.5),
            of_day(23.0),
            &[
                "21:30", "21:45", "22:00", "22:15", "22:30", "22:45", "23:00",
            ],
        );
        check(
            "hh:mm:ss",
            of_day(9.0),
            of_day(9.0) + 50.0,
            &[
                "09:00:00", "09:00:10", "09:00:20", "09:00:30", "09:00:40", "09:00:50",
            ],
        );
        let day = |text: &str| Date::read(text).unwrap().days() as f64 * DAY;
        check(
            "YYYY-MM-DD",
            day("2026-03-01"),
            day("2026-03-11"),
            &[
                "2026-03-02",
                "2026-03-04",
                "2026-03-06",
                "2026-03-08",
                "2026-03-10",
            ],
        );
        check(
            "DD.MM.YYYY",
            day("2026-01-10"),
            day("2026-05-20"),
            &["01.02.2026", "01.03.2026", "01.04.2026", "01.05.2026"],
        );
        check(
            "YYYY-MM-DD hh:mm",
            day("2026-03-01") + of_day(6.0),
            day("2026-03-02") + of_day(12.0),
            &["06:00", "12:00", "18:00", "2026-03-02", "06:00", "12:00"],
        );
    }
}
