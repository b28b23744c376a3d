//! Where a name stands.

use lsp_types::{Location, ReferenceParams};

use super::documents::Document;

/// Where a name stands.
pub(super) fn references(_document: &Document, _params: &ReferenceParams) -> Option<Vec<Location>> {
    None
}
