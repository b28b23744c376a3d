//! What is accepted as an answer.

use crate::quantity::{Unit, Within};
use crate::worksheet::Shown;

/// The accepted range of an answer, in the unit that is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Accepted {
    /// The ends, both included; of a vector those of each component.
    pub ends: Vec<(f64, f64)>,
    /// The same as they are printed.
    pub printed: Vec<(String, String)>,
    /// The unit in which they count.
    pub unit: Box<str>,
}

/// The range about an answer: the tolerance, at least half a unit of the last figure that is
/// asked, each end rounded outward to the decimal place behind that figure. Of a vector a share is
/// taken of the largest component.
pub fn accepted(answer: &Shown, within: &Within) -> Accepted {
    let tolerance = tolerance(&answer.values, within, &answer.unit);
    let last = |at: usize| answer.digits.get(at).map_or(-6, |it| it.last_place());
    let ends: Vec<((f64, f64), (String, String))> = (answer.values.iter().enumerate())
        .map(|(at, value)| self::ends(*value, tolerance, last(at)))
        .collect();
    let (ends, printed) = ends.into_iter().unzip();
    Accepted {
        ends,
        printed,
        unit: answer.unit.text().into(),
    }
}

/// How far an answer of some components in a unit may be off.
pub fn tolerance(values: &[f64], within: &Within, unit: &Unit) -> f64 {
    let largest = (values.iter()).fold(0.0_f64, |most, value| most.max(value.abs()));
    match within.is_share() {
        true => largest * within.number() * within.unit().factor(),
        false => within.number() * within.unit().ratio(&unit.interval()),
    }
}

/// The ends of what is accepted about a value whose last figure stands at a decimal place, and how
/// they are printed.
pub fn ends(value: f64, tolerance: f64, place: i32) -> ((f64, f64), (String, String)) {
    let reach = tolerance.max(0.5 * 10.0_f64.powi(place));
    outward(value - reach, value + reach, place - 1)
}

/// Both ends at a decimal place, the lower one rounded down and the upper one up; with their text.
fn outward(low: f64, high: f64, place: i32) -> ((f64, f64), (String, String)) {
    // A digit that only rounding has beyond the place moves no end.
    const SLACK: f64 = 1e-9;
    let scale = 10.0_f64.powi(-place);
    let low = decimal((low * scale + SLACK).floor(), place);
    let high = decimal((high * scale - SLACK).ceil(), place);
    ((low.0, high.0), (low.1, high.1))
}

/// A whole number of units of a decimal place: its value, and how it is printed.
fn decimal(count: f64, place: i32) -> (f64, String) {
    let text = format!("{count:.0}e{place}");
    let value: f64 = text.parse().unwrap_or(f64::NAN);
    let decimals = usize::try_from(-place).unwrap_or(0);
    (value, format!("{value:.decimals$}").replace('-', "−"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_rounded_outward_behind_the_last_figure() {
        // 17.4 to three figures within 1 %: 17.234 to 17.582.
        let ((low, high), (from, to)) = outward(17.2336, 17.5818, -2);
        assert_eq!((low, high), (17.23, 17.59));
        assert_eq!((from.as_str(), to.as_str()), ("17.23", "17.59"));
        // What lies on a place stays there.
        assert_eq!(outward(0.1 + 0.2, 0.7, -1).0, (0.3, 0.7));
        // Below zero the lower end is the greater number.
        assert_eq!(
            outward(-561.83, -539.78, -1).1,
            ("−561.9".into(), "−539.7".into())
        );
        assert_eq!(outward(1049.0, 1091.2, 0).1, ("1049".into(), "1092".into()));
    }
}
