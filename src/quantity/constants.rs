//! Constants of nature by their published names.
//!
//! The numbers are those of CODATA 2022 (NIST SP 961); exact ones are given to the digits of a
//! double. Nothing is defined in a worksheet unless it asks for it.

/// A constant with its published value.
#[derive(Debug, PartialEq)]
pub struct Constant {
    /// Its published name.
    pub name: &'static str,
    /// Its value in coherent SI units.
    pub value: f64,
    /// Its standard uncertainty in coherent SI units; 0 for an exact one.
    pub uncertainty: f64,
    /// The unit it is published in, as an author types it; empty for a plain number.
    pub unit: &'static str,
    /// Where it is published.
    pub edition: &'static str,
}

/// Every constant, in the order of their names.
pub fn constants() -> &'static [Constant] {
    CONSTANTS
}

/// The constant with this published name; letters of either case, words separated by any space.
///
/// ```
/// let constant = setsquare::quantity::constant("molar gas constant");
/// assert_eq!(constant.map(|it| it.unit), Some("J/(mol K)"));
/// ```
pub fn constant(name: &str) -> Option<&'static Constant> {
    let words = || name.split_whitespace();
    CONSTANTS.iter().find(|constant| {
        let own = constant.name.split_whitespace();
        own.clone().count() == words().count()
            && own
                .zip(words())
                .all(|(own, asked)| own.eq_ignore_ascii_case(asked))
    })
}

impl Constant {
    const fn new(name: &'static str, value: f64, uncertainty: f64, unit: &'static str) -> Self {
        Constant {
            name,
            value,
            uncertainty,
            unit,
            edition: "CODATA 2022",
        }
    }

    /// One that is published in multiples of the electronvolt.
    const fn times_electronvolts(self, number: f64) -> Self {
        Constant {
            value: self.value * number * ELECTRONVOLT,
            uncertainty: self.uncertainty * number * ELECTRONVOLT,
            ..self
        }
    }
}

/// In joules, exactly.
const ELECTRONVOLT: f64 = 1.602_176_634e-19;

