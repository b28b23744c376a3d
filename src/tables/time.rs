//! Fields to points of time and intervals of a stopwatch, by the pattern that they are written in.

use std::sync::Arc;

use super::number::{Decimal, Reading, Sign};
use crate::quantity::{Clock, SECONDS_OF_DAY};
use crate::text::Date;

/// How times are written: `hh:mm:ss`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pattern(&'static str);

/// A time as it was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Time {
    /// The seconds from the zero of its clock, or of an interval.
    pub seconds: Decimal,
    /// Whether its offset from universal time stands behind it, and was taken off.
    pub is_universal: bool,
}

/// A column of times.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Times {
    /// How they are written.
    pub pattern: Pattern,
    /// As they are written, one a row.
    pub written: Arc<[Box<str>]>,
    /// Whether they have an offset from universal time, which was taken off.
    pub is_universal: bool,
    /// The first row, from 0, in which that is otherwise than above.
    pub apart: Option<usize>,
}

impl Times {
    /// A column that has no rows yet.
    pub fn new(pattern: Pattern) -> Self {
        Self {
            pattern,
            written: [].into(),
            is_universal: false,
            apart: None,
        }
    }

    /// The column with its rows, and its seconds as readings.
    pub fn filled(
        pattern: Pattern,
        rows: impl Iterator<Item = (Option<Time>, Box<str>)>,
    ) -> (Self, Arc<[Option<Reading>]>) {
        let (times, written): (Vec<Option<Time>>, Vec<Box<str>>) = rows.unzip();
        let own = |time: &Option<Time>| time.map(|time| time.is_universal);
        let is_universal = times.iter().find_map(own).unwrap_or(false);
        let is_apart = |time: &Option<Time>| own(time).is_some_and(|own| own != is_universal);
        let readings = times.iter().map(|time| {
            time.map(|time| Reading {
                number: time.seconds,
                uncertainty: None,
            })
        });
        let found = Self {
            pattern,
            written: written.into(),
            is_universal,
            apart: times.iter().position(is_apart),
        };
        (found, readings.collect())
    }

    /// From what they count; nothing of intervals.
    pub fn clock(&self) -> Option<Clock> {
        self.pattern.clock(self.is_universal)
    }
}

/// The most digits of a fraction of a second, and of the minutes of a stopwatch.
const MOST_DIGITS: usize = 9;

impl Pattern {
    /// An interval: minutes may run beyond 59.
    pub const STOPWATCH: Self = Self("mm:ss");

    /// Every pattern.
    pub const ALL: [Self; 20] = [
        Self::STOPWATCH,
        Self("hh:mm"),
        Self("hh:mm:ss"),
        Self("YYYY-MM-DD"),
        Self("YYYY-MM-DD hh:mm"),
        Self("YYYY-MM-DD hh:mm:ss"),
        Self("YYYY-MM-DDThh:mm"),
        Self("YYYY-MM-DDThh:mm:ss"),
        Self("YYYY/MM/DD"),
        Self("YYYY/MM/DD hh:mm"),
        Self("YYYY/MM/DD hh:mm:ss"),
        Self("DD.MM.YYYY"),
        Self("DD.MM.YYYY hh:mm"),
        Self("DD.MM.YYYY hh:mm:ss"),
        Self("DD/MM/YYYY"),
        Self("DD/MM/YYYY hh:mm"),
        Self("DD/MM/YYYY hh:mm:ss"),
        Self("MM/DD/YYYY"),
        Self("MM/DD/YYYY hh:mm"),
        Self("MM/DD/YYYY hh:mm:ss"),
    ];

    /// The pattern that is written so.
    pub fn read(text: &str) -> Option<Self> {
        let words = || text.split_whitespace();
        (Self::ALL.into_iter()).find(|pattern| pattern.0.split(' ').eq(words()))
    }

