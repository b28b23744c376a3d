//! What is printed, keyed into a calculator: whether each line of numbers gives its result.
//!
//! The numbers come from the trees that are printed, and the arithmetic from a room that shares
//! nothing with what computed the results.

use rayon::prelude::*;

use super::{Page, line, names};
use crate::calculator;
use crate::diagnostic::Diagnostic;
use crate::quantity::{self, Unit};
use crate::resolve::{Expr, ExprKind, Shape};
use crate::syntax::Relation;
use crate::text::Span;
use crate::typeset::{self, Keyless};
use crate::worksheet::{Body, Shown, Statement, Work, Worksheet};

/// A line of numbers that was keyed in.
#[derive(Debug, Clone, PartialEq)]
pub struct Recalculated {
    /// Where it stands in the worksheet's text.
    pub span: Span,
    /// Its 1-based line.
    pub line: usize,
    /// What came of it.
    pub outcome: Outcome,
}

/// What came of keying in a line.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// It gave a number.
    Gave {
        /// What was keyed in.
        keys: String,
        /// What that gave.
        number: f64,
        /// What is printed.
        printed: f64,
        /// How far they are apart, in units of the last place that is printed.
        off: f64,
    },
    /// It is a relation of a check that is said to hold.
    Held {
        /// The figures that are printed, with the sign between them.
        keys: String,
        /// How far they are from holding, in units of the last place that is printed.
        off: f64,
    },
    /// It cannot be keyed in.
    Keyless(String),
}

impl Recalculated {
    /// Whether it gives another number than is printed: more than a unit of the last place away.
    pub fn differs(&self) -> bool {
        /// Rounding of the comparison itself.
        const SLACK: f64 = 1e-6;
        match &self.outcome {
            Outcome::Gave { off, .. } | Outcome::Held { off, .. } => {
                off.is_nan() || *off > 1.0 + SLACK
            }
            Outcome::Keyless(_) => false,
        }
    }
}

/// Every line of numbers of a worksheet, keyed in.
pub fn recalculated(worksheet: &Worksheet) -> Vec<Recalculated> {
    let names = names(worksheet);
    let problems = worksheet.problems.par_iter().zip(&names);
    let lines = problems.flat_map_iter(|(placed, names)| {
        let page = Page::new(worksheet, placed, names, 0);
        // What is wrong with a line is said there already.
        let is_sound = |statement: &&Statement| {
            !page
                .diagnostics(&statement.diagnostics)
                .any(Diagnostic::is_error)
                // What has to hold in other versions need not hold in this one.
                && !statement.is_of_versions
        };
        let statements = placed.problem.blocks().flatten().filter(is_sound);
        let lines = statements.flat_map(|statement| {
            let told = |outcome| Recalculated {
                span: placed.span(statement.span),
                line: page.line(statement.span),
                outcome,
            };
            let found = match &statement.body {
                Body::Work(work) => of(&page, work),
                Body::Check {
                    members,
                    relations,
                    within,
                    row,
                    ..
                } => of_check(&page, members, relations, within.as_ref(), *row),
                _ => Vec::new(),
            };
            found.into_iter().map(told).collect::<Vec<_>>()
        });
        lines.collect::<Vec<_>>()
    });
    lines.collect()
}

/// Each formula of a line with its numbers put in, of a vector each component.
fn of(page: &Page, work: &Work) -> Vec<Outcome> {
    let Some(put_in) = &work.put_in else {
        return Vec::new();
    };
    let context = line::in_numbers(page, put_in);
    let shown = put_in.between.as_ref().unwrap_or(&work.shown);
    if shown.shape == Shape::List {
        return Vec::new();
    }
    let (Some(printed), Some(places)) = (printed(shown), places(shown)) else {
        return vec![Outcome::Keyless("its result is no decimal".to_owned())];
    };
    let unit = shown.unit.text();
    let outcome = |(keys, (printed, place)): (String, (&f64, &f64))| match calculator::reckon(&keys)
    {
        Err(trouble) => Outcome::Keyless(format!("{keys}: {trouble}")),
        Ok(number) => compared(keys, number, *printed, *place),
    };
    let of_member =
        |member: &Expr| match typeset::keyed(&typeset::side("", member, &context).0, unit) {
            Err(why) => vec![Outcome::Keyless(words(&why))],
            Ok(keys) if keys.len() != printed.len() => {
                vec![Outcome::Keyless(words(&Keyless::List))]
            }
            Ok(keys) => {
                let wanted = printed.iter().zip(&places);
                keys.into_iter().zip(wanted).map(outcome).collect()
            }
        };
    let members = put_in.members(&work.members).iter();
    members.flat_map(of_member).collect()
}

