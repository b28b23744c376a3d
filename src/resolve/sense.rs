//! Lines of `check` that look at how a result goes with a given.

use super::kind::Kind;
use super::statement::{End, Limit, Trend, Way};
use super::tree::{Expr, ExprKind, Factor};
use super::{Resolver, SymbolId};
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax;
use crate::text::Span;

impl Resolver<'_> {
    pub(super) fn trend(&mut self, line: Span, trend: &syntax::Trend) -> Option<Kind> {
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
                let exponent = self.expr(exponent);
                exponent.map(|exponent| Way::Power(own_numbers(&exponent, self.text)))
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

    pub(super) fn limit(&mut self, limit: &syntax::Limit) -> Option<Kind> {
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

    pub(super) fn sensitivity(&mut self, subject: &syntax::Expr) -> Option<Kind> {
        let subject = self.expr(subject)?;
        let mut givens: Vec<SymbolId> = self
            .given
            .iter()
            .copied()
            .filter(|symbol| {
                let of = self.symbols.symbol(*symbol).problem;
                self.may_use(*symbol) && (of == self.problem || of == 0)
            })
            .collect();
        // In the order in which they stand.
        givens.sort_by_key(|symbol| self.symbols.symbol(*symbol).defined.map(|span| span.start));
        Some(Kind::Sensitivity { subject, givens })
    }

    /// The given that changes. What is computed cannot be turned by itself.
    fn changing(&mut self, name: &syntax::Name) -> Option<SymbolId> {
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

/// An exponent that was read from another form (`1/x`, `sqrt(x)`) has numbers without a text.
fn own_numbers(expr: &Expr, text: &str) -> Expr {
    let kind = match &expr.kind {
        ExprKind::Number(value) if expr.span.of(text).parse() != Ok(*value) => {
            ExprKind::Numeral(*value)
        }
        ExprKind::Negative(inner) => ExprKind::Negative(Box::new(own_numbers(inner, text))),
        ExprKind::Group(inner) => ExprKind::Group(Box::new(own_numbers(inner, text))),
        ExprKind::Product(factors) => ExprKind::Product(
            factors
                .iter()
                .map(|factor| Factor {
                    operator: factor.operator,
                    expr: own_numbers(&factor.expr, text),
                })
                .collect(),
        ),
        kind => kind.clone(),
    };
    Expr {
        span: expr.span,
        kind,
    }
}
