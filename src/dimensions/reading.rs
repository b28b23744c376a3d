//! What a number counts from: the marks that a dimension does not carry.
//!
//! Gauge and absolute pressures, temperature points and intervals, and decibels have the dimension
//! of plain quantities but obey rules of their own; turning has its own file. A reading
//! carries how many times it contains its datum (a point 1, an interval 0): sums add that
//! weight, plain numbers scale it, and only weights 0 and 1 may be shown or used.

use super::Form;
use crate::quantity::{Dimension, Exponent};

/// The datum of a pressure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Datum {
    /// The atmosphere.
    Gauge,
    /// Vacuum.
    Absolute,
}

impl Datum {
    /// The word a worksheet uses for it.
    pub fn word(self) -> &'static str {
        match self {
            Datum::Gauge => "gauge",
            Datum::Absolute => "abs",
        }
    }
}

/// What a number counts from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// From nothing in particular.
    Plain,
    /// It depends on names without a value.
    Unknown,
    /// A temperature that contains its datum at least `low` and at most `high` times: 1 for a
    /// point, 0 for an interval. A literal in K goes as either, so it is 0 to 1.
    Temperature {
        /// The least weight it may have.
        low: f64,
        /// The greatest.
        high: f64,
    },
    /// A pressure as it is read.
    Pressure {
        /// From where it counts.
        datum: Datum,
        /// How often it contains that datum.
        weight: f64,
    },
    /// A force, moment or energy reckoned from pressures with this datum.
    Reckoned(Datum),
    /// A level in decibels.
    Level,
}

impl Reading {
    /// A temperature on a scale.
    pub const POINT: Reading = Reading::Temperature {
        low: 1.0,
        high: 1.0,
    };
    /// A difference of temperatures.
    pub const INTERVAL: Reading = Reading::Temperature {
        low: 0.0,
        high: 0.0,
    };
    /// A temperature without a datum, which goes as a point and as an interval.
    pub const EITHER: Reading = Reading::Temperature {
        low: 0.0,
        high: 1.0,
    };

    fn reaches(self, weight: f64) -> bool {
        matches!(self, Reading::Temperature { low, high }
            if low - 1e-9 <= weight && weight <= high + 1e-9)
    }

    /// Whether it is a temperature that can only be an interval.
    pub fn is_interval(self) -> bool {
        self.reaches(0.0) && !self.reaches(1.0)
    }

    /// Whether it is a temperature that can only be a point.
    pub fn is_point(self) -> bool {
        self.reaches(1.0) && !self.reaches(0.0)
    }

    /// Whether it is a temperature that is neither a point nor an interval.
    pub fn is_sum_of_points(self) -> bool {
        matches!(self, Reading::Temperature { .. }) && !self.reaches(0.0) && !self.reaches(1.0)
    }

    /// The reading with its weight multiplied.
    pub fn scaled(self, scale: f64) -> Reading {
        match self {
            Reading::Temperature { low, high } => Reading::Temperature {
                low: (low * scale).min(high * scale),
                high: (low * scale).max(high * scale),
            },
            Reading::Pressure { datum, weight } => Reading::Pressure {
                datum,
                weight: weight * scale,
            },
            other => other,
        }
    }
}

/// A broken rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fault {
    /// Gauge and absolute in one sum; the indices of the two terms.
    GaugeWithAbsolute(usize, usize),
    /// A gauge pressure (the index of its factor) where absolute is needed.
    NeedsAbsolute(usize),
    /// A sum of temperature points used in a product; the index of its factor.
    Points(usize),
    /// Decibels in a product with a dimension; the index of the factor.
    Level(usize),
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
}

/// The reading of a sum.
pub fn sum(parts: &[Part]) -> Result<Reading, Fault> {
    let datum_of = |wanted: Datum| {
        parts.iter().position(|part| match part.reading {
            Reading::Pressure { datum, weight } => datum == wanted && weight != 0.0,
            Reading::Reckoned(datum) => datum == wanted,
            _ => false,
        })
    };
    let (gauge, absolute) = (datum_of(Datum::Gauge), datum_of(Datum::Absolute));
    if let (Some(gauge), Some(absolute)) = (gauge, absolute) {
        return Err(Fault::GaugeWithAbsolute(gauge, absolute));
    }
    if parts.iter().any(|part| part.reading == Reading::Unknown) {
        return Ok(Reading::Unknown);
    }
    if gauge.or(absolute).is_some() {
        let datum = if gauge.is_some() {
            Datum::Gauge
        } else {
            Datum::Absolute
        };
        return Ok(pressures(parts, datum));
    }
    if parts.iter().any(|part| is_temperature(part.reading)) {
        return Ok(temperatures(parts));
    }
    Ok(levels_in_sum(parts))
}