/// Each relation of a check that holds, by the figures that are printed of its sides.
fn of_check(
    page: &Page,
    sides: &[(Expr, Shown)],
    relations: &[Relation],
    within: Option<&Expr>,
    row: Option<usize>,
) -> Vec<Outcome> {
    let figure = |(side, shown): &(Expr, Shown)| {
        let shown = shown.in_row(row);
        let [number] = printed(&shown)?[..] else {
            return None;
        };
        // A limit that the author writes is what it is.
        let place = match &side.kind {
            ExprKind::Quantity(_) | ExprKind::Number(_) => 0.0,
            _ => *places(&shown)?.first()?,
        };
        Some((number, place, shown.unit.clone()))
    };
    let figures: Option<Vec<(f64, f64, Unit)>> = sides.iter().map(figure).collect();
    let Some(mut figures) = figures else {
        return vec![Outcome::Keyless("a side of it is no decimal".to_owned())];
    };
    let unit = figures[0].2.clone();
    let is_moved = |unit: &Unit| unit.to_si(0.0) != 0.0 || !unit.turning().is_none();
    for (number, place, own) in &mut figures {
        if own.text() == unit.text() {
            continue;
        }
        if is_moved(own) || is_moved(&unit) {
            let why = "its sides count from different points, or turns in different units";
            return vec![Outcome::Keyless(why.to_owned())];
        }
        // What stands in percent was keyed in as a number already.
        let factor = |of: &Unit| if of.is_share() { 1.0 } else { of.factor() };
        let by = factor(own) / factor(&unit);
        (*number, *place) = (*number * by, *place * by);
    }
    let tolerance = match within.map(|it| tolerance(page, it, &unit)).transpose() {
        Ok(tolerance) => tolerance,
        Err(why) => return vec![Outcome::Keyless(why)],
    };
    let pairs = figures.windows(2).zip(relations);
    let held = |(pair, relation): (&[(f64, f64, Unit)], &Relation)| {
        let [(left, one), (right, other)] = [0, 1].map(|at| (pair[at].0, pair[at].1));
        let (off, room) = match relation {
            Relation::Less | Relation::LessOrEqual => (left - right, 0.0),
            Relation::Greater | Relation::GreaterOrEqual => (right - left, 0.0),
            Relation::Equal => {
                let room = tolerance.map_or(0.0, |(size, is_part)| match is_part {
                    true => size * right.abs(),
                    false => size,
                });
                ((left - right).abs(), room)
            }
        };
        let place = one.max(other);
        let off = (off - room).max(0.0);
        Outcome::Held {
            keys: format!("{left} {} {right}", relation.sign()),
            off: if off == 0.0 { 0.0 } else { off / place },
        }
    };
    pairs.map(held).collect()
}

/// What a check leaves between its sides, in the unit of these, and whether it is a part of the right
/// one.
fn tolerance(page: &Page, within: &Expr, side: &Unit) -> Result<(f64, bool), String> {
    let plain = Unit::one();
    let unit = match &within.inside().kind {
        ExprKind::Quantity(quantity) => &quantity.unit,
        _ => &plain,
    };
    let node = typeset::math(within, &page.context);
    let keys = typeset::keyed(&node, unit.text()).map_err(|why| words(&why))?;
    let number = calculator::reckon(keys.first().map_or("", |keys| keys));
    let number = number.map_err(|trouble| trouble.to_string())?;
    let is_part = unit.is_share();
    Ok(match is_part {
        true => (number, true),
        false => (number * unit.factor() / side.factor(), false),
    })
}

