//! A boxed answer.

use super::super::statement::{Ask, Condition, Literal};
use super::super::{Expr, Resolver};
use super::Kind;
use crate::syntax;

/// A line of `answer`.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What is answered.
    pub expr: Expr,
    /// How, as far as the line says.
    pub ask: Ask,
    /// The engine's own number from before.
    pub filled: Option<Literal>,
    /// What a positive value means, where the line says so.
    pub positive: Option<Box<str>>,
    /// What a negative value means, where the line says so.
    pub negative: Option<Box<str>>,
    /// Replaced data.
    pub conditions: Vec<Condition>,
}

impl Resolver<'_> {
    pub(super) fn answer(&mut self, answer: &syntax::Answer) -> Option<Kind> {
        let expr = self.expr(&answer.expr);
        let ask = match &answer.ask {
            Some(ask) => self.ask(ask)?,
            None => Ask {
                span: answer.expr.span,
                ..Ask::default()
            },
        };
        let filled = match &answer.filled {
            Some(literal) => Some(self.compared(literal)?),
            None => None,
        };
        let conditions = self.conditions(&answer.conditions);
        let expr = expr?;
        let symbol = expr.inside().as_symbol();
        let [positive, negative] = self.sign_words(symbol, &answer.words)?;
        Some(Kind::Answer(Box::new(Answer {
            expr,
            ask,
            filled,
            positive,
            negative,
            conditions: conditions?,
        })))
    }
}
