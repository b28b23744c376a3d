//! What is wrong with a worksheet, pushed after each change.

use lsp_types::PublishDiagnosticsParams;

use super::documents::Document;

/// Everything that there is to say about a document.
pub(super) fn diagnostics(document: &Document) -> PublishDiagnosticsParams {
    PublishDiagnosticsParams {
        uri: document.uri.clone(),
        diagnostics: Vec::new(),
        version: Some(document.version),
    }
}
