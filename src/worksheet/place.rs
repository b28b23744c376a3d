//! Which diagnostics belong to which statement or block.

use super::model::{PartKind, Problem};
use crate::diagnostic::Diagnostic;
use crate::text::Span;

/// Sorts the diagnostics by place, and gives every statement and later block the indices
/// of its own.
pub(super) fn place(problem: &mut Problem) {
    (problem.diagnostics).sort_by_key(|diagnostic| (diagnostic.span.start, diagnostic.code));
    let diagnostics = &problem.diagnostics;
    for part in &mut problem.parts {
        match &mut part.kind {
            PartKind::Block { statements, .. } => {
                // A statement reaches to the next one, so that what is wrong with its
                // description or its missing end is shown with it.
                let ends: Vec<u32> = statements
                    .iter()
                    .skip(1)
                    .map(|statement| statement.span.start)
                    .chain(std::iter::once(part.span.end))
                    .collect();
                for (statement, end) in statements.iter_mut().zip(ends) {
                    let reach = Span {
                        start: statement.span.start,
                        end,
                    };
                    statement.diagnostics = within(diagnostics, reach);
                }
            }
            PartKind::Heading { .. } | PartKind::Prose(_) => {}
        }
    }
}

fn within(diagnostics: &[Diagnostic], span: Span) -> Vec<usize> {
    let first = diagnostics.partition_point(|diagnostic| diagnostic.span.start < span.start);
    let count = diagnostics[first..]
        .iter()
        .take_while(|diagnostic| diagnostic.span.start < span.end.max(span.start + 1))
        .count();
    (first..first + count).collect()
}
