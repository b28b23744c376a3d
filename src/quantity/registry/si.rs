//! The units of the SI, the units accepted for use with it, and other metric units that are
//! defined in round numbers of it. All are read from `uom`, except those it lacks.
//!
//! Prefixes follow the SI Brochure (9th edition): none on units of time other than the second, on
//! units of angle other than the radian, or on the hectare.

use super::row::{Row, from_uom};
use super::size::{Size, ratio, whole};
use crate::quantity::{Dimension, Mark};

const MASS: Dimension = Dimension::mass();
const LENGTH: Dimension = Dimension::length();
const TIME: Dimension = Dimension::time();
const NONE: Dimension = Dimension::none();
const ENERGY: Dimension = Dimension::from_integers([2, 1, -2, 0, 0, 0, 0]);
const POWER: Dimension = Dimension::from_integers([2, 1, -3, 0, 0, 0, 0]);
const CHARGE: Dimension = Dimension::from_integers([0, 0, 1, 1, 0, 0, 0]);
const DOSE: Dimension = Dimension::from_integers([2, 0, -2, 0, 0, 0, 0]);
const ACCELERATION: Dimension = Dimension::from_integers([1, 0, -2, 0, 0, 0, 0]);
const PRESSURE: Dimension = Dimension::pressure();
const RATE: Dimension = Dimension::from_integers([0, 0, -1, 0, 0, 0, 0]);

