//! How much each given matters for a result.

use std::sync::Arc;

use super::Outcome;
use crate::evaluate::sense::Influence;
use crate::evaluate::value::{Value, Values};
use crate::evaluate::walk::{Lack, Walk};
use crate::resolve::{Expr, Shape, SymbolId};

impl<'a> Walk<'a> {
    pub(super) fn sensitivity(
        &mut self,
        subject: &'a Expr,
        givens: &'a [SymbolId],
    ) -> Result<Outcome<'a>, Lack> {
        let numbers: Vec<usize> = (0..givens.len())
            .filter(|at| {
                let value = self.results.value(givens[*at]);
                value.is_some_and(|value| value.shape == Shape::One)
            })
            .collect();
        let changing: Vec<SymbolId> = numbers.iter().map(|at| givens[*at]).collect();
        let (value, trends) = self.trends(subject.span, subject, &changing)?;
        let mut influences: Vec<Influence> = numbers
            .into_iter()
            .zip(trends)
            .filter(|(_, trend)| trend.derivative.at(0) != 0.0)
            .map(|(given, trend)| Influence { given, trend })
            .collect();
        // Sizes that differ by rounding only are one size.
        let size = |influence: &Influence| {
            let change = influence.change().map_or(0.0, f64::abs);
            (change.log10() * 1e9).round() as i64
        };
        influences.sort_by_key(|influence| (std::cmp::Reverse(size(influence)), influence.given));
        let value = Arc::new(Value {
            gradients: Vec::new(),
            second_order: Vec::new(),
            ..value
        });
        Ok(Outcome::Sensitivity {
            subject,
            givens,
            value,
            influences,
        })
    }
}
