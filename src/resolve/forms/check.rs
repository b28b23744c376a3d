//! A comparison.

use super::super::{Expr, Resolver};
use super::Kind;
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::syntax::{self, Line};
use crate::text::Span;

/// A line of `check`.
pub type Check = syntax::Check<Expr>;

impl Resolver<'_> {
    pub(super) fn check(&mut self, line: &Line, check: &syntax::Check) -> Option<Kind> {
        if check.relations.contains(&syntax::Relation::Equal) && check.within.is_none() {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::C03,
                    line.span,
                    "an equality of computed values needs a tolerance",
                )
                .with_help(format!("`{} within 1 %`", line.span.of(self.text)))
                .with_fixes([Fix::new(
                    Decision::Choose,
                    format!("write `{} within 1 %`", line.span.of(self.text)),
                    line.span.at_end(),
                    " within 1 %",
                )]),
            );
            return None;
        }
        if let Some(within) = &check.within
            && check
                .relations
                .iter()
                .any(|relation| *relation != syntax::Relation::Equal)
        {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::S01,
                    within.span,
                    "a tolerance goes with an equality only",
                )
                .with_help("`a = b within 1 %`, or the comparison without `within`")
                .with_fixes(check.members.last().map(|last| {
                    let tolerance = Span {
                        start: last.span.end,
                        ..within.span
                    };
                    let written = tolerance.of(self.text).trim();
                    let title = format!("leave out `{written}`");
                    Fix::new(Decision::Choose, title, tolerance, "")
                })),
            );
            return None;
        }
        let members = self.exprs(&check.members);
        let within = match &check.within {
            Some(within) => Some(self.expr(within)?),
            None => None,
        };
        Some(Kind::Check(Check {
            members: members?,
            relations: check.relations.clone(),
            within,
        }))
    }
}
