//! What may be typed at the cursor.
//!
//! In goes a document with a place, out come names with their values, functions, units, labels,
//! constants, words and blocks, as they may stand there. `wishes` tells from the text before the
//! cursor what may follow, so that a line that cannot be read yet is served too; `names`,
//! `units` and `words` make the offers.

mod dimension;
mod files;
mod names;
mod sketches;
mod units;
mod wishes;
mod words;
mod written;

use std::collections::HashSet;

use lsp_types::{
    CompletionItem, CompletionItemKind, CompletionList, CompletionParams, CompletionTextEdit,
    CompletionTriggerKind, Documentation, TextEdit,
};

use super::documents::Document;
use super::surroundings::{Surroundings, surroundings};
use crate::quantity::Dimension;
use crate::syntax::{self, BlockKind};
use crate::text::Span;
use crate::worksheet::Placed;
use wishes::{Wish, Wishes};

/// So many offers are sent, no more: who wants another types its first letters.
const MOST: usize = 200;

/// Something that may be typed.
#[derive(Debug, Clone, PartialEq)]
struct Offer {
    /// What is typed.
    label: String,
    kind: CompletionItemKind,
    /// What stands beside it in the list.
    detail: Option<String>,
    /// What is said about it.
    says: Option<String>,
    /// Offers are sorted by this first: small ones come first.
    rank: usize,
    /// Those of one rank are sorted by this, and then by what is typed.
    order: usize,
    /// How it may be typed otherwise, the plainest first.
    spellings: Vec<String>,
}

impl Offer {
    fn new(kind: CompletionItemKind, rank: usize, label: impl Into<String>) -> Self {
        Self {
            label: label.into(),
            kind,
            detail: None,
            says: None,
            rank,
            order: 0,
            spellings: Vec::new(),
        }
    }

    /// The spelling that begins with what is written of it.
    fn spelled(&self, typed: &str) -> Option<&str> {
        let all = std::iter::once(&self.label).chain(&self.spellings);
        all.map(String::as_str)
            .find(|spelling| begins(spelling, typed))
    }

    /// What an editor is to compare with what is written, where that is not what is offered.
    fn compared(&self, typed: &str) -> Option<&str> {
        let spelled = match typed {
            // Everybody can type the plain spelling.
            "" if !self.label.is_ascii() => self.spellings.first().map(String::as_str),
            _ => self.spelled(typed),
        };
        spelled.filter(|spelled| *spelled != self.label)
    }

    fn with_detail(mut self, detail: impl Into<String>) -> Self {
        self.detail = Some(detail.into());
        self
    }
}

/// Whether a spelling begins with what is written of it, in either case.
fn begins(spelling: &str, typed: &str) -> bool {
    let mut letters = spelling.chars().flat_map(char::to_lowercase);
    let mut typed = typed.chars().flat_map(char::to_lowercase);
    typed.all(|letter| letters.next() == Some(letter))
}

/// Where something is typed.
#[derive(Debug, Clone, Copy)]
struct Place<'a> {
    document: &'a Document,
    problem: &'a Placed,
    /// The byte of the text.
    offset: usize,
    /// What is written of it.
    typed: &'a str,
    /// The dimension that a quantity has here, where that can be told.
    fits: Option<Dimension>,
}

impl Place<'_> {
    /// The place in the text of the problem.
    fn cursor(&self) -> u32 {
        let own = self.problem.own_place(self.offset as u32);
        own.unwrap_or(self.problem.problem.text.len() as u32)
    }
}

/// What may be typed at the cursor.
pub(super) fn completion(document: &Document, params: &CompletionParams) -> Option<CompletionList> {
    let offset = document
        .file()
        .offset(params.text_document_position.position);
    let after_blank = params.context.as_ref().is_some_and(|context| {
        context.trigger_kind == CompletionTriggerKind::TRIGGER_CHARACTER
            && context.trigger_character.as_deref() == Some(" ")
    });
    let mut wishes = wishes(document.text(), offset);
    if after_blank {
        // Names may stand almost anywhere; a list after every blank would be in the way.
        wishes.list.retain(|wish| !wish.is_everywhere());
    }
    let mut offers = offers(document, offset, &wishes);
    let is_incomplete = offers.len() > MOST;
    offers.truncate(MOST);
    let place = Span::new(offset - wishes.typed.len(), offset);
    let items = offers
        .into_iter()
        .map(|offer| item(document, place, wishes.typed, offer));
    Some(CompletionList {
        is_incomplete,
        items: items.collect(),
    })
}

