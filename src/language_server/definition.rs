//! Where a name is given its meaning.

use lsp_types::{GotoDefinitionParams, GotoDefinitionResponse, Location};

use super::documents::Document;
use super::{pictures, sketches};

/// The line that defines the name under the cursor.
pub(super) fn definition(
    document: &Document,
    params: &GotoDefinitionParams,
) -> Option<GotoDefinitionResponse> {
    let places = document.places();
    let place = places.at(params.text_document_position_params.position);
    // The words of a balance lead to the sketch that it is of, as its label does.
    let name = document.names().at(place).or_else(|| {
        let named = sketches::balance(document, place)?;
        let is_there = named.span.start <= place && place <= named.span.end;
        is_there
            .then(|| document.names().at(named.span.end))
            .flatten()
    });
    let span = match pictures::referred(document, place) {
        Some(found) => found.place,
        None => document.names().definition(&name?.target)?.span,
    };
    Some(GotoDefinitionResponse::Scalar(Location {
        uri: document.uri.clone(),
        range: places.range(span),
    }))
}
