//! One part of the page: a heading, prose or a block.

use super::{Page, block, notice, prose};
use crate::typeset::escape;
use crate::worksheet::{Part, PartKind};

/// What stands between two sections; one is open at any part.
pub(super) const NEXT_SECTION: &str = "</section>\n<section>\n";

/// Whether a part begins a section, unless it is the first: a heading of the first two levels.
pub(super) fn begins_section(part: &Part) -> bool {
    matches!(part.kind, PartKind::Heading { level: 1 | 2, .. })
}

/// Writes a part.
pub(super) fn write(page: &Page, part: &Part, out: &mut String) {
    match &part.kind {
        PartKind::Heading {
            level, id, content, ..
        } => {
            let level = char::from(b'0' + (level + page.shift).clamp(1, 6));
            out.push_str("<h");
            out.push(level);
            out.push_str(" id=\"");
            escape(id, out);
            out.push_str("\">");
            prose::write(page, content, out);
            out.push_str("</h");
            out.push(level);
            out.push_str(">\n");
        }
        PartKind::Prose(content) => prose::write(page, content, out),
        PartKind::Block { kind, statements } => block::write(page, *kind, statements, out),
        PartKind::LaterBlock { diagnostic } => {
            notice::source(page, part.span, out);
            notice::list(page, &[*diagnostic], out);
        }
    }
}
