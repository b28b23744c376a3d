//! How a value is shown where it is asked.

use super::build::Builder;
use super::model::{Body, Shown};
use super::show;
use crate::dimensions::Type;
use crate::evaluate::Value;
use crate::resolve::statement::{Ask, Condition};
use crate::resolve::{Expr, ExprKind, Kind, SymbolId};

impl Builder<'_> {
    /// Notes the ask of a statement, with the value it was answered with.
    pub(super) fn note_ask(&mut self, kind: &Kind, body: &Body) {
        if let Some((ask, filled)) = kind.facts().ask {
            self.note_site(ask, filled, body.shown());
            // What `required` asks of a name is told at the line that defines it.
            if matches!(body, Body::Work(_)) || ask.precision.is_some() {
                self.warn_of_figures(ask, body.shown());
            }
        }
    }

    /// An ask without a unit takes the one that `required` names, or the one the name was
    /// printed in before.
    pub fn with_unit(&self, expr: &Expr, ask: &Ask) -> Ask {
        let symbol = match &expr.inside().kind {
            ExprKind::Symbol(symbol) => Some(*symbol),
            ExprKind::Abs(inner) => inner.as_symbol(),
            _ => None,
        };
        let (None, Some(symbol)) = (&ask.unit, symbol) else {
            return ask.clone();
        };
        let wanted = self.tables.wanted.get(&symbol);
        let unit = wanted
            .and_then(|wanted| wanted.ask.unit.clone())
            .or_else(|| Some(self.tables.shown.get(&symbol)?.unit.clone()));
        Ask {
            unit,
            datum: ask.datum.or(wanted.and_then(|wanted| wanted.ask.datum)),
            precision: ask
                .precision
                .or(wanted.and_then(|wanted| wanted.ask.precision)),
            span: ask.span,
        }
    }

    /// A value that was printed before is printed the same way again, unless it is asked
    /// otherwise.
    pub fn asked(
        &self,
        problem: usize,
        expr: &Expr,
        ask: &Ask,
        result: &Value,
        found: &Type,
    ) -> Shown {
        if let (Some(symbol), None) = (expr.inside().as_symbol(), ask.precision)
            && let Some(shown) = self.tables.shown.get(&symbol)
            && shown.si == result.rows
            && ask.unit.as_ref().is_none_or(|unit| *unit == shown.unit)
        {
            return Shown::clone(shown);
        }
        self.result(problem, result, found, &self.with_unit(expr, ask))
    }

    /// The replaced givens, as the author wrote them.
    pub fn conditions(&self, conditions: &[Condition]) -> Vec<(SymbolId, Shown)> {
        conditions
            .iter()
            .filter_map(|condition| {
                let shown = match &condition.value.kind {
                    ExprKind::Quantity(quantity) => {
                        let si = quantity
                            .values
                            .iter()
                            .map(|value| quantity.unit.to_si(*value))
                            .collect();
                        let value = Value {
                            rows: si,
                            shape: quantity.shape,
                            ..Value::default()
                        };
                        show::literal(self.text, quantity, &value)
                    }
                    ExprKind::Number(number) => {
                        show::number(condition.value.span.of(self.text), *number)
                    }
                    _ => Shown::clone(self.tables.shown.get(&condition.symbol)?),
                };
                Some((condition.symbol, shown))
            })
            .collect()
    }
}
