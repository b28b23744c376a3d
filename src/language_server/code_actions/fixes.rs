//! The corrections that diagnostics have with them.

use lsp_types::{CodeAction, CodeActionKind, Range, TextEdit};

use super::super::diagnostics;
use super::super::documents::Document;
use super::edit;
use crate::diagnostic::{Decision, Diagnostic, Fix};

/// The corrections of what is wrong in a range, each attached to what it corrects.
pub(super) fn fixes(document: &Document, range: Range) -> Vec<CodeAction> {
    let place = document.places().span(range);
    let found = document.worksheet().diagnostics.iter();
    found
        .filter(|found| found.span.start <= place.end && place.start <= found.span.end)
        .flat_map(|found| of_one(document, found))
        .collect()
}

/// The corrections of one diagnostic. The only one that needs no decision is preferred.
pub(super) fn of_one(document: &Document, found: &Diagnostic) -> Vec<CodeAction> {
    let is_certain = |fix: &&Fix| fix.decision == Decision::None;
    let only_certain = found.fixes.iter().filter(is_certain).count() == 1;
    let action = |fix: &Fix| CodeAction {
        title: fix.title.clone(),
        kind: Some(CodeActionKind::QUICKFIX),
        diagnostics: Some(vec![diagnostics::diagnostic(document, found)]),
        edit: Some(edit(document, edits(document, fix))),
        is_preferred: Some(only_certain && is_certain(&fix)),
        ..CodeAction::default()
    };
    found.fixes.iter().map(action).collect()
}

fn edits(document: &Document, fix: &Fix) -> Vec<TextEdit> {
    let places = document.places();
    let edit = |edit: &crate::diagnostic::Edit| TextEdit {
        range: places.range(edit.span),
        new_text: edit.text.clone(),
    };
    fix.edits.iter().map(edit).collect()
}