    /// As an author writes it.
    pub fn text(self) -> &'static str {
        self.0
    }

    /// From what a reading counts; nothing of an interval.
    pub fn clock(self, is_universal: bool) -> Option<Clock> {
        (self != Self::STOPWATCH).then(|| Clock {
            has_date: self.has_date(),
            is_universal,
        })
    }

    /// Whether it has a date.
    pub fn has_date(self) -> bool {
        self.0.contains('Y')
    }

    /// A date as it writes one.
    pub fn date(self, date: Date) -> String {
        let pattern = self.0.split([' ', 'T']).next().unwrap_or("");
        let text = date.to_string();
        let (year, rest) = text.split_once('-').unwrap_or((&text, ""));
        let (month, day) = rest.split_once('-').unwrap_or((rest, ""));
        (pattern.replace("YYYY", year).replace("MM", month)).replace("DD", day)
    }

    /// What a field of it is called.
    pub fn noun(self) -> &'static str {
        match (self == Self::STOPWATCH, self.has_date()) {
            (true, _) => "time of a stopwatch",
            (false, false) => "time of day",
            (false, true) if self.0.contains('h') => "date and time",
            (false, true) => "date",
        }
    }

    /// The time that a field is, with this sign before the fraction of a second.
    pub fn time(self, field: &str, sign: Sign) -> Option<Time> {
        let mut rest = field;
        let mut pattern = self.0;
        let (mut date, mut seconds) = ([0_i64; 3], 0_i64);
        while let Some(letter) = pattern.chars().next() {
            let count = pattern.len() - pattern.trim_start_matches(letter).len();
            pattern = &pattern[count..];
            match letter {
                'Y' => date[0] = number(&mut rest, 4..=4)?,
                'M' => date[1] = number(&mut rest, 1..=2)?,
                'D' => date[2] = number(&mut rest, 1..=2)?,
                'h' => seconds += 3600 * below(24, number(&mut rest, 1..=2)?)?,
                'm' if self == Self::STOPWATCH => {
                    seconds += 60 * number(&mut rest, 1..=MOST_DIGITS)?;
                }
                'm' => seconds += 60 * below(60, number(&mut rest, 2..=2)?)?,
                's' => seconds += below(60, number(&mut rest, 2..=2)?)?,
                ' ' => rest = after_blanks(rest)?,
                other => rest = rest.strip_prefix(other)?,
            }
        }
        let (part, places) = match self.0.ends_with('s') {
            true => fraction(&mut rest, sign)?,
            false => (0, 0),
        };
        let offset = self.offset(rest)?;
        let days = match self.has_date() {
            true => {
                let [year, month, day] = date;
                Date::new(year.try_into().ok()?, month as u8, day as u8)?.days()
            }
            false => 0,
        };
        let whole = i128::from(days) * SECONDS_OF_DAY + i128::from(seconds)
            - 60 * i128::from(offset.unwrap_or(0));
        Some(Time {
            seconds: Decimal {
                digits: whole * 10_i128.pow(places) + part,
                power: -(places as i32),
            },
            is_universal: offset.is_some(),
        })
    }

    /// The minutes of the offset from universal time that stands behind a time, if one does.
    fn offset(self, rest: &str) -> Option<Option<i64>> {
        let rest = rest.trim_start();
        if rest.is_empty() {
            return Some(None);
        }
        if !self.0.contains('h') {
            return None;
        }
        if rest == "Z" {
            return Some(Some(0));
        }
        let is_behind = rest.starts_with(['-', '−']);
        let digits = rest.strip_prefix(['+', '-', '−'])?;
        let (mut hours, mut minutes) = match digits.split_once(':') {
            Some(parts) => parts,
            None if digits.len() > 2 => digits.split_at_checked(2)?,
            None => (digits, "00"),
        };
        let offset =
            60 * below(15, number(&mut hours, 2..=2)?)? + below(60, number(&mut minutes, 2..=2)?)?;
        if !(hours.is_empty() && minutes.is_empty()) {
            return None;
        }
        Some(Some(if is_behind { -offset } else { offset }))
    }
}

/// Takes so many digits.
fn number(rest: &mut &str, wanted: std::ops::RangeInclusive<usize>) -> Option<i64> {
    let count = rest.bytes().take_while(u8::is_ascii_digit).count();
    let (digits, after) = rest.split_at(count);
    *rest = after;
    wanted.contains(&count).then(|| digits.parse().ok())?
}