fn pressures(parts: &[Part], datum: Datum) -> Reading {
    let (mut weight, mut above, mut below) = (0.0, 0.0, 0.0);
    for part in parts.iter().filter(|part| !part.is_zero) {
        match part.reading {
            Reading::Reckoned(_) => return Reading::Reckoned(datum),
            Reading::Pressure { weight: own, .. } => weight += signed(part.negative, own),
            _ if part.negative => below += 1.0,
            _ => above += 1.0,
        }
    }
    // A pressure without a word goes with either: it is read as an interval, unless only as a
    // reading it makes the sum one that can be used (`p - p_atm`).
    let usable = is_near(weight, 0.0) || is_near(weight, 1.0);
    let reached = [0.0, 1.0]
        .into_iter()
        .find(|wanted| weight - below <= *wanted && *wanted <= weight + above);
    if let (false, Some(wanted)) = (usable, reached) {
        weight = wanted;
    }
    if is_near(weight, 0.0) {
        Reading::Plain
    } else {
        Reading::Pressure { datum, weight }
    }
}

fn is_temperature(reading: Reading) -> bool {
    matches!(reading, Reading::Temperature { .. })
}

/// Weights add; a term that was computed from other quantities goes as either.
fn temperatures(parts: &[Part]) -> Reading {
    let (mut low, mut high) = (0.0, 0.0);
    for part in parts.iter().filter(|part| !part.is_zero) {
        let own = match part.reading {
            Reading::Temperature { .. } => part.reading,
            _ => Reading::EITHER,
        };
        if let Reading::Temperature {
            low: least,
            high: most,
        } = own.scaled(if part.negative { -1.0 } else { 1.0 })
        {
            low += least;
            high += most;
        }
    }
    Reading::Temperature { low, high }
}

fn levels_in_sum(parts: &[Part]) -> Reading {
    if parts.iter().any(|part| part.reading == Reading::Level) {
        Reading::Level
    } else {
        Reading::Plain
    }
}

fn signed(negative: bool, value: f64) -> f64 {
    if negative { -value } else { value }
}

/// Weights come from the author's own short numbers, so rounding is all that separates them.
pub fn is_near(left: f64, right: f64) -> bool {
    (left - right).abs() < 1e-9
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
    if let Some(at) = gauge_where_absolute_is_needed(factors) {
        return Err(Fault::NeedsAbsolute(at));
    }
    if factors
        .iter()
        .any(|factor| factor.reading == Reading::Unknown || factor.form.dimension().is_none())
    {
        return Ok(Reading::Unknown);
    }
    if let Some(reading) = levels(factors)? {
        return Ok(reading);
    }
    if let Some(reading) = temperature_product(factors, result)? {
        return Ok(reading);
    }
    if let Some(reading) = pressure_product(factors, result) {
        return Ok(reading);
    }
    Ok(plain_product(result))
}

/// A temperature that was computed from other quantities has no datum of its own.
fn plain_product(result: &Form) -> Reading {
    if result.dimension() == Some(Dimension::temperature()) {
        Reading::EITHER
    } else {
        Reading::Plain
    }
}

/// The product of the plain numbers as written, and whether the other plain factors are names.
fn scale(factors: &[FactorPart], but: usize) -> Option<f64> {
    let mut scale = 1.0;
    for (at, factor) in factors.iter().enumerate() {
        if at == but {
            continue;
        }
        let value = factor.literal?;
        if factor.below {
            scale /= value;
        } else {
            scale *= value;
        }
    }
    Some(scale)
}

fn levels(factors: &[FactorPart]) -> Result<Option<Reading>, Fault> {
    if let [factor, log] = factors
        && log.is_log10
        && !log.below
        && (factor.literal == Some(10.0) || factor.literal == Some(20.0))
    {
        return Ok(Some(Reading::Level));
    }
    let Some(at) = factors
        .iter()
        .position(|factor| factor.reading == Reading::Level)
    else {
        return Ok(None);
    };
    let plain = factors
        .iter()
        .enumerate()
        .all(|(index, factor)| index == at || factor.form.is_plain());
    if plain && !factors[at].below {
        Ok(Some(Reading::Level))
    } else {
        Err(Fault::Level(at))
    }
}

fn temperature_product(factors: &[FactorPart], result: &Form) -> Result<Option<Reading>, Fault> {
    let Some(at) = factors
        .iter()
        .position(|factor| is_temperature(factor.reading))
    else {
        return Ok(None);
    };
    let alone = !factors[at].below
        && factors
            .iter()
            .enumerate()
            .all(|(index, factor)| index == at || factor.form.is_plain());
    if alone {
        let own = factors[at].reading;
        return Ok(Some(match scale(factors, at) {
            Some(scale) => own.scaled(scale),
            // A named number scales the absolute temperature: `T_1 r` has no datum.
            None if own.is_interval() => own,
            None => Reading::EITHER,
        }));
    }
    for (index, factor) in factors.iter().enumerate() {
        if is_temperature(factor.reading) {
            let literal: f64 = factors
                .iter()
                .filter_map(|factor| {
                    factor
                        .literal
                        .map(|value| if factor.below { 1.0 / value } else { value })
                })
                .product();
            let scaled = factor.reading.scaled(literal);
            if factor.reading.is_sum_of_points() && scaled.is_sum_of_points() {
                return Err(Fault::Points(index));
            }
        }
    }
    Ok(Some(plain_product(result)))
}

