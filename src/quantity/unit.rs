//! Units: dimension, size in coherent SI units, how a number in them is read, how they are spelled.

use std::sync::{Arc, LazyLock};

use super::mark::{Family, Mark};
use super::registry::Size;
use super::{Clock, Dimension, Exponent, Turning, UnitError, UnitToken, compose, spelling};
use crate::functions::Measured;
use crate::precise::{self, Precise};

/// A unit, ready to convert numbers. A copy is one more name for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit(Arc<Parts>);

/// What a unit is.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Parts {
    pub(super) dimension: Dimension,
    pub(super) size: Size,
    /// Added to a reading before it is scaled.
    pub(super) offset: f64,
    pub(super) mark: Mark,
    pub(super) turning: Turning,
    pub(super) family: Option<Family>,
    pub(super) text: Arc<str>,
    pub(super) source: Arc<str>,
    /// Whether a factor is a unit of energy or power, so that N m would be out of place.
    pub(super) tells_energy: bool,
}

impl Unit {
    /// The unit of a plain number; it is written as nothing.
    pub fn one() -> Unit {
        static ONE: LazyLock<Unit> = LazyLock::new(|| {
            Unit::new(Parts {
                dimension: Dimension::none(),
                size: Size::ONE,
                offset: 0.0,
                mark: Mark::None,
                turning: Turning::NONE,
                family: None,
                text: "".into(),
                source: "".into(),
                tells_energy: false,
            })
        });
        ONE.clone()
    }

    /// The second.
    pub fn second() -> Unit {
        Unit::lone("s").unwrap_or_else(|_| Unit::one())
    }

    /// The unit of points of time: the second, from the zero of their clock. It is not written.
    pub fn clock(clock: Clock) -> Unit {
        Unit::new(Parts {
            dimension: Dimension::time(),
            mark: Mark::Clock(clock),
            ..Parts::clone(&Unit::one().0)
        })
    }

    pub(super) fn new(parts: Parts) -> Unit {
        Unit(Arc::new(parts))
    }

