//! The unit of a result for which none was asked.
//!
//! The author's own unit comes first, where it gives a handy number; then the named unit of the
//! dimension in the author's system, with the prefix that gives a handy number; then the coherent
//! unit. The dimension of energy is that of a moment too: it is joules only where a unit the
//! author used says so.

use super::dimension::BASE_UNITS;
use super::{Dimension, Family, Mark, Unit, UnitError, UnitToken, nouns};

const ENERGY: Dimension = Dimension::from_integers([2, 1, -2, 0, 0, 0, 0]);

/// Numbers in this range are handy to read.
const HANDY: std::ops::Range<f64> = 0.1..1000.0;

/// Prefixes to try on a named unit, the most usual first.
const USUAL_PREFIXES: [&str; 9] = ["", "k", "m", "M", "u", "G", "n", "T", "p"];

/// The unit to show a value in.
///
/// `hints` are the units the author used, the most recent last; `value_si` is in coherent SI
/// units. Hints that count from a datum or carry a mark are passed over, because what they mean
/// for the result is not known here: a temperature comes out in kelvin, a plain T⁻¹ in 1/s.
pub fn automatic(dimension: Dimension, family: Family, hints: &[&Unit], value_si: f64) -> Unit {
    if dimension.is_none() {
        return Unit::one();
    }
    let fits = |unit: &Unit| {
        let number = (value_si / unit.factor()).abs();
        number == 0.0 || HANDY.contains(&number)
    };
    let own = hints.iter().rev().find(|hint| {
        hint.dimension() == dimension
            && matches!(hint.mark(), Mark::None | Mark::Interval)
            && fits(hint)
    });
    if let Some(own) = own {
        return (*own).clone();
    }
    let energy = hints.iter().any(|hint| hint.tells_energy);
    let named = match family {
        Family::Us => customary(dimension, energy),
        Family::Si => &[],
    };
    if named.is_empty() {
        return in_si(dimension, energy, fits);
    }
    first_that_fits(named.iter().map(|source| Unit::from_source(source)), fits)
        .unwrap_or_else(|| base_units(dimension))
}

/// The customary units of a dimension, the most usual first.
fn customary(dimension: Dimension, energy: bool) -> &'static [&'static str] {
    if dimension == ENERGY && energy {
        return &["BTU", "MMBTU", "ft lbf"];
    }
    row(CUSTOMARY, dimension).unwrap_or_default()
}

/// The named SI unit of a dimension with its usual prefixes, or its common composition.
fn in_si(dimension: Dimension, energy: bool, fits: impl Fn(&Unit) -> bool) -> Unit {
    let special = row(SPECIAL, dimension);
    let named = nouns::named(dimension).map_or("", |row| row.unit);
    let chosen = if dimension == ENERGY && energy {
        first_that_fits(prefixed("J"), fits)
    } else if let Some(sources) = special {
        first_that_fits(sources.iter().map(|source| Unit::from_source(source)), fits)
    } else if named.is_empty() {
        None
    } else if named.chars().all(char::is_alphabetic) {
        first_that_fits(prefixed(named), fits)
    } else {
        Unit::from_source(named).ok()
    };
    chosen.unwrap_or_else(|| base_units(dimension))
}

/// A symbol alone, then with the usual prefixes where it takes them.
fn prefixed(symbol: &str) -> impl Iterator<Item = Result<Unit, UnitError>> {
    USUAL_PREFIXES
        .iter()
        .map(move |prefix| Unit::lone(&format!("{prefix}{symbol}")))
}

/// The first unit that fits; the first at all where none does.
fn first_that_fits(
    candidates: impl Iterator<Item = Result<Unit, UnitError>>,
    fits: impl Fn(&Unit) -> bool,
) -> Option<Unit> {
    let mut first = None;
    for unit in candidates.filter_map(Result::ok) {
        if fits(&unit) {
            return Some(unit);
        }
        first.get_or_insert(unit);
    }
    first
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

/// Dimensions whose usual SI units are not prefixes on one symbol.
const SPECIAL: &Rows = &[
    ([1, 0, 0, 0, 0, 0, 0], &["m", "mm", "km", "um", "nm"]),
    ([0, 1, 0, 0, 0, 0, 0], &["kg", "g", "t", "mg", "ug"]),
    (
        [0, 0, 1, 0, 0, 0, 0],
        &["s", "ms", "min", "h", "d", "us", "ns"],
    ),
    ([0, 0, 0, 0, 1, 0, 0], &["K"]),
    ([0, 0, 0, 0, 0, 0, 1], &["cd"]),
    ([2, 1, -2, 0, 0, 0, 0], &["N m", "kN m", "MN m"]),
    // Bending stiffness.
    (
        [3, 1, -2, 0, 0, 0, 0],
        &["N m^2", "kN m^2", "MN m^2", "GN m^2"],
    ),
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

    const PRESSURE: Dimension = Dimension::pressure();

    fn chosen(dimension: Dimension, family: Family, hints: &[&str], value: f64) -> String {
        let hints: Vec<Unit> = hints
            .iter()
            .map(|hint| Unit::from_source(hint).expect("a unit"))
            .collect();
        let hints: Vec<&Unit> = hints.iter().collect();
        automatic(dimension, family, &hints, value)
            .text()
            .to_owned()
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
    fn energy_is_a_moment_unless_the_author_used_a_unit_of_energy() {
        assert_eq!(chosen(ENERGY, Family::Si, &["N", "mm"], 250.0), "N·m");
        assert_eq!(chosen(ENERGY, Family::Si, &["kJ/kg"], 250.0), "J");
        assert_eq!(chosen(ENERGY, Family::Si, &["W"], 2.5e6), "MJ");
        assert_eq!(chosen(ENERGY, Family::Us, &["lbf"], 250.0), "lbf·ft");
    }

    #[test]
    fn prefixes_keep_named_units_handy_and_zero_has_none() {
        assert_eq!(chosen(PRESSURE, Family::Si, &[], 0.0), "Pa");
        assert_eq!(chosen(Dimension::length(), Family::Si, &[], 0.012), "mm");
        assert_eq!(chosen(Dimension::mass(), Family::Si, &[], 0.012), "g");
        assert_eq!(chosen(Dimension::time(), Family::Si, &[], 20e-6), "µs");
        let velocity = Dimension::from_integers([1, 0, -1, 0, 0, 0, 0]);
        assert_eq!(chosen(velocity, Family::Si, &[], 1e-7), "m/s");
    }

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
