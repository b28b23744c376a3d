//! The numbers that are put in for the symbols, with as many digits as the result needs.
//!
//! Someone who re-enters what is printed must get what is printed, to within one unit in the
//! last place. Where the operands' usual digits would not give that, the operand that matters
//! most gets one more digit, until they do.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::model::Shown;
use super::show;
use crate::dimensions::{Counts, Reading, Type};
use crate::evaluate::{self, Program, Value, Values};
use crate::functions::Dimensions;
use crate::quantity::{self, Unit};
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
    /// What is printed, in SI units.
    fn printed(&self) -> Value {
        let shown = &*self.shown;
        if shown.figures > FIGURES_OF_DOUBLES && !shown.digits.is_empty() {
            return evaluate::entered(
                &shown.digits,
                (self.reading, self.counts, &shown.unit),
                shown.shape,
            );
        }
        let rows = match shown.digits.as_slice() {
            [] => self.shown.si.clone(),
            digits => (digits.iter())
                .map(|digits| {
                    evaluate::to_si(digits.value(), self.reading, self.counts, &self.shown.unit)
                })
                .collect(),
        };
        self.value(rows)
    }

    fn value(&self, rows: Vec<f64>) -> Value {
        Value {
            rows,
            shape: self.shown.shape,
            ..Value::default()
        }
    }

    /// What it is, however it is printed.
    fn exactly(&self) -> Value {
        match &self.shown.origin {
            Some(origin) => origin.0.clone(),
            None => self.value(self.shown.si.clone()),
        }
    }

    fn exact(&self) -> f64 {
        self.shown.si.first().copied().unwrap_or(f64::NAN)
    }

    /// Shows a temperature point as the absolute temperature that it counts as. A literal keeps
    /// all its digits.
    pub fn show_absolute(&mut self) {
        let Ok(kelvin) = Unit::lone("K") else {
            return;
        };
        let value = self.exact();
        let precision = match &self.shown.written {
            Some(written) => {
                let place = quantity::written_precision(written).unwrap_or(0.01);
                Precision::Decimals(quantity::decimals_of(place).clamp(2, 15) as u8)
            }
            None => Precision::Figures(self.shown.figures),
        };
        let shown = Arc::make_mut(&mut self.shown);
        shown.values = vec![value];
        shown.written = None;
        shown.uncertainties = Vec::new();
        shown.sizes = Vec::new();
        shown.figures = shown.figures.max(5);
        shown.word = None;
        shown.unit = kelvin;
        show::again(shown, precision);
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

/// Whether a formula takes a temperature point as its absolute temperature: as a factor beside
/// anything but plain numbers, or in a power or a function.
pub(super) fn takes_absolute(expr: &Expr, is_point: &dyn Fn(SymbolId) -> bool) -> bool {
    let own = match &expr.kind {
        ExprKind::Product(factors) => factors.iter().enumerate().any(|(at, factor)| {
            let alone = factors.iter().enumerate().all(|(other, beside)| {
                other == at || matches!(beside.expr.inside().kind, ExprKind::Number(_))
            });
            !alone && weight(&factor.expr, is_point) != 0.0
        }),
        ExprKind::Power(base, _) => weight(base, is_point) != 0.0,
        ExprKind::Call {
            function,
            arguments,
            ..
        } if matches!(
            function.dimensions(),
            Dimensions::Root(_) | Dimensions::Plain(_)
        ) =>
        {
            arguments
                .iter()
                .any(|argument| weight(argument, is_point) != 0.0)
        }
        _ => false,
    };
    let mut found = own;
    expr.for_each_part(|part| found |= takes_absolute(part, is_point));
    found
}

/// How often an expression contains the datum of its temperature points; a product beside other
/// quantities contains none.
fn weight(expr: &Expr, is_point: &dyn Fn(SymbolId) -> bool) -> f64 {
    match &expr.kind {
        ExprKind::Symbol(symbol) => f64::from(u8::from(is_point(*symbol))),
        ExprKind::Group(inner) | ExprKind::Abs(inner) => weight(inner, is_point),
        ExprKind::Negative(inner) => -weight(inner, is_point),
        ExprKind::Sum(terms) => terms
            .iter()
            .map(|term| {
                let own = weight(&term.expr, is_point);
                if term.negative { -own } else { own }
            })
            .sum(),
        ExprKind::Product(factors) => factors
            .iter()
            .map(|factor| weight(&factor.expr, is_point))
            .sum(),
        _ => 0.0,
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

    fn beneath(&self) -> Option<&dyn Values> {
        Some(self.beneath)
    }
}

/// Adds digits to the operands until each program gives the printed result.
pub(super) fn guard(
    operands: &mut [Operand],
    programs: &[Program],
    values: &dyn Values,
    found: &Type,
    result: &Shown,
) {
    if result.digits.is_empty() {
        return;
    }
    for program in programs {
        // Each round adds a digit, so the rounds are bounded by the digits there are to add.
        for _ in 0..operands.len() * usize::from(MOST_FIGURES) {
            let off = |operands: &[Operand], exact: Option<usize>| {
                let value = rerun(program, operands, values, exact);
                // In units of the last place, because one such as 1e-12 leaves no room for an
                // absolute slack; the worst of several components.
                let off = result.digits.iter().enumerate().map(|(row, target)| {
                    let number =
                        evaluate::in_unit(value.at(row), found.reading, found.counts, &result.unit);
                    (number - target.value()).abs() / target.unit_in_last_place()
                });
                off.fold(0.0, f64::max)
            };
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
}

/// The result with every operand as printed, but one exact.
fn rerun(
    program: &Program,
    operands: &[Operand],
    values: &dyn Values,
    exact: Option<usize>,
) -> Value {
    let by = operands
        .iter()
        .enumerate()
        .map(|(at, operand)| {
            let value = if exact == Some(at) {
                operand.exactly()
            } else {
                operand.printed()
            };
            (operand.symbol, value)
        })
        .collect();
    let printed = Printed {
        by,
        beneath: values,
    };
    evaluate::run(program, &printed).unwrap_or_else(|_| Value::one(f64::INFINITY))
}