fn is_pressure(form: &Form) -> bool {
    form.dimension() == Some(Dimension::pressure())
}

fn is_gauge_reading(reading: Reading) -> bool {
    matches!(reading, Reading::Pressure { datum: Datum::Gauge, weight } if !is_near(weight, 0.0))
}

/// Whether a factor ties a pressure to the amount or state of a gas: a volume, a temperature,
/// an amount of substance.
fn is_of_gas(form: &Form) -> bool {
    let Some(dimension) = form.dimension() else {
        return false;
    };
    let zero = Exponent::from_integer(0);
    let exponents = dimension.exponents();
    let volume = Dimension::from_integers([3, 0, 0, 0, 0, 0, 0]);
    dimension == volume || exponents[4] != zero || exponents[5] != zero
}

fn gauge_where_absolute_is_needed(factors: &[FactorPart]) -> Option<usize> {
    factors.iter().enumerate().position(|(at, factor)| {
        is_gauge_reading(factor.reading)
            && factors.iter().enumerate().any(|(other, beside)| {
                let ratio = beside.below != factor.below
                    && is_pressure(&beside.form)
                    && !matches!(beside.reading, Reading::Reckoned(_));
                let square = beside.below == factor.below && is_gauge_reading(beside.reading);
                other != at && (ratio || square || is_of_gas(&beside.form))
            })
    })
}

fn pressure_product(factors: &[FactorPart], result: &Form) -> Option<Reading> {
    let (at, datum) = factors
        .iter()
        .enumerate()
        .find_map(|(at, factor)| match factor.reading {
            Reading::Pressure { datum, .. } | Reading::Reckoned(datum) => Some((at, datum)),
            _ => None,
        })?;
    if let Reading::Pressure { weight, .. } = factors[at].reading
        && !factors[at].below
        && let Some(scale) = scale(factors, at)
    {
        return Some(Reading::Pressure {
            datum,
            weight: weight * scale,
        });
    }
    let tied = factors
        .iter()
        .enumerate()
        .any(|(index, factor)| index != at && is_of_gas(&factor.form));
    Some(if factors[at].below || tied || !is_reckoned(result) {
        plain_product(result)
    } else {
        Reading::Reckoned(datum)
    })
}

/// Whether a product of a pressure still counts from the pressure's datum: pressures, line
/// loads, forces, moments and energies, heads, energies per mass.
fn is_reckoned(result: &Form) -> bool {
    let Some(dimension) = result.dimension() else {
        return false;
    };
    let [length, mass, time, ..] = *dimension.exponents();
    let whole = Exponent::from_integer;
    (mass == whole(1) && time == whole(-2))
        || dimension == Dimension::length()
        || (length, mass, time) == (whole(2), whole(0), whole(-2))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn term(negative: bool, reading: Reading) -> Part {
        Part {
            negative,
            reading,
            is_zero: false,
        }
    }

    const GAUGE: Reading = Reading::Pressure {
        datum: Datum::Gauge,
        weight: 1.0,
    };

    #[test]
    fn sums_add_weights() {
        let difference = sum(&[term(false, Reading::POINT), term(true, Reading::POINT)]);
        assert_eq!(difference, Ok(Reading::INTERVAL));
        let both = sum(&[term(false, Reading::POINT), term(false, Reading::POINT)]);
        assert_eq!(
            both,
            Ok(Reading::Temperature {
                low: 2.0,
                high: 2.0
            })
        );
        let raised = sum(&[term(false, Reading::POINT), term(false, Reading::EITHER)]);
        assert!(raised.is_ok_and(Reading::is_point));
        let mean = sum(&[term(false, Reading::POINT), term(false, Reading::POINT)]);
        assert!(mean.is_ok_and(|mean| mean.is_sum_of_points() && mean.scaled(0.5).is_point()));
        let either = sum(&[term(false, Reading::POINT), term(true, Reading::EITHER)]);
        assert_eq!(either, Ok(Reading::EITHER));
    }

    #[test]
    fn gauge_and_absolute_do_not_meet() {
        let absolute = Reading::Reckoned(Datum::Absolute);
        let met = sum(&[term(false, GAUGE), term(true, absolute)]);
        assert_eq!(met, Err(Fault::GaugeWithAbsolute(0, 1)));
        assert_eq!(
            sum(&[term(false, GAUGE), term(true, GAUGE)]),
            Ok(Reading::Plain)
        );
    }
}