/// The numbers of a result as they are printed, keyed in.
fn printed(shown: &Shown) -> Option<Vec<f64>> {
    let bare = Shown {
        word: None,
        ..shown.bare()
    };
    let keys = typeset::keyed(&typeset::result("", &bare), bare.unit.text());
    let each = keys.ok()?.into_iter();
    each.map(|keys| calculator::reckon(&keys).ok()).collect()
}

/// One unit in the last place that is printed of each of them.
fn places(shown: &Shown) -> Option<Vec<f64>> {
    let place = |at: usize| {
        let own = shown.component(at);
        let place = match (&own.written, own.digits.first()) {
            (Some(written), _) => quantity::written_precision(written)?,
            (None, digits) => digits?.unit_in_last_place(),
        };
        Some(place * typeset::share(shown.unit.text()))
    };
    (0..shown.si.len()).map(place).collect()
}

/// What came of keys that gave a number.
fn compared(keys: String, number: f64, printed: f64, place: f64) -> Outcome {
    let difference = (number - printed).abs();
    if difference > place && loses(&keys, number, difference) {
        return Outcome::Keyless("its figures cancel beyond what calculators have".to_owned());
    }
    // An exact zero has no last place of its own: it is as sure as the numbers it is had from.
    let place = match place == 0.0 {
        true => room(&keys, number, by_a_digit),
        false => place,
    };
    let off = match (difference == 0.0, place == 0.0) {
        (true, _) => 0.0,
        (false, true) => f64::INFINITY,
        (false, false) => difference / place,
    };
    Outcome::Gave {
        keys,
        number,
        printed,
        off,
    }
}

/// Whether the last of sixteen digits of what is keyed in decides about a difference.
fn loses(keys: &str, number: f64, difference: f64) -> bool {
    8.0 * room(keys, number, |own| format!("({own}*1.000000000000001)")) > difference
}

/// A number with another last digit.
fn by_a_digit(number: &str) -> String {
    let place = quantity::written_precision(number).unwrap_or(0.0);
    format!("({number} + {place:e})")
}

/// How far a row of keys goes astray where each of its numbers is changed by itself.
fn room(keys: &str, number: f64, changed: impl Fn(&str) -> String) -> f64 {
    let moved = numbers(keys).filter_map(|(start, end)| {
        let (before, rest) = keys.split_at(start);
        let (own, after) = rest.split_at(end - start);
        calculator::reckon(&format!("{before}{}{after}", changed(own))).ok()
    });
    moved.map(|moved| (moved - number).abs()).sum()
}

/// Where the numbers of a row of keys begin and end.
fn numbers(keys: &str) -> impl Iterator<Item = (usize, usize)> {
    let is_part = |it: char| it.is_ascii_alphanumeric() || it == '.';
    let mut from = 0;
    std::iter::from_fn(move || {
        loop {
            let start = from + keys[from..].find(is_part)?;
            let word = |at: usize| {
                keys[at..]
                    .find(|it| !is_part(it))
                    .map_or(keys.len(), |it| at + it)
            };
            let mut end = word(start);
            // The sign of a power of ten.
            if keys[start..end].ends_with('e') && keys[end..].starts_with('-') {
                end = word(end + 1);
            }
            from = end;
            if keys[start..].starts_with(|it: char| it.is_ascii_digit()) {
                return Some((start, end));
            }
        }
    })
}

fn words(why: &Keyless) -> String {
    match why {
        Keyless::Name => "a letter stands in it".to_owned(),
        Keyless::Words => "words stand in it".to_owned(),
        Keyless::Number(text) => format!("{text} is no decimal"),
        Keyless::List => "a list or a vector stands in it".to_owned(),
        Keyless::Cases => "cases stand in it".to_owned(),
        Keyless::Function(name) => format!("calculators have no {name}"),
        Keyless::Sign(sign) => format!("{sign} is no sign of arithmetic"),
    }
}
