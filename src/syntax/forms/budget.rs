//! `budget of y`: what each source of error contributes to a result, in `check`.

use super::super::Expr;
use super::super::grammar::{Pair, Pairs, Rule};
use super::super::reader::{Read, Reader, error, part};
use super::super::tokens::{Token, TokenKind, tokens};
use crate::diagnostic::Code;

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
                Rule::expr => {
                    self.refuse_another_extent(&pair)?;
                    subject = Some(self.expr(pair)?);
                }
                Rule::in_full => in_full = true,
                _ => {}
            }
        }
        let subject = subject.ok_or_else(|| self.nothing())?;
        Ok(Budget { subject, in_full })
    }

    /// `budget of y in all`: no name is `in`, so that the way to show it was meant.
    fn refuse_another_extent(&self, subject: &Pair<'_>) -> Read<()> {
        let words: Vec<Token<'_>> = tokens(subject.as_str()).collect();
        let [_, .., joint, extent] = words.as_slice() else {
            return Ok(());
        };
        if joint.text != "in" || extent.kind != TokenKind::Word {
            return Ok(());
        }
        let start = self.span(subject).start as usize;
        let span = part(start, joint.at, extent.end());
        let written = self.slice(span);
        let refusal = error(
            Code::S01,
            span,
            format!("`{written}` does not say how a budget is shown"),
            "`in full` for a row for each source, or the line without it".to_owned(),
        );
        Err(Box::new(refusal.with_choice(span, "in full".to_owned())))
    }
}