fn wishes(text: &str, offset: usize) -> Wishes<'_> {
    match surroundings(text, offset) {
        Surroundings::Front { before } => words::front_wishes(before),
        Surroundings::Fence { before } => Wishes::new(before, vec![Wish::Blocks]),
        Surroundings::Block {
            kind: BlockKind::Sketch,
            before,
            line,
        } => sketches::wishes(text, line, before),
        Surroundings::Block { kind, before, .. } => {
            let after = text.get(offset..).and_then(|rest| rest.lines().next());
            let of_file = files::wishes(kind, before, after.unwrap_or(""));
            of_file.unwrap_or_else(|| wishes::of_line(kind, before))
        }
        Surroundings::Code { before } => wishes::of_code(before),
        Surroundings::Reference { before } => {
            Wishes::new(before, vec![Wish::Labels, Wish::Pictures])
        }
        Surroundings::Picture { before } => {
            Wishes::new(before, vec![Wish::Files(files::Of::Pictures)])
        }
        Surroundings::Prose => Wishes::default(),
    }
}

/// What may be typed, in the order of its rank; of quantities no more than are sent, and one.
fn offers(document: &Document, offset: usize, wishes: &Wishes<'_>) -> Vec<Offer> {
    let mut place = Place {
        document,
        problem: document.problem_at(offset),
        offset,
        typed: wishes.typed,
        fits: None,
    };
    place.fits = wishes.fits.and_then(|sides| dimension::of(place, sides));
    let mut offers = Vec::new();
    for wish in &wishes.list {
        offers.extend(match wish {
            Wish::Names => names::names(place),
            Wish::Unknowns => names::unknowns(place),
            Wish::UnknownsOf(labels) => names::unknowns_of(place, labels),
            Wish::Givens => names::givens(place),
            Wish::GivenAbove => names::given_above(place),
            Wish::Undefined => names::undefined(place),
            Wish::Functions => names::functions(place),
            Wish::Labels => names::labels(place),
            Wish::Pictures => names::pictures(place),
            Wish::Constants => names::constants(),
            Wish::Units { of } => units::units(place, *of),
            Wish::Lists => names::lists(place),
            Wish::Patterns => words::patterns(),
            Wish::FurtherUnits => units::further(place),
            Wish::Percent => vec![units::percent()],
            Wish::Components(vector) => names::components(place, vector),
            Wish::Words(list) => words::words(list.iter().copied()),
            Wish::OpeningWords(kind) => words::words(syntax::opening_words(*kind)),
            Wish::JoiningWords(kind) => words::words(syntax::joining_words(*kind)),
            Wish::Phrase(order, phrase) => vec![words::phrase(*order, phrase)],
            Wish::PlacesAbove(lines) => sketches::places_above(lines),
            Wish::Places => sketches::spots(place, false),
            Wish::Sections => sketches::spots(place, true),
            Wish::Sketches => sketches::labels(place),
            Wish::ByBalance => sketches::by_balance(place),
            Wish::Blocks => words::blocks(),
            Wish::Keys => words::keys(),
            Wish::Files(of) => files::files(place, *of),
            Wish::NamesOf(path) => files::names(place, path),
            Wish::ProblemsOf(path) => files::problems(place, path),
        });
    }
    offers.retain(|offer| offer.spelled(wishes.typed).is_some());
    offers.sort_by(|a, b| (a.rank, a.order, &a.label).cmp(&(b.rank, b.order, &b.label)));
    let mut known = HashSet::new();
    offers.retain(|offer| known.insert(offer.label.clone()));
    offers
}

fn item(document: &Document, place: Span, typed: &str, offer: Offer) -> CompletionItem {
    // What is written already decides whether an editor shows an offer.
    let filter_text = offer.compared(typed).map(str::to_owned);
    CompletionItem {
        kind: Some(offer.kind),
        detail: offer.detail,
        documentation: offer.says.map(Documentation::String),
        sort_text: Some(format!("{}{}{}", offer.rank, offer.order, offer.label)),
        filter_text,
        text_edit: Some(CompletionTextEdit::Edit(TextEdit {
            range: document.file().range(place),
            new_text: offer.label.clone(),
        })),
        label: offer.label,
        ..CompletionItem::default()
    }
}

#[cfg(test)]
mod tests;
