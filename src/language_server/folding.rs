//! What may be folded away: blocks, and what stands under a heading.

use lsp_types::{FoldingRange, FoldingRangeKind, FoldingRangeParams};

use super::documents::Document;
use crate::text::Span;
use crate::worksheet::PartKind;

/// Blocks without their last line, and sections up to the next heading of the same rank.
pub(super) fn folding(
    document: &Document,
    _params: &FoldingRangeParams,
) -> Option<Vec<FoldingRange>> {
    let mut found = Vec::new();
    let mut open: Vec<(u8, Span)> = Vec::new();
    let mut last = None;
    for (placed, part) in document.worksheet().parts() {
        let span = placed.span(part.span);
        match &part.kind {
            PartKind::Heading { level, .. } => {
                while let Some((_, heading)) = open.pop_if(|(above, _)| *above >= *level) {
                    found.extend(last.and_then(|last| fold(document, heading, last)));
                }
                open.push((*level, span));
            }
            PartKind::Block { .. } => {
                found.extend(fold(document, span, span));
            }
            PartKind::Prose(_) => {}
        }
        last = Some(span);
    }
    for (_, heading) in open {
        found.extend(last.and_then(|last| fold(document, heading, last)));
    }
    found.sort_by_key(|fold| (fold.start_line, fold.end_line));
    Some(found)
}

/// From the line on which one begins to the line on which the other ends.
fn fold(document: &Document, from: Span, to: Span) -> Option<FoldingRange> {
    let places = document.places();
    let (start, end) = (places.position(from.start).line, places.position(to.end));
    // A span that takes in its last line end stops at the start of the next line.
    let end = if end.character == 0 {
        end.line.saturating_sub(1)
    } else {
        end.line
    };
    (start < end).then(|| FoldingRange {
        start_line: start,
        end_line: end,
        kind: Some(FoldingRangeKind::Region),
        ..FoldingRange::default()
    })
}

#[cfg(test)]
mod tests {
    use super::super::fixture;
    use super::*;
    use lsp_types::TextDocumentIdentifier;

    #[test]
    fn blocks_and_sections_are_folded() {
        let document = fixture::document(
            "# A\n\n```given\nx = 2 m\n```\n\n## B\n\nWords.\n\n## C\n\n# D\n\nWords.\n",
        );
        let params = FoldingRangeParams {
            text_document: TextDocumentIdentifier {
                uri: document.uri.clone(),
            },
            work_done_progress_params: Default::default(),
            partial_result_params: Default::default(),
        };
        let found: Vec<(u32, u32)> = folding(&document, &params)
            .unwrap()
            .iter()
            .map(|fold| (fold.start_line, fold.end_line))
            .collect();
        assert_eq!(found, [(0, 10), (2, 4), (6, 8), (12, 14)]);
    }
}
