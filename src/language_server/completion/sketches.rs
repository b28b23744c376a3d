//! Lines of sketches, their places, and the sketches that balances are of.

use lsp_types::CompletionItemKind;

use super::super::sketches::lines_above;
use super::wishes::{Wish, Wishes};
use super::{Offer, Place};
use crate::syntax::order::{Next, Part};
use crate::syntax::tokens::{label, tail, typed};
use crate::syntax::{self, SketchKind};
use crate::worksheet::{Body, Sketch, Statement};

/// What may follow in a line of a sketch that begins at `line`.
pub(super) fn wishes<'a>(text: &'a str, line: usize, before: &'a str) -> Wishes<'a> {
    let above = lines_above(text, line);
    let statement = before.trim_start_matches([' ', '\t', '>']);
    let after_label = label(statement).map(|label| label.len() + 1);
    let body = statement[after_label.unwrap_or(0)..].trim_start();
    let typed_now = typed(body);
    let head = &body[..body.len() - typed_now.len()];
    let followed = match (statements(above).next(), after_label) {
        (Some(first), None) => syntax::sketch_line(first, head),
        (None, Some(_)) => syntax::sketch_head(head),
        // A first line has a label, and no other has.
        (None, None) | (Some(_), Some(_)) => return Wishes::default(),
    };
    let mut list = Vec::new();
    // Nothing goes along an incline that there is not.
    let has_incline = above.contains(" on incline ");
    let may_be = |next: &&Next<'_>| {
        has_incline || !matches!(next, Next::Words(words) if words.ends_with("the incline"))
    };
    for (order, next) in followed.next.iter().filter(may_be).enumerate() {
        match next {
            Next::Words(phrase) => list.push(Wish::Phrase(order, phrase)),
            Next::Formula => list.extend([Wish::Names, Wish::Functions]),
            Next::Amount => {}
            Next::Place => list.push(Wish::PlacesAbove(above)),
            Next::Label => list.push(Wish::Sketches),
            Next::Section => list.push(Wish::Sections),
        }
    }
    Wishes::new(typed_now, list)
}

/// The statements of a block, without blank lines, comments and descriptions.
fn statements(lines: &str) -> impl Iterator<Item = &str> {
    let code = |line: &'_ str| tail(line).unwrap_or(line.len());
    let lines = lines.lines();
    let lines = lines.map(move |line| line[..code(line)].trim_matches([' ', '\t', '>']));
    lines.filter(|line| !line.is_empty())
}

/// The places that lines of a sketch have.
pub(super) fn places_above(lines: &str) -> Vec<Offer> {
    let first = statements(lines).next().unwrap_or("");
    let mut offers: Vec<Offer> = Vec::new();
    for line in statements(lines).skip(1) {
        for part in syntax::sketch_line(first, line).parts {
            if matches!(part.what, Part::Place { is_new: true }) {
                let name = &line[part.start..part.end];
                offers.push(spot(name, offers.len()).with_detail(line));
            }
        }
    }
    offers
}

fn spot(name: &str, order: usize) -> Offer {
    Offer {
        order,
        ..Offer::new(CompletionItemKind::REFERENCE, 0, name)
    }
}

fn sketches(place: Place<'_>) -> impl Iterator<Item = (&Statement, &Sketch)> {
    let all = place.problem.problem.statements();
    all.filter_map(|statement| match &statement.body {
        Body::Sketch(sketch) => Some((statement, &**sketch)),
        _ => None,
    })
}

/// The places or the sections of all sketches of the problem.
pub(super) fn spots(place: Place<'_>, is_section: bool) -> Vec<Offer> {
    let mut offers = Vec::new();
    for (_, sketch) in sketches(place) {
        let of = &sketch.sketch;
        let sections = of.flows.iter().flat_map(|flows| &flows.sections);
        let names: Vec<&str> = match is_section {
            true => sections.map(|it| &*it.name.text).collect(),
            false => of.places.iter().map(|it| &*it.text).collect(),
        };
        for name in names {
            offers.push(spot(name, offers.len()).with_detail(format!("of `{}`", of.label)));
        }
    }
    offers
}

/// The labels of the sketches of the problem.
pub(super) fn labels(place: Place<'_>) -> Vec<Offer> {
    let offer = |(order, (statement, sketch)): (usize, (&Statement, &Sketch))| {
        let of = &sketch.sketch;
        let number = statement.label.as_ref().map_or(0, |(_, number)| *number);
        let number = place.problem.equation(number);
        let shape = match of.kind {
            SketchKind::ControlVolume(shape) => format!(", {}", shape.word()),
            SketchKind::Body | SketchKind::Particle | SketchKind::AtRest => String::new(),
        };
        spot(&of.label, order).with_detail(format!("Figure {number}: {}{shape}", of.kind.word()))
    };
    sketches(place).enumerate().map(offer).collect()
}

/// What says which balance an equation is, where there is a sketch.
pub(super) fn by_balance(place: Place<'_>) -> Vec<Offer> {
    let first = sketches(place).next();
    let offer = |_| Offer::new(CompletionItemKind::KEYWORD, 1, "by balance");
    first.map(offer).into_iter().collect()
}
