//! Conversion factors and constants against published values.
//!
//! `reference/units.json` holds exact factors (NIST SP 811 appendix B, SI Brochure, definitions)
//! and `reference/constants.json` the CODATA 2022 values, each case with its source. The spellings
//! there are neutral; this test reads them into the factors of a unit.

use std::f64::consts::TAU;

use serde_json::Value;
use setsquare::quantity::{Exponent, Mark, Unit, UnitToken, constant, constants};

/// Spellings that differ from ours.
const SPELLINGS: &[(&str, &str)] = &[
    ("1", ""),
    ("Btu_IT", "BTU"),
    ("Btu_th", "BTUth"),
    ("Hz (rev/s)", "Hz"),
    ("acre (international)", "acre"),
    ("acre (survey)", "acreUS"),
    ("at", "techatm"),
    ("bushel", "bu"),
    ("cal_th", "calth"),
    ("carat", "ct"),
    ("circular_mil", "cmil"),
    ("cwt_long", "cwtUK"),
    ("cwt_short", "cwtUS"),
    ("fathom (survey)", "fathomUS"),
    ("floz_uk", "flozUK"),
    ("gal_uk", "galUK"),
    ("grain", "gr"),
    ("hp_boiler", "hpS"),
    ("hp_metric", "PS"),
    ("julian_year", "yrJulian"),
    ("kcal_IT", "kcalIT"),
    ("kcal_th", "kcalth"),
    ("light_year", "ly"),
    ("long_ton", "tonUK"),
    ("mil (0.001 in)", "thou"),
    ("mil (angle, 1/6400 rev)", "milNATO"),
    ("pennyweight", "dwt"),
    ("point (1/72 in)", "point"),
    ("register_ton", "regton"),
    ("reyn (lbf*s/in^2)", "reyn"),
    ("rod (survey)", "rodUS"),
    ("therm_US", "thermUS"),
    ("ton_TNT", "tTNT"),
    ("tonf (2000 lbf)", "tonf"),
];

/// Cases that are not covered, and why.
const NOT_COVERED: &[(&str, &str)] = &[(
    "unit-227",
    "the rad as a unit of dose has the symbol of the radian; doses are in gray",
)];

fn cases(text: &str) -> Vec<Value> {
    serde_json::from_str(text).expect("an array of cases")
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().expect("a text")
}

fn number(value: &Value, key: &str) -> f64 {
    text(value, key).parse().expect("a number")
}

fn ours(spelling: &str) -> &str {
    let known = SPELLINGS.iter().find(|(theirs, _)| *theirs == spelling);
    known.map_or(spelling, |(_, ours)| ours)
}

/// A unit with the plain number before it: `1e6*gal/d`, `L/(100*km)`.
fn read(spelling: &str) -> (f64, Unit) {
    let spelling = ours(spelling);
    if let Some(symbol) = spelling.strip_prefix("delta_") {
        return (1.0, Unit::lone(symbol).expect(symbol).interval());
    }
    let mut scale = 1.0;
    let mut tokens = Vec::new();
    // Below the slash now, and below it for the whole of the bracket.
    let (mut below, mut bracket_below) = (false, false);
    for part in split(spelling) {
        match part {
            "*" => below = bracket_below,
            "/" => below = true,
            "(" => bracket_below = below,
            ")" => bracket_below = false,
            number if number.parse::<f64>().is_ok() => {
                let number: f64 = number.parse().expect("a number");
                scale *= if below { 1.0 / number } else { number };
            }
            factor => tokens.push(token(factor, below)),
        }
    }
    (scale, Unit::compose(&tokens).expect(spelling))
}

/// The parts of a spelling; an exponent in brackets stays with its symbol.
fn split(spelling: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut start = 0;
    let mut in_exponent = false;
    for (at, byte) in spelling.bytes().enumerate() {
        let after_caret = at > 0 && spelling.as_bytes()[at - 1] == b'^';
        if byte == b'(' && after_caret {
            in_exponent = true;
        } else if byte == b')' && in_exponent {
            in_exponent = false;
        } else if b"*/()".contains(&byte) && !in_exponent {
            parts.extend([&spelling[start..at], &spelling[at..=at]]);
            start = at + 1;
        }
    }
    parts.push(&spelling[start..]);
    parts.retain(|part| !part.is_empty());
    parts
}

fn token(factor: &str, below: bool) -> UnitToken<'_> {
    let (symbol, power) = factor.split_once('^').unwrap_or((factor, "1"));
    let power = power.trim_matches(['(', ')']);
    let (numerator, denominator) = power.split_once('/').unwrap_or((power, "1"));
    UnitToken {
        symbol: ours(symbol),
        power: Exponent::new(
            numerator.parse().expect("an exponent"),
            denominator.parse().expect("an exponent"),
        ),
        below,
    }
}

/// Radians in a revolution, where one unit counts the one and the other measures the other.
fn turns(from: &Unit, to: &Unit) -> f64 {
    match (from.mark(), to.mark()) {
        (Mark::Revolutions, Mark::Radians) => TAU,
        _ => 1.0,
    }
}

fn close(id: &str, got: f64, expected: f64, relative: f64, absolute: f64) {
    let error = (got - expected).abs();
    assert!(
        error <= relative * expected.abs() + absolute,
        "{id}: {got} instead of {expected}"
    );
}

