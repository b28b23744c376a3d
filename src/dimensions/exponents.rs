//! Exponents as exact numbers: a dimension can only be raised to one of those.

use super::infer::Inference;
use crate::quantity::Exponent;
use crate::resolve::{Expr, ExprKind};
use crate::syntax::Operator;

impl Inference<'_> {
    /// The exact value of a constant exponent, if it is one.
    pub fn exact_value(&self, expr: &Expr) -> Option<Exponent> {
        match &expr.kind {
            ExprKind::Number(value) => {
                decimal(expr.span.of(self.text)).or_else(|| small_whole(*value))
            }
            ExprKind::Numeral(value) => decimal(&value.to_string()).or_else(|| small_whole(*value)),
            ExprKind::Symbol(symbol) => self.exact(*symbol),
            ExprKind::Group(inner) => self.exact_value(inner),
            ExprKind::Negative(inner) => Some(-self.exact_value(inner)?),
            ExprKind::Sum(terms) => {
                let mut sum = Exponent::from_integer(0);
                for term in &**terms {
                    let value = self.exact_value(&term.expr)?;
                    let value = if term.negative { -value } else { value };
                    sum = checked(sum, value, |a, b, c, d| (a * d + c * b, b * d))?;
                }
                Some(sum)
            }
            ExprKind::Product(factors) => {
                let mut product = Exponent::from_integer(1);
                for factor in &**factors {
                    let value = self.exact_value(&factor.expr)?;
                    product = if factor.operator == Operator::Divide {
                        checked(product, value, |a, b, c, d| (a * d, b * c))?
                    } else {
                        checked(product, value, |a, b, c, d| (a * c, b * d))?
                    };
                }
                Some(product)
            }
            _ => None,
        }
    }
}

/// A decimal as written, exactly.
pub(super) fn decimal(text: &str) -> Option<Exponent> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let digits = format!("{whole}{fraction}");
    if digits.is_empty() || digits.len() > 9 || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let denominator = 10_i32.checked_pow(fraction.len() as u32)?;
    Some(Exponent::new(digits.parse().ok()?, denominator))
}

/// A small whole number, however it was written: `²`, `2e0`.
fn small_whole(value: f64) -> Option<Exponent> {
    (value.fract() == 0.0 && value.abs() <= 1000.0).then(|| Exponent::from_integer(value as i32))
}

/// Combines two exact numbers; `None` when the result is too large to be an exponent.
fn checked(
    left: Exponent,
    right: Exponent,
    combine: impl Fn(i64, i64, i64, i64) -> (i64, i64),
) -> Option<Exponent> {
    let (numerator, denominator) = combine(
        i64::from(*left.numer()),
        i64::from(*left.denom()),
        i64::from(*right.numer()),
        i64::from(*right.denom()),
    );
    if denominator == 0 {
        return None;
    }
    let (mut a, mut b) = (numerator.unsigned_abs(), denominator.unsigned_abs());
    while b != 0 {
        (a, b) = (b, a % b);
    }
    let divisor = i64::try_from(a.max(1)).ok()? * denominator.signum();
    Some(Exponent::new(
        i32::try_from(numerator / divisor).ok()?,
        i32::try_from(denominator / divisor).ok()?,
    ))
}
