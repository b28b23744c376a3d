//! The unit of a field: as the language knows it, or as its help names it.

use super::{Asked, Doubt, Read, Remark, WrittenUnit};
use crate::dimensions::is_shown_in;
use crate::quantity::{Dimension, Family, Mark, Unit, is_unit};
use crate::resolve::{composed, instead_of_unit};
use crate::syntax::{self, Datum, Literal, UnitExpr, mistyped_quantity};

/// So many times help may follow help: `KNm/mm2`.
const MOST_STEPS: usize = 3;

/// A way to read a text as a quantity.
#[derive(Debug, Clone)]
pub(super) struct Way {
    /// The text, as the language has it.
    pub text: String,
    /// It, read.
    pub literal: Literal,
    /// Its unit.
    pub unit: WrittenUnit,
    /// What was read otherwise than it is written.
    pub remarks: Vec<Remark>,
}

impl Way {
    /// The unit that its number is in.
    pub fn unit<'a>(&'a self, asked: &'a Asked) -> &'a Unit {
        match &self.unit {
            WrittenUnit::Asked(unit) => unit,
            WrittenUnit::None | WrittenUnit::Other(_) => &asked.unit,
        }
    }
}

/// Every way to read a text, whose numbers are as the language writes them.
pub(super) fn ways(asked: &Asked, text: &str) -> Read<Vec<Way>> {
    let mut found = Vec::new();
    let mut doubt = Doubt::NotUnderstood;
    for (text, literal) in literals(text) {
        match units(asked, &text, literal) {
            Ok(own) => found.extend(own),
            Err(own) => doubt = own,
        }
    }
    match found.is_empty() {
        true => Err(doubt),
        false => Ok(found),
    }
}

/// The one way in which the unit is of the kind that is asked, else the one that there is.
pub(super) fn only(asked: &Asked, mut ways: Vec<Way>) -> Read<Way> {
    if ways
        .iter()
        .any(|way| matches!(way.unit, WrittenUnit::Asked(_)))
    {
        ways.retain(|way| matches!(way.unit, WrittenUnit::Asked(_)));
    }
    let is_same = |one: &Way, other: &Way| {
        one.literal.magnitude == other.literal.magnitude
            && one.unit(asked) == other.unit(asked)
            && datum(one.unit(asked), one.literal.datum)
                == datum(other.unit(asked), other.literal.datum)
    };
    let Some(first) = ways.first() else {
        return Err(Doubt::NotUnderstood);
    };
    match ways.iter().find(|way| !is_same(way, first)) {
        Some(other) => Err(Doubt::TwoReadings(first.text.clone(), other.text.clone())),
        None => Ok(ways.swap_remove(0)),
    }
}

/// The datum that a word or the unit itself names.
pub(super) fn datum(unit: &Unit, word: Option<Datum>) -> Option<Datum> {
    word.or(match unit.mark() {
        Mark::Gauge => Some(Datum::Gauge),
        Mark::Absolute => Some(Datum::Absolute),
        _ => None,
    })
}

/// A text as a quantity, as it stands or as the language's own help has it.
fn literals(text: &str) -> Vec<(String, Literal)> {
    let refusal = match syntax::parse_literal(text) {
        Ok(literal) => return vec![(text.to_owned(), literal)],
        Err(refusal) => refusal,
    };
    let mistyped = mistyped_quantity(&format!("q = {text}"), 0, is_unit);
    let named = mistyped.and_then(|it| it.fixes.first()?.edits.first().map(|it| it.text.clone()));
    let fixed = refusal.fixes.iter().filter_map(|fix| fix.applied(text));
    (named.into_iter().chain(fixed))
        .filter_map(|text| Some((text.clone(), syntax::parse_literal(&text).ok()?)))
        .collect()
}

