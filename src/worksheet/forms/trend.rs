//! How a result goes with a given.

use super::Line;
use crate::dimensions::{Counts, Form, Reading, Type};
use crate::evaluate::{self, Value};
use crate::quantity::Exponent;
use crate::resolve::SymbolId;
use crate::resolve::statement::{self, Ask};
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Shown, Trend};

impl Builder<'_> {
    pub(super) fn trend(
        &self,
        line: Line<'_>,
        trend: &statement::Trend,
        found: &evaluate::Trend,
        holds: bool,
    ) -> Body {
        Body::Trend(Box::new(Trend {
            subject: trend.subject.clone(),
            way: trend.way.clone(),
            with: trend.with,
            within: trend.within.clone(),
            formula: self.proofs.derivative(line.origin).cloned(),
            derivative: self.derivative(line, found.derivative, trend.with),
            exponent: found.exponent(),
            holds,
        }))
    }

    /// A derivative of what a line looks at, in the unit of its dimension.
    pub(super) fn derivative(&self, line: Line<'_>, derivative: f64, with: SymbolId) -> Shown {
        let below = (self.checked.symbols.get(&with))
            .map_or_else(Form::default, |found| found.form.clone());
        let form = (line.found.form)
            .times(&below, Exponent::from_integer(-1))
            .unwrap_or_default();
        let found = Type {
            form,
            reading: Reading::Plain,
            counts: Counts::NOTHING,
        };
        let value = Value::one(derivative);
        self.result(line.problem, &value, &found, &Ask::default())
    }
}
