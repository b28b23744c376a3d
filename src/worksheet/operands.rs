//! The numbers that are put in for the symbols, with as many digits as the result needs.
//!
//! Someone who re-enters what is printed must get what is printed, to within one unit in the
//! last place. Where the operands' usual digits would not give that, the operand that matters
//! most gets one more digit, until they do.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::model::Shown;
use crate::dimensions::Reading;
use crate::evaluate::{self, Program, Value, Values};
use crate::quantity;
use crate::resolve::SymbolId;

/// More digits than this say nothing more about an `f64`.
const MOST_FIGURES: u8 = 16;

/// An operand: its symbol, how it prints, and what its number counts from.
#[derive(Clone)]
pub(super) struct Operand {
    pub symbol: SymbolId,
    pub shown: Arc<Shown>,
    pub reading: Reading,
}

impl Operand {
    /// The SI value of what is printed.
    fn printed(&self) -> f64 {
        match self.shown.digits.first() {
            Some(digits) => evaluate::to_si(digits.value(), self.reading, &self.shown.unit),
            None => self.shown.si.first().copied().unwrap_or(f64::NAN),
        }
    }

    fn exact(&self) -> f64 {
        self.shown.si.first().copied().unwrap_or(f64::NAN)
    }

    fn add_digit(&mut self) -> bool {
        if self.shown.digits.is_empty() || self.shown.figures >= MOST_FIGURES {
            return false;
        }
        let shown = Arc::make_mut(&mut self.shown);
        shown.figures += 1;
        shown.digits = shown
            .values
            .iter()
            .map(|value| quantity::to_figures(*value, shown.figures))
            .collect();
        true
    }
}

/// Values in which the operands count as printed.
struct Printed<'a> {
    by: FxHashMap<SymbolId, Value>,
    beneath: &'a dyn Values,
}

impl Values for Printed<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        self.by.get(&symbol).or_else(|| self.beneath.value(symbol))
    }
}

/// Adds digits to the operands until each program gives the printed result.
pub(super) fn guard(
    operands: &mut [Operand],
    programs: &[Program],
    values: &dyn Values,
    reading: Reading,
    result: &Shown,
) {
    let Some(target) = result.digits.first() else {
        return;
    };
    let place = target.unit_in_last_place();
    let target = target.value();
    for program in programs {
        // Each round adds a digit, so the rounds are bounded by the digits there are to add.
        for _ in 0..operands.len() * usize::from(MOST_FIGURES) {
            let off = |operands: &[Operand], exact: Option<usize>| {
                let si = rerun(program, operands, values, exact);
                (evaluate::in_unit(si, reading, &result.unit) - target).abs()
            };
            let error = off(operands, None);
            // The quotient, because a place such as 1e-12 leaves no room for an absolute slack.
            if error / place <= 1.0 {
                break;
            }
            let influence = |at: &usize| {
                let better = off(operands, Some(*at));
                if better.is_finite() {
                    error - better
                } else {
                    f64::MIN
                }
            };
            let mut order: Vec<(f64, usize)> = (0..operands.len())
                .filter(|at| !operands[*at].shown.digits.is_empty())
                .map(|at| (influence(&at), at))
                .collect();
            order.sort_by(|left, right| right.0.total_cmp(&left.0));
            if !order.iter().any(|(_, at)| operands[*at].add_digit()) {
                break;
            }
        }
    }
}

/// The result with every operand as printed, but one exact.
fn rerun(
    program: &Program,
    operands: &[Operand],
    values: &dyn Values,
    exact: Option<usize>,
) -> f64 {
    let by = operands
        .iter()
        .enumerate()
        .map(|(at, operand)| {
            let value = if exact == Some(at) {
                operand.exact()
            } else {
                operand.printed()
            };
            (operand.symbol, Value::one(value))
        })
        .collect();
    let printed = Printed {
        by,
        beneath: values,
    };
    evaluate::run(program, &printed).map_or(f64::INFINITY, |value| value.at(0))
}
