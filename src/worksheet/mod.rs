//! The passes in their order, and the finished worksheet.
//!
//! [`compile`] is a pure function of the text: it parses, resolves, checks and evaluates, and
//! returns a [`Worksheet`] that holds everything a page or a report needs.

mod blocks;
mod bodies;
mod build;
mod compile;
mod fill;
mod model;
mod operands;
mod place;
mod prose;
mod reasoned;
mod session;
mod show;
mod stack;
mod tidy;

pub use compile::compile;
pub use fill::{AskSite, fill, unfill};
pub use model::*;
pub use session::Session;
pub use tidy::{tidy, tidy_blocks_within, tidy_edits};

use crate::diagnostic::Diagnostic;

impl Worksheet {
    /// Whether a line was refused. A check that does not hold is not a refused line.
    pub fn has_errors(&self) -> bool {
        self.diagnostics.iter().any(is_refusal)
    }

    /// Whether every check holds.
    pub fn all_checks_hold(&self) -> bool {
        self.checks().all(|holds| holds)
    }

    /// For each check that could be evaluated whether it holds.
    pub fn checks(&self) -> impl Iterator<Item = bool> {
        self.statements()
            .filter_map(|statement| statement.body.holds())
    }

    /// All statements in the order of the page.
    pub fn statements(&self) -> impl Iterator<Item = &Statement> {
        self.parts
            .iter()
            .filter_map(|part| match &part.kind {
                PartKind::Block { statements, .. } => Some(statements),
                _ => None,
            })
            .flatten()
    }
}

/// Whether a diagnostic refuses a line, rather than reporting a check that does not hold.
pub fn is_refusal(diagnostic: &Diagnostic) -> bool {
    diagnostic.is_error() && diagnostic.code != crate::diagnostic::Code::C01
}
