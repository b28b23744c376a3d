//! One part of the page: a heading, prose or a block.

use super::{Page, block, notice, prose};
use crate::typeset::escape;
use crate::worksheet::{Part, PartKind};

/// Writes a part. Headings of the first two levels begin a section, of which one is open.
pub(super) fn write(page: &Page, part: &Part, is_first: bool, out: &mut String) {
    match &part.kind {
        PartKind::Heading {
            level, id, content, ..
        } => {
            if *level <= 2 && !is_first {
                out.push_str("</section>\n<section>\n");
            }
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
