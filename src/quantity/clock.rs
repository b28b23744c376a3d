//! Points of time: from what they count, and how they are written (ISO 8601-1).

use crate::text::Date;

/// From what a point of time counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Clock {
    /// From 1970-01-01; else from the midnight of its day.
    pub has_date: bool,
    /// By universal time; else by that of the place.
    pub is_universal: bool,
}

/// The seconds of a day.
pub const SECONDS_OF_DAY: i128 = 86_400;

impl Clock {
    /// What a reading is called.
    pub fn noun(self) -> &'static str {
        match self.has_date {
            true => "date",
            false => "clock reading",
        }
    }

    /// How [`Clock::text`] writes it.
    pub fn pattern(self) -> &'static str {
        match self.has_date {
            true => "YYYY-MM-DDThh:mm:ss",
            false => "hh:mm:ss",
        }
    }

    /// From what its seconds count, in words.
    pub fn zero(self) -> &'static str {
        match (self.has_date, self.is_universal) {
            (false, false) => "since midnight",
            (false, true) => "since midnight UTC",
            (true, false) => "since 1970-01-01T00:00:00",
            (true, true) => "since 1970-01-01T00:00:00Z",
        }
    }

    /// The point with so many seconds from the zero: `09:20:05.25`, `2026-03-12T09:20:05Z`; `None`
    /// beyond the calendar. The seconds are a whole number times a power of ten that is not
    /// positive.
    pub fn text(self, digits: i128, power: i32) -> Option<String> {
        let places = power
            .checked_neg()
            .and_then(|it| usize::try_from(it).ok())?;
        let one = 10_i128.checked_pow(u32::try_from(places).ok()?)?;
        let is_before = digits < 0 && !self.has_date;
        let digits = if is_before { -digits } else { digits };
        let (whole, part) = (digits.div_euclid(one), digits.rem_euclid(one));
        let (days, of_day) = match self.has_date {
            true => (
                whole.div_euclid(SECONDS_OF_DAY),
                whole.rem_euclid(SECONDS_OF_DAY),
            ),
            // Beyond midnight the hours count on.
            false => (0, whole),
        };
        let mut text = match self.has_date {
            true => format!("{}T", Date::of_days(i64::try_from(days).ok()?)?),
            false => String::new(),
        };
        if is_before {
            text.push('-');
        }
        let [hours, minutes, seconds] = [of_day / 3600, of_day / 60 % 60, of_day % 60];
        text.push_str(&format!("{hours:02}:{minutes:02}:{seconds:02}"));
        if places > 0 {
            text.push_str(&format!(".{part:0>places$}"));
        }
        if self.is_universal {
            text.push('Z');
        }
        Some(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_of_time_is_written_by_iso_8601() {
        let clock = |has_date, is_universal| Clock {
            has_date,
            is_universal,
        };
        let day = clock(false, false);
        assert_eq!(day.text(33_605, 0).unwrap(), "09:20:05");
        assert_eq!(day.text(3_360_525, -2).unwrap(), "09:20:05.25");
        assert_eq!(day.text(86_400 + 60, 0).unwrap(), "24:01:00");
        assert_eq!(day.text(-60, 0).unwrap(), "-00:01:00");
        // Common practice, no source: the first billion of a computer's clock.
        let date = clock(true, true);
        assert_eq!(date.text(1_000_000_000, 0).unwrap(), "2001-09-09T01:46:40Z");
        let local = clock(true, false);
        assert_eq!(local.text(-5, -1).unwrap(), "1969-12-31T23:59:59.5");
        assert_eq!(local.text(i128::from(u64::MAX), 0), None);
    }
}
