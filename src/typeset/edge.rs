//! What stands at the two ends of a factor, and what a product needs between neighbours.

use super::Context;
use crate::functions::{Function, Print};
use crate::resolve::{Expr, ExprKind, Factor, Shape, SymbolId};
use crate::syntax::Operator;
use crate::worksheet::Shown;

/// One end of a factor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Edge {
    /// A digit of a plain number.
    Digit,
    /// A unit.
    Unit,
    /// A letter in italics.
    Letter,
    /// An upright word or a function's name.
    Word,
    /// A bracket, a root, an exponent: something closed.
    Closed,
    /// A fraction, or the end of a root's bar.
    Fraction,
}

/// What stands between two factors.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Gap {
    /// Nothing.
    None,
    /// A thin space.
    Thin,
    /// A multiplication sign.
    Times,
}

/// What a product needs between `left` and `right`.
pub(super) fn gap(left: Edge, right: Edge, substituted: bool) -> Gap {
    let numbers_meet = right == Edge::Digit
        || left == Edge::Unit
        || (right == Edge::Fraction && (substituted || left == Edge::Digit))
        || (substituted && left != Edge::Letter && right == Edge::Closed);
    if numbers_meet {
        return Gap::Times;
    }
    let words_meet = left == Edge::Word || right == Edge::Word;
    // `a (b + c)` shall not look like a function of b + c.
    let looks_like_a_call = left == Edge::Letter && right == Edge::Closed;
    if words_meet || looks_like_a_call || left == Edge::Fraction || right == Edge::Fraction {
        return Gap::Thin;
    }
    Gap::None
}

/// Whether it is a number in several parts, `5 ft 3 in` or `2 1/2 in`, which a sign of multiplication
/// beside it would seem to take apart.
pub(super) fn is_in_parts(expr: &Expr, context: &Context) -> bool {
    let has_parts = |number: &str| crate::text::decimal(number).contains(' ');
    match &expr.kind {
        ExprKind::Quantity(quantity) => {
            quantity.shape == Shape::One && has_parts(quantity.number.of(context.text))
        }
        ExprKind::Symbol(id) => context.operand(*id).is_some_and(|shown| {
            shown.shape == Shape::One && shown.written.as_deref().is_some_and(has_parts)
        }),
        ExprKind::Number(_)
        | ExprKind::Numeral(_)
        | ExprKind::Pi
        | ExprKind::Parameter(_)
        | ExprKind::Component(..)
        | ExprKind::Constant(_)
        | ExprKind::Sum(_)
        | ExprKind::Product(_)
        | ExprKind::Power(..)
        | ExprKind::Negative(_)
        | ExprKind::Group(_)
        | ExprKind::Abs(_)
        | ExprKind::Call { .. }
        | ExprKind::Apply { .. }
        | ExprKind::List(_)
        | ExprKind::Vector(_)
        | ExprKind::Cases(_)
        | ExprKind::Where(..)
        | ExprKind::ReadOff(_) => false,
    }
}

/// How `expr` begins as a later factor of a product.
pub(super) fn left(expr: &Expr, context: &Context) -> Edge {
    match &expr.kind {
        ExprKind::Number(_) | ExprKind::Numeral(_) => Edge::Digit,
        ExprKind::Quantity(quantity) if quantity.shape == Shape::One => Edge::Digit,
        ExprKind::Quantity(_) => Edge::Closed,
        ExprKind::Pi => Edge::Letter,
        ExprKind::Symbol(id) => match context.operand(*id) {
            Some(shown) if is_negative(shown) => Edge::Closed,
            Some(_) => Edge::Digit,
            None => symbol(*id, context),
        },
        ExprKind::Parameter(_) => Edge::Letter,
        ExprKind::Component(id, axis) => match context.operand(*id) {
            Some(shown) if is_negative(&shown.component(*axis as usize)) => Edge::Closed,
            Some(_) => Edge::Digit,
            None => symbol(*id, context),
        },
        ExprKind::Constant(_) => Edge::Word,
        ExprKind::Product(factors) => match factors.first() {
            Some(_) if begins_with_fraction(factors) => Edge::Fraction,
            Some(first) => left(&first.expr, context),
            None => Edge::Closed,
        },
        ExprKind::Power(base, _) => match left(base, context) {
            Edge::Digit if right(base, context) != Edge::Digit => Edge::Closed,
            edge => edge,
        },
        ExprKind::Call { function, .. } if is_fence(*function) => Edge::Closed,
        ExprKind::Call { .. } if vector_product(expr).is_some() => Edge::Closed,
        ExprKind::Call { .. } => Edge::Word,
        ExprKind::Apply { function, .. } => context
            .names
            .function(*function)
            .map_or(Edge::Letter, |name| letter_or_word(name.is_word())),
        ExprKind::Sum(_)
        | ExprKind::Negative(_)
        | ExprKind::Group(_)
        | ExprKind::Abs(_)
        | ExprKind::List(_)
        | ExprKind::Vector(_)
        | ExprKind::Cases(_)
        | ExprKind::Where(..)
        | ExprKind::ReadOff(_) => Edge::Closed,
    }
}

