//! Numbers on a grid, counted in decimals: no step is rounded.

/// So many values may a datum have.
pub(super) const MOST_VALUES: i128 = 10_000;

/// Why there is no grid.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum NoGrid {
    /// A number is none that can be counted in: it has too many digits.
    TooLong,
    /// It leads nowhere: the first is the last.
    OneValue,
    /// It does not lead upward.
    Downward,
    /// The step does not lead from one end to the other; the nearest that do.
    NoStep(Vec<String>),
    /// Too many values: so many.
    TooMany(i128),
}

/// A decimal number as it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Written {
    /// Its digits as a whole number, with its sign.
    digits: i128,
    /// The power of ten of the last of them.
    last: i32,
    /// The power of ten behind it, where one is written.
    power: i32,
}

/// The largest power of ten that numbers of a grid differ by.
const MOST_POWER: u32 = 30;

fn written(text: &str) -> Option<Written> {
    let plain = crate::text::decimal(text);
    let (mantissa, power) = plain.split_once(['e', 'E']).unwrap_or((&plain, "0"));
    let power: i32 = power.parse().ok()?;
    let (whole, decimals) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let digits: i128 = format!("{whole}{decimals}").parse().ok()?;
    let last = power.checked_sub(i32::try_from(decimals.len()).ok()?)?;
    Some(Written {
        digits,
        last,
        power,
    })
}

/// Whether a text is one decimal number.
pub(super) fn is_decimal(text: &str) -> bool {
    written(text).is_some()
}

impl Written {
    /// It in so many units of a power of ten that is no greater than that of its last digit.
    fn units(self, last: i32) -> Option<i128> {
        let places = u32::try_from(self.last.checked_sub(last)?).ok()?;
        let scale = (places <= MOST_POWER).then(|| 10_i128.checked_pow(places))??;
        self.digits.checked_mul(scale)
    }
}

/// The numbers from one to another in steps, with the decimals of the step, or of the first number
/// where that has more.
pub(super) fn grid(from: &str, to: &str, step: &str) -> Result<Vec<String>, NoGrid> {
    let all = (written(from), written(to), written(step));
    let (Some(first), Some(to), Some(by)) = all else {
        return Err(NoGrid::TooLong);
    };
    let last = first.last.min(to.last).min(by.last);
    let units = (first.units(last), to.units(last), by.units(last));
    let (Some(start), Some(end), Some(step)) = units else {
        return Err(NoGrid::TooLong);
    };
    let whole = end.checked_sub(start).ok_or(NoGrid::TooLong)?;
    if whole == 0 {
        return Err(NoGrid::OneValue);
    }
    if whole < 0 || step <= 0 {
        return Err(NoGrid::Downward);
    }
    if whole % step != 0 {
        return Err(NoGrid::NoStep(nearest(whole, step, last, by)));
    }
    let count = whole / step + 1;
    if count > MOST_VALUES {
        return Err(NoGrid::TooMany(count));
    }
    let printed = first.last.min(by.last);
    let numbers = (0..count).map(|at| {
        let units = start + at * step;
        // Nothing is lost: both the first number and the step end there.
        let scale = 10_i128.pow(u32::try_from(printed - last).unwrap_or(0));
        text(units / scale, printed, first.power)
    });
    Ok(numbers.collect())
}

/// The nearest steps below and above one that lead there, with its decimals.
fn nearest(whole: i128, step: i128, last: i32, by: Written) -> Vec<String> {
    let place = u32::try_from(by.last - last).unwrap_or(0);
    let place = 10_i128.pow(place.min(MOST_POWER));
    // Steps of its own decimals; so few are looked at that nobody waits.
    let leads = |units: &i128| *units > 0 && *units < whole && whole % units == 0;
    let below = (1..=MOST_VALUES)
        .map(|at| step - at * place)
        .take_while(|units| *units > 0)
        .find(leads);
    let above = (1..=MOST_VALUES).map(|at| step + at * place).find(leads);
    let found = below.into_iter().chain(above);
    found
        .map(|units| text(units / place, by.last, by.power))
        .collect()
}

