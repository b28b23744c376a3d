//! An answer, and the direction that its sign means.

use std::sync::Arc;

use super::Line;
use crate::evaluate::{Magnitude, Value};
use crate::resolve::statement::{Answer, Ask};
use crate::syntax::Precision;
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Phrase, Shown};

impl Builder<'_> {
    pub(super) fn answer(&self, line: Line<'_>, answer: &Answer, result: &Arc<Value>) -> Body {
        let (expr, ask) = (&answer.expr, &answer.ask);
        let shown = self.asked(line.problem, expr, ask, result, line.found);
        let wanted = expr
            .inside()
            .as_symbol()
            .and_then(|symbol| self.tables.wanted.get(&symbol));
        // What the line itself says goes before what `required` says.
        let word = match result.at(0) {
            value if value > 0.0 => {
                let positive = wanted.and_then(|wanted| wanted.positive.as_ref());
                answer.positive.as_ref().or(positive)
            }
            value if value < 0.0 => {
                let negative = wanted.and_then(|wanted| wanted.negative.as_ref());
                answer.negative.as_ref().or(negative)
            }
            _ => None,
        };
        let word = word.map(|word| Phrase::words(&**word));
        let word = word.or_else(|| {
            let symbol = expr.inside().as_symbol()?;
            let value = Magnitude::of(result, &self.results.sources)?;
            match answer.conditions.as_slice() {
                [] => self.way_in_sketches(line.problem, symbol, value),
                conditions => self.reads(line.problem, (symbol, value), conditions),
            }
        });
        let direction = word.map(|word| {
            let size = Arc::new(result.magnitude());
            let ask = Ask {
                unit: Some(shown.unit.clone()),
                precision: ask.precision.or(figures_of_its_own(&shown)),
                ..ask.clone()
            };
            Box::new((word, self.result(line.problem, &size, line.found, &ask)))
        });
        Body::Answer {
            expr: expr.clone(),
            shown: Box::new(shown),
            direction,
            conditions: self.conditions(&answer.conditions),
        }
    }
}

/// The figures that a value was printed with, where its uncertainty does not decide.
fn figures_of_its_own(shown: &Shown) -> Option<Precision> {
    let is_exact = shown.uncertainties.is_empty();
    (is_exact && shown.figures > 0).then_some(Precision::Figures(shown.figures))
}
