//! What lines say of a name, and how they can fail it.

use super::program::Program;
use super::value::Value;
use crate::proofs::Provided;
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, SymbolId};
use crate::text::Span;

/// A line that says what a name is.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Way<'e> {
    /// Its formulas, each of which gives the value.
    pub formulas: Vec<(&'e Expr, Program)>,
    /// The line of `derive` that they were taken from.
    pub origin: Option<Origin>,
}

impl Way<'_> {
    /// Its formulas, compiled.
    pub fn programs(&self) -> impl Iterator<Item = &Program> {
        self.formulas.iter().map(|(_, program)| program)
    }
}

/// Two formulas for one name that do not agree.
pub(super) struct Disagreement {
    /// Where they stand, and what they give.
    pub sides: [(Span, Value); 2],
    /// The row in which they do not.
    pub row: usize,
    /// Whether they stand in one line.
    pub in_one_line: bool,
}

/// A line that does not hold with other data.
#[derive(Debug, Clone)]
pub(super) struct Barred {
    /// What it says something about.
    pub symbol: Option<SymbolId>,
    /// What it holds by.
    pub provided: Provided,
}