/// The constants, in the order of their names.
static CONSTANTS: &[Constant] = &[
    Constant::new("Avogadro constant", 6.02214076e23, 0.0, "1/mol"),
    Constant::new("Bohr magneton", 9.2740100657e-24, 2.9e-33, "J/T"),
    Constant::new("Bohr radius", 5.29177210544e-11, 8.2e-21, "m"),
    Constant::new("Boltzmann constant", 1.380649e-23, 0.0, "J/K"),
    Constant::new(
        "Boltzmann constant in eV/K",
        8.617333262145179e-05,
        0.0,
        "eV/K",
    )
    .times_electronvolts(1.0),
    Constant::new("Compton wavelength", 2.42631023538e-12, 7.6e-22, "m"),
    Constant::new("Faraday constant", 96485.33212331001, 0.0, "C/mol"),
    Constant::new("Hartree energy", 4.359744722206e-18, 4.8e-30, "J"),
    Constant::new("Josephson constant", 483597848416983.6, 0.0, "Hz/V"),
    Constant::new(
        "Loschmidt constant (273.15 K, 101.325 kPa)",
        2.686780111798444e25,
        0.0,
        "1/m^3",
    ),
    Constant::new(
        "Newtonian constant of gravitation",
        6.6743e-11,
        1.5e-15,
        "m^3/(kg s^2)",
    ),
    Constant::new("Planck constant", 6.62607015e-34, 0.0, "J/Hz"),
    Constant::new("Planck length", 1.616255e-35, 1.8e-40, "m"),
    Constant::new("Rydberg constant", 10973731.568157, 1.2e-05, "1/m"),
    Constant::new(
        "Stefan-Boltzmann constant",
        5.6703744191844314e-08,
        0.0,
        "W/(m^2 K^4)",
    ),
    Constant::new(
        "Wien wavelength displacement law constant",
        0.0028977719551851727,
        0.0,
        "m K",
    ),
    Constant::new("alpha particle mass", 6.644657345e-27, 2.1e-36, "kg"),
    Constant::new("atomic mass constant", 1.66053906892e-27, 5.2e-37, "kg"),
    Constant::new(
        "atomic mass constant energy equivalent in MeV",
        931.49410372,
        2.9e-07,
        "MeV",
    )
    .times_electronvolts(1e6),
    Constant::new(
        "atomic mass unit-kilogram relationship",
        1.66053906892e-27,
        5.2e-37,
        "kg",
    ),
    Constant::new("classical electron radius", 2.8179403205e-15, 1.3e-24, "m"),
    Constant::new("conductance quantum", 7.748091729863649e-05, 0.0, "S"),
    Constant::new("deuteron mass", 3.3435837768e-27, 1e-36, "kg"),
    Constant::new("electron g factor", -2.00231930436092, 3.6e-13, ""),
    Constant::new("electron mass", 9.1093837139e-31, 2.8e-40, "kg"),
    Constant::new(
        "electron-proton mass ratio",
        0.0005446170214889,
        9.4e-15,
        "",
    ),
    Constant::new("elementary charge", 1.602176634e-19, 0.0, "C"),
    Constant::new("fine-structure constant", 0.0072973525643, 1.1e-12, ""),
    Constant::new(
        "first radiation constant",
        3.7417718521927573e-16,
        0.0,
        "W m^2",
    ),
    Constant::new(
        "hyperfine transition frequency of Cs-133",
        9192631770.0,
        0.0,
        "Hz",
    ),
    Constant::new(
        "inverse fine-structure constant",
        137.035999177,
        2.1e-08,
        "",
    ),
    Constant::new(
        "kelvin-electron volt relationship",
        8.617333262145179e-05,
        0.0,
        "eV",
    )
    .times_electronvolts(1.0),
    Constant::new("luminous efficacy", 683.0, 0.0, "lm/W"),
    Constant::new("magn. flux quantum", 2.0678338484619295e-15, 0.0, "Wb"),
    Constant::new("molar gas constant", 8.31446261815324, 0.0, "J/(mol K)"),
    Constant::new("molar mass constant", 0.00100000000105, 3.1e-13, "kg/mol"),
    Constant::new(
        "molar volume of ideal gas (273.15 K, 101.325 kPa)",
        0.022413969545014137,
        0.0,
        "m^3/mol",
    ),
    Constant::new("neutron mass", 1.67492750056e-27, 8.5e-37, "kg"),
    Constant::new("nuclear magneton", 5.0507837393e-27, 1.6e-36, "J/T"),
    Constant::new("proton gyromag. ratio", 267522187.08, 0.11, "1/(s T)"),
    Constant::new("proton mass", 1.67262192595e-27, 5.2e-37, "kg"),
    Constant::new(
        "proton mass energy equivalent in MeV",
        938.27208943,
        2.9e-07,
        "MeV",
    )
    .times_electronvolts(1e6),
    Constant::new("proton-electron mass ratio", 1836.152673426, 3.2e-08, ""),
    Constant::new(
        "reduced Planck constant",
        1.0545718176461565e-34,
        0.0,
        "J s",
    ),
    Constant::new(
        "second radiation constant",
        0.014387768775039337,
        0.0,
        "m K",
    ),
    Constant::new("speed of light in vacuum", 299792458.0, 0.0, "m/s"),
    Constant::new("standard acceleration of gravity", 9.80665, 0.0, "m/s^2"),
    Constant::new("standard atmosphere", 101325.0, 0.0, "Pa"),
    Constant::new("standard-state pressure", 100000.0, 0.0, "Pa"),
    Constant::new(
        "vacuum electric permittivity",
        8.8541878188e-12,
        1.4e-21,
        "F/m",
    ),
    Constant::new(
        "vacuum mag. permeability",
        1.25663706127e-06,
        2e-16,
        "N/A^2",
    ),
    Constant::new("von Klitzing constant", 25812.807459304513, 0.0, "ohm"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Unit;
    use std::f64::consts::PI;

    fn value(name: &str) -> f64 {
        constant(name).expect(name).value
    }

    #[test]
    fn names_are_unique_sorted_and_found_in_either_case() {
        for pair in constants().windows(2) {
            assert!(matches!(pair, [a, b] if a.name < b.name));
        }
        assert_eq!(
            constant("Molar  gas constant").map(|it| it.name),
            Some("molar gas constant")
        );
        assert_eq!(constant("gas constant"), None);
    }

    #[test]
    fn every_unit_is_read_and_the_value_is_in_si_units() {
        for constant in constants() {
            let unit = Unit::from_source(constant.unit).expect(constant.name);
            assert_eq!(unit.source(), constant.unit);
            let is_coherent = (unit.factor() - 1.0).abs() < 1e-15;
            assert_eq!(
                is_coherent,
                !constant.unit.contains("eV"),
                "{}",
                constant.name
            );
        }
    }

    #[test]
    fn constants_agree_with_the_relations_between_them() {
        let (h, c, k) = (
            value("Planck constant"),
            value("speed of light in vacuum"),
            value("Boltzmann constant"),
        );
        let (e, alpha) = (value("elementary charge"), value("fine-structure constant"));
        let hbar = value("reduced Planck constant");
        let (mass, rydberg) = (value("electron mass"), value("Rydberg constant"));
        let relations = [
            ("reduced Planck constant", h / (2.0 * PI), 1e-15),
            (
                "Stefan-Boltzmann constant",
                PI.powi(2) / 60.0 * k.powi(4) / (hbar.powi(3) * c * c),
                1e-14,
            ),
            ("molar gas constant", value("Avogadro constant") * k, 1e-15),
            ("Faraday constant", value("Avogadro constant") * e, 1e-15),
            ("first radiation constant", 2.0 * PI * h * c * c, 1e-15),
            ("second radiation constant", h * c / k, 1e-15),
            ("conductance quantum", 2.0 * e * e / h, 1e-15),
            ("Bohr magneton", e * hbar / (2.0 * mass), 1e-10),
            ("Hartree energy", 2.0 * h * c * rydberg, 1e-12),
            (
                "electron mass",
                2.0 * h * rydberg / (c * alpha * alpha),
                1e-10,
            ),
            (
                "proton mass",
                mass * value("proton-electron mass ratio"),
                1e-10,
            ),
            (
                "atomic mass constant",
                value("molar mass constant") / value("Avogadro constant"),
                1e-10,
            ),
        ];
        for (name, expected, tolerance) in relations {
            let ratio = value(name) / expected;
            assert!((ratio - 1.0).abs() < tolerance, "{name}: {ratio}");
        }
    }
}
