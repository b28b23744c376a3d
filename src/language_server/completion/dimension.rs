//! The dimension of a formula that is being written.
//!
//! In goes the text of one or more sides of an equation, out comes the dimension of the first
//! that can be told from the quantities that are known. Nothing is reported: what cannot be told
//! has none.

use super::{Place, names};
use crate::functions::{Dimensions, Function};
use crate::quantity::{self, Dimension, Exponent, Unit};
use crate::syntax::{self, Expr, ExprKind, Factor, Operator};
use crate::text::Span;

/// The dimension of the first side that has a known one.
pub(super) fn of(place: Place<'_>, sides: &str) -> Option<Dimension> {
    sides.split(['=', '<', '>', '≤', '≥']).find_map(|side| {
        let side = side.trim();
        let expr = syntax::parse_expr(side, Span::new(0, side.len())).ok()?;
        formula(place, &expr)
    })
}

fn formula(place: Place<'_>, expr: &Expr) -> Option<Dimension> {
    match &expr.kind {
        ExprKind::Number(_) | ExprKind::Quantity(_) => Some(Dimension::none()),
        ExprKind::Name(name) | ExprKind::Component(name, _) => named(place, &name.key),
        ExprKind::Sum(terms) => terms.iter().find_map(|term| formula(place, &term.expr)),
        ExprKind::Product(factors) => product(place, factors),
        ExprKind::Power(base, exponent) => power(formula(place, base)?, exponent),
        ExprKind::Negative(inner)
        | ExprKind::Group(inner)
        | ExprKind::Abs(inner)
        | ExprKind::Where(inner, _) => formula(place, inner),
        ExprKind::Call {
            name, arguments, ..
        } => call(place, &name.key, arguments),
        ExprKind::List(parts) | ExprKind::Vector(parts) => {
            parts.iter().find_map(|part| formula(place, part))
        }
        ExprKind::Cases(cases) => cases.iter().find_map(|case| formula(place, &case.value)),
        ExprKind::Constant(words) => {
            let constant = quantity::constant(&words.text)?;
            Some(constant.unit().dimension())
        }
    }
}

fn named(place: Place<'_>, key: &str) -> Option<Dimension> {
    match key {
        "pi" | "inf" => Some(Dimension::none()),
        _ => names::unit_of(place, key).map(Unit::dimension),
    }
}

/// A name that is no quantity may be a unit where a number stands before it.
fn product(place: Place<'_>, factors: &[Factor]) -> Option<Dimension> {
    let mut product = Dimension::none();
    let mut has_number = false;
    for factor in factors {
        let unit = || has_number.then(|| unit(&factor.expr)).flatten();
        let own = formula(place, &factor.expr).or_else(unit)?;
        has_number |= matches!(factor.expr.kind, ExprKind::Number(_));
        product = match factor.operator {
            Operator::Divide => product.over(own),
            Operator::Juxtapose | Operator::Times => product.times(own),
        }?;
    }
    Some(product)
}

fn unit(expr: &Expr) -> Option<Dimension> {
    match &expr.kind {
        ExprKind::Name(name) => Some(Unit::lone(&name.key).ok()?.dimension()),
        ExprKind::Power(base, exponent) => power(unit(base)?, exponent),
        _ => None,
    }
}

fn power(base: Dimension, exponent: &Expr) -> Option<Dimension> {
    if base.is_none() {
        return Some(base);
    }
    base.power(ratio(exponent)?)
}

/// A whole number or a fraction of two.
fn ratio(expr: &Expr) -> Option<Exponent> {
    match &expr.kind {
        ExprKind::Number(number) => whole(number.value).map(Exponent::from_integer),
        ExprKind::Negative(inner) => Some(-ratio(inner)?),
        ExprKind::Group(inner) => ratio(inner),
        ExprKind::Product(factors) => match factors.as_slice() {
            [above, below] if below.operator == Operator::Divide => {
                let below = ratio(&below.expr)?;
                (*below.numer() != 0).then_some(ratio(&above.expr)? / below)
            }
            _ => None,
        },
        _ => None,
    }
}

/// Exponents are small; the product of two of them must not be out of range.
fn whole(value: f64) -> Option<i32> {
    (value.fract() == 0.0 && value.abs() <= 100.0).then_some(value as i32)
}

fn call(place: Place<'_>, name: &str, arguments: &[Expr]) -> Option<Dimension> {
    let first = || formula(place, arguments.first()?);
    match Function::named(name)?.dimensions() {
        Dimensions::Root(degree) => first()?.power(Exponent::new(1, degree)),
        Dimensions::Product | Dimensions::Area => {
            first()?.times(formula(place, arguments.get(1)?)?)
        }
        Dimensions::Slope => {
            let below = formula(place, arguments.get(1)?)?;
            first()?.times(below.power(Exponent::from_integer(-1))?)
        }
        Dimensions::Same | Dimensions::Spread | Dimensions::Pressure | Dimensions::Pick => first(),
        Dimensions::Plain(_)
        | Dimensions::Angle
        | Dimensions::Compared
        | Dimensions::Direction
        | Dimensions::Apart => Some(Dimension::none()),
    }
}
