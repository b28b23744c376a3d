//! What the solving of equations promises.

mod expression;
mod one_unknown;
mod published;
mod several_unknowns;

use super::{Failure, Root, Solution, between, system};
use expression::{Expr, Undefined, equation};

/// The root of an equation in `x` between two ends.
fn between_text(text: &str, low: f64, high: f64) -> Result<Root, Failure<Undefined>> {
    let expr = equation(text, &["x"]);
    between(&mut |x| Ok(expr.at(&[x])?.value), low, high)
}

/// The root near a start of a function that gives its value with its slope.
fn near<S>(f: &dyn Fn(f64) -> Result<(f64, f64), S>, start: f64) -> Result<Root, Failure<S>> {
    super::near(&mut |x| f(x), &mut |x| f(x).map(|(value, _)| value), start)
}

/// The root of an equation in `x` near a start.
fn near_text(text: &str, start: f64) -> Result<Root, Failure<Undefined>> {
    let expr = equation(text, &["x"]);
    near(
        &|x| expr.at(&[x]).map(|dual| (dual.value, dual.slopes[0])),
        start,
    )
}

/// The root of equations in `x`, `y` and `z`.
fn solve_text(texts: &[&str], start: &[f64]) -> Result<Solution, Failure<Undefined>> {
    let names = &["x", "y", "z"][..start.len()];
    let equations: Vec<Expr> = texts.iter().map(|text| equation(text, names)).collect();
    solve(&equations, start)
}

fn solve(equations: &[Expr], start: &[f64]) -> Result<Solution, Failure<Undefined>> {
    system(&mut |x| linearise(equations, x), start)
}

fn linearise(equations: &[Expr], x: &[f64]) -> Result<super::Linearised, Undefined> {
    let mut residuals = Vec::new();
    let mut jacobian = Vec::new();
    for equation in equations {
        let dual = equation.at(x)?;
        residuals.push(dual.value);
        jacobian.extend(dual.slopes);
    }
    Ok((residuals, jacobian))
}

/// Whether two numbers agree to a part in `1/tolerance`.
fn agree(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance * a.abs().max(b.abs())
}
