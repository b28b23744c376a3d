//! A result held against a value by its uncertainty.

use std::sync::Arc;

use super::Line;
use crate::evaluate::{self, Compared, Value};
use crate::quantity::{self, Extent};
use crate::resolve::statement::{self, Ask};
use crate::resolve::{Expr, ExprKind, Shape};
use crate::syntax::Held;
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Comparison, Shown};
use crate::worksheet::show;

impl Builder<'_> {
    pub(super) fn comparison(
        &self,
        line: Line<'_>,
        comparison: &statement::Comparison,
        compared: &Compared,
    ) -> Body {
        let mut values = compared.values.iter();
        let mut shown = |expr: &Expr, ask: &Ask| {
            let value = values.next().cloned();
            let value = Arc::new(value.unwrap_or_else(|| Value::one(f64::NAN)));
            let shown = match &expr.kind {
                ExprKind::Quantity(quantity) => show::literal(self.text, quantity, &value),
                ExprKind::Number(number) => show::number(expr.span.of(self.text), *number),
                _ => self.asked(line.problem, expr, ask, &value, line.found),
            };
            (expr.clone(), shown)
        };
        let subject = shown(&comparison.subject, &Ask::default());
        let ask = Ask {
            unit: Some(subject.1.unit.clone()),
            ..Ask::default()
        };
        let mut side = |expr: &Expr| shown(expr, &ask);
        let held = match &comparison.held {
            Held::Agrees(other) => Held::Agrees(side(other)),
            Held::Differs(other) => Held::Differs(side(other)),
            Held::Conforms(low, high) => {
                let low = low.as_ref().map(&mut side);
                Held::Conforms(low, high.as_ref().map(&mut side))
            }
        };
        let reach = match comparison.held {
            Held::Agrees(_) | Held::Differs(_) => compared.uncertainty,
            Held::Conforms(..) => compared.factor * compared.uncertainty,
        };
        let unit = &subject.1.unit.of_differences();
        let size = |si: f64| evaluate::size_in_unit(si, line.found.counts, unit);
        let (off, around) = (size(compared.difference.abs()), size(reach));
        let printed = quantity::estimate(off, around, Extent::Uncertainty(2));
        let number = |si: f64, digits| Shown {
            digits: vec![digits],
            ..show::size(si, unit, line.found.counts)
        };
        let (difference, uncertainty) = match reach > 0.0 {
            true => (
                number(compared.difference, printed.value),
                number(reach, printed.uncertainty),
            ),
            false => (
                show::size(compared.difference.abs(), unit, line.found.counts),
                show::size(0.0, unit, line.found.counts),
            ),
        };
        let is_list = compared
            .values
            .iter()
            .any(|value| value.shape != Shape::One);
        Body::Comparison(Box::new(Comparison {
            subject,
            held,
            in_words: self.factors_in_words(line.problem),
            within: comparison.within,
            side: compared.side,
            row: is_list.then_some(compared.row),
            difference,
            uncertainty,
            compared: compared.clone(),
            holds: compared.holds(&comparison.held),
        }))
    }
}
