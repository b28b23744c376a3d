//! The unit of a result for which none was asked.
//!
//! The author's own unit comes first, where it gives a handy number; then the named unit of the
//! dimension in the author's system, with the prefix that gives a handy number; then the coherent
//! unit. The dimension of energy is that of a moment too: it is joules only where the result is
//! known to be an energy.

use super::dimension::BASE_UNITS;
use super::{Dimension, Family, Mark, Unit, UnitToken, figures, nouns, spelling};

const ENERGY: Dimension = Dimension::from_integers([2, 1, -2, 0, 0, 0, 0]);

/// It has no noun: a force times an area is not always one.
const BENDING_STIFFNESS: Dimension = Dimension::from_integers([3, 1, -2, 0, 0, 0, 0]);

/// Numbers in this range are handy to read.
const HANDY: std::ops::Range<f64> = 0.1..1000.0;

/// Prefixes to try, the most usual first. What is beyond them has a power of ten.
const USUAL_PREFIXES: [&str; 13] = [
    "", "k", "m", "M", "u", "G", "n", "T", "p", "P", "f", "E", "a",
];

/// A result, as far as its unit depends on it.
#[derive(Debug, Clone, Copy)]
pub struct Amount {
    /// Its dimension.
    pub dimension: Dimension,
    /// Whether it is known to hold an energy, so that it is no moment.
    pub is_energy: bool,
    /// Its size in coherent SI units: the largest, of several numbers.
    pub si: f64,
    /// The figures to which it is printed.
    pub figures: u8,
}

impl Amount {
    /// Whether its printed number in a unit is handy.
    fn fits(&self, unit: &Unit) -> bool {
        let number = (self.si / unit.factor()).abs();
        let printed = figures::to_figures(number, self.figures).value();
        number == 0.0 || HANDY.contains(&printed)
    }

    /// Whether a unit names what it is: joules an energy, newton metres a moment. A customary
    /// foot-pound is both.
    fn goes_with(&self, unit: &Unit) -> bool {
        let is_both = self.is_energy && unit.family() == Some(Family::Us);
        self.dimension != ENERGY || unit.tells_energy() == self.is_energy || is_both
    }
}

/// The unit to show a result in.
///
/// `hints` are the units the author used, the most recent last. Hints that count from a datum or
/// carry a mark are passed over, because what they mean for the result is not known here: a
/// temperature comes out in kelvin, a plain T⁻¹ in 1/s.
pub fn automatic(amount: Amount, family: Family, hints: &[&Unit]) -> Unit {
    let dimension = amount.dimension;
    if dimension.is_none() {
        return Unit::one();
    }
    let own = hints.iter().rev().find(|hint| {
        hint.dimension() == dimension
            && matches!(hint.mark(), Mark::None | Mark::Interval)
            && amount.goes_with(hint)
            && amount.fits(hint)
    });
    if let Some(own) = own {
        return (*own).clone();
    }
    let named = match family {
        Family::Us => customary(amount),
        Family::Si => &[],
    };
    let candidates = if named.is_empty() {
        in_si(amount)
    } else {
        read(named)
    };
    first_that_fits(candidates, amount).unwrap_or_else(|| base_units(dimension))
}

/// A unit that is decided for other numbers, with the prefix that is handy for this one. Only a
/// coherent unit changes its prefix: `kN m` does, `km/h` and `L/min` do not.
pub fn rescaled(unit: &Unit, amount: Amount) -> Unit {
    let is_coherent = |units: &[Unit]| units.first().is_some_and(|it| it.factor() == 1.0);
    if amount.fits(unit) || unit.offset() != 0.0 {
        return unit.clone();
    }
    let others = spelling::with_prefixes(unit.source(), &USUAL_PREFIXES);
    let is_coherent = is_coherent(&others);
    let mut fitting = others.into_iter().filter(|other| amount.fits(other));
    (fitting.next().filter(|_| is_coherent)).unwrap_or_else(|| unit.clone())
}

/// The customary units of a dimension, the most usual first.
fn customary(amount: Amount) -> &'static [&'static str] {
    if amount.dimension == ENERGY && amount.is_energy {
        return &["BTU", "MMBTU", "ft lbf"];
    }
    row(CUSTOMARY, amount.dimension).unwrap_or_default()
}

