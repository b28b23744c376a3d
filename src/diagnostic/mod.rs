//! Diagnostics as data: a code, a plain sentence, a place and a way out.
//!
//! Every pass builds [`Diagnostic`]s; none of them prints. The terminal form is in
//! [`terminal`], the page and the JSON report have theirs on their own floor. The texts that
//! `setsquare why` prints are in [`explanation`].

mod code;
mod explanation;
mod fix;
mod nearest;
pub mod terminal;

pub use code::Code;
pub use explanation::{Explanation, explanation, explanations};
pub use fix::{Decision, Edit, Fix, in_formula};
pub use nearest::{nearest, nearest_file};

use crate::text::Span;

/// How much a diagnostic weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The line stands, but a reader should look at it.
    Warning,
    /// The line is refused.
    Error,
}

/// Something a pass has to say about one place of a worksheet.
///
/// `message` states the fact in the author's terms and stands alone: lower case, no full stop,
/// the author's text in backticks. Only `help` advises, and it shows what to type.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnostic {
    /// The stable code, such as `D12`.
    pub code: Code,
    /// Error or warning.
    pub severity: Severity,
    /// What is wrong, in one sentence.
    pub message: String,
    /// The smallest place that shows it.
    pub span: Span,
    /// Further facts, each with its own place where it has one.
    pub notes: Vec<Note>,
    /// What to write instead.
    pub help: Option<String>,
    /// The same as edits, where place and text are known for certain.
    pub fixes: Vec<Fix>,
}

/// A further fact beside a diagnostic: "already defined here".
#[derive(Debug, Clone, PartialEq)]
pub struct Note {
    /// The fact, in one sentence.
    pub message: String,
    /// Where it shows.
    pub span: Option<Span>,
}

impl Diagnostic {
    /// An error at `span`.
    pub fn error(code: Code, span: Span, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Error,
            message: message.into(),
            span,
            notes: Vec::new(),
            help: None,
            fixes: Vec::new(),
        }
    }

    /// A warning at `span`.
    pub fn warning(code: Code, span: Span, message: impl Into<String>) -> Self {
        Self {
            severity: Severity::Warning,
            ..Self::error(code, span, message)
        }
    }

    /// Adds what to write instead.
    #[must_use]
    pub fn with_help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Adds an edit that keeps what the line means.
    #[must_use]
    pub fn with_fix(self, span: Span, text: impl Into<String>) -> Self {
        self.with_fixes([Fix::write(Decision::None, span, text)])
    }

    /// Adds an edit that is for the author to choose.
    #[must_use]
    pub fn with_choice(self, span: Span, text: impl Into<String>) -> Self {
        self.with_fixes([Fix::write(Decision::Choose, span, text)])
    }

    /// Adds fixes after those that are there.
    #[must_use]
    pub fn with_fixes(mut self, fixes: impl IntoIterator<Item = Fix>) -> Self {
        self.fixes.extend(fixes);
        self
    }

    /// The same at the places that `place` gives for its own.
    #[must_use]
    pub fn moved(mut self, place: &impl Fn(Span) -> Span) -> Self {
        self.span = place(self.span);
        for note in &mut self.notes {
            note.span = note.span.map(place);
        }
        for edit in self.fixes.iter_mut().flat_map(|fix| &mut fix.edits) {
            edit.span = place(edit.span);
        }
        self
    }

    /// Adds a further fact.
    #[must_use]
    pub fn with_note(mut self, message: impl Into<String>, span: impl Into<Option<Span>>) -> Self {
        self.notes.push(Note {
            message: message.into(),
            span: span.into(),
        });
        self
    }

    /// Whether the line is refused.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}
