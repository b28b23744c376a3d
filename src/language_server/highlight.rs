//! Every place of the name under the cursor.

use lsp_types::{DocumentHighlight, DocumentHighlightParams};

use super::documents::Document;

/// Every place of the name under the cursor.
pub(super) fn highlight(
    _document: &Document,
    _params: &DocumentHighlightParams,
) -> Option<Vec<DocumentHighlight>> {
    None
}
