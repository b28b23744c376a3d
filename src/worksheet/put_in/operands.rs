//! The numbers that are put in for the symbols, with as many digits as the result needs.
//!
//! Someone who re-enters what is printed must get what is printed, to within one unit in the
//! last place. Where the operands' usual digits would not give that, the operand that matters
//! most gets one more digit, until they do.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::super::model::Shown;
use super::super::show;
use crate::dimensions::{Counts, Reading};
use crate::evaluate::{self, Value, Values};
use crate::quantity::Unit;
use crate::resolve::{Expr, ExprKind, SymbolId};
use crate::syntax::Precision;

/// The most digits that an operand is printed with.
const MOST_FIGURES: u8 = 40;

/// Numbers with more digits than this are not known by the double next to them.
const FIGURES_OF_DOUBLES: u8 = 15;

/// An operand: its symbol, how it prints, and what its number counts from.
#[derive(Clone)]
pub(super) struct Operand {
    pub symbol: SymbolId,
    pub shown: Arc<Shown>,
    pub reading: Reading,
    pub counts: Counts,
}

impl Operand {
    /// The numbers that are printed, times a factor.
    pub fn printed(&self, factor: f64) -> Value {
        let shown = &*self.shown;
        // With more digits than a double has, the difference of two of them is not that of the
        // doubles.
        if shown.figures > FIGURES_OF_DOUBLES && !shown.digits.is_empty() && factor == 1.0 {
            let plain = (Reading::Plain, Counts::NOTHING, &Unit::one());
            return evaluate::entered(&shown.digits, plain, shown.shape);
        }
        let rows = match shown.digits.as_slice() {
            [] => shown.values.iter().map(|it| it * factor).collect(),
            digits => digits.iter().map(|it| it.value() * factor).collect(),
        };
        self.value(rows)
    }

    pub fn value(&self, rows: Vec<f64>) -> Value {
        Value {
            rows,
            shape: self.shown.shape,
            ..Value::default()
        }
    }

    fn add_digit(&mut self) -> bool {
        if self.shown.digits.is_empty() || self.shown.figures >= MOST_FIGURES {
            return false;
        }
        let shown = Arc::make_mut(&mut self.shown);
        shown.figures += 1;
        show::again(shown, Precision::Figures(shown.figures));
        true
    }
}

/// Whether a formula asks for an uncertainty, which the numbers that are put in do not have.
pub(super) fn is_of_uncertainty(expr: &Expr) -> bool {
    let mut found = match expr.kind {
        ExprKind::Call { function, .. } => function.is_of_uncertainty(),
        _ => false,
    };
    expr.for_each_part(|part| found = found || is_of_uncertainty(part));
    found
}

/// Values in which the operands count as printed.
pub(super) struct Printed<'a> {
    pub by: FxHashMap<SymbolId, Arc<Value>>,
    pub beneath: &'a dyn Values,
}

impl Values for Printed<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        let own = self.by.get(&symbol).map(|value| &**value);
        own.or_else(|| self.beneath.value(symbol))
    }

    fn beneath(&self) -> Option<&dyn Values> {
        Some(self.beneath)
    }
}

/// Adds digits to the operands until a formula gives the printed result. What is told of them is
/// by how many units of the last place it is off, where one of them may be taken exactly.
pub(super) fn guard(operands: &mut [Operand], off: &dyn Fn(&[Operand], Option<usize>) -> f64) {
    // Each round adds a digit, so the rounds are bounded by the digits there are to add.
    for _ in 0..operands.len() * usize::from(MOST_FIGURES) {
        let error = off(operands, None);
        if error <= 1.0 {
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