/// The SI units of a dimension, the most usual first: the named one with its prefixes, or a common
/// composition, whose first unit takes them.
fn in_si(amount: Amount) -> Vec<Unit> {
    if let Some(sources) = row(SPECIAL, amount.dimension) {
        return read(sources);
    }
    let named = match nouns::named(amount.dimension) {
        Some(_) if amount.dimension == ENERGY && amount.is_energy => "J",
        Some(noun) if !noun.unit.is_empty() => noun.unit,
        None if amount.dimension == BENDING_STIFFNESS => "N·m²",
        Some(_) | None => return Vec::new(),
    };
    let prefixed = spelling::with_prefixes(named, &USUAL_PREFIXES);
    match prefixed.is_empty() {
        true => read(&[named]),
        false => prefixed,
    }
}

/// The units of a table.
fn read(sources: &[&str]) -> Vec<Unit> {
    (sources.iter())
        .filter_map(|source| Unit::from_source(source).ok())
        .collect()
}

/// The first unit that fits; the first at all where none does.
fn first_that_fits(candidates: Vec<Unit>, amount: Amount) -> Option<Unit> {
    let fitting = candidates.iter().position(|unit| amount.fits(unit));
    candidates.into_iter().nth(fitting.unwrap_or_default())
}

/// Decibels, per base units for a level that has a dimension: dB/m.
pub fn decibels(dimension: Dimension) -> Unit {
    in_base_units(dimension, Some("dB"))
}

/// The unit of a dimension that has no name, in base units.
fn base_units(dimension: Dimension) -> Unit {
    in_base_units(dimension, None)
}

fn in_base_units(dimension: Dimension, first: Option<&str>) -> Unit {
    let exponents = dimension.exponents();
    let first = first.map(|symbol| UnitToken {
        symbol,
        power: 1.into(),
        below: false,
    });
    let factors = BASE_UNITS.iter().filter_map(|(symbol, place)| {
        let exponent = *exponents.get(*place)?;
        let below = *exponent.numer() < 0;
        (*exponent.numer() != 0).then_some(UnitToken {
            symbol,
            power: if below { -exponent } else { exponent },
            below,
        })
    });
    let factors: Vec<UnitToken<'_>> = first.into_iter().chain(factors).collect();
    // Exponents of a dimension are in range, and the sizes are all one.
    Unit::compose(&factors).unwrap_or_else(|_| Unit::one())
}

/// Units by the exponents of their dimension, the most usual first.
type Rows = [([i32; 7], &'static [&'static str])];

