//! Pressures, temperatures and points of time: what they count from, and how often.
//!
//! One rule for all of them: a reading contains its datum so many times, a point once, an interval
//! never. Sums add that weight, plain numbers scale it, and only weights 0 and 1 may be shown or
//! used.

use super::reading::{FactorPart, Fault, Part, Reading};
use super::{Form, reading};
use crate::quantity::{Clock, Dimension, Exponent, Mark, Unit};
use crate::syntax;

/// The datum of a pressure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Datum {
    /// The atmosphere.
    Gauge,
    /// Vacuum.
    Absolute,
    /// Vacuum, of the pressure of the atmosphere itself: by it the other two differ.
    Atmosphere,
}

impl Datum {
    /// The word a worksheet uses for it.
    pub fn word(self) -> &'static str {
        match self {
            Datum::Gauge => "gauge",
            Datum::Absolute | Datum::Atmosphere => "abs",
        }
    }

    /// The datum that a word of the author names; `difference` names none.
    pub fn named(word: syntax::Datum) -> Option<Datum> {
        match word {
            syntax::Datum::Gauge => Some(Datum::Gauge),
            syntax::Datum::Absolute => Some(Datum::Absolute),
            syntax::Datum::Difference => None,
        }
    }

    /// Whether a pressure with this datum counts from the atmosphere.
    pub fn is_gauge(self) -> bool {
        self.word() == Datum::Gauge.word()
    }

    /// The same without the knowledge that it is the pressure of the atmosphere.
    fn plain(self) -> Datum {
        if self.is_gauge() {
            Datum::Gauge
        } else {
            Datum::Absolute
        }
    }
}

/// What has a point from which its readings count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// A temperature, from absolute zero: a literal in K goes as a point and as an interval.
    Temperature,
    /// A point of time: any other time is an interval.
    Time(Clock),
}

impl Scale {
    /// The weight of what stands beside a reading and has none of its own.
    fn weight_beside(self) -> Weight {
        match self {
            Scale::Temperature => Weight::EITHER,
            Scale::Time(_) => Weight::INTERVAL,
        }
    }
}

/// How many times a reading contains its datum: at least `low` and at most `high` times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weight {
    low: f64,
    high: f64,
}

impl Weight {
    /// That of a point.
    pub const POINT: Weight = Weight::of(1.0);
    /// That of an interval.
    pub const INTERVAL: Weight = Weight::of(0.0);
    /// That of what goes as a point and as an interval.
    pub const EITHER: Weight = Weight {
        low: 0.0,
        high: 1.0,
    };

    const fn of(weight: f64) -> Weight {
        Weight {
            low: weight,
            high: weight,
        }
    }

    /// Weights come from the author's own short numbers, so rounding is all that separates them.
    fn reaches(self, weight: f64) -> bool {
        self.low - 1e-9 <= weight && weight <= self.high + 1e-9
    }

    /// Whether it can be a point.
    pub fn may_be_point(self) -> bool {
        self.reaches(1.0)
    }

    /// Whether it can be an interval.
    pub fn may_be_interval(self) -> bool {
        self.reaches(0.0)
    }

    fn is_decided(self) -> bool {
        self.high - self.low <= 1e-9
    }

    fn is_same(self, other: Weight) -> bool {
        (self.low - other.low).abs() <= 1e-9 && (self.high - other.high).abs() <= 1e-9
    }

    fn scaled(self, scale: f64) -> Weight {
        let (one, other) = (self.low * scale, self.high * scale);
        Weight {
            low: one.min(other),
            high: one.max(other),
        }
    }

    fn plus(self, other: Weight) -> Weight {
        Weight {
            low: self.low + other.low,
            high: self.high + other.high,
        }
    }
}

impl Reading {
    /// A temperature on a scale.
    pub const POINT: Reading = Reading::Scaled(Scale::Temperature, Weight::POINT);
    /// A difference of temperatures.
    pub const INTERVAL: Reading = Reading::Scaled(Scale::Temperature, Weight::INTERVAL);
    /// A temperature without a datum, which goes as a point and as an interval.
    pub const EITHER: Reading = Reading::Scaled(Scale::Temperature, Weight::EITHER);
    /// A pressure that counts from the atmosphere or is a difference: what stands beside `p_atm`.
    pub const OVER_ATMOSPHERE: Reading = Reading::Pressure(Datum::Gauge, Weight::EITHER);
    /// A difference of pressures.
    pub const DIFFERENCE: Reading = Reading::Pressure(Datum::Absolute, Weight::INTERVAL);

