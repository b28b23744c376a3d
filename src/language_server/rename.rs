//! Giving a name another name, everywhere in the worksheet.
//!
//! What is renamed means what it meant: the new text is compiled and its names are compared with
//! those of the old one before an editor gets to see any edit.

use std::collections::HashMap;

use lsp_types::{
    PrepareRenameResponse, RenameParams, TextDocumentItem, TextDocumentPositionParams, TextEdit,
    WorkspaceEdit,
};

use super::documents::Document;
use super::names::{Occurrence, Target};
use super::requests::Refusal;
use crate::functions::Function;
use crate::resolve::{Expr, SymbolId};
use crate::syntax::{self, ExprKind};
use crate::text::Span;
use crate::worksheet::Body;

/// Whether the name under the cursor can be given another name, and where it stands.
pub(super) fn prepare_rename(
    document: &Document,
    params: &TextDocumentPositionParams,
) -> Result<Option<PrepareRenameResponse>, Refusal> {
    let name = nameable(document, document.places().at(params.position))?;
    Ok(Some(PrepareRenameResponse::RangeWithPlaceholder {
        range: document.places().range(name.span),
        placeholder: document.worksheet().source.slice(name.span).to_owned(),
    }))
}

/// The edits that give a name another name.
pub(super) fn rename(
    document: &Document,
    params: &RenameParams,
) -> Result<Option<WorkspaceEdit>, Refusal> {
    let position = params.text_document_position.position;
    let name = nameable(document, document.places().at(position))?;
    let new = params.new_name.trim();
    match &name.target {
        Target::Label { .. } => may_be_label(new)?,
        Target::Spot { is_section, .. } => may_be_spot(new, *is_section)?,
        _ => may_be_name(new)?,
    }
    let places: Vec<Occurrence> = places_of(document, &name).collect();
    is_said(document, &name)?;
    is_free(document, &name, &places, new)?;
    means_the_same(document, &places, new)?;
    let edits = places
        .iter()
        .map(|place| TextEdit::new(document.places().range(place.span), new.to_owned()))
        .collect();
    // The address is only read, so that it keeps its place in the map.
    #[allow(clippy::mutable_key_type)]
    let changes = HashMap::from([(document.uri.clone(), edits)]);
    Ok(Some(WorkspaceEdit::new(changes)))
}

/// The name at a place, if it is one that the author gave.
fn nameable(document: &Document, place: u32) -> Result<Occurrence, Refusal> {
    let Some(name) = document.names().at(place) else {
        return Err(Refusal::sentence("no name stands here"));
    };
    let source = &document.worksheet().source;
    let written = source.slice(name.span);
    let is_a = match &name.target {
        Target::BuiltIn(_) => "a function of the language",
        Target::Unit => "a unit",
        Target::Constant => "a constant",
        Target::Symbol { .. } if &*syntax::canonical(written) == syntax::ATMOSPHERE => {
            "the name by which `absolute` and `gauge` find the pressure of the atmosphere"
        }
        _ => return Ok(name),
    };
    let message = format!("`{written}` is {is_a}, which keeps its name");
    Err(Refusal::sentence(message))
}

/// Where the name stands; one that has no meaning is looked for in its problem alone.
fn places_of(document: &Document, name: &Occurrence) -> impl Iterator<Item = Occurrence> {
    let is_undefined = matches!(name.target, Target::Undefined(_));
    let all = document.names().of(&name.target).into_iter();
    all.filter(move |other| !is_undefined || other.problem == name.problem)
}

fn may_be_label(new: &str) -> Result<(), Refusal> {
    if syntax::tokens::is_label(new) {
        return Ok(());
    }
    let message = format!("`{new}` is no label: letters, digits, `-` and `_`, without blanks");
    Err(Refusal::sentence(message))
}

fn may_be_spot(new: &str, is_section: bool) -> Result<(), Refusal> {
    let is_part = |letter: char| match is_section {
        true => letter.is_ascii_alphanumeric() || letter == '\'',
        false => letter.is_alphanumeric() || letter == '_',
    };
    if !new.is_empty() && new.chars().all(is_part) {
        return Ok(());
    }
    let what = if is_section { "section" } else { "place" };
    let message = format!("`{new}` is no name of a {what}: letters and digits, without blanks");
    Err(Refusal::sentence(message))
}

fn may_be_name(new: &str) -> Result<(), Refusal> {
    let refuse = |why: &str| Err(Refusal::sentence(format!("`{new}` {why}")));
    if syntax::is_reserved(new) {
        return refuse("is a word of the language");
    }
    let read = syntax::parse_expr(new, Span::new(0, new.len()));
    match read.map(|expr| expr.kind) {
        Ok(ExprKind::Name(name)) if name.span.len() == new.len() => match &*name.key {
            "pi" | "inf" => refuse("is a constant"),
            key if Function::reserved(key).is_some() => refuse("is a function of the language"),
            _ => Ok(()),
        },
        _ => refuse("is no name: a letter first, then letters and digits, subscripts after `_`"),
    }
}

/// Whether no sketch finds a name by its usual spelling alone: with another it would not be found.
fn is_said(document: &Document, name: &Occurrence) -> Result<(), Refusal> {
    let Target::Symbol { problem, key } = &name.target else {
        return Ok(());
    };
    for (placed, statement) in document.worksheet().statements() {
        let Body::Sketch(sketch) = &statement.body else {
            continue;
        };
        let sketch = &sketch.sketch;
        for (word, quantity) in &sketch.usual {
            let symbol = sketch.quantities.get(*quantity).and_then(Expr::as_symbol);
            let is_it = |symbol: &SymbolId| {
                let own = &placed.problem.symbols.symbol(*symbol).key;
                own == key && placed.home(*symbol) == *problem && sketch.counts(*symbol)
            };
            if symbol.is_some_and(|symbol| is_it(&symbol)) {
                let written = document.worksheet().source.slice(name.span);
                let message = format!(
                    "the sketch `{}` finds `{written}` by this name: a line `{word} {written}` in it first",
                    sketch.label
                );
                return Err(Refusal::sentence(message));
            }
        }
    }
    Ok(())
}