/// The rows, by subject.
#[rustfmt::skip] // one row a line
pub(super) const ROWS: &[Row] = &[
    // Base units; the gram carries the prefixes of the kilogram.
    from_uom!(&["m"], "metre", length::meter, "SI Brochure (9th ed.) table 2").prefixed().si(),
    from_uom!(&["g"], "gram", mass::gram, "0.001 kg, SI Brochure (9th ed.) table 2").prefixed().si(),
    from_uom!(&["s", "sec"], "second", time::second, "SI Brochure (9th ed.) table 2").prefixed(),
    from_uom!(&["A"], "ampere", electric_current::ampere, "SI Brochure (9th ed.) table 2").prefixed(),
    from_uom!(&["K"], "kelvin", thermodynamic_temperature::kelvin, "SI Brochure (9th ed.) table 2").prefixed().si(),
    from_uom!(&["mol"], "mole", amount_of_substance::mole, "SI Brochure (9th ed.) table 2").prefixed(),
    from_uom!(&["cd"], "candela", luminous_intensity::candela, "SI Brochure (9th ed.) table 2").prefixed(),
    // Derived units with special names.
    from_uom!(&["rad"], "radian", angle::radian, "m/m, SI Brochure (9th ed.) table 4").prefixed().marked(Mark::Radians),
    from_uom!(&["sr"], "steradian", solid_angle::steradian, "m²/m², SI Brochure (9th ed.) table 4").prefixed(),
    from_uom!(&["Hz"], "hertz", frequency::hertz, "1/s, SI Brochure (9th ed.) table 4").prefixed().marked(Mark::Cycles),
    from_uom!(&["N"], "newton", force::newton, "kg m/s², SI Brochure (9th ed.) table 4").prefixed().si(),
    from_uom!(&["Pa"], "pascal", pressure::pascal, "N/m², SI Brochure (9th ed.) table 4").prefixed().si(),
    from_uom!(&["J"], "joule", energy::joule, "N m, SI Brochure (9th ed.) table 4").prefixed().si(),
    from_uom!(&["W"], "watt", power::watt, "J/s, SI Brochure (9th ed.) table 4").prefixed().si(),
    from_uom!(&["C"], "coulomb", electric_charge::coulomb, "A s, SI Brochure (9th ed.) table 4").prefixed(),
    from_uom!(&["V"], "volt", electric_potential::volt, "W/A, SI Brochure (9th ed.) table 4").prefixed(),
    from_uom!(&["F"], "farad", capacitance::farad, "C/V, SI Brochure (9th ed.) table 4").prefixed(),
    from_uom!(&["ohm", "Ω", "\u{2126}"], "ohm", electrical_resistance::ohm, "V/A, SI Brochure (9th ed.) table 4").printed_as("Ω").prefixed(),
    from_uom!(&["S"], "siemens", electrical_conductance::siemens, "A/V, SI Brochure (9th ed.) table 4").prefixed(),
    from_uom!(&["Wb"], "weber", magnetic_flux::weber, "V s, SI Brochure (9th ed.) table 4").prefixed(),
    from_uom!(&["T"], "tesla", magnetic_flux_density::tesla, "Wb/m², SI Brochure (9th ed.) table 4").prefixed(),
    from_uom!(&["H"], "henry", inductance::henry, "Wb/A, SI Brochure (9th ed.) table 4").prefixed(),
    Row::exact(&["lm"], "lumen", Size::ONE, Dimension::luminous(), "cd sr, SI Brochure (9th ed.) table 4").prefixed(),
    from_uom!(&["lx"], "lux", illuminance::lux, "lm/m², SI Brochure (9th ed.) table 4").prefixed(),
    from_uom!(&["Bq"], "becquerel", radioactivity::becquerel, "1/s, SI Brochure (9th ed.) table 4").prefixed(),
    Row::exact(&["Gy"], "gray", Size::ONE, DOSE, "J/kg, SI Brochure (9th ed.) table 4").prefixed(),
    Row::exact(&["Sv"], "sievert", Size::ONE, DOSE, "J/kg, SI Brochure (9th ed.) table 4").prefixed(),
    from_uom!(&["kat"], "katal", catalytic_activity::katal, "mol/s, SI Brochure (9th ed.) table 4").prefixed(),
    from_uom!(&["degC", "°C", "℃"], "degree Celsius", thermodynamic_temperature::degree_celsius, "K, counted from 273.15 K, SI Brochure (9th ed.) table 4").printed_as("°C").marked(Mark::Point).si(),
    // Units accepted for use with the SI.
    from_uom!(&["min"], "minute", time::minute, "60 s, SI Brochure (9th ed.) table 8"),
    from_uom!(&["h", "hr"], "hour", time::hour, "60 min, SI Brochure (9th ed.) table 8"),
    from_uom!(&["d", "day"], "day", time::day, "24 h, SI Brochure (9th ed.) table 8"),
    from_uom!(&["deg", "°"], "degree", angle::degree, "π/180 rad, SI Brochure (9th ed.) table 8").printed_as("°").marked(Mark::Radians).closed("π/180"),
    from_uom!(&["arcmin"], "minute of arc", angle::minute, "1/60 deg, SI Brochure (9th ed.) table 8").printed_as("′").marked(Mark::Radians).closed("π/10800"),
    from_uom!(&["arcsec"], "second of arc", angle::second, "1/60 arcmin, SI Brochure (9th ed.) table 8").printed_as("″").marked(Mark::Radians).closed("π/648000"),
    from_uom!(&["ha"], "hectare", area::hectare, "10⁴ m², SI Brochure (9th ed.) table 8").si(),
    from_uom!(&["L", "l"], "litre", volume::liter, "1 dm³, SI Brochure (9th ed.) table 8").prefixed().si(),
    from_uom!(&["t"], "tonne", mass::ton, "1000 kg, SI Brochure (9th ed.) table 8").prefixed().si(),
    from_uom!(&["eV"], "electronvolt", energy::electronvolt, "1.602 176 634 × 10⁻¹⁹ J, SI Brochure (9th ed.) table 8").prefixed().si(),
    from_uom!(&["au"], "astronomical unit", length::astronomical_unit, "149 597 870 700 m, SI Brochure (9th ed.) table 8").si(),
    Row::exact(&["Da"], "dalton", whole(1.660_539_068_92e-27), MASS, "1.660 539 068 92 × 10⁻²⁷ kg, CODATA 2022; SI Brochure (9th ed.) table 8").prefixed().si(),
    Row::exact(&["dB"], "decibel", Size::ONE, NONE, "ten times the decimal logarithm of a ratio of powers, SI Brochure (9th ed.) table 8").marked(Mark::Decibel),
    Row::exact(&["Np"], "neper", whole(8.685_889_638_065_037), NONE, "natural logarithm of a ratio of amplitudes, 20/ln(10) dB, SI Brochure (9th ed.) table 8").marked(Mark::Decibel).closed("20/ln(10)"),
    // Plain numbers.
    from_uom!(&["%", "percent"], "percent", ratio::percent, "0.01, SI Brochure (9th ed.) 5.4.7").printed_as("%"),
    from_uom!(&["permille", "‰"], "per mille", ratio::per_mille, "0.001").printed_as("‰"),
    from_uom!(&["ppm"], "part per million", ratio::part_per_million, "10⁻⁶, SI Brochure (9th ed.) 5.4.7"),
    from_uom!(&["ppb"], "part per billion", ratio::part_per_billion, "10⁻⁹"),
    // Rotation.
    Row::revolution(&["rev"], "one turn, 2π rad").closed("2π"),
    Row::exact(&["rpm"], "revolution per minute", ratio(1.0, 60.0), RATE, "1 rev/min").marked(Mark::Revolutions),
    from_uom!(&["gon", "grad"], "gon", angle::gon, "π/200 rad, NIST SP 811").marked(Mark::Radians).closed("π/200"),
    // Other metric units.
    from_uom!(&["bar"], "bar", pressure::bar, "10⁵ Pa, SI Brochure (8th ed.) table 8").prefixed().si(),
    Row::exact(&["barg"], "bar gauge", whole(1e5), PRESSURE, "100 kPa above the atmosphere").prefixed().marked(Mark::Gauge).si(),
    Row::exact(&["bara"], "bar absolute", whole(1e5), PRESSURE, "100 kPa above vacuum").prefixed().marked(Mark::Absolute).si(),
    from_uom!(&["atm"], "standard atmosphere", pressure::atmosphere, "101 325 Pa, 10th CGPM 1954"),
    from_uom!(&["techatm"], "technical atmosphere", pressure::atmosphere_technical, "1 kgf/cm², NIST SP 811").printed_as("at").si(),
    from_uom!(&["P"], "poise", dynamic_viscosity::poise, "0.1 Pa s, SI Brochure (8th ed.) table 9").prefixed().si(),
    from_uom!(&["St"], "stokes", kinematic_viscosity::stokes, "10⁻⁴ m²/s, SI Brochure (8th ed.) table 9").prefixed().si(),
    from_uom!(&["dyn"], "dyne", force::dyne, "10⁻⁵ N, SI Brochure (8th ed.) table 9").prefixed().si(),
    from_uom!(&["erg"], "erg", energy::erg, "10⁻⁷ J, SI Brochure (8th ed.) table 9").prefixed().si(),
    from_uom!(&["kgf"], "kilogram-force", force::kilogram_force, "1 kg × 9.806 65 m/s², NIST SP 811").si(),
    from_uom!(&["angstrom", "Å"], "ångström", length::angstrom, "10⁻¹⁰ m, SI Brochure (8th ed.) table 8").printed_as("Å").si(),
    from_uom!(&["barn"], "barn", area::barn, "10⁻²⁸ m², SI Brochure (8th ed.) table 8").prefixed().si(),
    from_uom!(&["ct"], "metric carat", mass::carat, "200 mg, 4th CGPM 1907").si(),
    from_uom!(&["Gs", "gauss"], "gauss", magnetic_flux_density::gauss, "10⁻⁴ T, SI Brochure (8th ed.) table 9").prefixed().si(),
    from_uom!(&["Ci"], "curie", radioactivity::curie, "3.7 × 10¹⁰ Bq, NIST SP 811").prefixed(),
    Row::exact(&["rem"], "rem", ratio(1.0, 100.0), DOSE, "0.01 Sv, NIST SP 811").prefixed(),
    from_uom!(&["calIT"], "calorie (International Table)", energy::calorie_it, "4.1868 J, NIST SP 811").prefixed().si(),
    from_uom!(&["calth"], "calorie (thermochemical)", energy::calorie, "4.184 J, NIST SP 811").prefixed().si(),
    from_uom!(&["tTNT"], "ton of TNT", energy::ton_tnt, "4.184 × 10⁹ J, NIST SP 811").prefixed().si(),
    Row::exact(&["Wh"], "watt hour", whole(3600.0), ENERGY, "1 W h").prefixed().si(),
    Row::exact(&["Ah"], "ampere hour", whole(3600.0), CHARGE, "1 A h").prefixed(),
    Row::exact(&["VA"], "volt ampere", Size::ONE, POWER, "1 V A, apparent power").prefixed(),
    Row::exact(&["var"], "var", Size::ONE, POWER, "1 V A, reactive power").prefixed(),
    Row::exact(&["wk", "week"], "week", whole(604_800.0), TIME, "7 d"),
    Row::exact(&["yrJulian"], "Julian year", whole(31_557_600.0), TIME, "365.25 d"),
    Row::exact(&["yr365"], "year of 365 days", whole(31_536_000.0), TIME, "365 d, NIST SP 811"),
    Row::exact(&["ly"], "light year", whole(9_460_730_472_580_800.0), LENGTH, "distance of light in a Julian year, 299 792 458 m/s × 365.25 d").si(),
    Row::exact(&["pc", "parsec"], "parsec", ratio(648_000.0 * 149_597_870_700.0, std::f64::consts::PI), LENGTH, "648 000/π au, IAU 2015 resolution B2").prefixed().si().closed("96939420213600000/π"),
    Row::exact(&["Gal"], "gal (of acceleration)", ratio(1.0, 100.0), ACCELERATION, "1 cm/s², SI Brochure (8th ed.) table 9").prefixed().si(),
    Row::exact(&["tex"], "tex", ratio(1.0, 1e6), Dimension::from_integers([-1, 1, 0, 0, 0, 0, 0]), "1 g/km").prefixed().si(),
    Row::exact(&["denier"], "denier", ratio(1.0, 9e6), Dimension::from_integers([-1, 1, 0, 0, 0, 0, 0]), "1 g per 9000 m").si(),
    Row::exact(&["darcy"], "darcy", ratio(1.0, 101_325e7), Dimension::from_integers([2, 0, 0, 0, 0, 0, 0]), "1 cP (cm/s)/(atm/cm)").prefixed().si(),
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn row(symbol: &str) -> &'static Row {
        let found = ROWS.iter().find(|row| row.symbol() == symbol);
        found.expect(symbol)
    }

    #[test]
    fn what_comes_from_uom_is_what_the_standards_define() {
        // SI Brochure (9th edition), tables 4 and 8; NIST SP 811 (2008), appendix B.
        let defined = [
            ("min", 60.0),
            ("h", 3600.0),
            ("d", 86_400.0),
            ("deg", PI / 180.0),
            ("arcmin", PI / 10_800.0),
            ("arcsec", PI / 648_000.0),
            ("gon", PI / 200.0),
            ("ha", 1e4),
            ("L", 1e-3),
            ("t", 1e3),
            ("eV", 1.602_176_634e-19),
            ("au", 149_597_870_700.0),
            ("%", 1e-2),
            ("ppm", 1e-6),
            ("bar", 1e5),
            ("atm", 101_325.0),
            ("techatm", 98_066.5),
            ("P", 0.1),
            ("St", 1e-4),
            ("dyn", 1e-5),
            ("erg", 1e-7),
            ("kgf", 9.806_65),
            ("angstrom", 1e-10),
            ("barn", 1e-28),
            ("ct", 2e-4),
            ("Gs", 1e-4),
            ("Ci", 3.7e10),
            ("calIT", 4.1868),
            ("calth", 4.184),
            ("tTNT", 4.184e9),
            ("g", 1e-3),
        ];
        for (symbol, factor) in defined {
            let ratio = row(symbol).factor() / factor;
            assert!((ratio - 1.0).abs() < 1e-15, "{symbol}: {ratio}");
        }
        assert_eq!(row("degC").offset(), 273.15);
    }

    #[test]
    fn the_coherent_units_have_size_one() {
        let coherent = "m s A K mol cd rad sr Hz N Pa J W C V F ohm S Wb T H lm lx Bq Gy Sv kat";
        for symbol in coherent.split(' ') {
            assert_eq!(row(symbol).factor(), 1.0, "{symbol}");
        }
    }
}
