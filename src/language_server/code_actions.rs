//! What an editor offers to do for the author.

use lsp_types::{CodeActionParams, CodeActionResponse};

use super::documents::Document;

/// What an editor offers to do for the author.
pub(super) fn code_actions(
    _document: &Document,
    _params: &CodeActionParams,
) -> Option<CodeActionResponse> {
    None
}