    /// A point of time.
    pub fn moment(clock: Clock) -> Reading {
        Reading::Scaled(Scale::Time(clock), Weight::POINT)
    }

    /// A reading on a scale with this weight; an interval of time is a time as any other.
    fn on(scale: Scale, weight: Weight) -> Reading {
        match scale {
            Scale::Time(_) if weight.is_same(Weight::INTERVAL) => Reading::Plain,
            Scale::Time(_) | Scale::Temperature => Reading::Scaled(scale, weight),
        }
    }

    /// The scale that it is read on.
    pub fn scale(self) -> Option<Scale> {
        match self {
            Reading::Scaled(scale, _) => Some(scale),
            Reading::Plain
            | Reading::Unknown
            | Reading::Pressure(..)
            | Reading::Reckoned(_)
            | Reading::Level => None,
        }
    }

    /// The clock of what counts from the zero of one.
    pub fn clock(self) -> Option<Clock> {
        match self.scale()? {
            Scale::Time(clock) => Some(clock),
            Scale::Temperature => None,
        }
    }

    /// A pressure that is read from a datum.
    pub fn pressure(datum: Datum) -> Reading {
        Reading::Pressure(datum, Weight::POINT)
    }

    /// What it cannot lie below, where it can only be a reading from there.
    pub fn least(self) -> Option<&'static str> {
        match self {
            Reading::Scaled(Scale::Temperature, _) => self.is_point().then_some("absolute zero"),
            Reading::Pressure(Datum::Absolute | Datum::Atmosphere, weight) => {
                (!weight.may_be_interval()).then_some("vacuum")
            }
            Reading::Plain
            | Reading::Unknown
            | Reading::Scaled(Scale::Time(_), _)
            | Reading::Pressure(Datum::Gauge, _)
            | Reading::Reckoned(_)
            | Reading::Level => None,
        }
    }

    /// Whether it is read on a scale and can only be an interval.
    pub fn is_interval(self) -> bool {
        matches!(self, Reading::Scaled(_, weight)
            if weight.may_be_interval() && !weight.may_be_point())
    }

    /// Whether it is read on a scale and can only be a point.
    pub fn is_point(self) -> bool {
        matches!(self, Reading::Scaled(_, weight)
            if weight.may_be_point() && !weight.may_be_interval())
    }

    /// Whether it is read on a scale and is neither a point nor an interval.
    pub fn is_sum_of_points(self) -> bool {
        matches!(self, Reading::Scaled(_, weight)
            if !weight.may_be_point() && !weight.may_be_interval())
    }

    /// Whether it is a pressure that can only be a difference.
    pub fn is_difference(self) -> bool {
        matches!(self, Reading::Pressure(_, weight)
            if weight.may_be_interval() && !weight.may_be_point())
    }

    /// The datum of the pressure it is, or that it is reckoned from; none of what may as well be
    /// an interval.
    pub fn counts_from(self) -> Option<Datum> {
        match self {
            Reading::Pressure(datum, weight) if !weight.may_be_interval() => Some(datum),
            Reading::Reckoned(datum) => Some(datum),
            _ => None,
        }
    }

    /// The reading with its weight multiplied.
    pub fn scaled(self, scale: f64) -> Reading {
        match self {
            Reading::Scaled(on, weight) => Reading::on(on, weight.scaled(scale)),
            Reading::Pressure(datum, weight) => Reading::Pressure(datum, weight.scaled(scale)),
            other => other,
        }
    }

    /// How much it tells: of several readings of one quantity the most telling is its reading.
    fn tells(self) -> u8 {
        match self {
            Reading::Unknown => 0,
            Reading::Plain => 1,
            Reading::Level => 2,
            Reading::Scaled(_, weight) | Reading::Pressure(_, weight) if !weight.is_decided() => 2,
            Reading::Reckoned(_) => 3,
            Reading::Scaled(..) | Reading::Pressure(..) => 4,
        }
    }

    /// The reading of a quantity that is said several times: in the members of a chain, in the
    /// cases of a distinction, in the entries of a list.
    pub fn joined(readings: impl Iterator<Item = Reading>) -> Reading {
        readings.fold(Reading::Unknown, |joined, reading| {
            if reading.tells() > joined.tells() {
                reading
            } else {
                joined
            }
        })
    }

    /// Whether it says what the other leaves open.
    pub fn tells_more_than(self, other: Reading) -> bool {
        self.tells() > other.tells()
    }

    /// Whether a name with it can be shown from the other datum.
    pub fn converts(self) -> bool {
        match self {
            Reading::Pressure(_, weight) => !weight.may_be_interval(),
            // A scaled absolute pressure is absolute; a scaled gauge pressure is no reading.
            Reading::Reckoned(datum) => !datum.is_gauge(),
            _ => false,
        }
    }

    /// The magnitude: of a point on a scale it would depend on the scale.
    pub fn magnitude(self) -> Option<Reading> {
        match self {
            reading if reading.is_point() || reading.is_sum_of_points() => None,
            Reading::Pressure(Datum::Gauge, _) => Some(Reading::DIFFERENCE),
            other => Some(other),
        }
    }
}

