//! The inline Markdown of a description.

use super::markdown;
use super::markup::{Hole, Inline};
use super::places::Body;

/// What may begin inline Markdown; a text without any of it is text.
const MARKS: &[u8] = b"*_`[]<&$~\\!";

/// Stands before the text so that the parser sees a paragraph whatever the text begins with.
const LEAD: &str = "a ";

/// The text of a description that begins at byte `start` of the worksheet.
pub(super) fn text(text: &str, start: usize) -> Vec<Inline<Hole>> {
    if text.is_empty() {
        return Vec::new();
    }
    if !text.bytes().any(|byte| MARKS.contains(&byte)) {
        return vec![Inline::Text(text.to_owned())];
    }
    // Line endings would end the paragraph; blanks are as long, so that places stay right.
    let line = format!("{LEAD}{}", text.replace(['\n', '\r'], " "));
    let body = Body::with_lead(&line, LEAD.len(), start);
    markdown::inlines(&body, LEAD.len())
}
