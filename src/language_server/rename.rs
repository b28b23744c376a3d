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
use crate::resolve::Function;
use crate::syntax::{self, ExprKind};
use crate::text::Span;

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
        _ => may_be_name(new)?,
    }
    let places: Vec<&Occurrence> = places_of(document, name).collect();
    is_free(document, name, &places, new)?;
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
fn nameable(document: &Document, place: u32) -> Result<&Occurrence, Refusal> {
    let Some(name) = document.names().at(place) else {
        return Err(Refusal::sentence("no name stands here"));
    };
    let source = &document.worksheet().source;
    let written = source.slice(name.span);
    let is_a = match &name.target {
        Target::BuiltIn(_) => "a function of the language",
        Target::Unit => "a unit",
        Target::Constant => "a constant",
        Target::Heading => "a heading",
        Target::Symbol(_) if &*syntax::canonical(written) == "p_atm" => {
            "the name by which `absolute` and `gauge` find the pressure of the atmosphere"
        }
        _ => return Ok(name),
    };
    let message = format!("`{written}` is {is_a}, which keeps its name");
    Err(Refusal::sentence(message))
}

/// Where the name stands; one that has no meaning is looked for in its problem alone.
fn places_of<'a>(
    document: &'a Document,
    name: &'a Occurrence,
) -> impl Iterator<Item = &'a Occurrence> {
    let is_undefined = matches!(name.target, Target::Undefined(_));
    let all = document.names().of(&name.target);
    all.filter(move |other| !is_undefined || other.problem == name.problem)
}

fn may_be_label(new: &str) -> Result<(), Refusal> {
    let is_part = |letter: char| letter.is_alphanumeric() || "_-".contains(letter);
    if !new.is_empty() && new.chars().all(is_part) {
        return Ok(());
    }
    let message = format!("`{new}` is no label: letters, digits, `-` and `_`, without blanks");
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
            key if Function::named(key).is_some() => refuse("is a function of the language"),
            _ => Ok(()),
        },
        _ => refuse("is no name: a letter first, then letters and digits, subscripts after `_`"),
    }
}

/// Whether nothing that is seen from the places of a name has the new name already.
fn is_free(
    document: &Document,
    name: &Occurrence,
    places: &[&Occurrence],
    new: &str,
) -> Result<(), Refusal> {
    let key = syntax::canonical(new);
    let taken = document.names().all().iter().find(|other| {
        let is_seen = || {
            let own = |place: &&Occurrence| place.problem == other.problem;
            other.problem == 0 || places.iter().any(own)
        };
        other.target != name.target && is_called(document, other, name, &key, new) && is_seen()
    });
    let Some(taken) = taken else {
        return Ok(());
    };
    let line = document.worksheet().source.line_of(taken.span.start);
    let message = format!("`{new}` is already a name in this problem, on line {line}");
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
        // Parameters are seen in their own definition only.
        (
            Target::Parameter { definition, .. },
            Target::Parameter {
                definition: own, ..
            },
        ) => definition == own && *syntax::canonical(written) == *key,
        (Target::Parameter { .. }, _) | (_, Target::Parameter { .. }) => false,
        (Target::Symbol(_) | Target::Function(_), _) => *syntax::canonical(written) == *key,
        _ => false,
    }
}

