//! What each source of error contributes to a result.

use std::sync::Arc;

use super::Line;
use crate::dimensions::Counts;
use crate::evaluate::{self, Contribution, Scale, Value};
use crate::quantity::{self, Unit};
use crate::resolve::statement::Ask;
use crate::resolve::{Expr, Shape};
use crate::syntax::Distribution;
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Budget, BudgetRow, Shown};
use crate::worksheet::show;

/// Sources below this part of the whole are told together.
const SMALL: f64 = 0.01;

impl Builder<'_> {
    pub(super) fn budget(
        &self,
        line: Line<'_>,
        subject: &Expr,
        in_full: bool,
        value: &Arc<Value>,
    ) -> Body {
        let shown = self.asked(line.problem, subject, &Ask::default(), value, line.found);
        let sources = &self.results.sources;
        let found = value.uncertainty(0, sources);
        let size = found.map_or(0.0, |found| found.size);
        let all = sources.budget(value.gradient(0));
        let is_small = |row: &Contribution| (row.square / (size * size)).abs() < SMALL;
        let (small, large): (Vec<&Contribution>, Vec<&Contribution>) =
            all.iter().partition(|row| is_small(row) && !in_full);
        let counts = line.found.counts;
        let row = |own: &Contribution| self.budget_row(line, &shown, own, size);
        let mut rows: Vec<BudgetRow> = large.into_iter().map(row).collect();
        match small.as_slice() {
            [] => {}
            [only] => rows.push(row(only)),
            several => {
                let square: f64 = several.iter().map(|row| row.square).sum();
                rows.push(BudgetRow {
                    names: Vec::new(),
                    place: None,
                    constant: None,
                    count: several.len(),
                    together: Some(several.len()),
                    is_correlation: false,
                    by_scatter: false,
                    shown: None,
                    uncertainty: None,
                    kind: String::new(),
                    degrees: None,
                    sensitivity: None,
                    contribution: show::size(square.abs().sqrt(), &shown.unit, counts),
                    share: square / (size * size),
                });
            }
        }
        let degrees = value.degrees_of_freedom(0, sources).ok();
        let expanded = degrees.map(|degrees| {
            let factor = evaluate::coverage_factor(evaluate::USUAL, degrees);
            (show::size(factor * size, &shown.unit, counts), factor)
        });
        Body::Budget(Box::new(Budget {
            subject: subject.clone(),
            rows,
            degrees,
            expanded,
            in_words: self.factors_in_words(line.problem),
            shown,
        }))
    }

    fn budget_row(
        &self,
        line: Line<'_>,
        subject: &Shown,
        own: &Contribution,
        size: f64,
    ) -> BudgetRow {
        let blocks = own
            .blocks
            .iter()
            .filter_map(|at| self.results.sources.blocks().get(*at));
        let abouts: Vec<_> = blocks.map(|block| &block.about).collect();
        let mut names = Vec::new();
        for name in abouts.iter().flat_map(|about| &about.names) {
            if !names.contains(name) {
                names.push(*name);
            }
        }
        let of = match names.as_slice() {
            [only] => self.tables.shown.get(*only).map(|shown| (*only, shown)),
            _ => None,
        };
        let value = of.map(|(_, shown)| shown.bare());
        let counts = of.and_then(|(name, _)| Some(self.checked.symbols.get(name)?.counts));
        let counts = counts.unwrap_or(Counts::NOTHING);
        let (uncertainty, sensitivity) = match abouts.first().map(|about| about.scale) {
            Some(Scale::Share) => (
                (own.size.zip(Unit::from_source("%").ok()))
                    .map(|(share, percent)| show::size(share, &percent, Counts::NOTHING)),
                own.slope.map(|slope| {
                    let own = show::size(slope, &subject.unit, line.found.counts);
                    Shown {
                        digits: own
                            .values
                            .iter()
                            .map(|it| quantity::to_figures(*it, 4))
                            .collect(),
                        figures: 4,
                        ..own
                    }
                }),
            ),
            Some(Scale::Multiple) => (None, None),
            Some(Scale::Quantity) | None => (
                (own.size.zip(of)).map(|(si, (_, shown))| show::size(si, &shown.unit, counts)),
                of.zip(own.slope).map(|((name, _), slope)| {
                    self.derivative(line, Some(&subject.unit), &Value::one(slope), name)
                }),
            ),
        };
        let by_scatter = !own.is_stated && abouts.first().is_some_and(|about| about.by_scatter);
        let is_single = own.count == 1 && !own.is_stated;
        let kind = match abouts.first() {
            Some(about) if !own.is_stated => match (about.by_scatter, about.distribution) {
                (true, _) => "A".to_owned(),
                (false, Distribution::Rectangular) => "B, rectangular".to_owned(),
                (false, Distribution::Triangular) => "B, triangular".to_owned(),
                (false, Distribution::Arcsine) => "B, arcsine".to_owned(),
                (false, Distribution::Resolution) => "B, resolution".to_owned(),
                (false, Distribution::Poisson) => "counts".to_owned(),
                (false, Distribution::Normal) => "B".to_owned(),
            },
            _ => String::new(),
        };
        BudgetRow {
            place: (abouts.iter().find(|about| about.names.is_empty())).map(|about| about.place),
            constant: abouts.first().and_then(|about| about.constant),
            count: own.count,
            together: None,
            is_correlation: own.is_stated,
            by_scatter,
            // An error that a column has in common is of no one value.
            shown: value.filter(|shown| is_single && shown.shape == Shape::One),
            uncertainty,
            kind,
            degrees: (!own.is_stated).then_some(own.degrees),
            sensitivity: sensitivity.filter(|_| is_single),
            contribution: show::size(own.square.abs().sqrt(), &subject.unit, line.found.counts),
            share: own.square / (size * size),
            names,
        }
    }
}
