//! Every place of the name under the cursor, for an editor to light up.

use lsp_types::{DocumentHighlight, DocumentHighlightKind, DocumentHighlightParams};

use super::documents::Document;
use super::names::Role;

/// The places of the name, those that define it marked as writing.
pub(super) fn highlight(
    document: &Document,
    params: &DocumentHighlightParams,
) -> Option<Vec<DocumentHighlight>> {
    let places = document.places();
    let place = places.at(params.text_document_position_params.position);
    let target = &document.names().at(place)?.target;
    if !target.is_of_the_author() {
        return None;
    }
    let names = document.names().of(target);
    let highlights = names.iter().map(|name| DocumentHighlight {
        range: places.range(name.span),
        kind: Some(match name.role {
            Role::Definition => DocumentHighlightKind::WRITE,
            Role::Use => DocumentHighlightKind::READ,
        }),
    });
    Some(highlights.collect())
}
