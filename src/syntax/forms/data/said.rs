//! What the parts of a table say, and where.

use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// A place without the blanks around what stands there.
pub(super) fn trimmed(text: &str, place: Span) -> Span {
    let content = place.of(text);
    let start = place.start as usize + content.len() - content.trim_start().len();
    Span::new(start, start + content.trim().len())
}

/// An error of a table.
pub(super) fn refused(
    code: Code,
    place: Span,
    message: impl Into<String>,
    help: impl Into<String>,
) -> Diagnostic {
    Diagnostic::error(code, place, message).with_help(help)
}
