//! From coherent SI to the unit that was asked, by what the number counts from.

use crate::dimensions::{Counts, Reading, turning_factor};
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
