//! `y rises with x` and its kin.

use super::super::{Expr, ExprKind, Resolver, SymbolId};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax;
use crate::text::Span;

/// How a result goes with a given.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// What is looked at.
    pub subject: Expr,
    /// How it goes.
    pub way: Way,
    /// The given that changes.
    pub with: SymbolId,
    /// The tolerance of an exponent.
    pub within: Option<Expr>,
}

/// The way of a trend.
#[derive(Debug, Clone, PartialEq)]
pub enum Way {
    /// It rises.
    Rises,
    /// It falls.
    Falls,
    /// It does not depend on it.
    Independent,
    /// It varies as a power with this exponent.
    Power(Expr),
}

impl Resolver<'_> {
    pub(in crate::resolve) fn trend(&mut self, line: Span, trend: &syntax::Trend) -> Option<Kind> {
        let subject = self.expr(&trend.subject);
        let with = self.changing(&trend.with);
        let way = match &trend.way {
            syntax::Way::Rises => Some(Way::Rises),
            syntax::Way::Falls => Some(Way::Falls),
            syntax::Way::Independent => Some(Way::Independent),
            syntax::Way::Power(None) => Some(Way::Power(Expr {
                span: line,
                kind: ExprKind::Numeral(1.0),
            })),
            syntax::Way::Power(Some(exponent)) => {
                let mut exponent = self.expr(exponent);
                let mut own = |part: &mut Expr| own_number(part, self.text);
                exponent.iter_mut().for_each(|it| it.change(&mut own));
                exponent.map(Way::Power)
            }
        };
        let within = match &trend.within {
            Some(within) => Some(self.expr(within)?),
            None => None,
        };
        Some(Kind::Trend(Box::new(Trend {
            subject: subject?,
            way: way?,
            with: with?,
            within,
        })))
    }

    /// The given that changes. What is computed cannot be turned by itself.
    pub(super) fn changing(&mut self, name: &syntax::Name) -> Option<SymbolId> {
        let symbol = self.symbol(name)?;
        if self.given.contains(&symbol) {
            return Some(symbol);
        }
        let written = name.span.of(self.text);
        self.diagnostics.push(
            Diagnostic::error(
                Code::C04,
                name.span,
                format!("`{written}` is computed, so it does not change by itself"),
            )
            .with_help(format!("a name of `given` that `{written}` depends on")),
        );
        None
    }
}

/// A part of an exponent that was read from another form (`1/x`, `sqrt(x)`): its numbers have no
/// text.
fn own_number(part: &mut Expr, text: &str) {
    if let ExprKind::Number(value) = part.kind
        && part.span.of(text).parse() != Ok(value)
    {
        part.kind = ExprKind::Numeral(value);
    }
}