// ---- sums -----------------------------------------------------------------------------------

/// Gauge with absolute in one sum, but for `p + p_atm`.
pub(super) fn clash(parts: &[Part]) -> Option<Fault> {
    let of = |wanted: Datum| {
        parts
            .iter()
            .position(|part| part.reading.counts_from() == Some(wanted))
    };
    let gauge = of(Datum::Gauge)?;
    if let Some(absolute) = of(Datum::Absolute) {
        return Some(Fault::GaugeWithAbsolute(gauge, absolute));
    }
    let atmosphere = of(Datum::Atmosphere)?;
    let is_reckoned = |part: &Part| matches!(part.reading, Reading::Reckoned(_));
    let (readings, atmospheres) = (total(parts, Datum::Gauge), total(parts, Datum::Atmosphere));
    // A gauge reading and one atmosphere are the absolute pressure.
    let none = Weight::INTERVAL;
    let fits = readings.is_same(atmospheres) || readings.is_same(none) || atmospheres.is_same(none);
    (!fits || parts.iter().any(is_reckoned)).then_some(Fault::GaugeWithAbsolute(gauge, atmosphere))
}

/// The weight of the readings with a datum in a sum.
fn total(parts: &[Part], wanted: Datum) -> Weight {
    parts
        .iter()
        .filter(|part| !part.is_zero)
        .filter_map(|part| match part.reading {
            Reading::Pressure(datum, weight) if datum == wanted => Some(weight.scaled(part.sign())),
            _ => None,
        })
        .fold(Weight::INTERVAL, Weight::plus)
}

/// The reading of a sum of pressures that do not clash; `None` where no term has a datum.
pub(super) fn pressures(parts: &[Part]) -> Option<Reading> {
    let has = |part: &Part| matches!(part.reading, Reading::Pressure(..) | Reading::Reckoned(_));
    if !parts.iter().any(has) {
        return None;
    }
    let reckoned = parts
        .iter()
        .find(|part| matches!(part.reading, Reading::Reckoned(_)));
    if reckoned.is_some() {
        let datum = parts.iter().find_map(|part| part.reading.counts_from());
        return Some(datum.map_or(Reading::Plain, |datum| Reading::Reckoned(datum.plain())));
    }
    let gauge = total(parts, Datum::Gauge);
    let absolute = total(parts, Datum::Absolute);
    let atmosphere = total(parts, Datum::Atmosphere);
    let is_plain = |part: &&Part| !part.is_zero && !has(part);
    let above = parts.iter().filter(is_plain).filter(|part| !part.negative);
    let below = parts.iter().filter(is_plain).filter(|part| part.negative);
    let plain = (above.count() as f64, below.count() as f64);
    let none = |weight: Weight| weight.is_same(Weight::INTERVAL);
    Some(if none(atmosphere) {
        let datum = if none(gauge) {
            Datum::Absolute
        } else {
            Datum::Gauge
        };
        // What may be an interval is one beside a reading with the other datum.
        let weight = if none(absolute) { gauge } else { absolute };
        let datum = if none(absolute) {
            datum
        } else {
            Datum::Absolute
        };
        Reading::Pressure(datum, beside(weight, plain))
    } else if gauge.is_same(atmosphere) {
        Reading::Pressure(Datum::Absolute, beside(gauge, plain))
    } else if absolute.is_same(atmosphere.scaled(-1.0)) {
        // `p - p_atm` is a gauge pressure and a difference.
        over_atmosphere(absolute)
    } else if none(absolute) && none(gauge) && plain == (0.0, 0.0) {
        Reading::Pressure(Datum::Atmosphere, atmosphere)
    } else if none(absolute) && plain.0 > 0.0 && atmosphere.is_same(Weight::of(-1.0)) {
        over_atmosphere(Weight::POINT)
    } else {
        Reading::Pressure(Datum::Absolute, beside(absolute.plus(atmosphere), plain))
    })
}