fn units(asked: &Asked, text: &str, literal: Literal) -> Read<Vec<Way>> {
    let Some(written) = &literal.unit else {
        let way = Way {
            text: text.to_owned(),
            unit: WrittenUnit::None,
            remarks: vec![Remark::NoUnit],
            literal,
        };
        let is_plain = asked.unit == Unit::one();
        return Ok(vec![Way {
            remarks: if is_plain { Vec::new() } else { way.remarks },
            ..way
        }]);
    };
    let place = written.span;
    let own = place.of(text);
    let mut known = degrees(asked, written);
    if known.is_empty() {
        meant(own, &mut known, 0);
    }
    let fitting: Vec<_> = (known.iter())
        .filter(|(_, unit, _)| asked.unit.dimension() == unit.dimension())
        .collect();
    if fitting.is_empty() {
        // What help names of another kind is no unit that the student has written.
        let Some((_, unit, _)) = known.iter().find(|(source, ..)| source == own) else {
            return Err(Doubt::NoSuchUnit(own.into()));
        };
        return Ok(vec![Way {
            text: text.to_owned(),
            literal,
            unit: WrittenUnit::Other(unit.clone()),
            remarks: vec![Remark::OtherKind(own.into())],
        }]);
    }
    let mut found = Vec::new();
    for (source, unit, word) in fitting {
        if unit.mark() == Mark::Decibel && asked.unit.mark() != Mark::Decibel
            || !is_shown_in(asked.found.counts, &asked.found.form, unit)
        {
            return Err(Doubt::Turning(unit.text().into()));
        }
        let mut remarks = Vec::new();
        if source != own {
            remarks.push(Remark::read_as(own, source));
        }
        if asked.found.reading.is_interval() && unit.mark() == Mark::Point {
            remarks.push(Remark::OfAnInterval(unit.text().into()));
        }
        let mut literal = literal.clone();
        literal.datum = literal.datum.or(*word);
        if let (Some(word), crate::dimensions::Reading::Pressure(own, _)) =
            (datum(unit, literal.datum), asked.found.reading)
            && own.is_gauge() != (word == Datum::Gauge)
        {
            remarks.push(Remark::ByAtmosphere(word));
        }
        let (start, end) = (place.start as usize, place.end as usize);
        let before = text.get(..start).unwrap_or("");
        found.push(Way {
            text: format!("{before}{source}{}", text.get(end..).unwrap_or("")),
            literal,
            unit: WrittenUnit::Asked(unit.clone()),
            remarks,
        });
    }
    Ok(found)
}

/// A unit as it may be typed, it, and the datum that it names.
type Known = (String, Unit, Option<Datum>);

/// The units that a text is, or that help names instead.
fn meant(text: &str, into: &mut Vec<Known>, step: usize) {
    // The datum of `kPag` is a word behind the unit.
    let source = format!("1 {text}");
    let Ok(Literal {
        unit: Some(bare),
        datum: word,
        ..
    }) = syntax::parse_literal(&source)
    else {
        return;
    };
    let instead = instead_of_unit(&bare, &source);
    if let Ok(unit) = composed(&bare)
        && !into
            .iter()
            .any(|(_, own, datum)| (own, datum) == (&unit, &word))
    {
        into.push((text.to_owned(), unit, word));
    }
    if step < MOST_STEPS {
        for text in instead.iter().filter_map(|it| it.strip_prefix("1 ")) {
            meant(text, into, step + 1);
        }
    }
}

/// `22.5 C`, `22.5°` and `22.5 deg C` where a temperature is asked; `F` where degrees Fahrenheit
/// are.
fn degrees(asked: &Asked, written: &UnitExpr) -> Vec<Known> {
    if asked.unit.dimension() != Dimension::temperature() {
        return Vec::new();
    }
    let is_fahrenheit = asked.unit.family() == Some(Family::Us);
    let symbols: Vec<&str> = (written.factors.iter()).map(|it| &*it.symbol).collect();
    let is_plain = |it: &syntax::UnitFactor| (it.power, it.root, it.below) == (1, 1, false);
    if !written.factors.iter().all(is_plain) {
        return Vec::new();
    }
    let scales: &[&str] = match symbols.as_slice() {
        ["C"] | ["deg" | "°", "C"] => &["degC"],
        ["F"] if is_fahrenheit => &["degF"],
        ["deg" | "°", "F"] => &["degF"],
        ["deg" | "°"] if is_fahrenheit => &["degC", "degF"],
        ["deg" | "°"] => &["degC"],
        _ => &[],
    };
    let known = |scale: &&str| Some(((*scale).to_owned(), Unit::lone(scale).ok()?, None));
    scales.iter().filter_map(known).collect()
}
