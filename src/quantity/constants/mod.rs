//! Constants of nature by their published names.
//!
//! The numbers are those of CODATA 2022, in [`table`]; what is published as exact is exact to the
//! last bit of a double. Nothing is defined in a worksheet unless it asks for it.

mod table;

use super::Unit;
use crate::diagnostic::nearest;

/// Where the constants are published, as the page prints it.
pub const EDITION: &str = "CODATA 2022";

/// A constant as it is published.
#[derive(Debug, PartialEq)]
pub struct Constant {
    /// Its published name.
    pub name: &'static str,
    /// Its value in the published unit, with the published digits.
    pub number: &'static str,
    /// Its standard uncertainty in the published unit; none for an exact one.
    pub uncertainty: Option<&'static str>,
    /// The unit it is published in, in the spelling of a worksheet where a worksheet has it.
    pub published: &'static str,
}

/// What one of a published unit is, where that is no unit of a worksheet.
enum Measure {
    /// Another constant, which has an uncertainty of its own.
    Of(&'static str),
    /// So many of a coherent unit, exactly.
    Exactly(f64, &'static str),
}

/// Every constant, in the order of their names.
pub fn constants() -> &'static [Constant] {
    table::CONSTANTS
}

/// The constant with this published name; letters of either case, words separated by any space,
/// and abbreviated words in full: `magnetic flux quantum` is the `mag. flux quantum`.
///
/// ```
/// let constant = setsquare::quantity::constant("molar gas constant");
/// assert_eq!(constant.map(|it| it.published), Some("J/(mol K)"));
/// ```
pub fn constant(name: &str) -> Option<&'static Constant> {
    let words = || name.split_whitespace();
    constants().iter().find(|constant| {
        let own = constant.name.split_whitespace();
        own.clone().count() == words().count()
            && own.zip(words()).all(|(own, asked)| is_word(own, asked))
    })
}

/// Whether a word of a published name is the one that was asked.
fn is_word(own: &str, asked: &str) -> bool {
    let begins = |start: &str| {
        let head = asked.get(..start.len());
        head.is_some_and(|head| head.eq_ignore_ascii_case(start))
    };
    own.eq_ignore_ascii_case(asked) || own.strip_suffix('.').is_some_and(begins)
}

/// The names that somebody may have meant who wrote this one: those with one slip, else those that
/// have all its words, the shortest first; else those that have most of them.
pub fn constants_like(name: &str) -> Vec<&'static str> {
    const MOST: usize = 3;
    let names = || constants().iter().map(|constant| constant.name);
    if let Some(near) = nearest(name, names()) {
        return vec![near];
    }
    let words: Vec<&str> = name.split_whitespace().filter(|word| tells(word)).collect();
    let mut ranked: Vec<(usize, usize, &str)> = names()
        .map(|name| (words.len() - shared(name, &words), name.len(), name))
        .filter(|(missing, ..)| *missing < words.len())
        .collect();
    ranked.sort_unstable();
    let least = ranked.first().map(|(missing, ..)| *missing);
    let best = ranked.into_iter().take_while(|it| Some(it.0) == least);
    best.map(|(.., name)| name).take(MOST).collect()
}

/// Whether a word says which constant is meant.
fn tells(word: &str) -> bool {
    !matches!(
        word.to_ascii_lowercase().as_str(),
        "of" | "in" | "the" | "constant"
    )
}

/// How many of the words a published name has, up to their endings and a slip in each.
fn shared(name: &str, words: &[&str]) -> usize {
    let own: Vec<String> = name
        .split([' ', '-'])
        .map(str::to_ascii_lowercase)
        .collect();
    let has = |word: &&&str| {
        let word = word.to_ascii_lowercase();
        own.iter().any(|own| is_akin(own, &word))
    };
    words.iter().filter(has).count()
}

/// Whether two words are one but for their ending, a slip or an abbreviation: `gravity`,
/// `gravitation`.
fn is_akin(own: &str, word: &str) -> bool {
    const STEM: usize = 6;
    let same = own.chars().zip(word.chars());
    let stem = same.take_while(|(own, word)| own == word).count();
    is_word(own, word) || stem >= STEM || nearest(word, [own]).is_some()
}

/// The digits of the table as a number; a test reads all of them.
fn read(digits: &str) -> f64 {
    digits.parse().unwrap_or(f64::NAN)
}

impl Constant {
    const fn measured(
        name: &'static str,
        number: &'static str,
        uncertainty: &'static str,
        published: &'static str,
    ) -> Self {
        Constant {
            name,
            number,
            uncertainty: Some(uncertainty),
            published,
        }
    }

    const fn exact(name: &'static str, number: &'static str, published: &'static str) -> Self {
        Constant {
            name,
            number,
            uncertainty: None,
            published,
        }
    }

    /// Its value in coherent SI units.
    pub fn value(&self) -> f64 {
        self.to_si(read(self.number))
    }

