//! `budget of y`: what each source of error contributes to a result, in `check`.

use super::super::Expr;
use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader};

/// `budget of y`, `budget of y in full`.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// The result.
    pub subject: Expr,
    /// Whether the small sources have rows of their own.
    pub in_full: bool,
}

impl Reader<'_> {
    /// `budget of y`.
    pub(super) fn budget(&mut self, pairs: Pairs<'_>) -> Read<Budget> {
        let (mut subject, mut in_full) = (None, false);
        for pair in pairs {
            match pair.as_rule() {
                Rule::expr => subject = Some(self.expr(pair)?),
                Rule::in_full => in_full = true,
                _ => {}
            }
        }
        let subject = subject.ok_or_else(|| self.nothing())?;
        Ok(Budget { subject, in_full })
    }
}
