//! Giving a name another name, everywhere.

use lsp_types::{PrepareRenameResponse, RenameParams, TextDocumentPositionParams, WorkspaceEdit};

use super::documents::Document;
use super::requests::Refusal;

/// Whether the name under the cursor can be given another name, and where it stands.
pub(super) fn prepare_rename(
    _document: &Document,
    _params: &TextDocumentPositionParams,
) -> Result<Option<PrepareRenameResponse>, Refusal> {
    Ok(None)
}

/// The edits that give a name another name.
pub(super) fn rename(
    _document: &Document,
    _params: &RenameParams,
) -> Result<Option<WorkspaceEdit>, Refusal> {
    Ok(None)
}
