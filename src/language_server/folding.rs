//! What may be folded away.

use lsp_types::{FoldingRange, FoldingRangeParams};

use super::documents::Document;

/// What may be folded away.
pub(super) fn folding(
    _document: &Document,
    _params: &FoldingRangeParams,
) -> Option<Vec<FoldingRange>> {
    None
}