    /// The unit with these factors, in the order in which they were written.
    ///
    /// # Errors
    ///
    /// When a symbol is unknown or has several readings, when a gauge or absolute pressure is
    /// part of a compound unit, or when the unit is too large or small to be computed with.
    pub fn compose(factors: &[UnitToken<'_>]) -> Result<Unit, UnitError> {
        compose::compose(factors)
    }

    /// The unit with this one symbol.
    ///
    /// # Errors
    ///
    /// As for [`Unit::compose`].
    pub fn lone(symbol: &str) -> Result<Unit, UnitError> {
        compose::compose(&[UnitToken {
            symbol,
            power: 1.into(),
            below: false,
        }])
    }

    /// A unit as [`Unit::source`] writes it. What [`Unit::text`] writes is read too, where every
    /// printed symbol can also be typed.
    ///
    /// ```
    /// use setsquare::quantity::Unit;
    ///
    /// let unit = Unit::from_source("kJ/(kg K)")?;
    /// assert_eq!(unit.text(), "kJ/(kg·K)");
    /// assert_eq!(unit.to_si(4.18), 4180.0);
    /// # Ok::<(), setsquare::quantity::UnitError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// As for [`Unit::compose`].
    pub fn from_source(source: &str) -> Result<Unit, UnitError> {
        spelling::read(source)
    }

    /// The unit of a derivative: this one over another, as an interval; `None` where one of them
    /// cannot be a part of such a unit.
    pub fn over(&self, below: &Unit) -> Option<Unit> {
        let typed = |unit: &Unit| match unit.mark() {
            Mark::Clock(_) => Unit::second().0.source.clone(),
            _ => unit.0.source.clone(),
        };
        let found = spelling::over(&typed(self), &typed(below)).ok()?;
        let alone = found.mark() == Mark::Point;
        Some(if alone { found.interval() } else { found })
    }

    /// Its dimension.
    pub fn dimension(&self) -> Dimension {
        self.0.dimension
    }

    /// A reading in this unit, in coherent SI units (kelvin for temperature points).
    pub fn to_si(&self, value: f64) -> f64 {
        let counted = if self.0.offset == 0.0 {
            value
        } else {
            value + self.0.offset
        };
        counted * self.0.size.numerator / self.0.size.denominator
    }

    /// A reading in this unit, in coherent SI units, with a bound on the rounding.
    pub(crate) fn measured(&self, reading: Measured) -> Measured {
        let counted = match self.0.offset {
            0.0 => reading,
            offset => reading.plus(Measured {
                value: offset,
                error: precise::rounding(offset),
            }),
        };
        let [above, below] = self.0.size.measured();
        counted.times(above).over(below)
    }

    /// A value in coherent SI units, read in this unit, with a bound on the rounding.
    pub(crate) fn measured_reading(&self, value: Measured) -> Measured {
        let [above, below] = self.0.size.measured();
        let counted = value.times(below).over(above);
        match self.0.offset {
            0.0 => counted,
            offset => counted.minus(Measured {
                value: offset,
                error: precise::rounding(offset),
            }),
        }
    }

    /// A reading in this unit, exactly in coherent SI units.
    pub(crate) fn precise(&self, reading: &Precise) -> Precise {
        let counted = match self.0.offset {
            0.0 => reading.clone(),
            offset => reading.plus(&precise_offset(offset)),
        };
        counted.times(&self.precise_factor())
    }

    /// A value in coherent SI units, read exactly in this unit.
    pub(crate) fn precise_reading(&self, value: &Precise) -> Precise {
        let counted = value.over(&self.precise_factor());
        match self.0.offset {
            0.0 => counted,
            offset => counted.minus(&precise_offset(offset)),
        }
    }

    /// Its size in coherent SI units, exactly.
    pub(crate) fn precise_factor(&self) -> Precise {
        compose::precise(
            &spelling::tokens(&self.0.source),
            !self.0.turning.in_revolutions,
        )
    }

    /// A value in coherent SI units, read in this unit.
    pub fn from_si(&self, value: f64) -> f64 {
        let counted = value * self.0.size.denominator / self.0.size.numerator;
        if self.0.offset == 0.0 {
            counted
        } else {
            counted - self.0.offset
        }
    }

    /// Its size in coherent SI units: what intervals and uncertainties are scaled by.
    pub fn factor(&self) -> f64 {
        self.0.size.number()
    }

    /// How many of another unit it is.
    pub fn ratio(&self, other: &Unit) -> f64 {
        let (own, other) = (self.0.size, other.0.size);
        (own.numerator * other.denominator) / (own.denominator * other.numerator)
    }

    /// Its size in coherent SI units without rounding: `0.001`, `5/18`.
    pub fn exact_factor(&self) -> String {
        self.0.size.exactly()
    }

    /// What is added to a reading before it is scaled: 273.15 for the degree Celsius.
    pub fn offset(&self) -> f64 {
        self.0.offset
    }

    /// How it reads its number.
    pub fn mark(&self) -> Mark {
        self.0.mark
    }

    /// What it says of turning.
    pub fn turning(&self) -> Turning {
        self.0.turning
    }

    /// Whether a factor is a unit of energy or power.
    pub fn tells_energy(&self) -> bool {
        self.0.tells_energy
    }

    /// Whether it is no more than a number: `%`.
    pub fn is_share(&self) -> bool {
        self.dimension().is_none() && self.turning().is_none() && self.mark() != Mark::Decibel
    }

    /// The system it belongs to; `None` for what both use: s, h, °, %, V.
    pub fn family(&self) -> Option<Family> {
        self.0.family
    }

    /// As it is printed, upright: "kJ/(kg·K)", "m³/s", "°C"; empty for a plain number.
    pub fn text(&self) -> &str {
        &self.0.text
    }

    /// As an author types it: "kJ/(kg K)", "m^3/s", "degC"; empty for a plain number.
    pub fn source(&self) -> &str {
        &self.0.source
    }

    /// The same unit read as an interval, without its offset: for `10 degC difference`.
    pub fn interval(&self) -> Unit {
        let mark = match self.0.mark {
            Mark::Point => Mark::Interval,
            Mark::Clock(_) => return Unit::second(),
            other => other,
        };
        Unit::new(Parts {
            offset: 0.0,
            mark,
            ..Parts::clone(&self.0)
        })
    }

    /// The unit of differences of what counts in this one: of temperatures on a scale K or °R.
    pub fn of_differences(&self) -> Unit {
        if self.mark() != Mark::Point {
            return self.clone();
        }
        let symbol = match self.family() {
            Some(Family::Us) => "degR",
            Some(Family::Si) | None => "K",
        };
        Unit::from_source(symbol).unwrap_or_else(|_| self.interval())
    }
}

/// The unit of what counts turns or cycles, or measures an angle, over this power of time.
pub fn turning(says: Turning, dimension: Dimension) -> Option<Unit> {
    let one = Exponent::from_integer(1);
    let candidates: &[&str] = if says.turns == one {
        &["rev", "rpm", "rpm/s"]
    } else if says.angle == one && says.in_revolutions && dimension.is_none() {
        &["rev"]
    } else if says.angle == one {
        &["rad/s", "rad/s^2"]
    } else if says.cycles == one {
        &["Hz"]
    } else {
        &[]
    };
    (candidates.iter())
        .filter_map(|source| Unit::from_source(source).ok())
        .find(|unit| unit.dimension() == dimension)
}

/// What is added to a reading, which is a decimal: 273.15 for the degree Celsius.
fn precise_offset(offset: f64) -> Precise {
    precise::shortest(offset).map_or_else(Precise::unknown, Precise::rational)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn unit(symbol: &str) -> Unit {
        Unit::lone(symbol).expect(symbol)
    }

    #[test]
    fn decimal_readings_convert_without_a_rounding_of_the_factor() {
        assert_eq!(unit("mm").to_si(600.0), 0.6);
        assert_eq!(unit("kPa").to_si(420.0), 420_000.0);
        assert_eq!(unit("kg").to_si(0.1), 0.1);
        assert_eq!(unit("ft").from_si(0.3048), 1.0);
    }

    #[test]
    fn the_exact_size_is_that_of_the_double() {
        let composed = "rev/s,rev,r/min,rpm,rad/s,deg/s,kW h,N m,mm^2,lbf/in^2,m^(1/2),J/(kg K)";
        let lone = super::super::list().map(|row| row.symbol().to_owned());
        let composed = composed.split(',').map(str::to_owned);
        for source in lone.chain(composed) {
            let unit = Unit::from_source(&source).expect(&source);
            let ratio = unit.precise_factor().to_f64().0 / unit.factor();
            assert!((ratio - 1.0).abs() < 2e-15, "{source}: {ratio}");
        }
    }

    #[test]
    fn a_lone_celsius_is_a_point_and_its_interval_has_no_offset() {
        let celsius = unit("degC");
        assert_eq!(celsius.mark(), Mark::Point);
        assert_eq!(celsius.to_si(20.0), 293.15);
        let interval = celsius.interval();
        assert_eq!(interval.mark(), Mark::Interval);
        assert_eq!(interval.to_si(10.0), 10.0);
        assert_eq!(interval.text(), "°C");
    }

    #[test]
    fn absolute_zero_is_zero_on_every_scale() {
        assert_eq!(unit("degC").to_si(-273.15), 0.0);
        assert_eq!(unit("degF").to_si(-459.67), 0.0);
        assert_eq!(unit("degR").to_si(0.0), 0.0);
    }

    #[test]
    fn a_plain_number_has_a_unit_that_does_nothing() {
        let one = Unit::one();
        assert_eq!((one.text(), one.source()), ("", ""));
        assert_eq!(one.to_si(1.25), 1.25);
        assert!(one.dimension().is_none());
    }

    proptest! {
        #[test]
        fn there_and_back_is_the_same_within_a_few_ulp(
            value in -1e9..1e9f64, which in 0..super::super::list().count(),
        ) {
            let symbol = super::super::list().nth(which).map(|row| row.symbol());
            let unit = unit(symbol.expect("in range"));
            let back = unit.from_si(unit.to_si(value));
            let tolerance = 4.0 * f64::EPSILON * (value.abs() + unit.offset());
            prop_assert!((back - value).abs() <= tolerance, "{value} became {back}");
        }
    }
}