#[test]
fn conversions_are_those_of_the_published_factors() {
    let cases = cases(include_str!("../reference/units.json"));
    assert!(cases.len() > 170);
    for case in &cases {
        let id = text(case, "id");
        if NOT_COVERED.iter().any(|(not, _)| *not == id) {
            continue;
        }
        let (input, expected) = (&case["inputs"][0], &case["expected"][0]);
        let (scale, from) = read(text(input, "unit"));
        let (to_scale, to) = read(text(expected, "unit"));
        let si = from.to_si(number(input, "value") * scale);
        // Fuel consumption and distance per volume are the inverse of each other.
        let si = if case["equations"][0] == "y = 1/x" {
            1.0 / si
        } else {
            si
        };
        assert!(
            from.dimension() == to.dimension()
                || from
                    .dimension()
                    .times(to.dimension())
                    .is_some_and(|it| it.is_none()),
            "{id}"
        );
        let got = to.from_si(si * turns(&from, &to)) / to_scale;
        let relative = expected["rel_tol"].as_f64().expect("a tolerance");
        // Differences of temperatures near zero keep the rounding of the kelvin.
        let absolute = if from.mark() == Mark::Point {
            1e-12
        } else {
            0.0
        };
        close(id, got, number(expected, "value"), relative, absolute);
    }
}

#[test]
fn every_constant_is_that_of_codata_2022() {
    let reference = include_str!("../reference/codata2022.json");
    let reference: Value = serde_json::from_str(reference).expect("JSON");
    let rows = reference["constants"].as_array().expect("constants");
    assert_eq!(rows.len(), constants().len());
    for row in rows {
        let name = text(row, "name");
        let ours = constant(name).expect(name);
        assert_eq!(ours.name, name);
        let (value, spread) = (&row["value"], &row["uncertainty"]);
        let (value, spread) = (value.as_f64().expect(name), spread.as_f64().expect(name));
        let number: f64 = ours.number.parse().expect(name);
        let uncertainty: f64 = ours.uncertainty.map_or(0.0, |it| it.parse().expect(name));
        // Exact ones are computed there in doubles, step by step, and so are uncertainties.
        close(name, number, value, 2e-15, 0.0);
        close(name, uncertainty, spread, 1e-15, 0.0);
        let (scale, unit) = published_unit(text(row, "unit"));
        assert_eq!(ours.unit().dimension(), unit.dimension(), "{name}");
        close(name, ours.value(), unit.to_si(value * scale), 1e-12, 0.0);
        close(name, ours.spread(), unit.to_si(spread * scale), 1e-12, 0.0);
    }
}

/// What one of a unit in the listing's spelling is, as so many of a unit of ours.
fn published_unit(spelled: &str) -> (f64, Unit) {
    const LIGHT: f64 = 299_792_458.0;
    match spelled {
        "" => return (1.0, Unit::one()),
        "u" => return (1.0, read("Da").1),
        "E_h" => return (4.359_744_722_206_0e-18, read("J").1),
        "MeV/c" => return (1.602_176_634e-13 / LIGHT, read("kg*m/s").1),
        "(GeV/c^2)^-2" => return ((LIGHT * LIGHT / 1.602_176_634e-10).powi(2), read("kg^-2").1),
        _ => {}
    }
    read(&spelled.replace(' ', "*"))
}

#[test]
fn known_constants_are_those_of_their_cases() {
    let mut compared = 0;
    for case in cases(include_str!("../reference/constants.json")) {
        // Cases from 200 on are computed from these; the next test has them.
        if text(&case, "id") >= "const-200" {
            continue;
        }
        let expected = &case["expected"][0];
        let title = text(&case, "title");
        let ours = constant(title).expect(title);
        let (_, unit) = read(text(expected, "unit"));
        assert_eq!(ours.unit().dimension(), unit.dimension());
        let relative = expected["rel_tol"].as_f64().expect("a tolerance");
        close(
            ours.name,
            ours.value(),
            unit.to_si(number(expected, "value")),
            relative,
            0.0,
        );
        let uncertainty = unit.to_si(number(expected, "std_uncertainty"));
        close(ours.name, ours.spread(), uncertainty, 1e-12, 0.0);
        compared += 1;
    }
    assert!(compared > 35);
}

#[test]
fn values_computed_from_constants_are_those_published() {
    let named = |name: &str| constant(name).expect(name).value();
    let photon = named("Planck constant") * named("speed of light in vacuum") / 550e-9;
    let got = |id: &str, symbol: &str| match (id, symbol) {
        ("const-201", _) => named("molar gas constant"),
        ("const-202", _) => named("Faraday constant"),
        ("const-204", "KJ") => named("Josephson constant"),
        ("const-204", "RK") => named("von Klitzing constant"),
        ("const-205", _) => photon,
        ("const-207", _) => read("mmHg").1.to_si(760.0),
        ("const-208", _) => named("molar volume of ideal gas (273.15 K, 101.325 kPa)"),
        ("const-210", _) => named("standard acceleration of gravity"),
        ("const-211", _) => named("standard atmosphere"),
        _ => panic!("{id} is new"),
    };
    for case in cases(include_str!("../reference/constants.json")) {
        let id = text(&case, "id");
        if id < "const-200" {
            continue;
        }
        for expected in case["expected"].as_array().expect("values") {
            let (_, unit) = read(text(expected, "unit"));
            let relative = expected["rel_tol"].as_f64().expect("a tolerance");
            let value = unit.from_si(got(id, text(expected, "symbol")));
            close(id, value, number(expected, "value"), relative, 0.0);
        }
    }
}
