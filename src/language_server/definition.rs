//! Where a name is given its meaning.

use lsp_types::{GotoDefinitionParams, GotoDefinitionResponse};

use super::documents::Document;

/// Where a name is given its meaning.
pub(super) fn definition(
    _document: &Document,
    _params: &GotoDefinitionParams,
) -> Option<GotoDefinitionResponse> {
    None
}
