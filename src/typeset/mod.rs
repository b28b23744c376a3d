//! Formulas and values as trees, and the writers of those trees.
//!
//! In go the resolved tree of a formula and the values of a finished worksheet; out comes a tree
//! of what is to be printed, which [`mathml`] and [`latex`] write down. Quantities are italic and
//! units upright (ISO 80000-1); fractions, brackets and order are the author's own. Which rows a
//! statement has and how they stand on the page is left to the page.

mod breadth;
mod cases;
mod edge;
mod escape;
mod formula;
mod keyed;
pub mod latex;
pub mod mathml;
mod names;
mod number;
mod product;
mod rows;
mod run;
mod tree;
mod value;

#[cfg(test)]
mod tests;

pub use breadth::breadth;
pub use escape::escape;
pub use keyed::{Keyless, keyed, share};
pub use names::Names;
pub use rows::{
    Width, axis, column, compared, derivative, equality, function, literal, math, named, power,
    result, side, symbol, told, uncertainty_of_column,
};
pub use run::{Face, Level, Run, runs};
pub use tree::{Kind, Node};
pub use value::{amount, entries, factor, number, size, size_text, text, value};

use std::sync::Arc;

use crate::resolve::{FunctionId, SymbolId};
use crate::text::Span;
use crate::worksheet::Shown;

/// What a formula needs from its worksheet to be set.
#[derive(Debug, Clone, Copy)]
pub struct Context<'a> {
    text: &'a str,
    names: &'a Names,
    operands: &'a [(SymbolId, Arc<Shown>)],
    literals: &'a [(Span, Arc<Shown>)],
    function: Option<FunctionId>,
    is_in_line: bool,
}

impl<'a> Context<'a> {
    /// For formulas in symbols.
    pub fn new(text: &'a str, names: &'a Names) -> Self {
        Self {
            text,
            names,
            operands: &[],
            literals: &[],
            function: None,
            is_in_line: false,
        }
    }

    /// For the same formulas in a line of words, where fractions have a solidus.
    #[must_use]
    pub fn in_line(self) -> Self {
        Self {
            is_in_line: true,
            ..self
        }
    }

    /// For the same formulas with `operands` in the place of their symbols.
    #[must_use]
    pub fn with_operands(self, operands: &'a [(SymbolId, Arc<Shown>)]) -> Self {
        Self { operands, ..self }
    }

    /// For the body of a user function, whose parameters it names.
    #[must_use]
    pub fn in_function(self, function: FunctionId) -> Self {
        Self {
            function: Some(function),
            ..self
        }
    }

    /// For the same formulas with these in the place of numbers that stand in them.
    #[must_use]
    pub fn with_literals(self, literals: &'a [(Span, Arc<Shown>)]) -> Self {
        Self { literals, ..self }
    }

    fn literal(&self, place: Span) -> Option<&'a Shown> {
        let (_, shown) = self
            .literals
            .iter()
            .find(|(literal, _)| *literal == place)?;
        Some(shown)
    }

    fn operand(&self, id: SymbolId) -> Option<&'a Shown> {
        let (_, shown) = self.operands.iter().find(|(operand, _)| *operand == id)?;
        Some(shown)
    }

    fn is_substituted(&self) -> bool {
        !self.operands.is_empty()
    }
}
