//! What each word is, for colours.

use lsp_types::{SemanticTokensParams, SemanticTokensResult};

use super::documents::Document;

/// What each word is, for colours.
pub(super) fn semantic_tokens(
    _document: &Document,
    _params: &SemanticTokensParams,
) -> Option<SemanticTokensResult> {
    None
}
