//! The distribution of a result by trials.

use super::super::{Expr, Resolver};
use super::Kind;
use crate::syntax;

/// A line of `check` that draws.
pub type MonteCarlo = syntax::MonteCarlo<Expr>;

impl Resolver<'_> {
    pub(super) fn monte_carlo(&mut self, line: &syntax::MonteCarlo<syntax::Expr>) -> Option<Kind> {
        let subject = self.expr(&line.subject)?;
        Some(Kind::MonteCarlo(Box::new(MonteCarlo {
            subject,
            trials: line.trials,
            level: line.level,
            start: line.start,
        })))
    }
}
