//! Single changes of an expression, as people get it wrong.
//!
//! In go a formula in the author's form and what may be changed at each of its parts, out come all
//! formulas with one change. Whether a step follows with one is for `proofs` to say, what a result
//! comes to with one for `evaluate`.

use std::sync::Arc;

use super::{Expr, ExprKind, Factor, SymbolId};
use crate::functions::Function;
use crate::syntax::Operator;
use crate::text::Span;

/// One small change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slip {
    /// The other sign of a part.
    Sign,
    /// A factor more.
    Factor(&'static str),
    /// A square more.
    Square,
    /// A square less.
    NoSquare,
    /// A root less.
    NoRoot,
    /// Another function.
    Function(Function, Function),
    /// A ratio the other way up.
    Inverted,
    /// Multiplied with what it is divided by.
    Multiplied,
    /// A term of a sum less.
    NoTerm,
    /// A factor less: a plain number.
    NoNumber,
    /// A factor less: a name, or `pi`.
    NoFactor,
    /// `2 pi` less.
    NoTurn,
}

impl Slip {
    /// What it is, of a part that is written so.
    pub fn told(self, part: &str) -> String {
        match self {
            Self::Sign => format!("the other sign of `{part}`"),
            Self::Factor(factor) => format!("the factor {factor} at `{part}`"),
            Self::Square => format!("the square of `{part}`"),
            Self::NoSquare => format!("`{part}` without its square"),
            Self::NoRoot => format!("`{part}` without its root"),
            Self::Function(from, to) => {
                format!("`{}` instead of `{}` in `{part}`", to.name(), from.name())
            }
            Self::Inverted => format!("the ratio `{part}` the other way up"),
            Self::Multiplied => format!("`{part}` multiplied instead of divided"),
            // A term that is next to nothing in a wrong formula gives the same.
            Self::NoTerm => format!("`{part}` left out or next to nothing"),
            Self::NoNumber => format!("the factor {part} left out"),
            Self::NoFactor => format!("`{part}` left out"),
            Self::NoTurn => "2 pi left out".to_owned(),
        }
    }
}

/// Hands on what a part is changed to, where it stands, and how.
pub type Visit<'v> = dyn FnMut(Expr, Span, Slip) + 'v;

