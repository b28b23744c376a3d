//! A worksheet in good order.

use lsp_types::{DocumentFormattingParams, TextEdit};

use super::documents::Document;

/// A worksheet in good order.
pub(super) fn formatting(
    _document: &Document,
    _params: &DocumentFormattingParams,
) -> Option<Vec<TextEdit>> {
    None
}
