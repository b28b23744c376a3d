//! The arguments of the function under the cursor.

use lsp_types::{SignatureHelp, SignatureHelpParams};

use super::documents::Document;

/// The arguments of the function under the cursor.
pub(super) fn signature_help(
    _document: &Document,
    _params: &SignatureHelpParams,
) -> Option<SignatureHelp> {
    None
}
