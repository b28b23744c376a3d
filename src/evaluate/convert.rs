//! From coherent SI to the unit that was asked, by what the number counts from.

use std::f64::consts::TAU;

use crate::dimensions::{Reading, Turn, turn_of};
use crate::quantity::Unit;

/// A value of SI size `si` with this reading, in `unit`.
///
/// A temperature interval takes no offset; a rate is converted between revolutions and radians
/// where reading and unit each say which they count.
pub fn in_unit(si: f64, reading: Reading, unit: &Unit) -> f64 {
    match reading {
        reading if reading.is_interval() => si / unit.factor(),
        Reading::Turn(turn) => unit.from_si(si * turn_factor(turn, unit)),
        _ => unit.from_si(si),
    }
}

/// The SI size, with this reading, of a value in `unit`: the inverse of [`in_unit`].
pub fn to_si(value: f64, reading: Reading, unit: &Unit) -> f64 {
    match reading {
        reading if reading.is_interval() => value * unit.factor(),
        Reading::Turn(turn) => unit.to_si(value) / turn_factor(turn, unit),
        _ => unit.to_si(value),
    }
}

/// A difference of SI size `si` between values with this reading, in `unit`: without a datum.
pub fn size_in_unit(si: f64, reading: Reading, unit: &Unit) -> f64 {
    let size = si / unit.factor().abs();
    match reading {
        Reading::Turn(turn) => size * turn_factor(turn, unit),
        _ => size,
    }
}

fn turn_factor(turn: Turn, unit: &Unit) -> f64 {
    match (turn, turn_of(unit.mark())) {
        (Turn::Revolutions | Turn::Cycles, Some(Turn::Radians)) => TAU,
        (Turn::Radians, Some(Turn::Revolutions | Turn::Cycles)) => 1.0 / TAU,
        _ => 1.0,
    }
}
