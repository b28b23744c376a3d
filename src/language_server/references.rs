//! Where a name stands.

use lsp_types::{Location, ReferenceParams};

use super::documents::Document;
use super::names::Role;

/// Every place of the name under the cursor, its definition only where it is asked for.
pub(super) fn references(document: &Document, params: &ReferenceParams) -> Option<Vec<Location>> {
    let places = document.places();
    let place = places.at(params.text_document_position.position);
    let target = &document.names().at(place)?.target;
    if !target.is_of_the_author() {
        return None;
    }
    let names = document.names().of(target).into_iter();
    let wanted = names.filter(|name| params.context.include_declaration || name.role == Role::Use);
    let location = |span| Location {
        uri: document.uri.clone(),
        range: places.range(span),
    };
    Some(wanted.map(|name| location(name.span)).collect())
}
