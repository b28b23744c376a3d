//! A chain of `work`: its formulas, its result and what was claimed.

use std::sync::Arc;

use super::Line;
use crate::evaluate::{Magnitude, ScatterWord, Value};
use crate::quantity;
use crate::resolve::statement::{self, Ask, Tail};
use crate::resolve::{Expr, ExprKind};
use crate::syntax::Precision;
use crate::worksheet::build::Builder;
use crate::worksheet::model::{Body, Phrase, Shown, Work};
use crate::worksheet::show;

impl Builder<'_> {
    pub(super) fn work(
        &mut self,
        line: Line<'_>,
        work: &statement::Work,
        members: &[Expr],
        result: &Arc<Value>,
    ) -> Body {
        let mut shown = self.at_the_end(line, &work.lead, &work.tail, result);
        let is_exact = shown.uncertainties.is_empty();
        if is_exact && members.first().is_some_and(is_count) && is_automatic(&work.tail) {
            show::again(&mut shown, Precision::Decimals(0));
        }
        let shown = Arc::new(shown);
        if let Some(symbol) = line.defines {
            self.tables.shown.insert(symbol, Arc::clone(&shown));
        }
        Body::Work(Box::new(Work {
            lead: work.lead.clone(),
            members: members.to_vec(),
            from: work.from,
            origin: work.origin,
            convergence: None,
            conditions: self.conditions(&work.conditions),
            put_in: None,
            rows: result.of.clone().filter(|of| of.table.is_some()),
            reads: self.what_if_reads(line, work, result),
            shown,
            claim: match &work.tail {
                Tail::Claim(literal) => Some(Box::new(claim_shown(self.text, literal))),
                Tail::None | Tail::Ask(_) | Tail::Filled(..) => None,
            },
            left_out: self.left_out(line.problem, self.place(line.origin)),
            scatter: self.scatter_words(line),
        }))
    }

    /// What the sign of a what-if means in a sketch.
    fn what_if_reads(
        &self,
        line: Line<'_>,
        work: &statement::Work,
        result: &Arc<Value>,
    ) -> Option<Phrase> {
        let symbol = work.lead.as_symbol()?;
        let value = Magnitude::of(result, &self.results.sources)?;
        self.reads(line.problem, (symbol, value), &work.conditions)
    }

    /// What is said of the scatter that a line found.
    pub(super) fn scatter_words(&self, line: Line<'_>) -> Vec<ScatterWord> {
        let place = self.place(line.origin);
        (self.results.scatter_words.get(&place).cloned()).unwrap_or_default()
    }

    /// A result as the end of its line asks or claims it.
    pub(super) fn at_the_end(
        &self,
        line: Line<'_>,
        lead: &Expr,
        tail: &Tail,
        result: &Arc<Value>,
    ) -> Shown {
        match tail {
            Tail::Ask(ask) | Tail::Filled(_, ask) => {
                let ask = self.with_unit((lead, line.found), ask, result);
                self.result(line.problem, result, line.found, &ask)
            }
            Tail::None => {
                let ask = self.with_unit((lead, line.found), &Ask::default(), result);
                self.result(line.problem, result, line.found, &ask)
            }
            Tail::Claim(literal) => {
                let ask = Ask {
                    unit: Some(literal.unit.clone()),
                    datum: literal.datum,
                    precision: claim_precision(self.text, literal),
                    span: literal.span,
                    expanded: None,
                };
                self.result(line.problem, result, line.found, &ask)
            }
        }
    }
}

/// Whether a formula rounds to a whole number, which then prints as one.
fn is_count(expr: &Expr) -> bool {
    match expr.inside().kind {
        ExprKind::Call { function, .. } => function.is_whole(),
        _ => false,
    }
}

/// Whether the digits of a result are left to the engine.
fn is_automatic(tail: &Tail) -> bool {
    match tail {
        Tail::None => true,
        Tail::Ask(ask) | Tail::Filled(_, ask) => ask.precision.is_none(),
        Tail::Claim(_) => false,
    }
}

/// A claim as the author wrote it.
fn claim_shown(text: &str, literal: &statement::Literal) -> Shown {
    Shown {
        si: literal
            .values
            .iter()
            .map(|value| literal.unit.to_si(*value))
            .collect(),
        unit: literal.unit.clone(),
        sizes: show::sizes(text, &literal.sizes),
        power: literal.power,
        ..show::number(
            &show::written(literal.number.of(text), literal.power),
            literal.values.first().copied().unwrap_or(f64::NAN),
        )
    }
}

/// A claim is printed to the places it was written with, one with an uncertainty to as many
/// figures of that.
fn claim_precision(text: &str, claim: &statement::Literal) -> Option<Precision> {
    if let Some((size, place)) = claim.uncertainty {
        let figures = if size < 9.5 * place { 1 } else { 2 };
        return Some(Precision::Uncertainty(figures));
    }
    let place = quantity::written_precision(claim.number.of(text))?;
    let decimals = quantity::decimals_of(place);
    (0..=15)
        .contains(&decimals)
        .then_some(Precision::Decimals(decimals as u8))
}