fn below(limit: i64, number: i64) -> Option<i64> {
    (number < limit).then_some(number)
}

fn after_blanks(text: &str) -> Option<&str> {
    let after = text.trim_start();
    (after.len() < text.len()).then_some(after)
}

/// The fraction of a second, and how many places it has.
fn fraction(rest: &mut &str, sign: Sign) -> Option<(i128, u32)> {
    let Some(mut after) = rest.strip_prefix(char::from(sign.byte())) else {
        return Some((0, 0));
    };
    let before = after.len();
    let part = number(&mut after, 1..=MOST_DIGITS)?;
    let places = before - after.len();
    *rest = after;
    Some((part.into(), places as u32))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn seconds(pattern: &str, field: &str) -> Option<String> {
        let pattern = Pattern::read(pattern).expect(pattern);
        let time = pattern.time(field, Sign::Point)?;
        Some(time.seconds.text())
    }

    #[test]
    fn a_time_is_read_by_its_pattern_and_by_no_other() {
        let cases = [
            ("mm:ss", "1:05.30", Some("65.30")),
            ("mm:ss", "123:00", Some("7380")),
            ("mm:ss", "1:60", None),
            ("mm:ss", "-1:00", None),
            ("hh:mm", "9:20", Some("33600")),
            ("hh:mm", "25:61", None),
            ("hh:mm", "24:00", None),
            ("hh:mm", "9:20:05", None),
            ("hh:mm", "9:2", None),
            ("hh:mm:ss", "09:20:05.25", Some("33605.25")),
            ("hh:mm:ss", "09:20:05,25", None),
            ("hh:mm:ss", "09:20:05.", None),
            ("YYYY-MM-DD hh:mm:ss", "1970-01-02  00:00:01", Some("86401")),
            ("YYYY-MM-DD hh:mm:ss", "2026-02-30 00:00:01", None),
            ("YYYY-MM-DD hh:mm:ss", "2026-02-03T00:00:01", None),
            (
                "YYYY-MM-DDThh:mm:ss",
                "1970-01-01T01:00:00+01:00",
                Some("0"),
            ),
            ("DD.MM.YYYY hh:mm", "1.1.1970 00:01", Some("60")),
            ("MM/DD/YYYY", "12/13/1970", Some("29894400")),
            ("DD/MM/YYYY", "12/13/1970", None),
            ("hh:mm", "10:00 Z", Some("36000")),
            ("hh:mm", "10:00-0230", Some("45000")),
            ("hh:mm", "10:00+1", None),
            ("YYYY-MM-DD", "1970-01-01Z", None),
        ];
        for (pattern, field, expected) in cases {
            assert_eq!(
                seconds(pattern, field).as_deref(),
                expected,
                "{pattern} {field}"
            );
        }
    }

    #[test]
    fn a_comma_stands_before_the_fraction_where_it_is_the_decimal_sign() {
        let time = Pattern::STOPWATCH.time("0:01,5", Sign::Comma).unwrap();
        assert_eq!(time.seconds.text(), "1.5");
    }

    proptest! {
        #[test]
        fn what_is_written_by_iso_8601_is_read_again(
            digits in -10_i128.pow(16)..10_i128.pow(16), places in 0..6_i32, is_universal in any::<bool>(),
        ) {
            let clock = Clock { has_date: true, is_universal };
            if let Some(text) = clock.text(digits, -places) {
                let pattern = Pattern::read("YYYY-MM-DDThh:mm:ss").unwrap();
                let seconds = Decimal { digits, power: -places };
                let read = pattern.time(&text, Sign::Point);
                prop_assert_eq!(read, Some(Time { seconds, is_universal }), "{}", text);
            }
        }

        #[test]
        fn no_text_makes_it_panic(text in "[0-9:.,TZ+\\- é/−]{0,24}", at in 0..Pattern::ALL.len()) {
            let _ = Pattern::ALL[at].time(&text, Sign::Point);
            let _ = Pattern::read(&text);
        }
    }
}
