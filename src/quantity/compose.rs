//! Units from their factors: size and dimension as products.

use super::registry::{self, Found, Row, Size};
use super::spelling::Spelling;
use super::unit::Parts;
use super::{Dimension, Exponent, Family, Mark, Turning, Unit, dimension};
use crate::precise::{Precise, Rational};

/// A factor of a unit as it was written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitToken<'a> {
    /// Its symbol; empty for the 1 of `1/s`.
    pub symbol: &'a str,
    /// Its exponent as written, without the slash: 2 in `m/s^2`.
    pub power: Exponent,
    /// Whether it stands below the slash.
    pub below: bool,
}

/// Why factors are not a unit. The index is that of the factor.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum UnitError {
    /// No unit has this symbol.
    #[error("there is no unit `{symbol}`")]
    Unknown {
        /// Which factor.
        index: usize,
        /// Its symbol.
        symbol: String,
        /// A known symbol that looks like it.
        nearest: Option<String>,
    },
    /// The symbol has several readings.
    #[error("`{symbol}` has several readings as a unit")]
    Ambiguous {
        /// Which factor.
        index: usize,
        /// Its symbol.
        symbol: String,
        /// What to write instead, for each reading.
        readings: &'static str,
    },
    /// A gauge or absolute pressure as part of a compound unit.
    #[error("`{symbol}` counts from a datum and cannot be part of a compound unit")]
    Datum {
        /// Which factor.
        index: usize,
        /// Its symbol.
        symbol: String,
        /// The same unit without a datum.
        plain: String,
    },
    /// An exponent, or the size of the unit, is out of range.
    #[error("a unit of this size cannot be computed with")]
    OutOfRange {
        /// Which factor.
        index: usize,
    },
}

impl UnitError {
    /// The index of the factor that is refused.
    pub fn index(&self) -> usize {
        match self {
            UnitError::Unknown { index, .. }
            | UnitError::Ambiguous { index, .. }
            | UnitError::Datum { index, .. }
            | UnitError::OutOfRange { index } => *index,
        }
    }

    /// What to type instead, where that is known: "`kPa`".
    pub fn help(&self) -> Option<String> {
        match self {
            UnitError::Unknown {
                nearest, symbol, ..
            } => nearest.as_ref().map(|near| {
                // Case tells milli from mega: where it is wrong, each of the same kind is told.
                let mut ways = vec![near.clone()];
                if near.eq_ignore_ascii_case(symbol) {
                    let kind = |symbol: &str| Unit::lone(symbol).ok().map(|unit| unit.dimension());
                    let is_other = |other: &String| other != near && kind(other) == kind(near);
                    let others = registry::of_other_case(symbol);
                    ways.extend(others.into_iter().filter(is_other));
                }
                format!("`{}`", ways.join("` or `"))
            }),
            UnitError::Ambiguous { readings, .. } => Some((*readings).to_owned()),
            UnitError::Datum { plain, .. } => Some(format!("`{plain}`")),
            UnitError::OutOfRange { .. } => None,
        }
    }
}

/// Powers of ten from prefixes stay below this, so that the size stays a number.
const LARGEST_POWER_OF_TEN: i32 = 300;

const ENERGY: Dimension = Dimension::from_integers([2, 1, -2, 0, 0, 0, 0]);
const POWER: Dimension = Dimension::from_integers([2, 1, -3, 0, 0, 0, 0]);
const RATE: Dimension = Dimension::from_integers([0, 0, -1, 0, 0, 0, 0]);

