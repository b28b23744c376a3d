//! Where a name is given its meaning.

use lsp_types::{GotoDefinitionParams, GotoDefinitionResponse, Location};

use super::documents::Document;

/// The line that defines the name under the cursor.
pub(super) fn definition(
    document: &Document,
    params: &GotoDefinitionParams,
) -> Option<GotoDefinitionResponse> {
    let places = document.places();
    let place = places.at(params.text_document_position_params.position);
    let target = &document.names().at(place)?.target;
    let definition = document.names().definition(target)?;
    Some(GotoDefinitionResponse::Scalar(Location {
        uri: document.uri.clone(),
        range: places.range(definition.span),
    }))
}
