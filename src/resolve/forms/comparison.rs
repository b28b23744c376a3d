//! A result held against a value by its uncertainty, and the budget of one.

use super::super::{Expr, Resolver};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::{self, CoverageFactor, Held};

/// A line of `check` with `agrees`, `differs` or `conforms`.
pub type Comparison = syntax::Comparison<Expr>;

impl Resolver<'_> {
    pub(super) fn comparison(
        &mut self,
        comparison: &syntax::Comparison<syntax::Expr>,
    ) -> Option<Kind> {
        let subject = self.expr(&comparison.subject);
        let held = match &comparison.held {
            Held::Agrees(side) => self.expr(side).map(Held::Agrees),
            Held::Differs(side) => self.expr(side).map(Held::Differs),
            Held::Conforms(low, high) => {
                let mut side = |side: &Option<syntax::Expr>| match side {
                    Some(side) => self.expr(side).map(Some),
                    None => Some(None),
                };
                let (low, high) = (side(low), side(high));
                low.zip(high).map(|(low, high)| Held::Conforms(low, high))
            }
        };
        if let Some(within) = &comparison.within {
            self.factor_fits(within)?;
        }
        Some(Kind::Comparison(Box::new(Comparison {
            subject: subject?,
            held: held?,
            within: comparison.within,
        })))
    }

    /// `k = 2` is a coverage factor where nothing is called so.
    pub(in crate::resolve) fn factor_fits(&mut self, factor: &CoverageFactor) -> Option<()> {
        let is_named = self.symbols.find(self.problem, "k").is_some();
        if factor.in_words || !is_named {
            return Some(());
        }
        let written = factor.span.of(self.text);
        let number = written.rsplit('=').next().unwrap_or("").trim();
        let instead = format!("coverage factor {number}");
        self.diagnostics.push(
            Diagnostic::error(
                Code::U13,
                factor.span,
                format!("`{written}` has two readings: a coverage factor, and the quantity `k`"),
            )
            .with_help(format!(
                "`{instead}`, or the what-if `at {written}` after the ask"
            ))
            .with_choice(factor.span, instead),
        );
        None
    }
}
