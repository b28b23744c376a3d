//! Days of the Gregorian calendar, as ISO 8601 writes them.

use std::fmt;

/// A day of the years 1 to 9999.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

/// The days from 0000-03-01, where the calendar's own years begin, to 1970-01-01.
const TO_1970: i64 = 719_468;
/// The days of 400 years, after which the calendar repeats.
const DAYS_OF_400_YEARS: i64 = 146_097;

impl Date {
    /// The day with these numbers; `None` where the calendar has none.
    pub fn new(year: u16, month: u8, day: u8) -> Option<Self> {
        let is_day = (1..=9999).contains(&year)
            && (1..=12).contains(&month)
            && (1..=days_of(year, month)).contains(&day);
        is_day.then_some(Self { year, month, day })
    }

    /// Reads `2026-03-12`.
    ///
    /// ```
    /// use setsquare::text::Date;
    ///
    /// assert!(Date::read("2028-02-29").is_some());
    /// assert!(Date::read("2026-02-29").is_none() && Date::read("26-2-9").is_none());
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        is_written_as_date(text).then_some(())?;
        let part = |range: std::ops::Range<usize>| text.get(range)?.parse::<u16>().ok();
        Self::new(part(0..4)?, part(5..7)? as u8, part(8..10)? as u8)
    }

    /// The day that is so many days after 1970-01-01.
    pub fn of_days(days: i64) -> Option<Self> {
        // The years begin in March, so that the leap day is the last of one.
        let since = days + TO_1970;
        let (era, day_of_era) = (
            since.div_euclid(DAYS_OF_400_YEARS),
            since.rem_euclid(DAYS_OF_400_YEARS),
        );
        let year_of_era =
            (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
        let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let month_from_march = (5 * day_of_year + 2) / 153;
        let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
        let month = match month_from_march {
            0..=9 => month_from_march + 3,
            _ => month_from_march - 9,
        };
        let year = era * 400 + year_of_era + i64::from(month <= 2);
        Self::new(
            u16::try_from(year).ok()?,
            u8::try_from(month).ok()?,
            u8::try_from(day).ok()?,
        )
    }

    /// The months from January of the year 0 to its own.
    pub fn months(self) -> i64 {
        i64::from(self.year) * 12 + i64::from(self.month) - 1
    }

    /// The days from 1970-01-01 to this one.
    pub fn days(self) -> i64 {
        let (year, month, day) = (
            i64::from(self.year),
            i64::from(self.month),
            i64::from(self.day),
        );
        let year = year - i64::from(month <= 2);
        let month_from_march = (month + 9) % 12;
        let day_of_year = (153 * month_from_march + 2) / 5 + day - 1;
        365 * year + year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400) + day_of_year
            - TO_1970
    }
}

/// Whether a text has the form of a date, be it one of the calendar or not.
pub fn is_written_as_date(text: &str) -> bool {
    let form = text.bytes().enumerate();
    text.len() == 10
        && form.into_iter().all(|(at, byte)| match at {
            4 | 7 => byte == b'-',
            _ => byte.is_ascii_digit(),
        })
}

fn days_of(year: u16, month: u8) -> u8 {
    let is_leap = year.is_multiple_of(4) && !year.is_multiple_of(100) || year.is_multiple_of(400);
    match month {
        2 if is_leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { year, month, day } = self;
        write!(f, "{year:04}-{month:02}-{day:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_day_is_the_day_after_the_one_before() {
        let mut date = Date::new(1, 1, 1).unwrap();
        let first = date.days();
        for days in first.. {
            assert_eq!(date.days(), days, "{date}");
            assert_eq!(Date::of_days(days), Some(date));
            assert_eq!(Date::read(&date.to_string()), Some(date));
            let Date { year, month, day } = date;
            let next = Date::new(year, month, day + 1)
                .or_else(|| Date::new(year, month + 1, 1))
                .or_else(|| Date::new(year + 1, 1, 1));
            match next {
                Some(next) => date = next,
                None => break,
            }
        }
        assert_eq!(date.to_string(), "9999-12-31");
        assert_eq!(Date::of_days(date.days() + 1), None);
        // Common practice, no source: the zero of the clocks of computers.
        assert_eq!(Date::of_days(0).unwrap().to_string(), "1970-01-01");
    }
}
