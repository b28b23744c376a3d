//! What a number counts from: the marks that a dimension does not carry.
//!
//! Gauge and absolute pressures, temperature points and intervals, and decibels have the dimension
//! of plain quantities but obey rules of their own: those of pressures and temperatures stand in
//! `datum`, those of levels in `level`, and turning has its own file.

use super::{Datum, Form, Scale, Weight, datum, level};
use crate::quantity::Dimension;

/// What a number counts from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// From nothing in particular.
    Plain,
    /// It depends on names without a value.
    Unknown,
    /// A temperature or a point of time, and how often it contains its datum.
    Scaled(Scale, Weight),
    /// A pressure with the datum from which it counts, and how often it contains that.
    Pressure(Datum, Weight),
    /// A force, moment or energy reckoned from pressures with this datum.
    Reckoned(Datum),
    /// A level in decibels.
    Level,
}

/// A broken rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fault {
    /// Gauge and absolute in one sum; the indices of the two terms.
    GaugeWithAbsolute(usize, usize),
    /// A gauge pressure (the index of its factor) where absolute is needed.
    NeedsAbsolute(usize),
    /// A sum of points of a scale used in a product; the index of its factor.
    Points(usize),
    /// A point of time in a product or a power; the index of its factor.
    Moment(usize),
    /// Points of time that count from different zeros; the indices of two.
    Clocks(usize, usize),
    /// A temperature written in `degC` among the factors of a product; the index of its factor.
    WrittenPoint(usize),
    /// The magnitude or the sign of a point on a scale; its index.
    Magnitude(usize),
    /// A level in a product, a ratio, a power or a function; its index.
    Level(usize),
    /// A level beside a number that is none, in a sum; the index of the other.
    BesideLevel(usize),
}

/// A term of a sum.
#[derive(Debug, Clone, Copy)]
pub struct Part {
    /// Whether a minus stands before it.
    pub negative: bool,
    /// Its reading.
    pub reading: Reading,
    /// Whether it is the plain number 0, which fits anything.
    pub is_zero: bool,
    /// Whether it is a plain number of the author's, as written or by name.
    pub is_number: bool,
}

impl Part {
    pub(super) fn sign(&self) -> f64 {
        if self.negative { -1.0 } else { 1.0 }
    }
}

/// The reading of a sum.
pub fn sum(parts: &[Part]) -> Result<Reading, Fault> {
    if let Some(fault) = datum::clash(parts).or_else(|| datum::clocks(parts)) {
        return Err(fault);
    }
    if parts.iter().any(|part| part.reading == Reading::Unknown) {
        return Ok(Reading::Unknown);
    }
    if let Some(reading) = datum::pressures(parts).or_else(|| datum::scaled(parts)) {
        return Ok(reading);
    }
    Ok(level::sum(parts)?.unwrap_or(Reading::Plain))
}

/// A factor of a product.
#[derive(Debug, Clone)]
pub struct FactorPart {
    /// Whether it stands below the line.
    pub below: bool,
    /// Its dimension.
    pub form: Form,
    /// Its reading.
    pub reading: Reading,
    /// Its value, when it is a plain number as written.
    pub literal: Option<f64>,
    /// Its value, when it is a plain number of the author's, as written or by name.
    pub number: Option<f64>,
    /// Whether it is a temperature as written, in a unit that counts from a point of a scale.
    pub is_written_point: bool,
    /// Whether it is `log10(…)`, of which 10 and 20 make decibels.
    pub is_log10: bool,
}

/// The reading of a product with the dimension `result`.
pub fn product(factors: &[FactorPart], result: &Form) -> Result<Reading, Fault> {
    if factors
        .iter()
        .all(|factor| factor.reading == Reading::Plain && !factor.is_log10)
    {
        return Ok(plain_product(result));
    }
    if let Some(at) = datum::gauge_where_absolute_is_needed(factors) {
        return Err(Fault::NeedsAbsolute(at));
    }
    if factors
        .iter()
        .any(|factor| factor.reading == Reading::Unknown || factor.form.dimension().is_none())
    {
        return Ok(Reading::Unknown);
    }
    if let Some(reading) = level::product(factors, result)? {
        return Ok(reading);
    }
    if let Some(reading) = datum::scaled_product(factors, result)? {
        return Ok(reading);
    }
    if let Some(reading) = datum::pressure_product(factors, result) {
        return Ok(reading);
    }
    Ok(plain_product(result))
}

/// A temperature that was computed from other quantities has no datum of its own.
pub(super) fn plain_product(result: &Form) -> Reading {
    if result.dimension() == Some(Dimension::temperature()) {
        Reading::EITHER
    } else {
        Reading::Plain
    }
}