/// A number of units of a power of ten, with a power of ten behind it as it was written.
fn text(units: i128, last: i32, power: i32) -> String {
    let sign = if units < 0 { "-" } else { "" };
    let digits = units.unsigned_abs().to_string();
    let decimals = power - last;
    let mantissa = match usize::try_from(decimals) {
        Ok(0) => digits,
        Ok(decimals) => {
            let padded = format!("{digits:0>width$}", width = decimals + 1);
            let (whole, part) = padded.split_at(padded.len() - decimals);
            format!("{whole}.{part}")
        }
        // The last digit stands left of the point.
        Err(_) => {
            let zeros = usize::try_from(-decimals).unwrap_or(0);
            match units {
                0 => digits,
                _ => format!("{digits}{}", "0".repeat(zeros)),
            }
        }
    };
    match power {
        0 => format!("{sign}{mantissa}"),
        power => format!("{sign}{mantissa}e{power}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of(from: &str, to: &str, step: &str) -> String {
        match grid(from, to, step) {
            Ok(all) => all.join(" "),
            Err(why) => format!("{why:?}"),
        }
    }

    #[test]
    fn a_grid_has_the_decimals_of_its_step() {
        assert_eq!(of("0", "0.4", "0.1"), "0.0 0.1 0.2 0.3 0.4");
        assert_eq!(of("10.0", "11.0", "0.5"), "10.0 10.5 11.0");
        assert_eq!(of("3.60", "4.00", "0.20"), "3.60 3.80 4.00");
        assert_eq!(of("-10", "10", "10"), "-10 0 10");
        assert_eq!(of("1e-6", "1.2e-6", "1e-7"), "1.0e-6 1.1e-6 1.2e-6");
        assert_eq!(of("1.01e5", "1.03e5", "1e3"), "1.01e5 1.02e5 1.03e5");
        assert_eq!(of("100", "1e3", "450"), "100 550 1000");
    }

    #[test]
    fn a_step_that_does_not_lead_there_has_neighbours_that_do() {
        let steps = |all: &[&str]| {
            let all = all.iter().map(|it| (*it).to_owned()).collect();
            format!("{:?}", NoGrid::NoStep(all))
        };
        assert_eq!(of("70", "100", "7"), steps(&["6", "10"]));
        assert_eq!(of("0.0", "1.0", "0.3"), steps(&["0.2", "0.5"]));
        assert_eq!(of("0", "1", "3"), steps(&["1"]).replace("\"1\"", ""));
        assert_eq!(of("5", "5", "1"), "OneValue");
        assert_eq!(of("100", "70", "5"), "Downward");
        assert_eq!(of("70", "100", "0"), "Downward");
        assert_eq!(of("0", "100", "0.001"), "TooMany(100001)");
        assert_eq!(of("0", "1e300", "1"), "TooLong");
    }

    proptest! {
        /// Every value is what whole numbers of the last place come to, none is rounded.
        #[test]
        fn a_grid_is_exact(start in -5000_i64..5000, step in 1_i64..500, count in 1_i64..200, decimals in 0_usize..6) {
            let plain = |units: i64| {
                let sign = if units < 0 { "-" } else { "" };
                let digits = format!("{:0>width$}", units.unsigned_abs(), width = decimals + 1);
                let (whole, part) = digits.split_at(digits.len() - decimals);
                let point = if decimals > 0 { "." } else { "" };
                format!("{sign}{whole}{point}{part}")
            };
            let found = grid(&plain(start), &plain(start + step * count), &plain(step));
            let wanted: Vec<String> = (0..=count).map(|at| plain(start + at * step)).collect();
            prop_assert_eq!(found, Ok(wanted));
        }

        /// A step that is proposed leads there.
        #[test]
        fn a_neighbour_leads_there(whole in 2_i64..3000, step in 1_i64..300) {
            if let Err(NoGrid::NoStep(all)) = grid("0", &whole.to_string(), &step.to_string()) {
                for other in all {
                    prop_assert!(grid("0", &whole.to_string(), &other).is_ok());
                }
            }
        }
    }
}
