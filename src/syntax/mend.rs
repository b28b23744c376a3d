//! The edits with which a refused line can be read.
//!
//! In go the places that a refusal knows, out come fixes. A fix of a line is offered only where
//! the line can be read after it, up to a mistake further on; this is found by reading it again.

use super::formula::Reader;
use super::{BlockKind, forms, statement};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::text::Span;

/// The widest gap between two words that an edit closes: beyond it may stand a comment.
const WIDEST_GAP: usize = 3;

/// The place between two others, where only blanks stand.
pub(super) fn gap(before: Span, after: Span) -> Span {
    Span {
        start: before.end,
        end: after.start.max(before.end),
    }
}

impl Reader<'_> {
    /// A fix for the author to choose, which is called by what `place` reads after it.
    pub(super) fn choice(&self, place: Span, edits: &[(Span, &str)]) -> Option<Fix> {
        self.fix(Decision::Choose, place, edits)
    }

    /// A fix that is called by what `place` reads after it.
    pub(super) fn fix(
        &self,
        decision: Decision,
        place: Span,
        edits: &[(Span, &str)],
    ) -> Option<Fix> {
        let blank_and_wide =
            |span: Span| span.len() > WIDEST_GAP && self.slice(span).trim().is_empty();
        if edits.iter().any(|(span, _)| blank_and_wide(*span)) {
            return None;
        }
        let ((first, text), others) = edits.split_first()?;
        let fix = others.iter().fold(
            Fix::new(decision, "", *first, *text),
            |fix, (span, text)| fix.and(*span, *text),
        );
        let written = fix.applied_at(self.slice(place), place.start)?;
        let words: Vec<&str> = written.split_whitespace().collect();
        Some(Fix {
            title: format!("write `{}`", words.join(" ")),
            ..fix
        })
    }
}

/// The place of a part of a statement, which stands at `start`.
pub(super) fn part(start: usize, from: usize, to: usize) -> Span {
    Span::new(start + from, start + to.max(from))
}

/// The blanks before `at` and what follows up to `to`: what is taken out with a word.
pub(super) fn with_blanks_before(body: &str, start: usize, at: usize, to: usize) -> Span {
    let kept = body.get(..at).unwrap_or("").trim_end().len();
    part(start, kept, to)
}

/// Takes from the refusal of a line those fixes with which it cannot be read.
pub(super) fn keep_readable(refusal: &mut Diagnostic, kind: BlockKind, body: &str, start: usize) {
    keep(refusal, body, start, |mended| {
        statement::statement(kind, mended, start, &mut Vec::new()).map(|_| ())
    });
}

/// The same for an inline ask.
pub(super) fn keep_readable_inline(refusal: &mut Diagnostic, body: &str, start: usize) {
    keep(refusal, body, start, |mended| {
        forms::inline(mended, start).map(|_| ())
    });
}

fn keep(
    refusal: &mut Diagnostic,
    body: &str,
    start: usize,
    read: impl Fn(&str) -> super::formula::Read<()>,
) {
    let refused = refusal.span;
    refusal.fixes.retain(|fix| {
        if fix.decision == Decision::Complete {
            return true;
        }
        let Some(mended) = fix.applied_at(body, start as u32) else {
            return false;
        };
        match read(&mended) {
            Ok(()) => true,
            Err(next) => {
                let last = fix.edits.last().map_or(0, |edit| edit.span.end);
                let end = refused.end.max(last) as usize;
                let is_further_on = next.span.start as usize + body.len() > end + mended.len();
                next.code != Code::S01 && is_further_on
            }
        }
    });
}