fn row(rows: &'static Rows, dimension: Dimension) -> Option<&'static [&'static str]> {
    rows.iter()
        .find(|(exponents, _)| Dimension::from_integers(*exponents) == dimension)
        .map(|(_, units)| *units)
}

/// Dimensions whose usual SI units are not prefixes on one symbol, in their usual order.
const SPECIAL: &Rows = &[
    (
        [1, 0, 0, 0, 0, 0, 0],
        &["m", "mm", "km", "um", "nm", "Mm", "pm", "Gm", "fm", "Tm"],
    ),
    (
        [0, 1, 0, 0, 0, 0, 0],
        &["kg", "g", "t", "mg", "ug", "kt", "ng", "Mt", "pg", "Gt"],
    ),
    (
        [0, 0, 1, 0, 0, 0, 0],
        &["s", "ms", "min", "h", "d", "us", "ns", "ps", "fs"],
    ),
    ([0, 0, 0, 0, 1, 0, 0], &["K", "mK", "uK", "nK"]),
];

/// Customary units by dimension.
const CUSTOMARY: &Rows = &[
    ([1, 0, 0, 0, 0, 0, 0], &["ft", "in", "mi"]),
    ([0, 1, 0, 0, 0, 0, 0], &["lb", "oz"]),
    ([2, 0, 0, 0, 0, 0, 0], &["ft^2", "in^2"]),
    ([3, 0, 0, 0, 0, 0, 0], &["ft^3", "in^3"]),
    ([4, 0, 0, 0, 0, 0, 0], &["in^4", "ft^4"]),
    ([1, 0, -1, 0, 0, 0, 0], &["ft/s"]),
    ([1, 0, -2, 0, 0, 0, 0], &["ft/s^2"]),
    ([3, 0, -1, 0, 0, 0, 0], &["ft^3/s"]),
    ([0, 1, -1, 0, 0, 0, 0], &["lb/s"]),
    ([-3, 1, 0, 0, 0, 0, 0], &["lb/ft^3"]),
    ([3, -1, 0, 0, 0, 0, 0], &["ft^3/lb"]),
    ([1, 1, -2, 0, 0, 0, 0], &["lbf", "kip"]),
    ([0, 1, -2, 0, 0, 0, 0], &["lbf/ft", "kip/ft"]),
    ([-1, 1, -2, 0, 0, 0, 0], &["psi", "psf", "ksi"]),
    ([-2, 1, -2, 0, 0, 0, 0], &["lbf/ft^3"]),
    ([2, 1, -2, 0, 0, 0, 0], &["lbf ft", "kip ft", "lbf in"]),
    ([2, 1, -3, 0, 0, 0, 0], &["hp", "ft lbf/s"]),
    ([0, 1, -3, 0, 0, 0, 0], &["BTU/(h ft^2)"]),
    ([-1, 1, -1, 0, 0, 0, 0], &["lbf s/ft^2"]),
    ([2, 0, -1, 0, 0, 0, 0], &["ft^2/s"]),
    ([2, 0, -2, 0, 0, 0, 0], &["BTU/lb", "ft lbf/lb"]),
    ([2, 0, -2, 0, -1, 0, 0], &["BTU/(lb degF)"]),
    ([1, 1, -3, 0, -1, 0, 0], &["BTU/(h ft degF)"]),
    ([0, 1, -3, 0, -1, 0, 0], &["BTU/(h ft^2 degF)"]),
    ([0, 0, 0, 0, 1, 0, 0], &["degR"]),
];

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const PRESSURE: Dimension = Dimension::pressure();

    fn chosen(dimension: Dimension, family: Family, hints: &[&str], value: f64) -> String {
        chosen_for((dimension, false), family, hints, value)
    }

    fn chosen_for(
        (dimension, is_energy): (Dimension, bool),
        family: Family,
        hints: &[&str],
        value: f64,
    ) -> String {
        let amount = Amount {
            dimension,
            is_energy,
            si: value,
            figures: 4,
        };
        let hints: Vec<Unit> = hints
            .iter()
            .map(|hint| Unit::from_source(hint).expect("a unit"))
            .collect();
        let hints: Vec<&Unit> = hints.iter().collect();
        automatic(amount, family, &hints).text().to_owned()
    }

    #[test]
    fn every_unit_in_the_tables_is_read_and_has_its_dimension() {
        for (exponents, sources) in SPECIAL.iter().chain(CUSTOMARY) {
            for source in *sources {
                let unit = Unit::from_source(source).expect("a unit");
                assert_eq!(
                    unit.dimension(),
                    Dimension::from_integers(*exponents),
                    "{source}"
                );
                assert!(
                    matches!(unit.mark(), Mark::None | Mark::Interval),
                    "{source}"
                );
            }
        }
    }

    #[test]
    fn the_authors_own_unit_comes_first_where_it_fits() {
        assert_eq!(chosen(PRESSURE, Family::Si, &["bar", "psi"], 4.2e5), "psi");
        assert_eq!(chosen(PRESSURE, Family::Si, &["bar", "Pa"], 4.2e5), "bar");
        assert_eq!(chosen(PRESSURE, Family::Si, &["Pa"], 4.2e5), "kPa");
        assert_eq!(chosen(PRESSURE, Family::Us, &["ft"], 4.2e5), "psi");
    }

    #[test]
    fn energy_is_a_moment_unless_it_is_known_to_be_one() {
        assert_eq!(chosen(ENERGY, Family::Si, &["N", "mm"], 250.0), "N·m");
        assert_eq!(chosen(ENERGY, Family::Si, &["kJ", "W"], 250.0), "N·m");
        assert_eq!(chosen(ENERGY, Family::Us, &["lbf"], 250.0), "lbf·ft");
        let energy =
            |family, hints: &[&str], value| chosen_for((ENERGY, true), family, hints, value);
        assert_eq!(energy(Family::Si, &["N m"], 250.0), "J");
        assert_eq!(energy(Family::Si, &["W", "MJ"], 2.5e6), "MJ");
        assert_eq!(energy(Family::Us, &["lbf"], 250e3), "Btu");
    }

    #[test]
    fn prefixes_keep_named_units_handy_and_zero_has_none() {
        assert_eq!(chosen(PRESSURE, Family::Si, &[], 0.0), "Pa");
        assert_eq!(chosen(Dimension::length(), Family::Si, &[], 0.012), "mm");
        assert_eq!(chosen(Dimension::mass(), Family::Si, &[], 0.012), "g");
        assert_eq!(chosen(Dimension::time(), Family::Si, &[], 20e-6), "µs");
        let velocity = Dimension::from_integers([1, 0, -1, 0, 0, 0, 0]);
        assert_eq!(chosen(velocity, Family::Si, &[], 1e-7), "µm/s");
        let stiffness = Dimension::from_integers([3, 1, -2, 0, 0, 0, 0]);
        assert_eq!(chosen(stiffness, Family::Si, &[], 8.4e6), "MN·m²");
        // As it is printed to four figures, it is 1.000 kPa.
        assert_eq!(chosen(PRESSURE, Family::Si, &[], 999.97), "kPa");
        assert_eq!(chosen(PRESSURE, Family::Si, &[], 1e25), "Pa");
    }

    #[test]
    fn only_a_coherent_unit_changes_its_prefix() {
        let rescaled = |source: &str, si: f64| {
            let unit = Unit::from_source(source).expect("a unit");
            let amount = Amount {
                dimension: unit.dimension(),
                is_energy: false,
                si,
                figures: 4,
            };
            super::rescaled(&unit, amount).text().to_owned()
        };
        assert_eq!(rescaled("N", 1090.0), "kN");
        assert_eq!(rescaled("kN m", 2.0), "N·m");
        assert_eq!(rescaled("kHz", 2.4e9), "GHz");
        assert_eq!(rescaled("km/h", 1e3), "km/h");
        assert_eq!(rescaled("degC", 5e3), "°C");
    }

    proptest! {
        #[test]
        fn a_named_unit_with_its_prefix_keeps_a_number_of_three_places(
            mantissa in 1.0..10.0_f64,
            power in -15..15_i32,
            which in 0..NAMED.len(),
            figures in 1..9_u8,
        ) {
            let dimension = Unit::from_source(NAMED[which]).expect("a unit").dimension();
            let si = mantissa * 10_f64.powi(power);
            let amount = Amount { dimension, is_energy: NAMED[which] == "J", si, figures };
            // `PS` is the metric horsepower, so that there is no petasiemens.
            let is_spelled_so = NAMED[which] == "S" && figures::to_figures(si, figures).value() >= 1e15;
            prop_assume!(!is_spelled_so);
            let unit = automatic(amount, Family::Si, &[]);
            let number = unit.from_si(si);
            let printed = figures::to_figures(number, figures).value();
            prop_assert!((0.1..1000.0).contains(&printed), "{printed} {}", unit.text());
            let back = unit.to_si(printed) / si - 1.0;
            prop_assert!(back.abs() <= 0.5 * 10_f64.powi(1 - i32::from(figures)) + 1e-15);
        }
    }

    /// Units that take prefixes, one a dimension.
    const NAMED: [&str; 22] = [
        "N", "Pa", "J", "W", "V", "A", "C", "ohm", "S", "F", "H", "Wb", "T", "mol", "N m", "N m^2",
        "N/m", "Pa s", "W/m^2", "J/kg", "W/(m K)", "m/s",
    ];

    #[test]
    fn what_has_no_named_unit_is_in_base_units() {
        let odd = Dimension::from_integers([0, 2, -5, 0, 0, 0, 0]);
        assert_eq!(chosen(odd, Family::Us, &[], 1.0), "kg²/s⁵");
        assert_eq!(chosen(Dimension::none(), Family::Si, &["%"], 0.5), "");
        let rate = Dimension::from_integers([0, 0, -1, 0, 0, 0, 0]);
        assert_eq!(chosen(rate, Family::Si, &["rpm"], 25.0), "1/s");
    }

    #[test]
    fn points_on_a_scale_are_left_to_the_caller() {
        assert_eq!(
            chosen(Dimension::temperature(), Family::Si, &["degC"], 293.15),
            "K"
        );
    }
}
