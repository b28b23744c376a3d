//! What stands under the cursor.

use lsp_types::{Hover, HoverParams};

use super::documents::Document;

/// What stands under the cursor.
pub(super) fn hover(_document: &Document, _params: &HoverParams) -> Option<Hover> {
    None
}
