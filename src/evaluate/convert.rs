//! From coherent SI to the unit that was asked, by what the number counts from.

use crate::dimensions::{Counts, Reading, turning_factor, turning_power};
use crate::functions::Measured;
use crate::precise::{Precise, Rational};
use crate::quantity::Unit;

/// A value of SI size `si` with this reading, in `unit`.
///
/// A temperature interval takes no offset; turns are converted to radians and back where the
/// quantity and the unit each say which they count.
pub fn in_unit(si: f64, reading: Reading, counts: Counts, unit: &Unit) -> f64 {
    if reading.is_interval() {
        si / unit.factor()
    } else {
        unit.from_si(si * turning_factor(counts, unit))
    }
}

/// As [`in_unit`], with a bound on the rounding.
pub(super) fn measured_in_unit(
    si: Measured,
    reading: Reading,
    counts: Counts,
    unit: &Unit,
) -> Measured {
    if reading.is_interval() {
        unit.interval().measured_reading(si)
    } else {
        let factor = turning_factor(counts, unit);
        match factor == 1.0 {
            true => unit.measured_reading(si),
            false => unit.measured_reading(si.times(Measured::new(factor, 0.0))),
        }
    }
}

/// As [`in_unit`], exactly.
pub(super) fn precise_in_unit(
    si: &Precise,
    reading: Reading,
    counts: Counts,
    unit: &Unit,
) -> Precise {
    if reading.is_interval() {
        si.over(&unit.precise_factor())
    } else {
        unit.precise_reading(&si.times(&turns(counts, unit)))
    }
}

/// The SI size, with this reading, of a value in `unit`: the inverse of [`in_unit`].
pub fn to_si(value: f64, reading: Reading, counts: Counts, unit: &Unit) -> f64 {
    if reading.is_interval() {
        value * unit.factor()
    } else {
        unit.to_si(value) / turning_factor(counts, unit)
    }
}

/// A difference of SI size `si` between such values, in `unit`: without a datum.
pub fn size_in_unit(si: f64, counts: Counts, unit: &Unit) -> f64 {
    si * turning_factor(counts, unit) / unit.factor().abs()
}

/// As [`to_si`], exactly.
pub(super) fn precise_to_si(
    value: &Precise,
    reading: Reading,
    counts: Counts,
    unit: &Unit,
) -> Precise {
    if reading.is_interval() {
        value.times(&unit.precise_factor())
    } else {
        unit.precise(value).over(&turns(counts, unit))
    }
}

/// 2π to the power that lies between what is counted and what the unit counts.
fn turns(counts: Counts, unit: &Unit) -> Precise {
    let power = turning_power(counts, unit);
    let power = Rational::new((*power.numer()).into(), (*power.denom()).into());
    let circle = Precise::pi().times(&Precise::whole(2));
    circle.power(&Precise::rational(power))
}