    /// What its own number leaves uncertain, in coherent SI units.
    pub fn spread(&self) -> f64 {
        self.uncertainty.map_or(0.0, |it| self.to_si(read(it)))
    }

    /// The constant that it is published in multiples of, which has an uncertainty too.
    pub fn in_multiples_of(&self) -> Option<&'static Constant> {
        match self.measure()? {
            Measure::Of(other) => constant(other),
            Measure::Exactly(..) => None,
        }
    }

    /// The unit it is printed in: the published one, or a coherent one where a worksheet does not
    /// have that.
    pub fn unit(&self) -> Unit {
        let symbol = match self.measure() {
            Some(Measure::Of(other)) => constant(other).map_or("", |other| other.published),
            Some(Measure::Exactly(_, unit)) => unit,
            None => self.published,
        };
        Unit::from_source(symbol).unwrap_or_else(|_| Unit::one())
    }

    /// So many of the published unit in coherent SI units.
    fn to_si(&self, number: f64) -> f64 {
        match self.measure() {
            Some(Measure::Of(other)) => number * constant(other).map_or(f64::NAN, Constant::value),
            Some(Measure::Exactly(size, _)) => number * size,
            None => self.unit().to_si(number),
        }
    }

    /// The published units that no worksheet has. That of mass is a unit (Da), but as one it has
    /// no uncertainty.
    fn measure(&self) -> Option<Measure> {
        const LIGHT: f64 = 299_792_458.0;
        const MEV: f64 = 1.602_176_634e-13;
        const GEV: f64 = 1.602_176_634e-10;
        match self.published {
            "u" => Some(Measure::Of("atomic mass constant")),
            "E_h" => Some(Measure::Of("Hartree energy")),
            "MeV/c" => Some(Measure::Exactly(MEV / LIGHT, "kg m/s")),
            "(GeV/c^2)^-2" => {
                let mass = GEV / (LIGHT * LIGHT);
                Some(Measure::Exactly(1.0 / (mass * mass), "1/kg^2"))
            }
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Unit;
    use std::f64::consts::PI;

    fn value(name: &str) -> f64 {
        constant(name).expect(name).value()
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
    fn every_published_unit_is_one_of_a_worksheet_or_is_told() {
        for constant in constants() {
            if constant.measure().is_none() {
                let unit = Unit::from_source(constant.published).expect(constant.name);
                assert_eq!(unit.source(), constant.published);
            }
            assert!(constant.value().is_normal(), "{}", constant.name);
            let is_exact = constant.uncertainty.is_none();
            assert_eq!(constant.spread() > 0.0, !is_exact, "{}", constant.name);
            assert!(!constant.unit().source().is_empty() || constant.published.is_empty());
        }
    }

    #[test]
    fn what_is_published_in_multiples_of_a_constant_is_one() {
        let mass = constant("electron mass in u").expect("published");
        let ratio = mass.value() / value("electron mass");
        assert!((ratio - 1.0).abs() < 1e-9, "{ratio}");
        assert_eq!(mass.unit().source(), "kg");
        let other = mass.in_multiples_of().map(|other| other.name);
        assert_eq!(other, Some("atomic mass constant"));
        let momentum =
            value("natural unit of momentum in MeV/c") / value("natural unit of momentum");
        assert!((momentum - 1.0).abs() < 1e-9, "{momentum}");
        let one = value("electron volt-hartree relationship") / value("electron volt");
        assert!((one - 1.0).abs() < 1e-11, "{one}");
        let over = value("Newtonian constant of gravitation over h-bar c");
        let product = value("reduced Planck constant") * value("speed of light in vacuum");
        let ratio = over * product / value("Newtonian constant of gravitation");
        assert!((ratio - 1.0).abs() < 1e-5, "{ratio}");
    }

    #[test]
    fn a_name_that_is_not_published_leads_to_those_that_are() {
        let cases = [
            ("molar gas konstant", "molar gas constant"),
            ("gas constant", "molar gas constant"),
            ("speed of light", "speed of light in vacuum"),
            (
                "gravitational constant",
                "Newtonian constant of gravitation",
            ),
            ("gravity", "standard acceleration of gravity"),
            ("Boltzman constant", "Boltzmann constant"),
            ("mass of the electron", "electron mass"),
            ("Planck's constant", "Planck constant"),
            ("electric permittivity", "vacuum electric permittivity"),
        ];
        for (asked, meant) in cases {
            let found = constants_like(asked);
            assert!(found.contains(&meant), "{asked}: {found:?}");
            assert!(constant(asked).is_none(), "{asked}");
        }
        assert_eq!(constants_like("zzzzzz"), [""; 0]);
    }

    #[test]
    fn abbreviated_words_may_be_written_in_full() {
        for name in [
            "magnetic flux quantum",
            "magn. flux quantum",
            "mag. flux quantum",
        ] {
            let found = constant(name).map(|it| it.name);
            assert_eq!(found, Some("mag. flux quantum"), "{name}");
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
