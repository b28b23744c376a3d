//! `y -> value as x -> value`.

use super::super::{Expr, ExprKind, Resolver, SymbolId};
use super::Kind;
use crate::syntax;
use crate::text::Span;

/// What a result tends to.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// What is looked at.
    pub subject: Expr,
    /// What it tends to.
    pub value: End,
    /// The given that changes.
    pub with: SymbolId,
    /// What the given tends to.
    pub at: End,
}

/// What something tends to.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// A value.
    Value(Expr),
    /// Beyond every bound, upwards or downwards.
    Infinite {
        /// Where it is written.
        span: Span,
        /// Whether it is `-inf`.
        negative: bool,
    },
}

impl End {
    /// The value, where it is one.
    pub fn value(&self) -> Option<&Expr> {
        match self {
            Self::Value(value) => Some(value),
            Self::Infinite { .. } => None,
        }
    }
}

impl Resolver<'_> {
    pub(in crate::resolve) fn limit(&mut self, limit: &syntax::Limit) -> Option<Kind> {
        let subject = self.expr(&limit.subject);
        let value = self.end(&limit.value);
        let with = self.changing(&limit.with);
        let at = self.end(&limit.at);
        Some(Kind::Limit(Box::new(Limit {
            subject: subject?,
            value: value?,
            with: with?,
            at: at?,
        })))
    }

    fn end(&mut self, expr: &syntax::Expr) -> Option<End> {
        let (inner, negative) = match &expr.kind {
            syntax::ExprKind::Negative(inner) => (&**inner, true),
            _ => (expr, false),
        };
        match &inner.kind {
            syntax::ExprKind::Name(name) if &*name.key == "inf" => Some(End::Infinite {
                span: expr.span,
                negative,
            }),
            // `0` without a unit fits any dimension, as a plain number does.
            syntax::ExprKind::Quantity(literal) if literal.unit.is_none() => {
                let value = self.expr(inner)?;
                let number = match &value.kind {
                    ExprKind::Quantity(quantity) => quantity.values.first().copied(),
                    _ => None,
                };
                Some(End::Value(Expr {
                    span: expr.span,
                    kind: ExprKind::Number(
                        number.map(|number| if negative { -number } else { number })?,
                    ),
                }))
            }
            _ => self.expr(expr).map(End::Value),
        }
    }
}
