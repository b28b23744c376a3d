//! One block made tidy.

use lsp_types::{CodeAction, Range, TextEdit};

use super::super::documents::Document;
use super::super::formatting;
use super::rewrite;
use crate::document::{self, Piece};
use crate::text::Source;

/// What is offered for the block at the cursor.
pub(super) fn tidying(document: &Document, range: Range) -> Option<CodeAction> {
    if document.is_too_large() {
        return None;
    }
    let file = document.file();
    let cursor = file.offset(range.start) as u32;
    let source = Source::new("", file.text);
    let (pieces, _) = document::parse(&source);
    let block = pieces.pieces.iter().find_map(|piece| match piece {
        Piece::Block { span, .. } if span.start <= cursor && cursor <= span.end => Some(*span),
        _ => None,
    })?;
    let edits: Vec<TextEdit> = formatting::tidying(document)
        .iter()
        .filter(|edit| block.start <= edit.span.start && edit.span.end <= block.end)
        .map(|edit| formatting::smallest(&file, edit))
        .collect();
    (!edits.is_empty()).then(|| rewrite(document, "tidy this block".to_owned(), edits))
}
