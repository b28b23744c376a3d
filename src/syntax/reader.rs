//! What reads a statement: its text, its place, and the edits of a part of it.

use super::grammar::{self, Pair};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::text::Span;

pub(super) type Read<T> = Result<T, Box<Diagnostic>>;

/// The widest gap between two words that an edit closes: beyond it may stand a comment.
const WIDEST_GAP: usize = 3;

/// Reads the pairs of one statement, which stands at `start` in the worksheet.
pub(super) struct Reader<'s> {
    pub text: &'s str,
    pub start: usize,
    pub warnings: Vec<Diagnostic>,
}

impl<'s> Reader<'s> {
    pub(super) fn new(text: &'s str, start: usize) -> Self {
        Self {
            text,
            start,
            warnings: Vec::new(),
        }
    }

    pub(super) fn span(&self, pair: &Pair<'_>) -> Span {
        grammar::span(pair, self.start)
    }

    /// The author's text at a place of this statement.
    pub(super) fn slice(&self, span: Span) -> &'s str {
        (span.start as usize)
            .checked_sub(self.start)
            .zip((span.end as usize).checked_sub(self.start))
            .and_then(|(from, to)| self.text.get(from..to))
            .unwrap_or("")
    }

    pub(super) fn nothing(&self) -> Box<Diagnostic> {
        incomplete(Span::new(self.start, self.start + self.text.len()))
    }

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

/// The place between two others, where only blanks stand.
pub(super) fn gap(before: Span, after: Span) -> Span {
    Span {
        start: before.end,
        end: after.start.max(before.end),
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

/// Something is missing.
pub(super) fn incomplete(span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        "a name, a number or a bracket is missing here".to_owned(),
        "complete the formula, as in `a + b`".to_owned(),
    )
}

/// An error with its way out.
pub(super) fn error(code: Code, span: Span, message: String, help: String) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(code, span, message).with_help(help))
}
