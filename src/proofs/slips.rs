//! The likely slip in a step that does not follow: the step with one small change, which does.

use std::sync::Arc;

use super::judge::{Desk, Judge, Values};
use super::mend;
use crate::diagnostic::Fix;
use crate::functions::Function;
use crate::resolve::{Expr, ExprKind, Factor, SymbolId};
use crate::syntax::Operator;
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

/// The change with which a step follows, as an index into all of them; `at` is where it does not
/// hold as it stands.
pub(super) fn found(judge: &Judge<'_>, at: &Values) -> Option<usize> {
    let mut desks = Desks::new(judge);
    changes(&judge.step.members)
        .into_iter()
        .enumerate()
        // What fails at the same numbers need not be tried to be proved.
        .filter(|(_, change)| desks.given.agrees_at(&change.members, at, SAME))
        .take(MOST_TRIES)
        .collect::<Vec<(usize, Change)>>()
        .into_iter()
        .find(|(_, change)| desks.prove(&change.members))
        .map(|(index, _)| index)
}

/// The slip of a step, as an author would say it, and as an edit.
pub(super) fn told(
    text: &str,
    members: &[Expr],
    slip: Option<usize>,
) -> (Option<String>, Option<Fix>) {
    let Some(change) = slip.and_then(|at| changes(members).into_iter().nth(at)) else {
        return (None, None);
    };
    let sides: Vec<Span> = members.iter().map(|member| member.span).collect();
    let fix = mend::fix(text, &sides, change.place, change.kind);
    (Some(words(text, &change)), fix)
}

/// The desks at which changes of a step are tried, one for each set of known signs.
struct Desks<'j, 'q> {
    judge: &'j Judge<'q>,
    given: Desk<'q>,
    taken: Vec<(Vec<SymbolId>, Desk<'q>)>,
}

impl<'j, 'q> Desks<'j, 'q> {
    fn new(judge: &'j Judge<'q>) -> Self {
        Self {
            judge,
            given: judge.desk_of_given(),
            taken: Vec::new(),
        }
    }

    /// Whether a step follows, be it with its symbol, or all, taken to be positive.
    fn prove(&mut self, members: &[Expr]) -> bool {
        self.judge.is_proved(&mut self.given, members)
            || (self.judge.taken(members).into_iter())
                .any(|taken| self.proves_taking(taken, members))
    }

    fn proves_taking(&mut self, taken: Vec<SymbolId>, members: &[Expr]) -> bool {
        let known = self.taken.iter().position(|(of, _)| *of == taken);
        let at = known.unwrap_or_else(|| {
            let desk = self.judge.desk_taking(&taken);
            self.taken.push((taken, desk));
            self.taken.len() - 1
        });
        let judge = self.judge;
        (self.taken.get_mut(at)).is_some_and(|(_, desk)| judge.is_proved(desk, members))
    }
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
                let mut changed = terms.to_vec();
                changed[at].negative = !term.negative;
                visit(
                    with(expr, ExprKind::Sum(changed.into())),
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
            with(expr, ExprKind::Product(changed.into())),
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
    let factors = [factor(numeral(expr, value)), factor(expr.clone())];
    with(expr, ExprKind::Product(Arc::new(factors)))
}

/// Replaces a direct part, in the order of [`Expr::for_each_part`].
fn replace_part(expr: &mut Expr, index: usize, by: Expr) {
    let mut by = Some(by);
    let mut at = 0;
    expr.for_each_part_mut(|part| {
        if at == index
            && let Some(by) = by.take()
        {
            *part = by;
        }
        at += 1;
    });
}
