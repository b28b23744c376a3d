//! Degrees Celsius and Fahrenheit that were written with the letters of the coulomb and the farad.

use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::quantity::{Dimension, Unit};
use crate::syntax::{self, UnitExpr, UnitFactor};
use crate::text::Span;

const ENERGY: Dimension = Dimension::from_integers([2, 1, -2, 0, 0, 0, 0]);
const POWER: Dimension = Dimension::from_integers([2, 1, -3, 0, 0, 0, 0]);

/// What could be read as a degree: its letter, the degree, and what the letter is as a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Degree {
    letter: &'static str,
    degree: &'static str,
    scale: &'static str,
    unit: &'static str,
}

const CELSIUS: Degree = Degree {
    letter: "C",
    degree: "degC",
    scale: "degree Celsius",
    unit: "coulomb",
};
const FAHRENHEIT: Degree = Degree {
    letter: "F",
    degree: "degF",
    scale: "degree Fahrenheit",
    unit: "farad",
};

fn degree(factor: &UnitFactor) -> Option<Degree> {
    [CELSIUS, FAHRENHEIT]
        .into_iter()
        .find(|degree| *degree.letter == *factor.symbol)
}

fn is_once(factor: &UnitFactor) -> bool {
    factor.power.abs() == 1 && factor.root == 1
}

/// A part of a unit that has two readings as a degree of temperature, and its place: `deg C`,
/// `° F`, and a coulomb or farad below an energy or a power (`kJ/(kg C)`). An energy per coulomb
/// alone is a voltage.
pub(super) fn meant(written: &UnitExpr, text: &str) -> Option<(Span, Degree)> {
    let spelled = written.factors.windows(2).find_map(|pair| {
        let [sign, letter] = pair else {
            return None;
        };
        let found = degree(letter)?;
        let between = Span::new(sign.span.end as usize, letter.span.start as usize);
        let is_degree = matches!(&*sign.symbol, "deg" | "°") && is_once(sign) && is_once(letter);
        let is_apart = between.of(text).trim().is_empty() && sign.below == letter.below;
        (is_degree && is_apart).then(|| (sign.span.cover(letter.span), found))
    });
    spelled.or_else(|| {
        let (place, found) = written
            .factors
            .iter()
            .filter(|factor| factor.below && is_once(factor))
            .find_map(|factor| Some((factor.span, degree(factor)?)))?;
        let above: Vec<Dimension> = (written.factors.iter())
            .filter(|factor| !factor.below)
            .filter_map(|factor| Some(Unit::lone(&factor.symbol).ok()?.dimension()))
            .collect();
        let is_voltage = found == CELSIUS && written.factors.len() == 2 && above == [ENERGY];
        let tells_heat = above
            .iter()
            .any(|above| *above == ENERGY || *above == POWER);
        (tells_heat && !is_voltage).then_some((place, found))
    })
}

/// The diagnostic of such a unit.
pub(super) fn refused(written: &UnitExpr, text: &str, place: Span, found: Degree) -> Diagnostic {
    let whole = written.span.of(text);
    let at = (place.start - written.span.start) as usize;
    let instead = format!(
        "{}{}{}",
        whole.get(..at).unwrap_or(""),
        found.degree,
        whole.get(at + place.len()..).unwrap_or("")
    );
    Diagnostic::error(
        Code::S13,
        place,
        format!(
            "`{}` has two readings: the {}, and a unit with the {} `{}`",
            place.of(text),
            found.scale,
            found.unit,
            found.letter
        ),
    )
    .with_help(format!("`{instead}`"))
    .with_fixes([Fix::write(Decision::Choose, place, found.degree)])
}

/// The warning where a temperature is given in coulombs: `T = 20 C`. A temperature is called T, t
/// or Θ (ISO 80000-5), which no charge and no capacitance is.
pub(super) fn warned(name: &str, literal: &syntax::Literal) -> Option<Diagnostic> {
    let base = name.split('_').next().unwrap_or(name);
    let is_temperature = matches!(base, "T" | "t" | "Theta" | "theta" | "vartheta");
    let [factor] = literal.unit.as_ref()?.factors.as_slice() else {
        return None;
    };
    let found = degree(factor).filter(|_| is_temperature && is_once(factor) && !factor.below)?;
    let message = format!(
        "`{}` is the {}, and `{name}` reads as a temperature",
        found.letter, found.unit
    );
    Some(
        Diagnostic::warning(Code::S13, factor.span, message)
            .with_help(format!("`{}` for the {}", found.degree, found.scale))
            .with_choice(factor.span, found.degree),
    )
}
