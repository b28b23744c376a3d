//! The outline of a worksheet.

use lsp_types::{DocumentSymbolParams, DocumentSymbolResponse};

use super::documents::Document;

/// The outline of a worksheet.
pub(super) fn symbols(
    _document: &Document,
    _params: &DocumentSymbolParams,
) -> Option<DocumentSymbolResponse> {
    None
}