/// Whether nothing that is seen from the places of a name has the new name already.
fn is_free(
    document: &Document,
    name: &Occurrence,
    places: &[Occurrence],
    new: &str,
) -> Result<(), Refusal> {
    let key = syntax::canonical(new);
    let taken = document.names().all().into_iter().find(|other| {
        let is_seen = || {
            let own = |place: &Occurrence| place.problem == other.problem;
            other.problem == 0 || places.iter().any(own)
        };
        other.target != name.target && is_called(document, other, name, &key, new) && is_seen()
    });
    let Some(taken) = taken else {
        return Ok(());
    };
    let definition = document.names().definition(&taken.target);
    let place = definition.map_or(taken.span, |definition| definition.span);
    let line = document.worksheet().source.line_of(place.start);
    let sort = match &taken.target {
        Target::Label { .. } => "label",
        Target::Spot {
            is_section: true, ..
        } => "section",
        Target::Spot { .. } => "place",
        _ => "name",
    };
    let whole = match &taken.target {
        Target::Spot { .. } => "sketch",
        _ => "problem",
    };
    let message = format!("`{new}` is already a {sort} in this {whole}, on line {line}");
    Err(Refusal::sentence(message))
}

/// Whether a name that stands somewhere is the new name, and of the same sort as the old one.
fn is_called(
    document: &Document,
    other: &Occurrence,
    name: &Occurrence,
    key: &str,
    new: &str,
) -> bool {
    let written = document.worksheet().source.slice(other.span);
    match (&other.target, &name.target) {
        (Target::Label { text, .. }, Target::Label { .. }) => **text == *new,
        (Target::Label { .. }, _) | (_, Target::Label { .. }) => false,
        // Places of a sketch are seen where that sketch is meant, and nowhere else.
        (
            Target::Spot {
                sketch,
                is_section,
                text,
            },
            Target::Spot {
                sketch: own,
                is_section: is_own,
                ..
            },
        ) => sketch == own && is_section == is_own && **text == *new,
        (Target::Spot { .. }, _) | (_, Target::Spot { .. }) => false,
        // Parameters are seen in their own definition only.
        (
            Target::Parameter { definition, .. },
            Target::Parameter {
                definition: own, ..
            },
        ) => definition == own && *syntax::canonical(written) == *key,
        (Target::Parameter { .. }, _) | (_, Target::Parameter { .. }) => false,
        (Target::Symbol { .. } | Target::Function { .. }, _) => *syntax::canonical(written) == *key,
        _ => false,
    }
}

/// Compiles the worksheet with the new name, and compares what its names mean.
fn means_the_same(document: &Document, places: &[Occurrence], new: &str) -> Result<(), Refusal> {
    let mut text = document.text().to_owned();
    for place in places.iter().rev() {
        text.replace_range(place.span.start as usize..place.span.end as usize, new);
    }
    let item = TextDocumentItem::new(document.uri.clone(), String::new(), 0, text);
    let mut renamed = Document::open(item, document.file().encoding, document.folders());
    renamed.compile();
    let (before, after) = (document.names().all(), renamed.names().all());
    let differs = before
        .iter()
        .zip(&after)
        .find(|(old, other)| !is_same(old, other, places));
    let at = match differs {
        Some((old, _)) => old,
        None if before.len() == after.len() && codes(document) == codes(&renamed) => return Ok(()),
        None => match places.first() {
            Some(first) => first,
            None => return Ok(()),
        },
    };
    let source = &document.worksheet().source;
    let line = source.line_of(at.span.start);
    let message = format!("with the name `{new}`, line {line} would be read otherwise");
    Err(Refusal::sentence(message))
}

fn is_same(old: &Occurrence, new: &Occurrence, places: &[Occurrence]) -> bool {
    let is_renamed = || places.iter().any(|place| place.span == old.span);
    let is_same_target = match (&old.target, &new.target) {
        (Target::Label { problem, .. }, Target::Label { problem: own, .. }) if is_renamed() => {
            problem == own
        }
        // Where the label of a sketch stands moves with the length of what stands before it.
        (
            Target::Spot {
                is_section, text, ..
            },
            Target::Spot {
                is_section: own,
                text: other,
                ..
            },
        ) => is_section == own && (is_renamed() || text == other),
        (Target::Undefined(_), Target::Undefined(_)) if is_renamed() => true,
        (Target::Symbol { problem, .. }, Target::Symbol { problem: own, .. })
        | (Target::Function { problem, .. }, Target::Function { problem: own, .. })
            if is_renamed() =>
        {
            problem == own
        }
        // Where a definition stands moves with the length of what stands before it.
        (Target::Parameter { index, .. }, Target::Parameter { index: own, .. }) => index == own,
        (old, new) => old == new,
    };
    is_same_target && old.role == new.role && old.problem == new.problem
}

fn codes(document: &Document) -> Vec<crate::diagnostic::Code> {
    let found = document.worksheet().diagnostics.iter();
    found.map(|diagnostic| diagnostic.code).collect()
}

#[cfg(test)]
mod tests;