/// Calls `visit` with the expression for every single change in it, of those that `own` makes of a
/// part as a whole.
pub fn each(expr: &Expr, own: &dyn Fn(&Expr, &mut Visit<'_>), visit: &mut Visit<'_>) {
    own(expr, visit);
    let mut at = 0;
    expr.for_each_part(|part| {
        let index = at;
        at += 1;
        each(part, own, &mut |changed, place, slip| {
            let mut whole = expr.clone();
            replace_part(&mut whole, index, changed);
            visit(whole, place, slip);
        });
    });
}

/// Changes of a part of a step: what is left out there is found by what it is.
pub fn of_step(expr: &Expr, visit: &mut Visit<'_>) {
    signs(expr, visit);
    match &expr.kind {
        ExprKind::Symbol(_) => visit(
            with(
                expr,
                ExprKind::Power(Box::new(expr.clone()), Box::new(numeral(expr, 2.0))),
            ),
            expr.span,
            Slip::Square,
        ),
        ExprKind::Product(factors) => inverted(expr, factors, visit),
        _ => {}
    }
    no_square(expr, visit);
    other_function(expr, visit);
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

/// Changes of a part of a line that gives a value, as those make them who compute it by hand.
/// `may_leave_out` says which names may be forgotten as factors.
pub fn of_line(expr: &Expr, may_leave_out: &dyn Fn(SymbolId) -> bool, visit: &mut Visit<'_>) {
    signs(expr, visit);
    no_square(expr, visit);
    no_root(expr, visit);
    other_function(expr, visit);
    match &expr.kind {
        ExprKind::Negative(inner) => visit((**inner).clone(), inner.span, Slip::Sign),
        ExprKind::Sum(terms) => {
            for at in 0..terms.len() {
                let left = without_term(expr, at);
                visit(left, terms[at].expr.span, Slip::NoTerm);
            }
        }
        ExprKind::Product(factors) => {
            inverted(expr, factors, visit);
            for (at, factor) in factors.iter().enumerate() {
                let place = factor.expr.span;
                if factor.operator == Operator::Divide {
                    let mut changed = factors.to_vec();
                    changed[at].operator = Operator::Times;
                    let kind = ExprKind::Product(changed.into());
                    visit(with(expr, kind), place, Slip::Multiplied);
                }
                let slip = match &factor.expr.inside().kind {
                    kind if is_forgotten_number(kind) => Slip::NoNumber,
                    _ if is_factor(&factor.expr, may_leave_out) => Slip::NoFactor,
                    _ => continue,
                };
                visit(without_factors(expr, &[at]), place, slip);
            }
            no_turn(expr, factors, visit);
        }
        _ => {}
    }
}

/// The expression without any of the factors that a name, or `pi`, is; and how often it was one.
/// Nothing where it stands otherwise too, so that leaving it out has no meaning.
pub fn without(expr: &Expr, wanted: &dyn Fn(&Expr) -> bool) -> Option<(Expr, usize)> {
    let mut own = expr.clone();
    let mut count = 0;
    leave_out(&mut own, wanted, &mut count);
    let mut is_left = wanted(own.inside());
    own.for_each_part(|part| is_left |= stands(part, wanted));
    (count > 0 && !is_left).then_some((own, count))
}

/// Whether such a part stands in an expression.
pub fn stands(expr: &Expr, wanted: &dyn Fn(&Expr) -> bool) -> bool {
    let mut found = wanted(expr);
    expr.for_each_part(|part| found = found || stands(part, wanted));
    found
}

fn leave_out(expr: &mut Expr, wanted: &dyn Fn(&Expr) -> bool, count: &mut usize) {
    if let ExprKind::Product(factors) = &expr.kind {
        let is_it = |factor: &Factor| wanted(base(&factor.expr));
        let gone: Vec<usize> = (factors.iter().enumerate())
            .filter(|(_, factor)| is_it(factor))
            .map(|(at, _)| at)
            .collect();
        if !gone.is_empty() {
            *count += gone.len();
            *expr = without_factors(expr, &gone);
        }
    }
    expr.for_each_part_mut(|part| leave_out(part, wanted, count));
}

/// What a power is of.
fn base(expr: &Expr) -> &Expr {
    match &expr.inside().kind {
        ExprKind::Power(base, _) => base.inside(),
        _ => expr.inside(),
    }
}

fn is_factor(expr: &Expr, may_leave_out: &dyn Fn(SymbolId) -> bool) -> bool {
    let base = base(expr);
    matches!(base.kind, ExprKind::Pi) || base.as_symbol().is_some_and(may_leave_out)
}

/// The numbers that are forgotten: those of halves, of circles and of what has two sides.
fn is_forgotten_number(kind: &ExprKind) -> bool {
    matches!(kind, ExprKind::Number(value) | ExprKind::Numeral(value)
        if [0.5, 2.0, 4.0].contains(value))
}

/// The other sign of each term.
fn signs(expr: &Expr, visit: &mut Visit<'_>) {
    let ExprKind::Sum(terms) = &expr.kind else {
        return;
    };
    for (at, term) in terms.iter().enumerate() {
        let mut changed = terms.to_vec();
        changed[at].negative = !term.negative;
        let kind = ExprKind::Sum(changed.into());
        visit(with(expr, kind), term.expr.span, Slip::Sign);
    }
}

fn no_square(expr: &Expr, visit: &mut Visit<'_>) {
    if let ExprKind::Power(base, exponent) = &expr.kind
        && matches!(
            exponent.kind,
            ExprKind::Number(2.0) | ExprKind::Numeral(2.0)
        )
    {
        visit((**base).clone(), expr.span, Slip::NoSquare);
    }
}

fn no_root(expr: &Expr, visit: &mut Visit<'_>) {
    match &expr.kind {
        ExprKind::Call {
            function: Function::Sqrt,
            arguments,
            ..
        } => {
            if let [only] = arguments.as_slice() {
                let kind = ExprKind::Group(Box::new(only.clone()));
                visit(with(expr, kind), expr.span, Slip::NoRoot);
            }
        }
        ExprKind::Power(base, exponent) if is_half(exponent.inside()) => {
            visit((**base).clone(), expr.span, Slip::NoRoot);
        }
        _ => {}
    }
}

fn is_half(exponent: &Expr) -> bool {
    let is = |expr: &Expr, value: f64| matches!(expr.kind, ExprKind::Number(own) | ExprKind::Numeral(own) if own == value);
    match &exponent.kind {
        ExprKind::Product(factors) => matches!(&factors[..],
            [above, below] if below.operator == Operator::Divide
                && is(&above.expr, 1.0) && is(&below.expr, 2.0)),
        _ => is(exponent, 0.5),
    }
}

fn other_function(expr: &Expr, visit: &mut Visit<'_>) {
    let ExprKind::Call {
        function,
        arguments,
        bracketed,
    } = &expr.kind
    else {
        return;
    };
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
    let slip = Slip::Function(*function, other);
    visit(with(expr, kind), expr.span, slip);
}

/// A ratio the other way up: `a/b` as `b/a`.
fn inverted(expr: &Expr, factors: &[Factor], visit: &mut Visit<'_>) {
    for (at, pair) in factors.windows(2).enumerate() {
        let [above, below] = pair else { continue };
        if below.operator != Operator::Divide || above.operator == Operator::Divide {
            continue;
        }
        let mut changed = factors.to_vec();
        changed[at].expr = below.expr.clone();
        changed[at + 1].expr = above.expr.clone();
        let place = above.expr.span.cover(below.expr.span);
        let kind = ExprKind::Product(changed.into());
        visit(with(expr, kind), place, Slip::Inverted);
    }
}

/// `2 pi` left out of a product, be it above or below.
fn no_turn(expr: &Expr, factors: &[Factor], visit: &mut Visit<'_>) {
    let is_below = |factor: &Factor| factor.operator == Operator::Divide;
    let is_two = |factor: &Factor| {
        matches!(
            factor.expr.kind,
            ExprKind::Number(2.0) | ExprKind::Numeral(2.0)
        )
    };
    let is_pi = |factor: &Factor| matches!(factor.expr.kind, ExprKind::Pi);
    let two = factors.iter().position(is_two);
    let pi = factors.iter().position(is_pi);
    if let (Some(two), Some(pi)) = (two, pi)
        && is_below(&factors[two]) == is_below(&factors[pi])
    {
        let place = factors[two].expr.span.cover(factors[pi].expr.span);
        visit(without_factors(expr, &[two, pi]), place, Slip::NoTurn);
    }
}

/// A sum without one of its terms.
fn without_term(expr: &Expr, at: usize) -> Expr {
    let ExprKind::Sum(terms) = &expr.kind else {
        return expr.clone();
    };
    let mut left = terms.to_vec();
    left.remove(at);
    match left.as_slice() {
        [only] if only.negative => with(expr, ExprKind::Negative(Box::new(only.expr.clone()))),
        [only] => only.expr.clone(),
        _ => with(expr, ExprKind::Sum(left.into())),
    }
}

/// A product without some of its factors.
fn without_factors(expr: &Expr, gone: &[usize]) -> Expr {
    let ExprKind::Product(factors) = &expr.kind else {
        return expr.clone();
    };
    let mut left: Vec<Factor> = (factors.iter().enumerate())
        .filter(|(at, _)| !gone.contains(at))
        .map(|(_, factor)| factor.clone())
        .collect();
    match left.first_mut() {
        // What is below stays there.
        Some(first) if first.operator == Operator::Divide => left.insert(
            0,
            Factor {
                operator: Operator::Juxtapose,
                expr: numeral(expr, 1.0),
            },
        ),
        Some(first) => first.operator = Operator::Juxtapose,
        None => return numeral(expr, 1.0),
    }
    match left.as_slice() {
        [only] => only.expr.clone(),
        _ => with(expr, ExprKind::Product(left.into())),
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
