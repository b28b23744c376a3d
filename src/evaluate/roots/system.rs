//! Several equations with as many unknowns.

use super::stride::Stand;
use super::trial::{Equations, Function, Place};
use super::{Failure, Linearised, MOST_ITERATIONS, MOST_UNKNOWNS, STEP, Scales, Solution};
use crate::statistics::square::Parts;

/// A step that is not this much smaller than the one before it gains no more digits.
const CONTRACTION: f64 = 0.5;

/// As long as a step is this much smaller than the one before it, the next one still gains digits.
const POLISH: f64 = 0.1;

/// How far an unknown may grow, in sizes of its start, before the search is given up.
const BEYOND: f64 = 1e15;

/// How far the unknowns are moved off a start that led nowhere, in their sizes.
const NUDGE: f64 = 0.1;

/// How far from a singular root a second one is looked for, in sizes of the unknowns.
const ASIDE: f64 = 1e-3;

/// The steps that the search for it takes.
const STEPS_ASIDE: u32 = 10;

/// A root of the equations `f`, from `start`.
///
/// `f` gives the residuals and their Jacobian, row by row: entry `n·i + j` is the derivative of
/// residual `i` by unknown `j`. Sizes are found as [`Scales`] says; those who know them use
/// [`system_scaled`].
///
/// # Errors
///
/// As [`system_scaled`].
#[cfg(test)]
pub fn system<S>(
    f: &mut dyn FnMut(&[f64]) -> Result<Linearised, S>,
    start: &[f64],
) -> Result<Solution, Failure<S>> {
    system_scaled(f, start, Scales::default())
}

/// A root of the equations `f`, from `start`, with the sizes that the caller knows.
///
/// Newton's method with steps halved until the weighted sum of squares falls, and with steps
/// damped after Levenberg and Marquardt where the Jacobian is singular or nearly so
/// (J. E. Dennis and R. B. Schnabel, Numerical Methods for Unconstrained Optimization and
/// Nonlinear Equations, 1983, chapters 6 and 10). If that ends at a minimum that is no root, plain
/// Newton is tried from the start, then the first method from starts moved by a tenth; each
/// attempt has at most [`MOST_ITERATIONS`] steps. Which root is found, if there are several, is
/// left to the start: it need not be the nearest one.
///
/// A place is a root if every residual is rounding beside the terms of its equation, and the step
/// is below the resolution of the unknowns or no longer shrinks. At a singular root (a double one)
/// the last holds long before the unknowns are exact; the residual is as it is reported.
///
/// # Errors
///
/// [`Failure::Shape`], [`Failure::Stopped`], [`Failure::NotFinite`] for a start from which nothing
/// can be done.
/// [`Failure::Dependent`] if the root found is one of infinitely many,
/// [`Failure::Inconsistent`] if the equations contradict each other,
/// [`Failure::Minimum`], [`Failure::Diverged`] and [`Failure::NotConverged`] for a search that
/// ended without a root: that of the first attempt.
pub fn system_scaled<S>(
    f: &mut dyn FnMut(&[f64]) -> Result<Linearised, S>,
    start: &[f64],
    scales: Scales<'_>,
) -> Result<Solution, Failure<S>> {
    let unknowns = start.len();
    if unknowns == 0 || unknowns > MOST_UNKNOWNS {
        return Err(Failure::Shape {
            unknowns,
            equations: unknowns,
        });
    }
    if !start.iter().all(|x| x.is_finite()) {
        return Err(Failure::NotFinite { at: start.to_vec() });
    }
    let mut function = |x: &[f64]| f(x);
    let function: &mut Function<'_, S> = &mut function;
    let (mut equations, place) = Equations::new(function, start, scales)?;
    let solution = attempts(&mut equations, place)?;
    Ok(refined(&mut equations, solution))
}

/// The root that the first successful of several searches finds.
fn attempts<S>(equations: &mut Equations<'_, S>, place: Place) -> Result<Solution, Failure<S>> {
    let first = search(equations, place.clone(), Manner::Downhill);
    if is_final(&first) {
        return first;
    }
    let second = search(equations, place.clone(), Manner::Plain);
    if is_final(&second) {
        return second;
    }
    for side in [1.0, -1.0] {
        // No two unknowns are moved alike, to leave any symmetry of the start.
        let nudge: Vec<f64> = (1..=place.x.len())
            .map(|j| side * NUDGE / (j as f64).sqrt())
            .collect();
        if let Some(moved) = equations.after(&place, &nudge, 1.0) {
            let third = search(equations, moved, Manner::Downhill);
            if is_final(&third) {
                return third;
            }
        }
    }
    first
}

