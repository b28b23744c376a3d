//! Lines of a block with even spacing and columns.
//!
//! In go the lines of a block, out come the lines that should read otherwise. A statement that
//! cannot be read stays as it is, byte for byte, and what is proposed is read again: when it does
//! not say the same, nothing is proposed at all. `atoms` finds what is never touched, `spacing`
//! sets the blanks within a line, `columns` puts lines under each other, `table` those of `data`.

mod atoms;
mod columns;
mod spacing;
mod table;

use super::lines::{self, Bare};
use super::{BlockKind, Line, parse_block, statement};
use crate::diagnostic::Edit;
use crate::text::Span;
use columns::Row;

/// The lines of a block that are not tidy, with the text that each should have. `lines` are
/// places in `text`, as for [`parse_block`].
pub fn tidy_block(kind: BlockKind, text: &str, lines: &[Span]) -> Vec<Edit> {
    if kind == BlockKind::Data {
        let edits = table::edits(text, lines);
        return match says_the_same(kind, text, lines, &edits) {
            true => edits,
            false => Vec::new(),
        };
    }
    let mut rows = Vec::with_capacity(lines.len());
    lines::grouped(text, lines, |parts| rows.extend(read(kind, text, parts)));
    columns::align(&mut rows);
    let edits: Vec<Edit> = rows
        .into_iter()
        .map(|row| Edit::new(row.line, row.into_text(text)))
        .filter(|edit| edit.span.of(text) != edit.text)
        .collect();
    if says_the_same(kind, text, lines, &edits) {
        edits
    } else {
        Vec::new()
    }
}

/// The rows of one statement, or of a line without one.
fn read(kind: BlockKind, text: &str, parts: &[Bare]) -> Vec<Row> {
    let kept = || parts.iter().map(|part| Row::kept(part.line)).collect();
    if let [only] = parts
        && only.code.is_empty()
    {
        let content = only.line.of(text).trim_matches([' ', '\t']);
        return match only.description {
            Some(_) => kept(),
            None => vec![Row::bare(only.line, content)],
        };
    }
    let mut diagnostics = Vec::new();
    let piece = lines::piece(text, parts, &mut diagnostics);
    let read = statement::statement(kind, &piece.body, piece.start, &mut diagnostics);
    let (true, Ok(statement)) = (diagnostics.iter().all(|it| !it.is_error()), read) else {
        return kept();
    };
    let set = spacing::set(text, parts, &atoms::of(&statement));
    let defines = piece.label.is_none() && statement.facts().defines;
    columns::rows(text, parts, set, defines)
}

/// Whether a block reads the same with the edits.
fn says_the_same(kind: BlockKind, text: &str, lines: &[Span], edits: &[Edit]) -> bool {
    if edits.is_empty() {
        return true;
    }
    let mut new = String::new();
    let mut places = Vec::with_capacity(lines.len());
    let mut edits = edits.iter().peekable();
    for line in lines {
        let content = match edits.next_if(|edit| edit.span == *line) {
            Some(edit) => edit.text.as_str(),
            None => line.of(text),
        };
        places.push(Span::new(new.len(), new.len() + content.len()));
        new.push_str(content);
        new.push('\n');
    }
    let (before, complaints) = parse_block(kind, text, lines);
    let (after, others) = parse_block(kind, &new, &places);
    complaints.len() == others.len() && meaning(text, &before) == meaning(&new, &after)
}

/// What lines say, wherever they stand: their trees without places. The written-out form of a
/// tree holds every part of it, also those that are added later.
fn meaning(text: &str, lines: &[Line]) -> Vec<(String, Option<String>)> {
    lines
        .iter()
        .map(|line| {
            let description = line.description.map(|place| place.of(text).to_owned());
            let tree = format!("{:?}{:?}", line.label, line.statement);
            (without_places(&tree), description)
        })
        .collect()
}

fn without_places(tree: &str) -> String {
    let mut parts = tree.split("Span { ");
    let mut out = parts.next().unwrap_or("").to_owned();
    for part in parts {
        out.push_str(part.split_once('}').map_or(part, |(_, rest)| rest));
    }
    out
}

#[cfg(test)]
mod tests;
