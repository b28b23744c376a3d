//! The passes in their order, and the finished worksheet.
//!
//! [`compile`] is a pure function of the text: it parses, resolves, checks and evaluates, and
//! returns a [`Worksheet`] that holds everything a page or a report needs.

mod asked;
mod blocks;
mod build;
mod compile;
mod entries;
mod figure;
mod fill;
mod forms;
mod memory;
mod model;
mod numbers;
mod others;
mod pictures;
mod place;
mod plan;
mod prose;
mod put_in;
mod question;
pub mod seal;
mod session;
mod show;
mod site;
mod stack;
mod tidy;

pub use compile::{compile, compile_beside};
pub(crate) use fill::asking;
pub use fill::{emptied, fill, unfill};
pub use model::*;
pub use numbers::Counts;
pub use others::Replays;
pub use question::{
    Asked, Datum, LineAt, MOST_PARTS, MOST_VARIED, MarkKind, MarkedLine, Marks, Question, Route,
    Varied, Versions,
};
pub use session::Session;
pub use site::AskSite;
pub use tidy::{tidy, tidy_blocks_within, tidy_edits};

// What a finished worksheet holds of the rooms that made it, and their limits, under one roof.
pub use crate::evaluate::{
    Convergence, FormulaOf, Instead, MOST_SLIPS, Refusal, Replay, ScatterWord, SlipClass,
    SlipGround, SlipOf, Slips, Stands,
};
pub use crate::mechanics::Inner;
pub use crate::proofs::{Agreement, Ground, Verdict};
pub use crate::resolve::statement::{Branch, Look, Solved};
pub use crate::resolve::{Expr, ExprKind, Shape, SymbolId, Symbols};
pub use crate::syntax::{MAX_DEPTH, MAX_STATEMENT, Operator, RESERVED};

use crate::diagnostic::Diagnostic;
use crate::text::Span;

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
            .filter_map(|(_, statement)| statement.holds())
    }

    /// All parts in the order of the page, each with its problem.
    pub fn parts(&self) -> impl Iterator<Item = (&Placed, &Part)> {
        self.sections.iter().flat_map(|section| {
            let placed = &self.problems[section.problem];
            let parts = placed.problem.parts.get(section.parts.clone());
            parts.unwrap_or(&[]).iter().map(move |part| (placed, part))
        })
    }

    /// All statements in the order of the page, each with its problem.
    pub fn statements(&self) -> impl Iterator<Item = (&Placed, &Statement)> {
        self.parts().flat_map(|(placed, part)| {
            let statements = match &part.kind {
                PartKind::Block { statements, .. } => statements.as_slice(),
                PartKind::Heading { .. } | PartKind::Prose(_) => &[],
            };
            statements.iter().map(move |statement| (placed, statement))
        })
    }

    /// All asks that can be filled.
    pub fn asks(&self) -> impl Iterator<Item = AskSite> {
        self.problems.iter().flat_map(Placed::asks)
    }

    /// The problem that a byte of the text belongs to.
    pub fn problem_at(&self, at: u32) -> &Placed {
        let starts = self.sections.iter().filter_map(|section| {
            let placed = &self.problems[section.problem];
            let first = placed.problem.parts.get(section.parts.start)?;
            Some((placed.place(first.span.start), placed))
        });
        // Footnotes come last, wherever they stand in the text.
        let above = starts.filter(|(start, _)| *start <= at);
        above
            .max_by_key(|(start, _)| *start)
            .map_or(&self.problems[0], |(_, placed)| placed)
    }

    /// The 1-based line of a place in a problem.
    pub fn line(&self, placed: &Placed, span: Span) -> usize {
        self.source.line_of(placed.place(span.start))
    }
}

/// Whether a diagnostic refuses a line, rather than reporting a check that does not hold.
pub fn is_refusal(diagnostic: &Diagnostic) -> bool {
    diagnostic.is_error() && diagnostic.code != crate::diagnostic::Code::C01
}
