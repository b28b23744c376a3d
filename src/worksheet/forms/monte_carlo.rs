//! The distribution of a result by trials.

use super::Line;
use crate::evaluate::{Drawn, Value};
use crate::quantity::{self, Extent};
use crate::resolve::statement::{Ask, MonteCarlo};
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Shown, Trials, TrialsRow};
use crate::worksheet::show;

impl Builder<'_> {
    pub(super) fn trials(
        &self,
        line: Line<'_>,
        drawn_by: &MonteCarlo,
        value: &Value,
        drawn: &Drawn,
    ) -> Body {
        let subject = &drawn_by.subject;
        let shown = self.asked(line.problem, subject, &Ask::default(), value, line.found);
        let unit = shown.unit.clone();
        let ask = Ask {
            unit: Some(unit.clone()),
            ..Ask::default()
        };
        let size = show::size(drawn.uncertainty, &unit, line.found.counts);
        let place = |si: f64| {
            // All numbers end where two figures of the uncertainty end.
            let own = self.result(line.problem, &Value::one(si), line.found, &ask);
            let number = own.values.first().copied().unwrap_or(f64::NAN);
            let around = size.values.first().copied().unwrap_or(f64::NAN);
            let both = quantity::estimate(number, around, Extent::Uncertainty(2));
            Shown {
                digits: vec![both.value],
                ..own
            }
        };
        let row = |name, mean: f64, spread: f64, (low, high): (f64, f64)| TrialsRow {
            name,
            mean: place(mean),
            uncertainty: show::size(spread, &unit, line.found.counts),
            low: place(low),
            high: place(high),
        };
        let (first, size, ends) = drawn.first;
        Body::Trials(Box::new(Trials {
            subject: subject.clone(),
            rows: vec![
                row(
                    "Trials, shortest interval",
                    drawn.mean,
                    drawn.uncertainty,
                    drawn.shortest,
                ),
                row(
                    "Trials, symmetric interval",
                    drawn.mean,
                    drawn.uncertainty,
                    drawn.symmetric,
                ),
                row("First order", first, size, ends),
            ],
            shown,
            is_counted: drawn_by.trials.is_some(),
            drawn: drawn.clone(),
        }))
    }
}
