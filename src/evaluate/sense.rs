//! How a result goes with a given: derivatives, exponents, limits.

use super::program::Fault;
use super::value::Value;
use crate::functions;

/// How a result goes with a given, at the values of the data.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// The result, in coherent SI units.
    pub value: f64,
    /// The given, likewise.
    pub with: f64,
    /// The derivative of the result by the given, likewise.
    pub derivative: Value,
}

/// A derivative below this part of the result for a change of the given by itself is rounding.
const NOTHING: f64 = 1e-10;

impl Trend {
    /// By how many times its own size the result changes when the given changes by its own size:
    /// the exponent with which it varies here. `None` where the result is zero.
    pub fn exponent(&self) -> Option<f64> {
        (self.value != 0.0).then(|| self.derivative.at(0) * self.with / self.value)
    }

    /// The change of the result for a change of the given by its own size.
    fn effect(&self) -> f64 {
        if self.with == 0.0 {
            self.derivative.at(0)
        } else {
            self.derivative.at(0) * self.with.abs()
        }
    }

    /// Whether the result rises with the given.
    pub fn rises(&self) -> bool {
        self.effect() > NOTHING * self.value.abs()
    }

    /// Whether the result falls with the given.
    pub fn falls(&self) -> bool {
        self.effect() < -NOTHING * self.value.abs()
    }

    /// Whether the result varies with this power of the given, within a part of the exponent.
    pub fn varies_as(&self, exponent: f64, tolerance: f64) -> bool {
        self.exponent().is_some_and(|found| {
            (found - exponent).abs() <= tolerance * exponent.abs().max(f64::MIN_POSITIVE)
                || (exponent == 0.0 && found.abs() <= NOTHING)
        })
    }
}

/// How much a given matters for a result.
#[derive(Debug, Clone, PartialEq)]
pub struct Influence {
    /// The index of the given among those of the problem.
    pub given: usize,
    /// How the result goes with it.
    pub trend: Trend,
}

impl Influence {
    /// The change of the result, as a part of it, for a change of the given by 1 %.
    pub fn change(&self) -> Option<f64> {
        self.trend.exponent().map(|exponent| exponent / 100.0)
    }
}

/// Where a limit is taken, or what it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Toward {
    /// A number in coherent SI units.
    Value(f64),
    /// Beyond every bound.
    Infinity { negative: bool },
}

/// What was found about a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Approach {
    /// It tends to what is claimed; the last value that was computed on the way.
    Reached(f64),
    /// It does not; the last value.
    Missed(f64),
    /// The values do not settle.
    Unclear,
}

/// How many places on the way are looked at, over ten decades: farther out the rounding of large
/// angles looks like a limit.
const PLACES: i32 = 40;
/// A limit is reached when what is left has shrunk to this part.
const CLOSE: f64 = 1e-5;

/// Follows a result while a given tends to an end, from `start`, and compares with `claimed`.
///
/// Where the result has a value at the end itself, and comes close to it on the way, that is its
/// limit. `operating` is the result at the data, against which small and large are judged.
pub(super) fn limit(
    result: &mut dyn FnMut(f64) -> Result<f64, Fault>,
    start: f64,
    end: Toward,
    claimed: Toward,
    operating: f64,
) -> Approach {
    let mut on_the_way = |sign: f64| -> Vec<f64> {
        (1..=PLACES)
            .map(|step| match end {
                Toward::Value(end) => {
                    let size = if start == end {
                        end.abs().max(1.0)
                    } else {
                        (start - end).abs()
                    };
                    // Beside a number that is not zero the places run out sooner.
                    let decades = if end == 0.0 { 0.25 } else { 0.2 };
                    end + sign * size * 10_f64.powf(-decades * f64::from(step))
                }
                Toward::Infinity { negative } => {
                    let size = if start == 0.0 { 1.0 } else { start.abs() };
                    let far = size * 10_f64.powf(0.25 * f64::from(step));
                    if negative { -far } else { far }
                }
            })
            .map_while(|place| result(place).ok())
            .collect()
    };
    let side = match end {
        Toward::Value(end) if start < end => -1.0,
        _ => 1.0,
    };
    let mut ways = vec![on_the_way(side)];
    if let Toward::Value(_) = end {
        ways.push(on_the_way(-side));
    }
    // Beyond the end of its domain a result has no values: the other side then decides.
    ways.retain(|way| way.len() >= 4);
    let verdicts: Vec<Approach> = ways
        .iter()
        .map(|way| settles(way, claimed, operating))
        .collect();
    let missed = verdicts
        .iter()
        .find(|verdict| matches!(verdict, Approach::Missed(_)));
    let unclear = verdicts.contains(&Approach::Unclear);
    match (missed, unclear, verdicts.first()) {
        (Some(missed), ..) => *missed,
        (None, false, Some(first)) => *first,
        _ => Approach::Unclear,
    }
}

