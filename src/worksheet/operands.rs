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
use crate::quantity::{self, Unit};
use crate::resolve::{Expr, ExprKind, Quantity, SymbolId};
use crate::syntax::Precision;
use crate::text::Span;

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
    fn exactly(&self) -> Arc<Value> {
        match &self.shown.origin {
            Some(origin) => Arc::clone(&origin.0),
            None => Arc::new(self.value(self.shown.si.clone())),
        }
    }

    /// Whether it is shown as a point on a scale of temperatures.
    pub fn is_point(&self) -> bool {
        self.reading.is_point() && self.shown.unit.offset() != 0.0
    }

    /// Shows a temperature point as the absolute temperature that it counts as.
    pub fn show_absolute(&mut self) {
        in_kelvin(Arc::make_mut(&mut self.shown));
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

/// The temperatures of a formula that are points on a scale.
#[derive(Default)]
pub(super) struct Points<'e> {
    /// Those that it writes itself.
    pub written: Vec<&'e Quantity>,
    /// The names among which others are.
    pub names: Vec<SymbolId>,
}

impl<'e> Points<'e> {
    /// Notes those of a formula. What a function of a worksheet is handed is a reading there, and
    /// stays one.
    pub fn note(&mut self, expr: &'e Expr) {
        match &expr.kind {
            ExprKind::Apply { .. } => return,
            ExprKind::Quantity(quantity) if quantity.unit.offset() != 0.0 => {
                self.written.push(quantity);
            }
            ExprKind::Symbol(symbol) => self.names.push(*symbol),
            _ => {}
        }
        expr.for_each_part(|part| self.note(part));
    }
}

/// A formula in which the points that it writes itself are no more than their numbers, and what
/// functions of a worksheet give is known.
pub(super) fn without_datum(expr: &Expr, value: &dyn Fn(&Expr) -> Option<f64>) -> Expr {
    let mut known = FxHashMap::default();
    given_by_functions(expr, value, &mut known);
    let mut plain = expr.clone();
    plain.change(&mut |part| {
        if let Some(value) = known.get(&part.span) {
            part.kind = ExprKind::Numeral(*value);
        }
        if let ExprKind::Quantity(quantity) = &mut part.kind {
            quantity.unit = quantity.unit.interval();
        }
    });
    plain
}

fn given_by_functions(
    expr: &Expr,
    value: &dyn Fn(&Expr) -> Option<f64>,
    known: &mut FxHashMap<Span, f64>,
) {
    match expr.kind {
        ExprKind::Apply { .. } => known.extend(value(expr).map(|value| (expr.span, value))),
        _ => expr.for_each_part(|part| given_by_functions(part, value, known)),
    }
}

/// Whether a program gives a result, where the points among its operands are no more than the
/// numbers that are printed of them.
pub(super) fn is_plain_arithmetic(
    program: &Program,
    operands: &[Operand],
    values: &dyn Values,
    result: &Shown,
) -> bool {
    /// Far above rounding, far below a datum.
    const SLACK: f64 = 1e-9;
    let number = |operand: &Operand| {
        let (shown, counts) = (&operand.shown, operand.counts);
        let unit = shown.unit.interval();
        let rows = (shown.values.iter())
            .map(|number| evaluate::to_si(*number, Reading::Plain, counts, &unit));
        match operand.is_point() {
            true => Arc::new(operand.value(rows.collect())),
            false => operand.exactly(),
        }
    };
    let by = operands.iter().map(|it| (it.symbol, number(it))).collect();
    let numbers = Printed {
        by,
        beneath: values,
    };
    let Ok(found) = evaluate::run(program, &numbers) else {
        return false;
    };
    let is_alike = |row: usize| {
        let number = match result.unit.offset() {
            0.0 => result.si.get(row).copied(),
            _ => (result.values.get(row)).map(|number| {
                evaluate::to_si(
                    *number,
                    Reading::Plain,
                    Counts::NOTHING,
                    &result.unit.interval(),
                )
            }),
        };
        number.is_some_and(|number| {
            let size = number.abs().max(found.at(row).abs());
            (found.at(row) - number).abs() <= SLACK * size
        })
    };
    (0..result.si.len()).all(is_alike)
}

/// A temperature that a formula writes itself, as the absolute temperature that it counts as.
pub(super) fn absolute_literal(text: &str, quantity: &Quantity) -> Shown {
    let rows = (quantity.values.iter())
        .map(|number| evaluate::to_si(*number, Reading::Plain, Counts::NOTHING, &quantity.unit));
    let value = Value {
        rows: rows.collect(),
        shape: quantity.shape,
        ..Value::default()
    };
    let mut shown = show::literal(text, quantity, &Arc::new(value));
    in_kelvin(&mut shown);
    shown
}

/// Shows points as the absolute temperatures that they count as. A literal keeps all its digits.
fn in_kelvin(shown: &mut Shown) {
    let Ok(kelvin) = Unit::lone("K") else {
        return;
    };
    let precision = match &shown.written {
        Some(written) => {
            let place = quantity::written_precision(written).unwrap_or(0.01);
            Precision::Decimals(quantity::decimals_of(place).clamp(2, 15) as u8)
        }
        None => Precision::Figures(shown.figures),
    };
    shown.values = shown.si.clone();
    shown.written = None;
    shown.uncertainties = Vec::new();
    shown.sizes = Vec::new();
    shown.figures = shown.figures.max(5);
    shown.word = None;
    shown.unit = kelvin;
    show::again(shown, precision);
}

/// Values in which the operands count as printed.
struct Printed<'a> {
    by: FxHashMap<SymbolId, Arc<Value>>,
    beneath: &'a dyn Values,
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
                Arc::new(operand.printed())
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
