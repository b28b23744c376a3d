//! Pictures that prose refers to by the names of their files.

use super::documents::Document;
use super::names::Occurrence;
use crate::text::Span;
use crate::worksheet::{Picture, Placed};

/// A reference to a picture.
pub(super) struct Referred<'a> {
    /// The word between the brackets.
    pub span: Span,
    pub picture: &'a Picture,
    /// Its number on the page.
    pub number: usize,
    /// Where it stands in the file.
    pub place: Span,
}

/// The picture that is referred to at a place of the file; any other label goes before it.
pub(super) fn referred(document: &Document, place: u32) -> Option<Referred<'_>> {
    let names = document.names();
    let is_defined = |name: &Occurrence| names.definition(&name.target).is_some();
    if names.at(place).is_some_and(|name| is_defined(&name)) {
        return None;
    }
    let span = word(document.text(), place as usize)?;
    let label = span.of(document.text());
    let own = document.problem_at(place as usize);
    let shared = document.worksheet().problems.iter();
    let all = std::iter::once(own).chain(shared.filter(|placed| placed.number == 0));
    all.flat_map(of_problem)
        .find_map(|(placed, picture, number)| {
            (picture.label.as_deref() == Some(label)).then(|| Referred {
                span,
                picture,
                number,
                place: placed.span(picture.span),
            })
        })
}

fn of_problem(placed: &Placed) -> impl Iterator<Item = (&Placed, &Picture, usize)> {
    let parts = placed.problem.parts.iter();
    let pictures = parts.flat_map(|part| placed.pictures_of(part));
    pictures.map(move |(picture, number)| (placed, picture, number))
}

/// The word between the brackets around a place: `[bend]`.
fn word(text: &str, place: usize) -> Option<Span> {
    let is_end = |it: char| matches!(it, '[' | ']' | '\n');
    let start = text.get(..place)?.rfind(is_end)? + 1;
    let end = place + text.get(place..)?.find(is_end)?;
    let is_word = text[..start].ends_with('[') && text[end..].starts_with(']') && start < end;
    is_word.then(|| Span::new(start, end))
}
