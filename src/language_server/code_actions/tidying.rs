//! One block made tidy.

use lsp_types::{CodeAction, Range, TextEdit};

use super::super::documents::Document;
use super::super::formatting;
use super::rewrite;
use crate::text::Span;

/// What is offered for the block at the cursor.
pub(super) fn tidying(document: &Document, range: Range) -> Option<CodeAction> {
    let file = document.file();
    let cursor = file.offset(range.start);
    let edits: Vec<TextEdit> = formatting::tidying(document, Span::new(cursor, cursor))
        .iter()
        .map(|edit| formatting::smallest(&file, edit))
        .collect();
    (!edits.is_empty()).then(|| rewrite(document, "tidy this block".to_owned(), edits))
}
