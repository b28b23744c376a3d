//! What an editor offers to do for the author.
//!
//! In goes a range of a document, out come the corrections of what is wrong there, and changes of
//! form: balances written out, numbers written into the text or taken out, and blocks made tidy.

mod balances;
mod fixes;
mod numbers;
mod tidying;

use std::collections::HashMap;

use lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams, CodeActionResponse, Range,
    TextEdit, WorkspaceEdit,
};

use super::documents::Document;

/// What is offered at a range.
pub(super) fn code_actions(
    document: &Document,
    params: &CodeActionParams,
) -> Option<CodeActionResponse> {
    let wanted = params.context.only.as_deref();
    let actions = offered(document, params.range).into_iter();
    let kept = actions.filter(|action| is_wanted(wanted, action.kind.as_ref()));
    Some(kept.map(CodeActionOrCommand::CodeAction).collect())
}

/// The kinds of what is offered.
pub(super) fn kinds() -> Vec<CodeActionKind> {
    vec![CodeActionKind::QUICKFIX, CodeActionKind::REFACTOR_REWRITE]
}

/// Everything that is offered at a range.
pub(super) fn offered(document: &Document, range: Range) -> Vec<CodeAction> {
    let mut actions = fixes::fixes(document, range);
    actions.extend(balances::balances(document, range));
    actions.extend(numbers::numbers(document, range));
    actions.extend(tidying::tidying(document, range));
    actions
}

/// Whether a kind is one that the editor asks for, or within one.
fn is_wanted(wanted: Option<&[CodeActionKind]>, kind: Option<&CodeActionKind>) -> bool {
    let (Some(wanted), Some(kind)) = (wanted, kind) else {
        return true;
    };
    wanted.iter().any(|wanted| {
        let rest = kind.as_str().strip_prefix(wanted.as_str());
        rest.is_some_and(|rest| {
            rest.is_empty() || rest.starts_with('.') || wanted.as_str().is_empty()
        })
    })
}

/// A change of form.
fn rewrite(document: &Document, title: String, edits: Vec<TextEdit>) -> CodeAction {
    CodeAction {
        title,
        kind: Some(CodeActionKind::REFACTOR_REWRITE),
        edit: Some(edit(document, edits)),
        ..CodeAction::default()
    }
}

// The map is that of the protocol, and has one entry.
#[allow(
    clippy::mutable_key_type,
    reason = "an address is not changed in the map"
)]
fn edit(document: &Document, edits: Vec<TextEdit>) -> WorkspaceEdit {
    WorkspaceEdit {
        changes: Some(HashMap::from([(document.uri.clone(), edits)])),
        ..WorkspaceEdit::default()
    }
}

#[cfg(test)]
mod tests;