/// Compiles the worksheet with the new name, and compares what its names mean.
fn means_the_same(document: &Document, places: &[&Occurrence], new: &str) -> Result<(), Refusal> {
    let mut text = document.text().to_owned();
    for place in places.iter().rev() {
        let offset = |at| document.places().offset(at);
        let (start, end) = (offset(place.span.start), offset(place.span.end));
        text.replace_range(start..end, new);
    }
    let item = TextDocumentItem::new(document.uri.clone(), String::new(), 0, text);
    let mut renamed = Document::open(item, document.file().encoding);
    renamed.compile();
    let (before, after) = (document.names().all(), renamed.names().all());
    let differs = before
        .iter()
        .zip(after)
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

fn is_same(old: &Occurrence, new: &Occurrence, places: &[&Occurrence]) -> bool {
    let is_renamed = || places.iter().any(|place| place.span == old.span);
    let is_same_target = match (&old.target, &new.target) {
        (Target::Label { problem, .. }, Target::Label { problem: own, .. }) if is_renamed() => {
            problem == own
        }
        (Target::Undefined(_), Target::Undefined(_)) if is_renamed() => true,
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
mod tests {
    use super::super::fixture;
    use super::*;
    use crate::page;
    use crate::resolve::SymbolId;
    use crate::text::Source;
    use crate::worksheet;

    fn renamed(document: &Document, params: &RenameParams) -> Result<String, String> {
        let edit = rename(document, params).map_err(|refusal| refusal.message)?;
        let changes = edit.unwrap().changes.into_iter().flatten().next();
        let (_, edits) = changes.unwrap();
        let mut text = document.text().to_owned();
        for edit in edits.iter().rev() {
            let file = document.file();
            let (start, end) = (file.offset(edit.range.start), file.offset(edit.range.end));
            text.replace_range(start..end, &edit.new_text);
        }
        Ok(text)
    }

    fn params(position: lsp_types::Position, new: &str) -> RenameParams {
        RenameParams {
            text_document_position: fixture::at(position),
            new_name: new.to_owned(),
            work_done_progress_params: Default::default(),
        }
    }

    fn check(text: &str, new: &str, expected: &str) {
        let (document, position) = fixture::with_cursor(text);
        let found = renamed(&document, &params(position, new));
        assert_eq!(found.as_deref(), Ok(expected), "{text}");
    }

    fn refused(text: &str, new: &str, expected: &str) {
        let (document, position) = fixture::with_cursor(text);
        let found = renamed(&document, &params(position, new));
        assert_eq!(found, Err(expected.to_owned()), "{text}");
    }

    #[test]
    fn a_name_is_renamed_in_every_spelling_and_in_prose() {
        check(
            "```given\nD1 = 2 m -- as `D_1 = ? mm`\n```\n```work\nx = 2 D_|1 = ? m\ny = ? m at D_1 = 3 m\n```\nSee `D_1` and `? cm of D1`, not D_1.\n",
            "d_in",
            "```given\nd_in = 2 m -- as `d_in = ? mm`\n```\n```work\nx = 2 d_in = ? m\ny = ? m at d_in = 3 m\n```\nSee `d_in` and `? cm of d_in`, not D_1.\n",
        );
    }

    #[test]
    fn another_problem_keeps_its_own_name() {
        check(
            "# A\n```given\nx| = 2 m\n```\n# B\n```given\nx = 3 m\n```\n",
            "y",
            "# A\n```given\ny = 2 m\n```\n# B\n```given\nx = 3 m\n```\n",
        );
    }

    #[test]
    fn parameters_labels_and_functions_are_renamed_alone() {
        check(
            "```given\nf(Q) = 2 |Q + 1\nQ = 3\n```\n",
            "q",
            "```given\nf(q) = 2 q + 1\nQ = 3\n```\n",
        );
        check(
            "```given\n|f(Q) = 2 Q\n```\n```work\ny = f(2) = ?\n```\n",
            "g_1",
            "```given\ng_1(Q) = 2 Q\n```\n```work\ny = g_1(2) = ?\n```\n",
        );
        check(
            "```derive\nsum: a = b\nsolve sum for b\n```\nBy [s|um].\n",
            "total",
            "```derive\ntotal: a = b\nsolve total for b\n```\nBy [total].\n",
        );
    }

    #[test]
    fn what_is_no_name_is_refused() {
        let text = "```given\nx| = 2 m\ny = 3 m\n```\n";
        refused(text, "of", "`of` is a word of the language");
        refused(text, "sin", "`sin` is a function of the language");
        refused(text, "π", "`π` is a constant");
        for word in ["2x", "a b", "a+b", "", "x.y"] {
            let sentence = format!(
                "`{word}` is no name: a letter first, then letters and digits, subscripts after `_`"
            );
            refused(text, word, &sentence);
        }
        refused(
            text,
            "y",
            "`y` is already a name in this problem, on line 3",
        );
    }

    #[test]
    fn what_is_not_the_authors_keeps_its_name() {
        refused(
            "```given\nx = 2 |m\n```\n",
            "y",
            "`m` is a unit, which keeps its name",
        );
        refused(
            "```given\nx = |sqrt(2)\n```\n",
            "y",
            "`sqrt` is a function of the language, which keeps its name",
        );
        refused("some |words\n", "y", "no name stands here");
    }

    #[test]
    fn a_name_that_would_take_the_place_of_a_unit_is_refused() {
        refused(
            "```given\nL| = 2 m\n```\n```work\nx = L (2 m) = ? m^2\n```\n",
            "m",
            "with the name `m`, line 5 would be read otherwise",
        );
    }

    #[test]
    fn every_symbol_of_every_worksheet_can_be_renamed() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/worksheets");
        let mut count = 0;
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|extension| extension == "md") {
                count += rename_all(&std::fs::read_to_string(&path).unwrap());
            }
        }
        assert!(count > 100, "{count} symbols were renamed");
    }

    #[test]
    fn a_renamed_worksheet_has_the_same_numbers() {
        let path = concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/worksheets/calibration-tank.md"
        );
        let text = std::fs::read_to_string(path).unwrap();
        let document = fixture::document(&text);
        let names = document.names().all().iter();
        let first = names
            .filter(|name| matches!(name.target, Target::Symbol(_)))
            .nth(1);
        let position = document.places().position(first.unwrap().span.start);
        let one = renamed(&document, &params(position, "Zeta_new")).unwrap();
        assert_ne!(one, text);
        assert_eq!(numbers(&one), numbers(&text));
    }

    /// Renames all symbols of a worksheet at once; the report has the same numbers afterwards.
    fn rename_all(text: &str) -> usize {
        let document = fixture::document(text);
        let before = numbers(text);
        let names: Vec<(usize, &Occurrence)> = document
            .names()
            .all()
            .iter()
            .filter_map(|name| match &name.target {
                Target::Symbol(SymbolId(index)) => Some((*index as usize, name)),
                _ => None,
            })
            .filter(|(_, name)| document.worksheet().source.slice(name.span) != "p_atm")
            .collect();
        let mut all = text.to_owned();
        for (index, name) in names.iter().rev() {
            let offset = |at| document.places().offset(at);
            let (start, end) = (offset(name.span.start), offset(name.span.end));
            all.replace_range(start..end, &format!("Zeta_n{index}"));
        }
        assert_eq!(numbers(&all), before, "{all}");
        let mut symbols: Vec<usize> = names.iter().map(|(index, _)| *index).collect();
        symbols.sort_unstable();
        symbols.dedup();
        symbols.len()
    }

    /// What is printed of results, checks, steps and answers, and the codes of what is wrong.
    fn numbers(text: &str) -> Vec<String> {
        let worksheet = worksheet::compile(Source::new("w", text));
        let report: serde_json::Value = serde_json::from_str(&page::report(&[worksheet])).unwrap();
        let mut found = Vec::new();
        for list in ["results", "checks", "steps", "answers", "diagnostics"] {
            for row in report[0][list].as_array().unwrap() {
                let facts = ["line", "printed", "holds", "verdict", "code"];
                let facts: Vec<String> = facts.iter().map(|fact| row[fact].to_string()).collect();
                found.push(facts.join(" "));
            }
        }
        found
    }
}
