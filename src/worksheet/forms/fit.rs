//! A formula whose parameters are fitted.

use std::sync::Arc;

use super::Line;
use crate::dimensions::{Form, Reading, Type};
use crate::evaluate::{Fitted, Judgement, Solved, Value};
use crate::quantity;
use crate::resolve::statement::{self, Ask, Weight};
use crate::resolve::{Expr, ExprKind, SymbolId};
use crate::text::Span;
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Fit, FitNumbers, Shown};

impl Builder<'_> {
    pub(super) fn fit(&mut self, line: Line<'_>, fit: &statement::Fit, fitted: &Fitted) -> Body {
        let parameters: Vec<(SymbolId, Arc<Shown>)> = (fit.parameters.iter())
            .zip(&fitted.values)
            .map(|(parameter, value)| {
                let shown = self.parameter(line.problem, parameter.symbol, &parameter.ask, value);
                (parameter.symbol, shown)
            })
            .collect();
        let solved = &fitted.solved;
        let weighted = weighted(fit, solved);
        let mut remarks = vec![weights_and_rows(weighted, solved)];
        // A constant alone accounts for nothing, and of a curve R² says nothing that χ² does not.
        let is_line =
            fit.parameters.len() > 1 && fit.parameters.iter().all(|it| it.through.is_some());
        let part = fitted.determination.filter(|_| is_line);
        remarks.extend(part.map(|part| format!("R² = {}", ratio(part, 6))));
        remarks.extend(fitted.judgements.iter().filter_map(words));
        let uncertainty = |value: &Value| {
            let found = value.uncertainty(0, &self.results.sources);
            found.map_or(0.0, |found| found.size)
        };
        let numbers = FitNumbers {
            parameters: (fitted.values.iter())
                .map(|value| (value.at(0), uncertainty(value)))
                .collect(),
            correlations: fitted.correlations.clone(),
            rows: solved.rows.clone(),
            residuals: solved.residuals.clone(),
            degrees: solved.degrees,
            deviation: (!solved.is_by_uncertainty && solved.degrees > 0.0)
                .then(|| solved.deviation()),
            chi_squared: solved.is_by_uncertainty.then_some(solved.squares),
            steps: solved.steps,
            weighted,
        };
        let is_told = !solved.is_by_uncertainty && solved.is_equal && solved.degrees > 0.0;
        let deviation = is_told.then(|| {
            let found = Type {
                reading: Reading::Plain,
                ..line.found.clone()
            };
            let value = Arc::new(Value::one(solved.deviation()));
            self.result(line.problem, &value, &found, &Ask::default())
        });
        Body::Fit(Box::new(Fit {
            deviation,
            members: fit.sides.to_vec(),
            parameters,
            remarks,
            scatter: self.scatter_words(line),
            numbers,
        }))
    }

    /// The value of a parameter as it is printed, from here on wherever it is asked.
    fn parameter(
        &mut self,
        problem: usize,
        symbol: SymbolId,
        ask: &Ask,
        value: &Arc<Value>,
    ) -> Arc<Shown> {
        let lead = Expr {
            span: Span::default(),
            kind: ExprKind::Symbol(symbol),
        };
        let found = (self.checked.symbols.get(symbol).cloned())
            .unwrap_or_else(|| Type::plain(Form::default()));
        let ask = self.with_unit((&lead, &found), ask, value);
        let shown = Arc::new(self.result(problem, value, &found, &ask));
        self.tables.shown.insert(symbol, Arc::clone(&shown));
        shown
    }
}

fn weighted(fit: &statement::Fit, solved: &Solved) -> &'static str {
    match &fit.weight {
        Weight::By(_) => "weighted as stated",
        Weight::Equally => "weighted equally",
        Weight::Uncertainty if solved.is_both => "weighted by the uncertainties of both sides",
        Weight::Uncertainty if solved.is_by_uncertainty => {
            "weighted by the uncertainties of the left side"
        }
        Weight::Uncertainty => "weighted equally, as no reading has an uncertainty of its own",
    }
}

fn ratio(value: f64, figures: u8) -> String {
    quantity::to_figures(value, figures).text()
}

/// What is said of a judgement that raises no message, or with it.
fn words(judgement: &Judgement) -> Option<String> {
    match judgement {
        Judgement::Scatter(_) | Judgement::Runs(..) => None,
        Judgement::LackOfFit(test) => Some(format!(
            "rows with the same abscissae: F = {}, and chance gives up to {} in 95 of 100 cases, so that the formula {}",
            ratio(test.ratio, 3),
            ratio(test.limit, 3),
            if test.ratio <= test.limit {
                "fits"
            } else {
                "does not fit"
            }
        )),
    }
}

/// "7 rows, ν = 5; weighted by …; spread from …; χ²/ν = …".
fn weights_and_rows(weighted: &str, solved: &Solved) -> String {
    let spread = match solved.is_from_residuals {
        true => "the residuals",
        false => "the stated uncertainties",
    };
    let mut text = format!(
        "{} rows, \u{3bd} = {}; {weighted}; spread from {spread}",
        solved.rows.len(),
        solved.degrees
    );
    if solved.degrees == 0.0 {
        return text;
    }
    if solved.is_by_uncertainty {
        let [low, high] = solved.range(0.95);
        let all = [solved.squares / solved.degrees, low, high].map(|it| ratio(it, 2));
        let [own, low, high] = all;
        text.push_str(&format!(
            "; χ²/\u{3bd} = {own} (95 % lie from {low} to {high})"
        ));
    }
    text
}
