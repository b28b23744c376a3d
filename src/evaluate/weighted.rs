//! Means that are weighted by the uncertainties of their entries: a constant that is fitted.

use std::sync::Arc;

use super::definitions::Definition;
use super::fit::{self, Definite, Failure, Formula, Judgement, Sought, Weighting};
use super::program::{Fault, Program, Reason};
use super::walk::{Lack, Walk};
use crate::diagnostic::{Code, Diagnostic};
use crate::resolve::{Expr, ExprKind, SymbolId, Through};
use crate::text::Span;

impl Walk<'_> {
    /// Finds a weighted mean, once; what is wrong with it is said then.
    pub(super) fn number_mean(&mut self, place: Span, list: &Expr) {
        let Some(symbol) = self.resolved.means.get(&place).copied() else {
            return;
        };
        let whole = self.compile(list);
        let is_known = self.results.values.has(symbol);
        let is_refused = self.results.no_mean.contains(&symbol);
        let lacks = !self.missing(std::slice::from_ref(&whole)).is_empty();
        if is_known || is_refused || lacks {
            return;
        }
        if self.mean(place, symbol, list, &whole).is_err() {
            self.results.no_mean.insert(symbol);
        }
    }

    fn mean(
        &mut self,
        place: Span,
        symbol: SymbolId,
        list: &Expr,
        whole: &Program,
    ) -> Result<(), Lack> {
        if self.joins_rows(whole) {
            self.stop(Fault {
                reason: Reason::SharedReadings,
                span: place,
            });
            return Err(Lack::Refused);
        }
        let (list, which) = match &list.inside().kind {
            ExprKind::Where(list, which) => (&**list, Some(self.test(which)?)),
            _ => (list, None),
        };
        let formula = Formula {
            sides: [self.compile(list), Program::of_symbol(symbol, place)],
            span: list.span,
            which,
            parameters: vec![Sought {
                symbol,
                through: Some(Through::Itself),
                start: 0.0,
                bounds: [f64::NEG_INFINITY, f64::INFINITY],
            }],
            weighting: Weighting::Uncertainty,
            spread: None,
        };
        let solved = fit::solve(&formula, &self.results, &self.results.sources);
        let solved = match solved {
            Ok(solved) if solved.is_by_uncertainty => solved,
            Ok(_) => return self.refuse_mean(list.span, None),
            Err(failure) => return self.refuse_mean(list.span, Some(failure)),
        };
        let judgements = fit::judgements(&solved).into_iter();
        for judgement in judgements.filter(|it| matches!(it, Judgement::Scatter(_))) {
            let warning = fit::warning(place, &judgement);
            self.diagnostics.extend(warning.map(|it| {
                it.with_help("uncertainties that were looked at again, or `repeated(…)`, which takes the scatter")
            }));
        }
        let values = fit::of_parameters(&solved, None);
        let definite = Definite {
            formula,
            symbols: vec![symbol],
            scatter: None,
        };
        if let Some(here) = self.here() {
            // Between the line before and this one.
            let before = here.saturating_sub(1);
            self.results.mean_places.insert(symbol, before);
        }
        self.know(Definition::Fit(Arc::new(definite)), &values);
        Ok(())
    }

    fn refuse_mean(&mut self, list: Span, failure: Option<Failure>) -> Result<(), Lack> {
        let written = list.of(self.text);
        let (code, message, help) = match failure {
            Some(Failure::Fault(fault)) => {
                self.stop(fault);
                return Err(Lack::Refused);
            }
            Some(failure @ (Failure::Exact(_) | Failure::ByScatter(_) | Failure::NoCounts(_))) => {
                self.diagnostics
                    .push(fit::refused_weight(list, written, &failure));
                return Err(Lack::Refused);
            }
            Some(Failure::NoRows) => (
                Code::K05,
                format!("`{written}` is one number, where a list is needed"),
                "a list, such as a column of a table".to_owned(),
            ),
            Some(Failure::TooFew(_)) => (
                Code::K14,
                format!("no row has `{written}`"),
                "rows that are not all left out".to_owned(),
            ),
            Some(_) | None => (
                Code::U06,
                format!(
                    "the entries of `{written}` have no uncertainties of their own to be weighted by"
                ),
                format!("`± …` after the readings, or `mean({written})`"),
            ),
        };
        self.diagnostics
            .push(Diagnostic::error(code, list, message).with_help(help));
        Err(Lack::Refused)
    }
}
