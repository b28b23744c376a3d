//! A datum, as the author wrote it.

use std::sync::Arc;

use super::Line;
use crate::evaluate::Value;
use crate::quantity::{self, Constant};
use crate::resolve::statement::Ask;
use crate::resolve::{Expr, ExprKind, SymbolId};
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Shown};
use crate::worksheet::show;

impl Builder<'_> {
    pub(super) fn given(
        &mut self,
        line: Line<'_>,
        symbol: SymbolId,
        value: &Expr,
        result: &Arc<Value>,
    ) -> Body {
        let (shown, formula) = match &value.kind {
            ExprKind::Quantity(quantity) => (show::literal(self.text, quantity, result), None),
            ExprKind::Number(number) => (show::number(value.span.of(self.text), *number), None),
            ExprKind::Constant(constant) if constant.uncertainty.is_none() => {
                (constant_shown(constant), Some(value.clone()))
            }
            ExprKind::Constant(constant) => {
                let unit = Some(constant.unit());
                let ask = Ask {
                    unit,
                    ..Ask::default()
                };
                let shown = self.result(line.problem, result, line.found, &ask);
                (shown, Some(value.clone()))
            }
            _ => {
                let shown = self.result(line.problem, result, line.found, &Ask::default());
                (shown, Some(value.clone()))
            }
        };
        let shown = Arc::new(shown);
        self.tables.shown.insert(symbol, Arc::clone(&shown));
        Body::Given {
            symbol,
            formula,
            shown,
            from: None,
        }
    }
}

/// An exact constant with all its published digits.
fn constant_shown(constant: &Constant) -> Shown {
    let unit = constant.unit();
    let value = unit.from_si(constant.value());
    let shortest = format!("{value:e}");
    let digits = shortest
        .split('e')
        .next()
        .unwrap_or("")
        .bytes()
        .filter(u8::is_ascii_digit)
        .count();
    let figures = digits.clamp(1, 17) as u8;
    Shown {
        values: vec![value],
        digits: vec![quantity::to_figures(value, figures)],
        unit,
        written: None,
        figures,
        ..show::number("", constant.value())
    }
}