/// Whether a row of values tends to what is claimed.
fn settles(way: &[f64], claimed: Toward, operating: f64) -> Approach {
    let [.., before, last] = way else {
        return Approach::Unclear;
    };
    match claimed {
        Toward::Infinity { negative } => {
            let sign = if negative { -1.0 } else { 1.0 };
            let grows = way
                .windows(2)
                .rev()
                .take(3)
                .all(|pair| sign * pair[1] > sign * pair[0]);
            let large = sign * last > 1e3 * operating.abs() && sign * last > 0.0;
            match (grows, large) {
                (true, true) => Approach::Reached(*last),
                (true, false) if sign * (last - before) > 0.1 * (last.abs()) => {
                    Approach::Reached(*last)
                }
                (true, false) => Approach::Unclear,
                _ => Approach::Missed(*last),
            }
        }
        Toward::Value(value) => {
            // A limit is as close as its own size demands; beside zero, as that of the result.
            let scale = if value == 0.0 {
                operating.abs()
            } else {
                value.abs()
            };
            let left = |reached: f64| (reached - value).abs();
            // What is left shrinks by the same part from place to place.
            let shrinks = way.len() > 8
                && (way.windows(2).rev().take(8)).all(|pair| left(pair[1]) < 0.8 * left(pair[0]));
            let settled_there =
                (way.iter().rev().take(3)).all(|reached| left(*reached) <= CLOSE * scale);
            if settled_there || shrinks {
                return Approach::Reached(*last);
            }
            let settled = (way.windows(2).rev().take(4)).all(|pair| {
                functions::is_same(pair[0], pair[1])
                    || (pair[1] - pair[0]).abs() <= 0.01 * (pair[1] - value).abs()
            });
            let runs_away = last.abs() > 1e3 * scale;
            if settled || runs_away {
                Approach::Missed(*last)
            } else {
                Approach::Unclear
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn approach(function: fn(f64) -> f64, start: f64, end: Toward, claimed: Toward) -> Approach {
        limit(
            &mut |x| Ok(function(x)),
            start,
            end,
            claimed,
            function(start),
        )
    }

    fn reaches(function: fn(f64) -> f64, start: f64, end: Toward, claimed: Toward) -> bool {
        matches!(
            approach(function, start, end, claimed),
            Approach::Reached(_)
        )
    }

    const INFINITY: Toward = Toward::Infinity { negative: false };

    #[test]
    fn limits_are_followed() {
        assert!(reaches(
            |x| x * x,
            3.0,
            Toward::Value(0.0),
            Toward::Value(0.0)
        ));
        assert!(reaches(
            |x| x.sin() / x,
            0.5,
            Toward::Value(0.0),
            Toward::Value(1.0)
        ));
        assert!(reaches(|x| 1.0 / x, 3.0, INFINITY, Toward::Value(0.0)));
        assert!(reaches(
            |x| 1.0 / (x * x),
            3.0,
            Toward::Value(0.0),
            INFINITY
        ));
        assert!(reaches(
            |x| x / (1.0 + x),
            3.0,
            INFINITY,
            Toward::Value(1.0)
        ));
    }

    #[test]
    fn wrong_limits_are_missed() {
        let missed = |found| matches!(found, Approach::Missed(_));
        assert!(missed(approach(
            |x| x + 1.0,
            3.0,
            Toward::Value(0.0),
            Toward::Value(0.0)
        )));
        assert!(missed(approach(
            |x| 1.0 / x,
            3.0,
            Toward::Value(0.0),
            INFINITY
        )));
        assert!(missed(approach(|x| 1.0 + 1.0 / x, 3.0, INFINITY, INFINITY)));
    }

    #[test]
    fn what_does_not_settle_is_unclear() {
        let found = approach(
            |x| (1.0 / x).sin(),
            3.0,
            Toward::Value(0.0),
            Toward::Value(0.3),
        );
        assert_eq!(found, Approach::Unclear);
    }

    #[test]
    fn a_trend_is_read_from_its_derivative() {
        let trend = Trend {
            value: 9.0,
            with: 3.0,
            derivative: Value::one(6.0),
        };
        assert!(trend.rises() && !trend.falls());
        assert_eq!(trend.exponent(), Some(2.0));
        assert!(trend.varies_as(2.0, 1e-6) && !trend.varies_as(1.9, 0.01));
    }
}
