//! A formula whose parameters are fitted.

use std::sync::Arc;

use super::Outcome;
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::definitions::Definition;
use crate::evaluate::fit::{
    self, Definite, Failure, Fitted, Formula, Names, Scatter, Solved, Sought, Weighting,
};
use crate::evaluate::number::Partial;
use crate::evaluate::program::{Fault, Reason};
use crate::evaluate::sources::About;
use crate::evaluate::table::{Deviations, Scatter as Scattered};
use crate::evaluate::value::{self, Value};
use crate::evaluate::walk::{Further, Lack, Walk};
use crate::resolve::statement::{self, Fit, Parameter, Weight};
use crate::resolve::{Statement, SymbolId};
use crate::text::Span;

impl<'a> Walk<'a> {
    pub(super) fn fit(
        &mut self,
        statement: &'a Statement,
        fit: &'a Fit,
    ) -> Result<Outcome<'a>, Lack> {
        let fitted = self.fitted(statement, fit)?;
        Ok(Outcome::Fit(fit, Box::new(fitted)))
    }

    /// Fits the formula of a line, and knows its parameters from there on.
    fn fitted(&mut self, line: &Statement, of: &'a Fit) -> Result<Fitted, Lack> {
        let formula = self.formula_of(of)?;
        let solved = match fit::solve(&formula, &self.results, &self.results.sources) {
            Ok(solved) => solved,
            Err(Failure::Fault(stopped)) => {
                let diagnostic = self.of_fault(stopped, None);
                self.diagnostics.push(diagnostic);
                return Err(Lack::Refused);
            }
            Err(failure) => {
                let diagnostic = self.unfitted(line, of, &failure);
                self.diagnostics.push(diagnostic);
                return Err(Lack::Refused);
            }
        };
        let scatter = self.scatter(line.span, &formula, &solved);
        let source = scatter.as_ref().map(|scatter| scatter.first);
        if let Some(source) = source {
            self.correlate_scatter(source, &formula, &solved);
        }
        let further = source.filter(|_| solved.is_equal && !solved.is_by_uncertainty);
        let further = further.map(|source| Further {
            deviation: solved.deviation(),
            degrees: solved.degrees,
            source,
        });
        self.results.further.insert(of.sides[0].span, further);
        let values = fit::of_parameters(&solved, scatter.as_ref());
        let judgements = fit::judgements(&solved);
        for judgement in &judgements {
            self.diagnostics.extend(fit::warning(line.span, judgement));
        }
        let definite = Definite {
            symbols: of.parameters.iter().map(|it| it.symbol).collect(),
            formula,
            scatter,
        };
        self.know(Definition::Fit(Arc::new(definite)), &values);
        Ok(Fitted {
            correlations: self.correlations(&values),
            determination: fit::determination(&solved),
            values,
            solved,
            judgements,
        })
    }

    fn formula_of(&mut self, fit: &'a Fit) -> Result<Formula, Lack> {
        let symbols: Vec<SymbolId> = fit.parameters.iter().map(|it| it.symbol).collect();
        let sides = [self.compile(&fit.sides[0]), self.compile(&fit.sides[1])];
        self.needs(&sides, &symbols)?;
        if let Some(side) = sides.iter().position(|side| self.joins_rows(side)) {
            self.stop(Fault {
                reason: Reason::SharedReadings,
                span: fit.sides[side].span,
            });
            return Err(Lack::Refused);
        }
        let weighting = match &fit.weight {
            Weight::Uncertainty => Weighting::Uncertainty,
            Weight::Equally => Weighting::Equally,
            Weight::By(weight) => {
                let weight = self.compile(weight);
                self.needs(std::slice::from_ref(&weight), &symbols)?;
                Weighting::By(weight)
            }
        };
        let which = match &fit.which {
            Some(which) => Some(self.test(which)?),
            None => None,
        };
        let mut parameters = Vec::with_capacity(symbols.len());
        for parameter in &fit.parameters {
            parameters.push(self.sought(parameter)?);
        }
        Ok(Formula {
            sides,
            which,
            span: fit.sides[0].span.cover(fit.sides[1].span),
            parameters,
            weighting,
            spread: fit.spread,
        })
    }

    fn sought(&mut self, parameter: &Parameter) -> Result<Sought, Lack> {
        let mut bounds = [f64::NEG_INFINITY, f64::INFINITY];
        if let Some([low, high]) = &parameter.between {
            let (low, high) = (self.number(low)?, self.number(high)?);
            bounds = [low.min(high), low.max(high)];
        }
        let start = match &parameter.near {
            Some(near) => self.number(near)?.clamp(bounds[0], bounds[1]),
            None if parameter.between.is_some() => f64::midpoint(bounds[0], bounds[1]),
            None => 0.0,
        };
        Ok(Sought {
            symbol: parameter.symbol,
            through: parameter.through,
            start,
            bounds,
        })
    }

    /// The sources for the scatter of the rows, where the spread is taken from the residuals. Rows
    /// that a condition leaves away have some too: with other data it may choose them.
    fn scatter(&mut self, place: Span, formula: &Formula, solved: &Solved) -> Option<Scatter> {
        if !solved.is_from_residuals {
            return None;
        }
        let all = formula.which.as_ref().and_then(|_| {
            let over = value::over(&formula.sides[0], &self.results).ok()?;
            over.rows.map(|rows| rows.count)
        });
        let last = solved.rows.last().map_or(0, |last| last + 1);
        let mut sizes = vec![solved.deviation(); all.unwrap_or(last)];
        for (row, size) in solved.rows.iter().zip(solved.scatter()) {
            if let Some(own) = sizes.get_mut(*row) {
                *own = size;
            }
        }
        let about = About {
            by_scatter: true,
            degrees: solved.degrees,
            is_one: true,
            ..About::stated(place)
        };
        let first = self.results.sources.add(about, sizes.iter().copied());
        Some(Scatter { first, sizes })
    }

    /// The readings of a fit are those of its left side: results of scatter of the same rows
    /// correlate with it.
    fn correlate_scatter(&mut self, source: u32, formula: &Formula, solved: &Solved) {
        let Ok(left) = value::run(&formula.sides[0], &self.results) else {
            return;
        };
        let mut deviations = vec![f64::NAN; left.rows.len()];
        for (row, residual) in solved.rows.iter().zip(&solved.residuals) {
            if let Some(own) = deviations.get_mut(*row) {
                *own = *residual;
            }
        }
        let list = Deviations {
            of: left.of.clone(),
            entries: left.rows,
            deviations,
            columns: self.columns_behind(&formula.sides[0]),
        };
        self.know_scatter(Scattered {
            source,
            by_row: true,
            lists: vec![list],
        });
    }

    fn correlations(&self, values: &[Arc<Value>]) -> Vec<Vec<f64>> {
        let sources = &self.results.sources;
        let of =
            |one: &Value, other: &Value| sources.covariance(one.gradient(0), other.gradient(0));
        let one = |(j, own): (usize, &Arc<Value>)| {
            let size = of(own, own).sqrt();
            let before = values[..j].iter();
            before
                .map(|other| {
                    let both = size * of(other, other).sqrt();
                    if both > 0.0 {
                        of(own, other) / both
                    } else {
                        0.0
                    }
                })
                .collect()
        };
        values.iter().enumerate().map(one).collect()
    }

    /// The error of one further reading: an uncertain 0, of the same source as the fit's scatter.
    pub(super) fn further_reading(
        &mut self,
        statement: &Statement,
        scatter: &statement::Scatter,
    ) -> Result<Arc<Value>, Lack> {
        let found = self.results.further.get(&scatter.fit).copied();
        let Some(found) = found else {
            return Err(Lack::Needs(vec![(scatter.symbol, scatter.fit)]));
        };
        let Some(further) = found else {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::F14,
                    statement.span,
                    "the rows of this fit have no one standard deviation, so that nothing says how a further reading scatters",
                )
                .with_help("the further reading with its own `±`, or `weighted equally` in the fit"),
            );
            return Err(Lack::Refused);
        };
        let about = About {
            names: vec![scatter.symbol],
            by_scatter: true,
            degrees: further.degrees,
            ..About::stated(statement.span)
        };
        let sources = &mut self.results.sources;
        let own = sources.add(about, [further.deviation]);
        sources.correlate(further.source, own, 0.0, false);
        let value = Value {
            rows: vec![0.0],
            gradients: vec![vec![Partial::of(own)]],
            ..Value::default()
        };
        let value = Arc::new(value);
        self.results
            .values
            .insert(scatter.symbol, Arc::clone(&value));
        Ok(value)
    }

    fn unfitted(&self, line: &Statement, fit: &Fit, failure: &Failure) -> Diagnostic {
        let parameters: Vec<Span> = fit.parameters.iter().map(|it| it.span).collect();
        let starts = fit.parameters.iter().filter(|it| it.near.is_some());
        fit::diagnostic(
            failure,
            &Names {
                text: self.text,
                line: line.span,
                sides: [0, 1].map(|side| fit.sides[side].span),
                first_start: starts.map(|it| it.span).next(),
                parameters: &parameters,
                shown: &|j, value| self.shown_as(fit.parameters[j].symbol, value),
            },
        )
    }
}