/// How `expr` ends.
pub(super) fn right(expr: &Expr, context: &Context) -> Edge {
    match &expr.kind {
        ExprKind::Number(_) | ExprKind::Numeral(_) => Edge::Digit,
        ExprKind::Quantity(quantity) => unit_or_digit(quantity.unit.text().is_empty()),
        ExprKind::Pi | ExprKind::Parameter(_) => Edge::Letter,
        ExprKind::Symbol(id) => match context.operand(*id) {
            Some(shown) if is_negative(shown) => Edge::Closed,
            Some(shown) => unit_or_digit(shown.unit.text().is_empty()),
            None => symbol(*id, context),
        },
        ExprKind::Component(id, axis) => match context.operand(*id) {
            Some(shown) if is_negative(&shown.component(*axis as usize)) => Edge::Closed,
            Some(shown) => unit_or_digit(shown.unit.text().is_empty()),
            None => Edge::Closed,
        },
        ExprKind::Constant(_) => Edge::Word,
        ExprKind::Product(factors) => match factors.last() {
            Some(last) if last.operator == Operator::Divide => Edge::Fraction,
            Some(last) => right(&last.expr, context),
            None => Edge::Closed,
        },
        ExprKind::Call {
            bracketed: false,
            arguments,
            ..
        } => match arguments.last().map(|argument| right(argument, context)) {
            // `sin θ cos θ` needs its space.
            Some(Edge::Letter) | None => Edge::Word,
            Some(edge) => edge,
        },
        ExprKind::Call { .. } if vector_product(expr).is_some() => Edge::Closed,
        ExprKind::Call { function, .. } if matches!(function.print(), Print::Root(_)) => {
            Edge::Fraction
        }
        // `sin(θ) L` needs its space too.
        ExprKind::Call { function, .. } if !is_fence(*function) => Edge::Word,
        ExprKind::Power(..)
        | ExprKind::Sum(_)
        | ExprKind::Negative(_)
        | ExprKind::Group(_)
        | ExprKind::Abs(_)
        | ExprKind::Call { .. }
        | ExprKind::Apply { .. }
        | ExprKind::List(_)
        | ExprKind::Vector(_)
        | ExprKind::Cases(_)
        | ExprKind::Where(..)
        | ExprKind::ReadOff(_) => Edge::Closed,
    }
}

/// Whether `expr` is higher than a line of text, so that its brackets must grow, where fractions
/// are `stacked` or have a solidus.
pub(super) fn is_tall(expr: &Expr, stacked: bool) -> bool {
    match &expr.kind {
        ExprKind::Cases(_) => true,
        ExprKind::Product(factors) if stacked && divides(factors) => true,
        // An exponent stays in its line.
        ExprKind::Power(base, _) => is_tall(base, stacked),
        _ => {
            let mut tall = false;
            expr.for_each_part(|part| tall = tall || is_tall(part, stacked));
            tall
        }
    }
}

/// Whether anything is divided in a product.
pub(super) fn divides(factors: &[Factor]) -> bool {
    factors
        .iter()
        .any(|factor| factor.operator == Operator::Divide)
}

/// Whether a product that is stacked begins with a fraction.
fn begins_with_fraction(factors: &[Factor]) -> bool {
    let (numerator, denominator, _) = next_run(factors);
    !denominator.is_empty() && outside_fraction(numerator) == 0
}

/// Splits a product after its next fraction: numerator, denominator (empty at the end), rest.
pub(super) fn next_run(factors: &[Factor]) -> (&[Factor], &[Factor], &[Factor]) {
    let divides = |factor: &Factor| factor.operator == Operator::Divide;
    // The first factor's operator says nothing.
    let skip = factors.len().min(1);
    let slash = factors
        .iter()
        .skip(skip)
        .position(divides)
        .map_or(factors.len(), |at| at + skip);
    let (numerator, rest) = factors.split_at(slash);
    let end = rest
        .iter()
        .position(|factor| !divides(factor))
        .unwrap_or(rest.len());
    let (denominator, rest) = rest.split_at(end);
    (numerator, denominator, rest)
}

/// How many factors stand before the fraction rather than in its numerator: those up to the
/// last tall one in brackets, so that `f (L/D) V^2/(2 g)` has no fraction in a fraction.
pub(super) fn outside_fraction(numerator: &[Factor]) -> usize {
    let tall = |expr: &Expr| matches!(expr.kind, ExprKind::Group(_)) && is_tall(expr, true);
    let last = numerator.iter().rposition(|factor| tall(&factor.expr));
    match last {
        Some(at) if at + 1 < numerator.len() => at + 1,
        _ => 0,
    }
}

/// Whether a function is set as a root or as fences rather than by its name.
pub(super) fn is_fence(function: Function) -> bool {
    matches!(function.print(), Print::Root(_) | Print::Fence(..))
}

/// The sign and the two sides of a product of vectors, which is set as one rather than by its
/// name.
pub(super) fn vector_product(expr: &Expr) -> Option<(&'static str, &Expr, &Expr)> {
    let ExprKind::Call {
        function,
        arguments,
        ..
    } = &expr.kind
    else {
        return None;
    };
    match (function.print(), arguments.as_slice()) {
        (Print::Between(sign), [left, right]) => Some((sign, left, right)),
        _ => None,
    }
}

/// Whether a value begins with a minus sign. A vector begins with its bracket.
pub(super) fn is_negative(shown: &Shown) -> bool {
    if shown.shape == Shape::Vector {
        return false;
    }
    match (&shown.written, shown.digits.first()) {
        (Some(written), _) => written.trim_start().starts_with(['-', '−']),
        (None, Some(digits)) => digits.layout().negative,
        (None, None) => false,
    }
}

fn symbol(id: SymbolId, context: &Context) -> Edge {
    letter_or_word(context.names.symbol(id).is_some_and(|name| name.is_word()))
}

fn letter_or_word(is_word: bool) -> Edge {
    if is_word { Edge::Word } else { Edge::Letter }
}

fn unit_or_digit(is_plain: bool) -> Edge {
    if is_plain { Edge::Digit } else { Edge::Unit }
}
