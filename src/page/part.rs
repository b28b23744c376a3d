//! One part of the page: a heading, prose or a block.

use super::tree::Block;
use super::{Page, block, entry, prose};
use crate::worksheet::{Part, PartKind};

/// Whether a part begins a section, unless it is the first: a heading of the first two levels.
pub(super) fn begins_section(part: &Part) -> bool {
    matches!(part.kind, PartKind::Heading { level: 1 | 2, .. })
}

/// The blocks of a part.
pub(super) fn blocks(page: &Page, part: &Part) -> Vec<Block> {
    match &part.kind {
        PartKind::Heading {
            level, at, content, ..
        } => {
            let entry = entry::of(page, *at);
            let mut blocks = vec![Block::Heading {
                level: (level + page.shift).clamp(1, 6),
                id: page.placed.heading(*at).to_owned(),
                text: entry::heading(page, entry, content),
            }];
            blocks.extend(entry.into_iter().flat_map(entry::below));
            blocks
        }
        PartKind::Prose(blocks) => prose::blocks(page, blocks),
        PartKind::Block { kind, statements } => {
            block::blocks(page, *kind, statements, heading_above(page, part))
        }
    }
}

/// The heading right above a part.
fn heading_above<'w>(page: &Page<'w>, part: &Part) -> Option<&'w str> {
    match &page.placed.problem.part_above(part.span)?.kind {
        PartKind::Heading { text, .. } => Some(text),
        PartKind::Prose(_) | PartKind::Block { .. } => None,
    }
}
