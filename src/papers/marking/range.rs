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
    /// How far each component may be off, before the ends are rounded.
    pub reaches: Vec<f64>,
}

/// The range about an answer: the tolerance, at least half a unit of the last figure that is
/// asked, each end rounded outward to the decimal place behind that figure. Of a vector a share is
/// taken of the largest component.
pub fn accepted(answer: &Shown, within: &Within) -> Accepted {
    let last = |at: usize| answer.digits.get(at).map_or(-6, |it| it.last_place());
    let places: Vec<i32> = (0..answer.values.len()).map(last).collect();
    about(&answer.values, &places, &answer.unit, within)
}

/// The same about values in a unit, of which the last figures stand at these decimal places.
pub fn about(values: &[f64], places: &[i32], unit: &Unit, within: &Within) -> Accepted {
    let largest = values
        .iter()
        .fold(0.0_f64, |most, value| most.max(value.abs()));
    let tolerance = match within.is_share() {
        true => largest * within.number() * within.unit().factor(),
        false => within.number() * within.unit().ratio(&unit.interval()),
    };
    let mut found = Accepted {
        ends: Vec::new(),
        printed: Vec::new(),
        unit: unit.text().into(),
        reaches: Vec::new(),
    };
    for (value, place) in values.iter().zip(places) {
        let reach = tolerance.max(0.5 * 10.0_f64.powi(*place));
        let (ends, printed) = outward(value - reach, value + reach, place - 1);
        found.ends.push(ends);
        found.printed.push(printed);
        found.reaches.push(reach);
    }
    found
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