fn over_atmosphere(readings: Weight) -> Reading {
    Reading::Pressure(
        Datum::Gauge,
        Weight {
            low: readings.low.min(0.0),
            high: readings.high.max(0.0),
        },
    )
}

/// A weight beside so many pressures without a word above and below the sum.
///
/// Such a pressure goes with either: it is read as an interval, unless only as a reading it makes
/// the sum one that can be used.
fn beside(weight: Weight, (above, below): (f64, f64)) -> Weight {
    let usable = weight.may_be_interval() || weight.may_be_point();
    let reached = [0.0, 1.0]
        .into_iter()
        .find(|wanted| weight.low - below <= *wanted && *wanted <= weight.high + above);
    match (usable, reached) {
        (false, Some(wanted)) => Weight::of(wanted),
        _ => weight,
    }
}

/// Points of time that count from different zeros.
pub(super) fn clocks(parts: &[Part]) -> Option<Fault> {
    let mut on =
        (parts.iter().enumerate()).filter_map(|(at, part)| Some((at, part.reading.clock()?)));
    let (first, clock) = on.next()?;
    let (other, _) = on.find(|(_, other)| *other != clock)?;
    Some(Fault::Clocks(first, other))
}

/// Weights add; a temperature that was computed from other quantities goes as either, a time is an
/// interval.
pub(super) fn scaled(parts: &[Part]) -> Option<Reading> {
    let scale = parts.iter().find_map(|part| part.reading.scale())?;
    let weight = |part: &Part| match part.reading {
        Reading::Scaled(_, weight) => weight,
        _ => scale.weight_beside(),
    };
    let weights = parts.iter().filter(|part| !part.is_zero);
    let total = weights.fold(Weight::INTERVAL, |total, part| {
        total.plus(weight(part).scaled(part.sign()))
    });
    Some(Reading::on(scale, total))
}

// ---- products -------------------------------------------------------------------------------

/// The product of the numbers beside a factor, where all are known.
fn scale(
    factors: &[FactorPart],
    but: usize,
    number: impl Fn(&FactorPart) -> Option<f64>,
) -> Option<f64> {
    let others = factors.iter().enumerate().filter(|(at, _)| *at != but);
    others
        .map(|(_, factor)| factor)
        .try_fold(1.0, |scale, factor| {
            let value = number(factor)?;
            Some(if factor.below {
                scale / value
            } else {
                scale * value
            })
        })
}

fn stands_alone(factors: &[FactorPart], at: usize) -> bool {
    let mut others = factors.iter().enumerate().filter(|(other, _)| *other != at);
    !factors[at].below && others.all(|(_, factor)| factor.form.is_plain())
}

/// The reading of a product with a reading on a scale; `None` where no factor is one.
///
/// Numbers scale its weight. Beside anything else a temperature counts from absolute zero:
/// `T r^k`, `m c T`; a point of time counts from nothing there.
pub(super) fn scaled_product(
    factors: &[FactorPart],
    result: &Form,
) -> Result<Option<Reading>, Fault> {
    let on_scale = |factor: &FactorPart| factor.reading.scale().is_some();
    let Some(at) = factors.iter().position(on_scale) else {
        return Ok(None);
    };
    let own = factors[at].reading;
    if stands_alone(factors, at) {
        if let Some(scale) = scale(factors, at, |factor| factor.number) {
            return Ok(Some(own.scaled(scale)));
        }
        if own.is_interval() {
            return Ok(Some(own));
        }
        if own.is_sum_of_points() && own.clock().is_none() {
            return Err(Fault::Points(at));
        }
    }
    if own.clock().is_some() {
        return Err(Fault::Moment(at));
    }
    if let Some(written) = (factors.iter()).position(|factor| factor.is_written_point) {
        return Err(Fault::WrittenPoint(written));
    }
    let numbers = factors.iter().filter_map(|factor| {
        let value = factor.number?;
        Some(if factor.below { 1.0 / value } else { value })
    });
    let numbers: f64 = numbers.product();
    let sum_of_points = factors.iter().position(|factor| {
        factor.reading.is_sum_of_points() && factor.reading.scaled(numbers).is_sum_of_points()
    });
    if let Some(at) = sum_of_points {
        return Err(Fault::Points(at));
    }
    let above = |factor: &&FactorPart| !factor.below && on_scale(factor);
    let mut above = factors.iter().filter(above).peekable();
    // An interval in proportion is one: `(T_1 - T_2) x/L`.
    let is_interval = result.dimension() == Some(Dimension::temperature())
        && above.peek().is_some()
        && above.all(|factor| factor.reading.is_interval());
    Ok(Some(if is_interval {
        Reading::INTERVAL
    } else {
        reading::plain_product(result)
    }))
}

