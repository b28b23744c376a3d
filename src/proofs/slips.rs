//! The likely slip in a step that does not follow: the step with one small change, which does.

use super::step::Place;
use super::{Verdict, mend, step};
use crate::algebra::Point;
use crate::functions::Function;
use crate::resolve::algebraic::{self, Algebraic};
use crate::resolve::{Expr, ExprKind, Factor, FunctionId, SymbolId};
use crate::syntax::{Axis, Operator};
use crate::text::Span;

/// So many changes that agree at the example are tried to be proved.
const MOST_TRIES: usize = 12;

/// Sides that differ by less than this part are the same number here.
const SAME: f64 = 1e-6;

/// A change of a part of the step.
struct Change {
    members: Vec<Expr>,
    /// The part that was changed.
    place: Span,
    kind: Slip,
}

/// One small change.
#[derive(Clone, Copy)]
pub(super) enum Slip {
    Sign,
    Factor(&'static str),
    Square,
    NoSquare,
    Function(Function, Function),
    Inverted,
}

/// The same verdict, with the slip named where one is found.
pub(super) fn named(place: Place<'_>, members: &[Expr], verdict: Verdict) -> Verdict {
    let book = place.book;
    let Verdict::Refuted {
        values,
        left,
        right,
        ..
    } = verdict
    else {
        return verdict;
    };
    let bodies = |function: FunctionId| book.body(function);
    let mut algebraic = book.algebraic(place.origin, &bodies, &[], None);
    let slip = changes(members)
        .into_iter()
        // What fails at the same numbers need not be tried to be proved.
        .filter(|change| agrees_at(&mut algebraic, &change.members, &values))
        .take(MOST_TRIES)
        .find(|change| step::is_proved(place, &change.members))
        .map(|change| {
            let sides: Vec<Span> = members.iter().map(|member| member.span).collect();
            let fix = mend::fix(book.text, &sides, change.place, change.kind);
            (words(book.text, &change), fix)
        });
    let (slip, fix) = slip.unzip();
    Verdict::Refuted {
        values,
        left,
        right,
        slip,
        fix: fix.flatten(),
    }
}

/// Whether the sides of a step agree at a point; also where that cannot be told.
fn agrees_at(
    algebraic: &mut Algebraic<'_>,
    members: &[Expr],
    values: &[(SymbolId, Option<Axis>, f64)],
) -> bool {
    let sides: Result<Vec<_>, _> = (members.iter())
        .map(|member| algebraic.canonical(member))
        .collect();
    let Ok(sides) = sides else {
        return true;
    };
    let at =
        (values.iter()).map(|(symbol, axis, value)| (algebraic::symbol(*symbol, *axis), *value));
    let mut point = Point::new(at.chain(algebraic.fixed()).collect());
    let numbers: Vec<f64> = (sides.iter())
        .map(|side| point.value(&algebraic.algebra, *side))
        .collect();
    numbers.windows(2).all(|pair| {
        let off = (pair[0] - pair[1]).abs();
        off.is_nan() || off <= SAME * pair[0].abs().max(pair[1].abs())
    })
}

fn words(text: &str, change: &Change) -> String {
    let part = change.place.of(text);
    match change.kind {
        Slip::Sign => format!("it follows with the other sign of `{part}`"),
        Slip::Factor(factor) => format!("it follows with the factor {factor} at `{part}`"),
        Slip::Square => format!("it follows with the square of `{part}`"),
        Slip::NoSquare => format!("it follows with `{part}` without its square"),
        Slip::Function(from, to) => format!(
            "it follows with `{}` instead of `{}` in `{part}`",
            to.name(),
            from.name()
        ),
        Slip::Inverted => format!("it follows with the ratio `{part}` inverted"),
    }
}

/// The step with each single change, signs first.
fn changes(members: &[Expr]) -> Vec<Change> {
    let mut found = Vec::new();
    for at in (0..members.len()).rev() {
        each_change(&members[at], &mut |expr, place, kind| {
            let mut changed = members.to_vec();
            changed[at] = expr;
            found.push(Change {
                members: changed,
                place,
                kind,
            });
        });
    }
    found.sort_by_key(|change| match change.kind {
        Slip::Sign => 0,
        Slip::Factor(_) => 1,
        Slip::Square | Slip::NoSquare => 2,
        Slip::Function(..) => 3,
        Slip::Inverted => 4,
    });
    found
}

/// Calls `visit` with the expression for every single change in it.
fn each_change(expr: &Expr, visit: &mut dyn FnMut(Expr, Span, Slip)) {
    own_changes(expr, visit);
    let mut at = 0;
    expr.for_each_part(|part| {
        let index = at;
        at += 1;
        each_change(part, &mut |changed, place, kind| {
            let mut whole = expr.clone();
            replace_part(&mut whole, index, changed);
            visit(whole, place, kind);
        });
    });
}

fn own_changes(expr: &Expr, visit: &mut dyn FnMut(Expr, Span, Slip)) {
    match &expr.kind {
        ExprKind::Sum(terms) => {
            for (at, term) in terms.iter().enumerate() {
                let mut changed = terms.clone();
                changed[at].negative = !term.negative;
                visit(
                    with(expr, ExprKind::Sum(changed)),
                    term.expr.span,
                    Slip::Sign,
                );
            }
        }
        ExprKind::Symbol(_) => visit(
            with(
                expr,
                ExprKind::Power(Box::new(expr.clone()), Box::new(numeral(expr, 2.0))),
            ),
            expr.span,
            Slip::Square,
        ),
        ExprKind::Power(base, exponent) => {
            if matches!(
                exponent.kind,
                ExprKind::Number(2.0) | ExprKind::Numeral(2.0)
            ) {
                visit((**base).clone(), expr.span, Slip::NoSquare);
            }
        }
        ExprKind::Call {
            function,
            arguments,
            bracketed,
        } => {
            let other = match function {
                Function::Sin => Function::Cos,
                Function::Cos => Function::Sin,
                _ => return,
            };
            let kind = ExprKind::Call {
                function: other,
                arguments: arguments.clone(),
                bracketed: *bracketed,
            };
            visit(
                with(expr, kind),
                expr.span,
                Slip::Function(*function, other),
            );
        }
        ExprKind::Product(factors) => product_changes(expr, factors, visit),
        _ => {}
    }
    if matches!(expr.kind, ExprKind::Product(_) | ExprKind::Symbol(_)) {
        for (factor, value) in [("2", 2.0), ("1/2", 0.5), ("4", 4.0), ("1/4", 0.25)] {
            visit(times(expr, value), expr.span, Slip::Factor(factor));
        }
    }
    if !matches!(expr.kind, ExprKind::Sum(_)) {
        let negative = with(expr, ExprKind::Negative(Box::new(expr.clone())));
        visit(negative, expr.span, Slip::Sign);
    }
}

/// A ratio the other way up: `a/b` as `b/a`.
fn product_changes(expr: &Expr, factors: &[Factor], visit: &mut dyn FnMut(Expr, Span, Slip)) {
    for (at, pair) in factors.windows(2).enumerate() {
        let [above, below] = pair else { continue };
        if below.operator != Operator::Divide || above.operator == Operator::Divide {
            continue;
        }
        let mut changed = factors.to_vec();
        changed[at].expr = below.expr.clone();
        changed[at + 1].expr = above.expr.clone();
        let place = above.expr.span.cover(below.expr.span);
        visit(
            with(expr, ExprKind::Product(changed)),
            place,
            Slip::Inverted,
        );
    }
}

fn with(expr: &Expr, kind: ExprKind) -> Expr {
    Expr {
        span: expr.span,
        kind,
    }
}

fn numeral(expr: &Expr, value: f64) -> Expr {
    with(expr, ExprKind::Numeral(value))
}

fn times(expr: &Expr, value: f64) -> Expr {
    let factor = |expr: Expr| Factor {
        operator: Operator::Juxtapose,
        expr,
    };
    let factors = vec![factor(numeral(expr, value)), factor(expr.clone())];
    with(expr, ExprKind::Product(factors))
}

/// Replaces a direct part, in the order of [`Expr::for_each_part`].
fn replace_part(expr: &mut Expr, index: usize, by: Expr) {
    let part = match &mut expr.kind {
        ExprKind::Sum(terms) => terms.get_mut(index).map(|term| &mut term.expr),
        ExprKind::Product(factors) => factors.get_mut(index).map(|factor| &mut factor.expr),
        ExprKind::Power(base, exponent) => Some(if index == 0 {
            &mut **base
        } else {
            &mut **exponent
        }),
        ExprKind::Negative(inner) | ExprKind::Group(inner) | ExprKind::Abs(inner) => {
            Some(&mut **inner)
        }
        ExprKind::Call { arguments, .. }
        | ExprKind::Apply { arguments, .. }
        | ExprKind::List(arguments)
        | ExprKind::Vector(arguments) => arguments.get_mut(index),
        _ => None,
    };
    if let Some(part) = part {
        *part = by;
    }
}
