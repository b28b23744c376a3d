//! What may be typed at the cursor.

use lsp_types::{CompletionParams, CompletionResponse};

use super::documents::Document;

/// What may be typed at the cursor.
pub(super) fn completion(
    _document: &Document,
    _params: &CompletionParams,
) -> Option<CompletionResponse> {
    None
}