fn is_pressure(form: &Form) -> bool {
    form.dimension() == Some(Dimension::pressure())
}

fn is_gauge_reading(reading: Reading) -> bool {
    matches!(reading, Reading::Pressure(..)) && reading.counts_from() == Some(Datum::Gauge)
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

/// The gauge pressure among factors that need an absolute one.
pub(super) fn gauge_where_absolute_is_needed(factors: &[FactorPart]) -> Option<usize> {
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

/// The reading of a product with a pressure that has a datum; `None` where no factor has one.
pub(super) fn pressure_product(factors: &[FactorPart], result: &Form) -> Option<Reading> {
    let has = |factor: &FactorPart| {
        matches!(factor.reading, Reading::Pressure(..) | Reading::Reckoned(_))
    };
    let at = factors.iter().position(has)?;
    let own = factors[at].reading;
    if matches!(own, Reading::Pressure(..)) && !factors[at].below {
        if let Some(scale) = scale(factors, at, |factor| factor.literal) {
            return Some(own.scaled(scale));
        }
        if own.is_difference() && stands_alone(factors, at) {
            return Some(own);
        }
    }
    let counting = |factor: &FactorPart| factor.reading.counts_from();
    let Some(at) = factors.iter().position(|factor| counting(factor).is_some()) else {
        return Some(reading::plain_product(result));
    };
    let tied = factors
        .iter()
        .enumerate()
        .any(|(index, factor)| index != at && is_of_gas(&factor.form));
    Some(match counting(&factors[at]) {
        Some(datum) if !factors[at].below && !tied && is_reckoned(result) => {
            Reading::Reckoned(datum.plain())
        }
        _ => reading::plain_product(result),
    })
}

/// Whether a product of a pressure still counts from the pressure's datum: pressures, line
/// loads, forces, moments and energies, heads, energies per mass.
fn is_reckoned(result: &Form) -> bool {
    let Some(dimension) = result.dimension() else {
        return false;
    };
    let [length, mass, time, ..] = dimension.exponents();
    let whole = Exponent::from_integer;
    (mass == whole(1) && time == whole(-2))
        || dimension == Dimension::length()
        || (length, mass, time) == (whole(2), whole(0), whole(-2))
}

// ---- asks and claims ------------------------------------------------------------------------

/// Why a reading cannot be shown as it is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Unfit {
    /// It adds or scales temperature points.
    SumOfPoints,
    /// It adds or scales readings of pressure.
    SumOfReadings,
    /// It is a point of time, asked in a unit of intervals.
    Moment,
    /// It is an interval of temperature, asked as a point.
    Interval,
    /// It is a point, asked as an interval.
    Point,
    /// It is a difference of pressures, asked with a datum.
    Difference,
    /// It counts from the first, and the second is asked.
    Other(Datum, Datum),
}

/// A reading with the word and the unit with which it is asked or claimed.
///
/// What was free of a datum has the one of the word from here on.
pub(super) fn asked(
    reading: Reading,
    word: Option<syntax::Datum>,
    unit: Option<&Unit>,
) -> Result<Reading, Unfit> {
    let datum = word.and_then(Datum::named);
    match (reading, datum) {
        (Reading::Scaled(Scale::Temperature, weight), _) => {
            let on_scale = unit.is_some_and(|unit| unit.mark() == Mark::Point);
            temperature_asked(weight, word, on_scale)
        }
        (Reading::Scaled(Scale::Time(_), weight), _) => match unit {
            _ if !weight.may_be_point() => Err(Unfit::SumOfPoints),
            Some(_) => Err(Unfit::Moment),
            None => Ok(reading),
        },
        (Reading::Pressure(_, weight), _)
            if !weight.may_be_point() && !weight.may_be_interval() =>
        {
            Err(Unfit::SumOfReadings)
        }
        (Reading::Pressure(own, weight), Some(asked)) => {
            if !weight.may_be_point() {
                Err(Unfit::Difference)
            } else if own.is_gauge() == asked.is_gauge() {
                Ok(Reading::pressure(own))
            } else {
                Err(Unfit::Other(own, asked))
            }
        }
        (Reading::Reckoned(own), Some(asked)) if own.is_gauge() != asked.is_gauge() => {
            Err(Unfit::Other(own, asked))
        }
        (Reading::Plain | Reading::Reckoned(_) | Reading::Unknown, Some(asked)) => {
            Ok(Reading::pressure(asked))
        }
        (other, _) => Ok(other),
    }
}

fn temperature_asked(
    weight: Weight,
    word: Option<syntax::Datum>,
    on_scale: bool,
) -> Result<Reading, Unfit> {
    let as_interval = word == Some(syntax::Datum::Difference);
    let as_point = on_scale && !as_interval;
    match (weight.may_be_point(), weight.may_be_interval()) {
        (false, false) => Err(Unfit::SumOfPoints),
        (false, true) if as_point => Err(Unfit::Interval),
        (true, false) if as_interval => Err(Unfit::Point),
        _ if as_point => Ok(Reading::POINT),
        _ if as_interval => Ok(Reading::INTERVAL),
        _ => Ok(Reading::Scaled(Scale::Temperature, weight)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dimensions::reading::sum;

    fn term(negative: bool, reading: Reading) -> Part {
        Part {
            negative,
            reading,
            is_zero: false,
            is_number: false,
        }
    }

    const GAUGE: Reading = Reading::Pressure(Datum::Gauge, Weight::POINT);
    const ABSOLUTE: Reading = Reading::Pressure(Datum::Absolute, Weight::POINT);
    const ATMOSPHERE: Reading = Reading::Pressure(Datum::Atmosphere, Weight::POINT);

    #[test]
    fn sums_add_weights() {
        let difference = sum(&[term(false, Reading::POINT), term(true, Reading::POINT)]);
        assert_eq!(difference, Ok(Reading::INTERVAL));
        let both = sum(&[term(false, Reading::POINT), term(false, Reading::POINT)]);
        assert_eq!(both, Ok(Reading::POINT.scaled(2.0)));
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
        let difference = sum(&[term(false, GAUGE), term(true, GAUGE)]);
        assert!(difference.is_ok_and(Reading::is_difference));
    }

    #[test]
    fn a_gauge_pressure_and_the_atmosphere_are_the_absolute_pressure() {
        let absolute = sum(&[term(false, GAUGE), term(false, ATMOSPHERE)]);
        assert_eq!(absolute, Ok(ABSOLUTE));
        let twice = sum(&[
            term(false, GAUGE),
            term(false, ATMOSPHERE),
            term(false, ATMOSPHERE),
        ]);
        assert_eq!(twice, Err(Fault::GaugeWithAbsolute(0, 1)));
        let less = sum(&[term(false, GAUGE), term(true, ATMOSPHERE)]);
        assert_eq!(less, Err(Fault::GaugeWithAbsolute(0, 1)));
        let over = sum(&[term(false, ABSOLUTE), term(true, ATMOSPHERE)]);
        let over = over.expect("a gauge pressure and a difference");
        assert_eq!(over.counts_from(), None);
        let word = |word| asked(over, Some(word), None);
        assert_eq!(word(syntax::Datum::Gauge), Ok(GAUGE));
        assert_eq!(
            word(syntax::Datum::Absolute),
            Err(Unfit::Other(Datum::Gauge, Datum::Absolute))
        );
    }

    #[test]
    fn what_is_free_of_a_datum_takes_that_of_the_word() {
        let word = Some(syntax::Datum::Gauge);
        assert_eq!(asked(Reading::Plain, word, None), Ok(GAUGE));
        let celsius = Unit::lone("degC").ok();
        let on_scale = asked(Reading::EITHER, None, celsius.as_ref());
        assert_eq!(on_scale, Ok(Reading::POINT));
        assert_eq!(asked(Reading::EITHER, None, None), Ok(Reading::EITHER));
        assert_eq!(
            asked(Reading::DIFFERENCE, word, None),
            Err(Unfit::Difference)
        );
        assert_eq!(
            asked(GAUGE.scaled(0.5), None, None),
            Err(Unfit::SumOfReadings)
        );
    }
}
