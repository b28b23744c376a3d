//! How a result goes with a given.

use std::sync::Arc;

use super::Line;
use crate::dimensions::{Counts, Form, Reading, Type};
use crate::evaluate::{self, Value};
use crate::quantity::{Exponent, Mark, Unit};
use crate::resolve::statement::{self, Ask};
use crate::resolve::{Expr, SymbolId};
use crate::syntax::ATMOSPHERE;
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
        let symbol = trend.subject.inside().as_symbol();
        let subject = symbol.and_then(|symbol| self.tables.shown.get(symbol));
        let subject = subject.map(|shown| shown.unit.clone());
        Body::Trend(Box::new(Trend {
            subject: trend.subject.clone(),
            way: trend.way.clone(),
            with: trend.with,
            within: trend.within.clone(),
            formula: (self.proofs.derivative(line.origin))
                .filter(|formula| self.comes_to(line.problem, formula, found.derivative.at(0)))
                .cloned(),
            derivative: self.derivative(line, subject.as_ref(), &found.derivative, trend.with),
            exponent: found.exponent(),
            holds,
        }))
    }

    /// Whether a formula has a value: a derivative of a step that holds with the data only is not
    /// that of the result.
    fn comes_to(&self, problem: usize, formula: &Expr, value: f64) -> bool {
        let atmosphere = self.resolved.symbols.find(problem, ATMOSPHERE);
        let program = (self.results).compile(formula, &self.formulas, atmosphere);
        let found = evaluate::run(&program, self.results).map_or(f64::NAN, |found| found.at(0));
        (found - value).abs() <= 1e-6 * value.abs().max(found.abs())
    }

    /// A derivative of what a line looks at, in the author's units of both, where both have one;
    /// else in the unit of its dimension.
    pub(super) fn derivative(
        &self,
        line: Line<'_>,
        subject: Option<&Unit>,
        derivative: &Value,
        with: SymbolId,
    ) -> Shown {
        let below =
            (self.checked.symbols.get(with)).map_or_else(Form::default, |found| found.form.clone());
        let form = (line.found.form)
            .times(&below, Exponent::from_integer(-1))
            .unwrap_or_default();
        let dimension = form.dimension();
        let found = Type {
            form,
            reading: Reading::Plain,
            counts: Counts::NOTHING,
            energy: line.found.energy.within(dimension),
        };
        let own = self.tables.shown.get(with);
        let is_multiple = |unit: &Unit| match unit.mark() {
            Mark::None
            | Mark::Point
            | Mark::Interval
            | Mark::Revolutions
            | Mark::Radians
            | Mark::Cycles => true,
            Mark::Revolution | Mark::Decibel | Mark::Gauge | Mark::Absolute | Mark::Clock(_) => {
                false
            }
        };
        let both = subject.zip(own.map(|shown| &shown.unit));
        // Per radian, which is a number, where the other is an angle or a number itself.
        let unit = both
            .filter(|(above, below)| is_multiple(above) && is_multiple(below))
            .filter(|(_, below)| !below.dimension().is_none())
            .and_then(|(above, below)| above.over(below))
            .filter(|unit| !unit.dimension().is_none());
        let ask = Ask {
            unit,
            ..Ask::default()
        };
        self.result(line.problem, &Arc::new(derivative.clone()), &found, &ask)
    }
}
