//! An ask in prose.

use super::super::statement::{Ask, Condition, Literal};
use super::super::{Expr, InlineAsk, Resolver};
use crate::text::Span;

/// An inline ask.
#[derive(Debug, Clone, PartialEq)]
pub struct Inline {
    /// The problem it belongs to.
    pub problem: usize,
    /// Where it stands.
    pub span: Span,
    /// The expression.
    pub expr: Expr,
    /// Whether the expression is printed too.
    pub names_it: bool,
    /// How to show it.
    pub ask: Ask,
    /// The engine's own number from before.
    pub filled: Option<Literal>,
    /// Replaced givens.
    pub conditions: Vec<Condition>,
}

impl Resolver<'_> {
    pub(in crate::resolve) fn inline(&mut self, inline: &InlineAsk<'_>) -> Option<Inline> {
        self.problem = inline.problem;
        let expr = self.expr(&inline.ask.expr);
        let ask = self.ask(&inline.ask.ask)?;
        let filled = match &inline.ask.filled {
            Some(literal) => Some(self.compared(literal)?),
            None => None,
        };
        let conditions = self.conditions(&inline.ask.conditions)?;
        Some(Inline {
            problem: inline.problem,
            span: inline.span,
            expr: expr?,
            names_it: inline.ask.names_it,
            ask,
            filled,
            conditions,
        })
    }
}
