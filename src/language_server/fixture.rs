//! What the tests of this room share.

use std::sync::Arc;

use lsp_types::{Position, TextDocumentIdentifier, TextDocumentItem, TextDocumentPositionParams};

use super::documents::{Document, Folders};
use super::places::Encoding;
use crate::text::NoFiles;

/// The address of the document of every test.
pub(super) const ADDRESS: &str = "file:///w.md";

/// A document with its text compiled.
pub(super) fn document(text: &str) -> Document {
    beside(text, |_| Arc::new(NoFiles))
}

/// The same among files.
pub(super) fn beside(text: &str, folders: Folders) -> Document {
    let item = TextDocumentItem {
        uri: ADDRESS.parse().unwrap(),
        language_id: "markdown".to_owned(),
        version: 1,
        text: text.to_owned(),
    };
    let mut document = Document::open(item, Encoding::Utf16, folders);
    document.compile();
    document
}

/// A document whose text has a cursor in it, written `|`, and the place of the cursor.
pub(super) fn with_cursor(text: &str) -> (Document, Position) {
    let at = text.find('|').unwrap();
    let document = document(&text.replacen('|', "", 1));
    let position = document.file().position(at);
    (document, position)
}

/// The parameters of a request about a place.
pub(super) fn at(position: Position) -> TextDocumentPositionParams {
    let text_document = TextDocumentIdentifier {
        uri: ADDRESS.parse().unwrap(),
    };
    TextDocumentPositionParams {
        text_document,
        position,
    }
}
