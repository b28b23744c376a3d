//! What formulas come to with the data that are one number: only an order of places is told by it,
//! so that a plain double serves.

use super::tree::{Expr, ExprKind, Shape, SymbolId};
use super::{Quantity, Resolver};
use crate::syntax::Operator;

impl Resolver<'_> {
    /// Keeps a datum that is one number.
    pub(super) fn keep_number(&mut self, symbol: SymbolId, value: &Expr) {
        let number = self.number_of(value);
        self.numbers.extend(number.map(|number| (symbol, number)));
    }

    /// What a formula comes to, in coherent SI units; nothing where that hangs on more than data.
    pub(super) fn number_of(&self, expr: &Expr) -> Option<f64> {
        let of = |expr: &Expr| self.number_of(expr);
        match &expr.kind {
            ExprKind::Number(value) | ExprKind::Numeral(value) => Some(*value),
            ExprKind::Quantity(quantity) => one(quantity),
            ExprKind::Pi => Some(std::f64::consts::PI),
            ExprKind::Symbol(symbol) => self.numbers.get(symbol).copied(),
            ExprKind::Constant(constant) => Some(constant.value()),
            ExprKind::Sum(terms) => terms.iter().try_fold(0.0, |sum, term| {
                let value = of(&term.expr)?;
                Some(if term.negative {
                    sum - value
                } else {
                    sum + value
                })
            }),
            ExprKind::Product(factors) => factors.iter().try_fold(1.0, |product, factor| {
                let value = of(&factor.expr)?;
                Some(match factor.operator {
                    Operator::Divide => product / value,
                    _ => product * value,
                })
            }),
            ExprKind::Power(base, exponent) => Some(of(base)?.powf(of(exponent)?)),
            ExprKind::Negative(inner) => of(inner).map(|value| -value),
            ExprKind::Group(inner) => of(inner),
            ExprKind::Abs(inner) => of(inner).map(f64::abs),
            ExprKind::Call {
                function,
                arguments,
                ..
            } => {
                let values: Vec<f64> = arguments.iter().map(of).collect::<Option<_>>()?;
                Some(function.value(&values))
            }
            ExprKind::Parameter(_)
            | ExprKind::Apply { .. }
            | ExprKind::List(_)
            | ExprKind::Vector(_)
            | ExprKind::Component(..)
            | ExprKind::Cases(_)
            | ExprKind::Where(..)
            | ExprKind::ReadOff(_) => None,
        }
    }
}

fn one(quantity: &Quantity) -> Option<f64> {
    match (quantity.shape, quantity.values.as_slice()) {
        (Shape::One, [only]) => Some(quantity.unit.to_si(*only)),
        _ => None,
    }
}
