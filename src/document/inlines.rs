//! The inline Markdown of a description.

use super::places::Body;
use super::{Fragment, escape, markdown};

/// What may begin inline Markdown; a text without any of it is text.
const MARKS: &[u8] = b"*_`[]<&$~\\!";

/// Stands before the text so that the parser sees a paragraph whatever the text begins with.
const LEAD: &str = "a ";

/// The fragments of a description that begins at byte `start` of the worksheet.
pub(super) fn fragments(text: &str, start: usize) -> Vec<Fragment> {
    if text.is_empty() {
        return Vec::new();
    }
    if !text.bytes().any(|byte| MARKS.contains(&byte)) {
        let mut html = String::with_capacity(text.len());
        escape::text(&mut html, text);
        return vec![Fragment::Html(html)];
    }
    // Line endings would end the paragraph; blanks are as long, so that places stay right.
    let line = format!("{LEAD}{}", text.replace(['\n', '\r'], " "));
    let body = Body::with_lead(&line, LEAD.len(), start);
    markdown::inlines(&body, LEAD.len())
}
