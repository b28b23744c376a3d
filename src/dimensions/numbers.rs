//! Plain numbers of the author: as written, by the name that has one, and sums, products and
//! quotients of those. They scale the weight of a reading; a power or a function of one does not.

use super::Type;
use super::infer::Inference;
use crate::functions::Function;
use crate::resolve::{Expr, ExprKind, Factor, Quantity, Shape, SymbolId};
use crate::syntax::Operator;

/// An argument of the function that is being looked into.
#[derive(Debug, Clone)]
pub(super) struct Argument {
    pub found: Type,
    numbers: Option<Vec<f64>>,
    rows: Option<usize>,
}

/// What is known of the values of a symbol before anything is computed.
#[derive(Debug, Clone, Default)]
pub(super) struct Known {
    numbers: Option<Vec<f64>>,
    rows: Option<usize>,
}

impl Inference<'_> {
    pub(super) fn argument_of(&self, expr: &Expr, found: Type) -> Argument {
        Argument {
            found,
            numbers: self.plain_numbers(expr),
            rows: self.rows(expr),
        }
    }

    /// Remembers of a symbol what its definition says of its values.
    pub(super) fn remember_values(&mut self, symbol: SymbolId, value: &Expr) {
        let known = Known {
            numbers: self.plain_numbers(value),
            rows: self.rows(value),
        };
        self.notes.values.insert(symbol, known);
    }

    /// The one plain number that an expression is in all its rows.
    pub(super) fn plain_number(&self, expr: &Expr) -> Option<f64> {
        let numbers = self.plain_numbers(expr)?;
        let first = *numbers.first()?;
        // Weights that differ from row to row are none: one that is neither 0 nor 1 stands for all.
        let is_one = numbers.iter().all(|number| *number == first);
        let other = || numbers.iter().find(|number| !matches!(**number, 0.0 | 1.0));
        Some(if is_one {
            first
        } else {
            *other().unwrap_or(&first)
        })
    }

    /// The plain numbers that an expression is, one a row.
    pub(super) fn plain_numbers(&self, expr: &Expr) -> Option<Vec<f64>> {
        match &expr.kind {
            ExprKind::Number(value) | ExprKind::Numeral(value) => Some(vec![*value]),
            ExprKind::Quantity(quantity) => written(quantity),
            ExprKind::Symbol(symbol) => self.notes.values.get(symbol)?.numbers.clone(),
            ExprKind::Parameter(index) => {
                let frame = self.arguments.last()?;
                frame.get(usize::from(*index))?.numbers.clone()
            }
            ExprKind::Group(inner) => self.plain_numbers(inner),
            ExprKind::Negative(inner) => {
                let numbers = self.plain_numbers(inner)?;
                Some(numbers.into_iter().map(|number| -number).collect())
            }
            ExprKind::Sum(terms) => terms.iter().try_fold(vec![0.0], |sum, term| {
                let own = self.plain_numbers(&term.expr)?;
                let sign = if term.negative { -1.0 } else { 1.0 };
                by_row(&sum, &own, |sum, number| sum + sign * number)
            }),
            ExprKind::Product(factors) => self.numbers_of(factors.iter()),
            ExprKind::List(items) => (items.iter())
                .map(|item| match self.plain_numbers(item)?.as_slice() {
                    [only] => Some(*only),
                    _ => None,
                })
                .collect(),
            ExprKind::Call {
                function: function @ (Function::Sum | Function::Mean),
                arguments,
                ..
            } => {
                let [list] = arguments.as_slice() else {
                    return None;
                };
                let numbers = self.plain_numbers(list)?;
                let total: f64 = numbers.iter().sum();
                Some(vec![match function {
                    Function::Mean => total / numbers.len() as f64,
                    _ => total,
                }])
            }
            ExprKind::Pi
            | ExprKind::Component(..)
            | ExprKind::Constant(_)
            | ExprKind::Power(..)
            | ExprKind::Abs(_)
            | ExprKind::Call { .. }
            | ExprKind::Apply { .. }
            | ExprKind::Vector(_)
            | ExprKind::Cases(_)
            | ExprKind::Where(..)
            | ExprKind::ReadOff(_) => None,
        }
    }

    /// The product of factors that are all plain numbers.
    pub(super) fn numbers_of<'e>(
        &self,
        mut factors: impl Iterator<Item = &'e Factor>,
    ) -> Option<Vec<f64>> {
        factors.try_fold(vec![1.0], |product, factor| {
            let own = self.plain_numbers(&factor.expr)?;
            by_row(&product, &own, |product, number| {
                if factor.operator == Operator::Divide {
                    product / number
                } else {
                    product * number
                }
            })
        })
    }

    /// How many rows the value of an expression has; `None` for one number.
    pub(super) fn rows(&self, expr: &Expr) -> Option<usize> {
        match &expr.kind {
            ExprKind::Quantity(quantity) if quantity.shape == Shape::List => {
                Some(quantity.values.len())
            }
            ExprKind::List(items) => Some(items.len()),
            ExprKind::Symbol(symbol) => self.notes.values.get(symbol)?.rows,
            ExprKind::Parameter(index) => {
                let frame = self.arguments.last()?;
                frame.get(usize::from(*index))?.rows
            }
            ExprKind::Call {
                function,
                arguments,
                ..
            } if (function.takes_rows() && arguments.len() == 1) || function.takes_lists() => None,
            _ => {
                let mut rows = None;
                expr.for_each_part(|part| rows = rows.or_else(|| self.rows(part)));
                rows
            }
        }
    }
}

fn written(quantity: &Quantity) -> Option<Vec<f64>> {
    let is_number = quantity.unit.dimension().is_none() && quantity.shape != Shape::Vector;
    let si = |value: &f64| quantity.unit.to_si(*value);
    is_number.then(|| quantity.values.iter().map(si).collect())
}

/// Combines the rows of two lists, or of a list and a number.
fn by_row(left: &[f64], right: &[f64], combine: impl Fn(f64, f64) -> f64) -> Option<Vec<f64>> {
    let rows = left.len().max(right.len());
    let at = |numbers: &[f64], row: usize| match numbers {
        [only] => Some(*only),
        numbers => numbers.get(row).copied(),
    };
    (0..rows)
        .map(|row| Some(combine(at(left, row)?, at(right, row)?)))
        .collect()
}
