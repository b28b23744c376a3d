//! The page around what is shown.

use crate::document::Paper;

use super::Place;

/// A page.
pub(super) fn page(
    title: &str,
    language: &str,
    _paper: Paper,
    main: &str,
    place: &Place,
    version: u64,
) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=\"{language}\" data-follow=\"{}\" data-run=\"{}\" data-version=\"{version}\">\
         <head><title>{title}</title></head><body><main>{main}</main></body></html>\n",
        place.follow, place.run
    )
}

/// The hashes of the style sheets.
pub(super) fn style_sources() -> String {
    "'sha256-AAAA'".to_owned()
}