/// The root, with the digits that were beyond reach as long as an unknown counted for the size of
/// its start: 1e-9 found from 1.
fn refined<S>(equations: &mut Equations<'_, S>, solution: Solution) -> Solution {
    if !equations.resize(&solution.values) {
        return solution;
    }
    let Some(place) = equations.at(solution.values.clone()) else {
        return solution;
    };
    match search(equations, place, Manner::Downhill) {
        Ok(better) => Solution {
            iterations: solution.iterations + better.iterations,
            ..better
        },
        Err(_) => solution,
    }
}

/// Whether another attempt would be of no use.
fn is_final<S>(result: &Result<Solution, Failure<S>>) -> bool {
    matches!(result, Ok(_) | Err(Failure::Dependent { .. }))
}

/// How a search goes on from a place.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Manner {
    /// Only to smaller residuals.
    Downhill,
    /// Wherever Newton's step leads.
    Plain,
}

fn search<S>(
    equations: &mut Equations<'_, S>,
    start: Place,
    manner: Manner,
) -> Result<Solution, Failure<S>> {
    let mut stand = Stand::new(equations, start);
    let mut always_singular = true;
    let mut before = f64::INFINITY;
    for iterations in 0..MOST_ITERATIONS {
        always_singular &= stand.singular.is_some();
        if has_arrived(equations, &stand, before) {
            return arrived(equations, stand, iterations);
        }
        before = stand.change();
        let next = match manner {
            Manner::Downhill => stand.lower(equations),
            Manner::Plain => stand.onward(equations),
        };
        let Some(next) = next else {
            if equations.holds(&stand.place) || equations.holds_in_noise(&stand.place) {
                return arrived(equations, stand, iterations);
            }
            return Err(stuck(equations, stand, always_singular));
        };
        stand = Stand::new(equations, next);
        if equations.growth(&stand.place) > BEYOND {
            return Err(Failure::Diverged { at: stand.place.x });
        }
    }
    if equations.holds_in_noise(&stand.place) {
        return arrived(equations, stand, MOST_ITERATIONS);
    }
    let residual = equations.residual(&stand.place);
    Err(Failure::NotConverged {
        iterations: MOST_ITERATIONS,
        residual,
    })
}

/// Whether the equations hold and another step would gain nothing.
fn has_arrived<S>(equations: &Equations<'_, S>, stand: &Stand, before: f64) -> bool {
    if !equations.holds(&stand.place) {
        return false;
    }
    let change = stand.change();
    if change > STEP {
        return change > CONTRACTION * before;
    }
    // Below the size of the start; an unknown that became much smaller may gain digits yet.
    let exact = (0..stand.step.len()).all(|j| {
        let step = stand.step[j].abs() * equations.size(&stand.place, j);
        step <= STEP * stand.place.x[j].abs()
    });
    exact || change > POLISH * before
}

/// The solution, unless it is one of a continuum.
fn arrived<S>(
    equations: &mut Equations<'_, S>,
    stand: Stand,
    iterations: u32,
) -> Result<Solution, Failure<S>> {
    if let Some(parts) = &stand.singular
        && is_continued(equations, &stand.place, parts)
    {
        return Err(Failure::Dependent {
            equations: parts.dependent_equations(),
            unknowns: parts.free_unknowns(),
        });
    }
    let residual = equations.residual(&stand.place);
    Ok(Solution {
        values: stand.place.x,
        residual,
        iterations,
    })
}

/// Whether there are more roots beside a singular one, along a direction without effect: the
/// search for them starts aside and must not come back.
fn is_continued<S>(equations: &mut Equations<'_, S>, root: &Place, parts: &Parts) -> bool {
    parts.free_directions().iter().any(|direction| {
        [ASIDE, -ASIDE].into_iter().any(|distance| {
            let Some(aside) = equations.after(root, direction, distance) else {
                return false;
            };
            let mut stand = Stand::new(equations, aside);
            for _ in 0..STEPS_ASIDE {
                if equations.holds(&stand.place) {
                    break;
                }
                match equations.after(&stand.place, &stand.step, 1.0) {
                    Some(place) => stand = Stand::new(equations, place),
                    None => return false,
                }
            }
            let away = |j: usize| {
                ((stand.place.x[j] - root.x[j]) / equations.size(root, j)).abs() >= 0.1 * ASIDE
            };
            equations.holds(&stand.place) && (0..root.x.len()).any(away)
        })
    })
}

/// What a search says that found no further step.
fn stuck<S>(equations: &Equations<'_, S>, stand: Stand, always_singular: bool) -> Failure<S> {
    let residual = equations.residual(&stand.place);
    match &stand.singular {
        Some(parts) if always_singular => Failure::Inconsistent {
            equations: parts.dependent_equations(),
            residual,
        },
        _ => Failure::Minimum {
            at: stand.place.x,
            residual,
        },
    }
}