/// The unit with these factors.
pub(super) fn compose(factors: &[UnitToken<'_>]) -> Result<Unit, UnitError> {
    if factors.iter().all(|token| token.symbol.is_empty()) {
        return Ok(Unit::one());
    }
    let named = factors.iter().filter(|token| !token.symbol.is_empty());
    let first = factors.iter().find(|token| !token.symbol.is_empty());
    let alone =
        named.count() == 1 && first.is_some_and(|token| token.power == 1.into() && !token.below);
    let mut product = Product::new(alone);
    let mut spelling = Spelling::default();
    for (index, token) in factors.iter().enumerate() {
        if token.symbol.is_empty() {
            continue;
        }
        let found = found(factors, index)?;
        product.multiply(index, found, token)?;
        spelling.add(found, token);
    }
    product.finish(factors.len().saturating_sub(1), spelling)
}

/// The `r` of `r/min`. Alone it is no unit: it is the name that most radii have.
static REVOLUTION: Row = Row::revolution(&["r"], "");

fn is_revolution_over_time(first: &UnitToken<'_>, second: &UnitToken<'_>) -> bool {
    let one = Exponent::from_integer(1);
    let is_time = |symbol| {
        registry::find(symbol)
            .is_some_and(|found| found.row.measure().dimension == Dimension::time())
    };
    (first.symbol, first.power, first.below) == ("r", one, false)
        && (second.power, second.below) == (one, true)
        && is_time(second.symbol)
}

/// The unit that one of the factors is.
fn found(factors: &[UnitToken<'_>], index: usize) -> Result<Found, UnitError> {
    match factors {
        [first, second] if index == 0 && is_revolution_over_time(first, second) => Ok(Found {
            row: &REVOLUTION,
            prefix: None,
        }),
        _ => find(index, factors.get(index).map_or("", |token| token.symbol)),
    }
}

/// The size of the unit with these factors, exactly; unknown where one of them is no unit. A
/// revolution that is counted has none.
pub(super) fn precise(factors: &[UnitToken<'_>], counts_revolutions: bool) -> Precise {
    let named = (factors.iter().enumerate()).filter(|(_, token)| !token.symbol.is_empty());
    named.fold(Precise::whole(1), |size, (index, token)| {
        let Ok(found) = found(factors, index) else {
            return Precise::unknown();
        };
        if counts_revolutions && found.row.mark() == Mark::Revolution {
            return size;
        }
        let ten = found.prefix.map_or(0, |prefix| i64::from(prefix.power));
        let prefix = Precise::whole(10).power(&Precise::whole(ten));
        let power = Rational::new((*token.power.numer()).into(), (*token.power.denom()).into());
        let power = if token.below { -power } else { power };
        let own = found.row.precise().times(&prefix);
        size.times(&own.power(&Precise::rational(power)))
    })
}

fn find(index: usize, symbol: &str) -> Result<Found, UnitError> {
    if let Some(found) = registry::find(symbol) {
        return Ok(found);
    }
    let symbol = symbol.to_owned();
    Err(match registry::refused::readings(&symbol) {
        Some(readings) => UnitError::Ambiguous {
            index,
            symbol,
            readings,
        },
        None => UnitError::Unknown {
            index,
            nearest: registry::nearest(&symbol),
            symbol,
        },
    })
}

/// The product as far as it has been multiplied.
struct Product {
    /// Whether the unit is one symbol to the first power.
    alone: bool,
    dimension: Dimension,
    size: Size,
    /// The power of ten of all prefixes.
    ten: i32,
    offset: f64,
    family: Option<Family>,
    turning: Turning,
    /// Revolutions, which are angles or are counted by what they stand beside.
    revolutions: Exponent,
    /// Any other mark.
    mark: Mark,
    /// Whether a factor is a unit of energy or power.
    tells_energy: bool,
}

impl Product {
    fn new(alone: bool) -> Self {
        Product {
            alone,
            dimension: Dimension::none(),
            size: Size::ONE,
            ten: 0,
            offset: 0.0,
            family: None,
            turning: Turning::NONE,
            revolutions: 0.into(),
            mark: Mark::None,
            tells_energy: false,
        }
    }

    fn multiply(
        &mut self,
        index: usize,
        found: Found,
        token: &UnitToken<'_>,
    ) -> Result<(), UnitError> {
        let out_of_range = UnitError::OutOfRange { index };
        let written = dimension::in_range(token.power).ok_or_else(|| out_of_range.clone())?;
        let power = if token.below { -written } else { written };
        let measure = found.row.measure();
        let raised = measure.dimension.power(power);
        self.dimension = raised
            .and_then(|dimension| self.dimension.times(dimension))
            .ok_or_else(|| out_of_range.clone())?;
        // The size of a revolution is decided by the whole unit.
        if found.row.mark() != Mark::Revolution {
            self.size = self.size.times(measure.size.raised(power)).reduced();
        }
        if let Some(prefix) = found.prefix {
            self.scale(prefix.power, power).ok_or(out_of_range)?;
        }
        self.tells_energy |= measure.dimension == ENERGY || measure.dimension == POWER;
        self.family = self.family.or(found.row.family());
        self.note(index, token.symbol, found.row.mark(), power)?;
        if self.alone {
            self.offset = measure.offset;
        }
        Ok(())
    }

    /// Multiplies by the power of a power of ten.
    fn scale(&mut self, ten: i32, power: Exponent) -> Option<()> {
        let total = ten.checked_mul(*power.numer())?;
        if total % *power.denom() == 0 {
            self.ten = self.ten.checked_add(total / *power.denom())?;
        } else {
            self.size = self.size.times(Size::ten_to(ten).raised(power));
        }
        (self.ten.abs() <= LARGEST_POWER_OF_TEN).then_some(())
    }

    /// Notes how the factor reads its number.
    fn note(
        &mut self,
        index: usize,
        symbol: &str,
        mark: Mark,
        power: Exponent,
    ) -> Result<(), UnitError> {
        match mark {
            Mark::None => {}
            Mark::Revolution => count(&mut self.revolutions, index, power)?,
            Mark::Revolutions => count(&mut self.turning.turns, index, power)?,
            Mark::Radians => count(&mut self.turning.angle, index, power)?,
            Mark::Cycles => count(&mut self.turning.cycles, index, power)?,
            Mark::Decibel => self.mark = Mark::Decibel,
            Mark::Point | Mark::Interval if !self.alone => self.mark = Mark::Interval,
            Mark::Gauge | Mark::Absolute if !self.alone => {
                return Err(UnitError::Datum {
                    index,
                    symbol: symbol.to_owned(),
                    plain: symbol.trim_end_matches(['a', 'g']).to_owned(),
                });
            }
            mark => self.mark = mark,
        }
        Ok(())
    }

    /// A revolution over a time alone is counted; any other is an angle of 2π.
    fn turned(&mut self, index: usize) -> Result<(), UnitError> {
        if self.revolutions == 0.into() {
            return Ok(());
        }
        let is_frequency = self.revolutions == 1.into()
            && self.turning.is_none()
            && self.dimension == RATE
            && self.mark == Mark::None;
        if is_frequency {
            self.turning.turns = self.revolutions;
            return Ok(());
        }
        self.size = self
            .size
            .times(REVOLUTION.measure().size.raised(self.revolutions));
        self.turning.in_revolutions = true;
        count(&mut self.turning.angle, index, self.revolutions)
    }

    fn mark(&self) -> Mark {
        let counted = |exponent: Exponent| *exponent.numer() != 0;
        if self.mark != Mark::None {
            self.mark
        } else if counted(self.turning.turns) {
            Mark::Revolutions
        } else if counted(self.turning.cycles) {
            Mark::Cycles
        } else if counted(self.turning.angle) {
            Mark::Radians
        } else {
            Mark::None
        }
    }

    fn finish(mut self, last: usize, spelling: Spelling) -> Result<Unit, UnitError> {
        self.turned(last)?;
        let size = self.size.times(Size::ten_to(self.ten)).reduced();
        let number = size.number();
        if !number.is_normal() || !(1.0 / number).is_normal() {
            return Err(UnitError::OutOfRange { index: last });
        }
        let (text, source) = spelling.finish();
        Ok(Unit::new(Parts {
            dimension: self.dimension,
            size,
            offset: self.offset,
            mark: self.mark(),
            turning: self.turning,
            family: self.family,
            text: text.into(),
            source: source.into(),
            tells_energy: self.tells_energy,
        }))
    }
}

/// Adds an exponent to a count.
fn count(counted: &mut Exponent, index: usize, power: Exponent) -> Result<(), UnitError> {
    *counted = dimension::sum(*counted, power).ok_or(UnitError::OutOfRange { index })?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::spelling::read;

    fn unit(source: &str) -> Unit {
        read(source).expect(source)
    }

    fn refused(source: &str) -> UnitError {
        read(source).expect_err(source)
    }

    #[test]
    fn sizes_of_composed_units_are_exact_where_they_can_be() {
        assert_eq!(unit("km/h").to_si(90.0), 25.0);
        assert_eq!(unit("mm^4").factor(), 1e-12);
        assert_eq!(unit("kJ/(kg K)").to_si(4.18), 4180.0);
        assert_eq!(unit("MPa m^(1/2)").to_si(24.0), 24e6);
        assert_eq!(unit("um^(1/2)").factor(), 1e-3);
    }

    #[test]
    fn celsius_in_a_compound_unit_is_an_interval() {
        for source in ["W/(m^2 degC)", "1/degF", "kJ/(kg degC)", "degC^2"] {
            let unit = unit(source);
            assert_eq!(
                (unit.mark(), unit.offset()),
                (Mark::Interval, 0.0),
                "{source}"
            );
        }
        assert_eq!(unit("degF").mark(), Mark::Point);
    }

    #[test]
    fn rotations_angles_and_cycles_are_marked() {
        let marks = [
            ("rpm", Mark::Revolutions),
            ("rev/s", Mark::Revolutions),
            ("V/rpm", Mark::Revolutions),
            ("r/min", Mark::Revolutions),
            ("rev", Mark::Radians),
            ("mm/rev", Mark::Radians),
            ("rad/s", Mark::Radians),
            ("deg/s", Mark::Radians),
            ("kHz", Mark::Cycles),
            ("1/s", Mark::None),
            ("rpm/rev", Mark::Revolutions),
            ("dB/m", Mark::Decibel),
            ("psig", Mark::Gauge),
            ("bara", Mark::Absolute),
        ];
        for (source, mark) in marks {
            assert_eq!(unit(source).mark(), mark, "{source}");
        }
    }

    #[test]
    fn a_revolution_is_an_angle_and_over_a_time_alone_it_is_counted() {
        use std::f64::consts::TAU;
        let sizes = [
            ("rev", TAU),
            ("rev/s", 1.0),
            ("rev/min", 1.0 / 60.0),
            ("r/min", 1.0 / 60.0),
            ("rpm", 1.0 / 60.0),
            ("rev/s^2", TAU),
            ("mm/rev", 1e-3 / TAU),
            ("s/rev", 1.0 / TAU),
        ];
        for (source, size) in sizes {
            assert_eq!(unit(source).factor(), size, "{source}");
        }
        assert_eq!(unit("r/min").text(), "r/min");
        assert!(matches!(refused("r"), UnitError::Unknown { .. }));
        assert!(matches!(refused("r/m"), UnitError::Unknown { .. }));
    }

    #[test]
    fn the_family_is_that_of_the_first_unit_that_has_one() {
        assert_eq!(unit("ft/s").family(), Some(Family::Us));
        assert_eq!(unit("W/(m^2 K)").family(), Some(Family::Si));
        assert_eq!(unit("V/s").family(), None);
        assert_eq!(unit("%").family(), None);
    }

    #[test]
    fn a_unit_that_is_refused_says_what_to_type() {
        let unknown = refused("kJ/(kg KPa)");
        assert_eq!(
            (unknown.index(), unknown.help()),
            (2, Some("`kPa`".to_owned()))
        );
        assert_eq!(unknown.to_string(), "there is no unit `KPa`");
        assert!(matches!(refused("ton"), UnitError::Ambiguous { .. }));
        assert_eq!(refused("psig/ft").help().as_deref(), Some("`psi`"));
        assert_eq!(refused("kfrobs").help(), None);
    }

    #[test]
    fn sizes_out_of_range_are_refused() {
        assert!(matches!(
            refused("Qm^11"),
            UnitError::OutOfRange { index: 0 }
        ));
        assert!(matches!(
            refused("m s^1001"),
            UnitError::OutOfRange { index: 1 }
        ));
        assert!(matches!(refused("eV^20"), UnitError::OutOfRange { .. }));
        assert!(matches!(
            refused("Qm^2147483647"),
            UnitError::OutOfRange { .. }
        ));
    }
}
