//! The result at the end of each line.

use lsp_types::{InlayHint, InlayHintParams};

use super::documents::Document;

/// The result at the end of each line.
pub(super) fn inlay_hints(
    _document: &Document,
    _params: &InlayHintParams,
) -> Option<Vec<InlayHint>> {
    None
}
