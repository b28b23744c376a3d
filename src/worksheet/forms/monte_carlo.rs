//! The distribution of a result by trials.

use std::sync::Arc;

use super::Line;
use crate::dimensions::Type;
use crate::evaluate::{self, Drawn, Value};
use crate::quantity::{self, Extent, Unit};
use crate::resolve::statement::{Ask, MonteCarlo};
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Shown, Trials, TrialsRow};
use crate::worksheet::show;

impl Builder<'_> {
    pub(super) fn trials(
        &self,
        line: Line<'_>,
        drawn_by: &MonteCarlo,
        value: &Arc<Value>,
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
            let own = self.result(line.problem, &Arc::new(Value::one(si)), line.found, &ask);
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
        let (first, spread, ends) = drawn.first;
        Body::Trials(Box::new(Trials {
            density: density(drawn, line.found, &unit),
            normal: normal(drawn, line.found, &unit),
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
                row("First order", first, spread, ends),
            ],
            shown,
            is_counted: drawn_by.trials.is_some(),
            drawn: drawn.clone(),
        }))
    }
}

/// The density of trials in a unit, bin by bin.
fn density(drawn: &Drawn, found: &Type, unit: &Unit) -> Vec<(f64, f64, f64)> {
    let bins = &drawn.bins;
    let all = drawn.count - drawn.without;
    let edge = |at: usize| {
        let si = bins.from + at as f64 * bins.width;
        evaluate::in_unit(si, found.reading, found.counts, unit)
    };
    let density = bins.counts.iter().enumerate().map(|(at, count)| {
        let (one, other) = (edge(at), edge(at + 1));
        let (left, right) = (one.min(other), one.max(other));
        (
            left,
            right,
            f64::from(*count) / (all as f64 * (right - left)),
        )
    });
    density.collect()
}

/// The normal curve of first order in a unit, four standard uncertainties to each side.
fn normal(drawn: &Drawn, found: &Type, unit: &Unit) -> Vec<(f64, f64)> {
    /// Places of the curve.
    const PLACES: i32 = 120;
    let (value, size, _) = drawn.first;
    let middle = evaluate::in_unit(value, found.reading, found.counts, unit);
    let size = evaluate::size_in_unit(size, found.counts, unit);
    let places = (-PLACES / 2..=PLACES / 2).map(|at| {
        let off = 8.0 * f64::from(at) / f64::from(PLACES);
        let height = (-off * off / 2.0).exp() / (size * std::f64::consts::TAU.sqrt());
        (middle + off * size, height)
    });
    places.collect()
}
