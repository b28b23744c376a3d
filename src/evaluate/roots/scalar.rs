//! One equation with one unknown.

use super::bracket::{Crossing, crossing};
use super::probe::{Point, Probe, opposite, ulps};
use super::scan::{Findings, scan};
use super::{FARTHEST, Failure, MOST_ITERATIONS, NOISE, Root, noise};

/// The equal cells into which a bracket is divided.
const CELLS: u32 = 64;

/// The decades below the size of a bracket in which it is also sampled when it reaches zero.
const DECADES: i32 = 9;

/// From this ratio of its ends on a bracket is also divided geometrically.
const WIDE: f64 = 8.0;

/// The most halvings of one Newton step.
const MOST_HALVINGS: u32 = 60;

/// The first distance from the start at which [`near`] looks around, in sizes of the start.
const NEAREST: f64 = 1e-3;

/// The sample places of one shell, on each side of the start; a shell is a decade of distance.
const SHELL: u32 = 24;

/// The root of `f` between `low` and `high`.
///
/// The bracket is sampled at 64 equal cells, and geometrically where it spans decades. Each change
/// of sign is narrowed by Brent's method (R. P. Brent, Algorithms for Minimization without
/// Derivatives, 1973, chapter 4), each minimum of |f| by golden sections. A zero at a sample or at
/// an end counts, and so does one within rounding outside an end. Places at which `f` gives an
/// error are passed over. What is narrower than a cell can be missed.
///
/// # Errors
///
/// [`Failure::Several`] with all the roots, if there are more than one, and
/// [`Failure::Dependent`] if `f` is zero over a stretch.
/// [`Failure::Pole`] and [`Failure::Jump`] if the sign changes, but not at a root;
/// [`Failure::NoSignChange`] if it does not change.
/// [`Failure::Stopped`] if `f` gives an error everywhere, [`Failure::NotFinite`] if it has no
/// finite value anywhere or an end is not finite.
pub fn between<S>(
    f: &mut dyn FnMut(f64) -> Result<f64, S>,
    low: f64,
    high: f64,
) -> Result<Root, Failure<S>> {
    let (low, high) = if low <= high {
        (low, high)
    } else {
        (high, low)
    };
    if !low.is_finite() || !high.is_finite() || !(high - low).is_finite() {
        return Err(Failure::NotFinite {
            at: vec![low, high],
        });
    }
    let mut probe = Probe::new(f);
    let mut findings = scan(&mut probe, &places(low, high));
    let Some((first, last)) = findings.ends else {
        return Err(match probe.stop {
            Some(stop) => Failure::Stopped(stop),
            None => Failure::NotFinite {
                at: vec![low, high],
            },
        });
    };
    if findings.flat {
        return Err(Failure::Dependent {
            equations: vec![0],
            unknowns: vec![0],
        });
    }
    add_ends(&mut probe, &mut findings, first, last);
    match *findings.roots {
        [root] => Ok(root),
        [] => Err(no_root(&findings, first, last)),
        _ => Err(Failure::Several(
            findings.roots.iter().map(|root| root.value).collect(),
        )),
    }
}

/// Where a bracket is sampled, ascending.
fn places(low: f64, high: f64) -> Vec<f64> {
    let width = high - low;
    let mut places: Vec<f64> = (0..CELLS)
        .map(|cell| low + width * f64::from(cell) / f64::from(CELLS))
        .collect();
    places.push(high);
    if low * high > 0.0 {
        let ratio = high / low;
        if !(1.0 / WIDE..=WIDE).contains(&ratio) {
            places.extend((1..CELLS).map(|c| low * ratio.powf(f64::from(c) / f64::from(CELLS))));
        }
    } else {
        places.push(0.0);
        for end in [low, high] {
            places.extend((1..=DECADES).map(|decade| end * 10f64.powi(-decade)));
        }
    }
    places.retain(|x| (low..=high).contains(x));
    places.sort_by(f64::total_cmp);
    places.dedup();
    places
}

/// Adds roots that lie outside an end by rounding only, such as π for sin in a bracket up to π.
fn add_ends<S>(probe: &mut Probe<'_, S>, findings: &mut Findings, first: Point, last: Point) {
    for (end, outwards) in [(first, -1.0), (last, 1.0)] {
        let is_known = findings
            .roots
            .iter()
            .any(|r| (r.value - end.x).abs() <= ulps(end.x, 0.0, 4.0));
        let Some(outside) = probe.at(end.x + outwards * ulps(end.x, 0.0, 4.0)) else {
            continue;
        };
        if is_known || !opposite(outside.y, end.y) {
            continue;
        }
        let (low, high) = if outwards < 0.0 {
            (outside, end)
        } else {
            (end, outside)
        };
        if let Crossing::Root(root) = crossing(probe, low, high) {
            let root = Root {
                value: end.x,
                residual: end.y.abs(),
                ..root
            };
            let place = if outwards < 0.0 {
                0
            } else {
                findings.roots.len()
            };
            findings.roots.insert(place, root);
        }
    }
}

fn no_root<S>(findings: &Findings, first: Point, last: Point) -> Failure<S> {
    match (findings.poles.first(), findings.jumps.first()) {
        (Some(&at), _) => Failure::Pole { at },
        (None, Some(&at)) => Failure::Jump { at },
        (None, None) => Failure::NoSignChange {
            left: first.y,
            right: last.y,
            low: first.x,
            high: last.x,
        },
    }
}

/// The root of `f` nearest to `start`; `f` gives the value and the derivative.
///
/// Newton's method with halved steps finds a candidate. Then the surroundings of the start are
/// searched for a nearer one, from the inside out, in shells of a decade with 24 samples on each
/// side; if Newton found nothing, out to [`FARTHEST`] times the size of the start. So the root is
/// the nearest one but for roots that lie closer together than two samples, about a tenth of
/// their distance from the start.
///
/// `f` gives the value with its slope, `value_only` the same value alone, which costs less.
///
/// A candidate is taken only if `f` changes sign at it without a pole or a jump, or if its value
/// cannot be told from zero: a minimum of |f| above zero is never a root. Steps to where `f` has
/// no value are halved.
///
/// # Errors
///
/// [`Failure::Stopped`] and [`Failure::NotFinite`] if `f` has no value at the start.
/// [`Failure::Dependent`] if `f` is zero all around the start.
/// Without a root, [`Failure::Minimum`], [`Failure::Diverged`] or [`Failure::NotConverged`]: how
/// the search from the start ended.
pub fn near<S>(
    f: &mut dyn FnMut(f64) -> Result<(f64, f64), S>,
    value_only: &mut dyn FnMut(f64) -> Result<f64, S>,
    start: f64,
) -> Result<Root, Failure<S>> {
    let (y, slope) = match start.is_finite().then(|| f(start)) {
        Some(value) => value.map_err(Failure::Stopped)?,
        None => (f64::NAN, f64::NAN),
    };
    if !y.is_finite() {
        return Err(Failure::NotFinite { at: vec![start] });
    }
    let scale = size_of_start(start, y, slope);
    let found = if y == 0.0 {
        Ok(Root {
            value: start,
            residual: 0.0,
            iterations: 0,
        })
    } else {
        newton(f, Tangent { x: start, y, slope }, scale)
    };
    let mut probe = Probe::new(value_only);
    if y == 0.0 && is_flat(&mut probe, start, scale) {
        return Err(Failure::Dependent {
            equations: vec![0],
            unknowns: vec![0],
        });
    }
    let found = found.and_then(|root| confirmed(&mut probe, root, scale));
    let reach = match &found {
        Ok(root) => (root.value - start).abs(),
        Err(_) => FARTHEST * scale,
    };
    match nearer(&mut probe, start, scale, reach) {
        Some(root) => Ok(root),
        None => found,
    }
}

/// The size against which distances from the start are measured.
fn size_of_start(start: f64, y: f64, slope: f64) -> f64 {
    let step = (y / slope).abs();
    if start != 0.0 {
        start.abs()
    } else if step.is_normal() {
        step
    } else {
        1.0
    }
}

fn is_flat<S>(probe: &mut Probe<'_, S>, start: f64, scale: f64) -> bool {
    [-1.0, -0.5, 0.3, 0.9].into_iter().all(|part| {
        probe
            .at(start + part * NEAREST * scale)
            .is_some_and(|point| point.y == 0.0)
    })
}

/// A place with the value and the derivative there.
#[derive(Debug, Clone, Copy)]
struct Tangent {
    x: f64,
    y: f64,
    slope: f64,
}

/// Newton's method, each step halved until |f| falls; the end is still to be judged.
fn newton<S>(
    f: &mut dyn FnMut(f64) -> Result<(f64, f64), S>,
    start: Tangent,
    scale: f64,
) -> Result<Root, Failure<S>> {
    let mut here = start;
    for iterations in 1..=MOST_ITERATIONS {
        let root = Root {
            value: here.x,
            residual: here.y.abs(),
            iterations,
        };
        let step = -here.y / here.slope;
        if here.y == 0.0 || !step.is_finite() || step.abs() <= ulps(here.x, 0.0, 0.5) {
            return Ok(root);
        }
        let longest = FARTHEST * scale;
        let Some(next) = shortened(f, here, step.clamp(-longest, longest)) else {
            return Ok(root);
        };
        here = next;
        if (here.x - start.x).abs() > longest {
            return Err(Failure::Diverged { at: vec![here.x] });
        }
    }
    Err(Failure::NotConverged {
        iterations: MOST_ITERATIONS,
        residual: here.y.abs(),
    })
}

/// The first point on the step, halved again and again, at which |f| is smaller.
fn shortened<S>(
    f: &mut dyn FnMut(f64) -> Result<(f64, f64), S>,
    from: Tangent,
    step: f64,
) -> Option<Tangent> {
    let mut part = 1.0;
    for _ in 0..MOST_HALVINGS {
        let x = from.x + part * step;
        if x == from.x {
            return None;
        }
        match f(x) {
            Ok((y, slope)) if y.abs() < from.y.abs() * (1.0 - 1e-4 * part) => {
                return Some(Tangent { x, y, slope });
            }
            _ => part *= 0.5,
        }
    }
    None
}

/// The candidate, if it is a root.
fn confirmed<S>(probe: &mut Probe<'_, S>, root: Root, scale: f64) -> Result<Root, Failure<S>> {
    let minimum = Failure::Minimum {
        at: vec![root.value],
        residual: root.residual,
    };
    if root.residual == 0.0 {
        return Ok(root);
    }
    let margin = ulps(root.value, scale, 8.0);
    if let (Some(low), Some(high)) = (probe.at(root.value - margin), probe.at(root.value + margin))
        && opposite(low.y, high.y)
    {
        return match crossing(probe, low, high) {
            Crossing::Root(better) => Ok(Root {
                iterations: root.iterations,
                ..better
            }),
            Crossing::Pole(_) | Crossing::Jump(_) => Err(minimum),
        };
    }
    if root.residual <= NOISE * noise::around(probe, root.value, scale) {
        Ok(root)
    } else {
        Err(minimum)
    }
}

/// The root nearest to the start that is not as far as `reach`, shell by shell.
fn nearer<S>(probe: &mut Probe<'_, S>, start: f64, scale: f64, reach: f64) -> Option<Root> {
    let mut inner = 0.0;
    let mut outer = (NEAREST * scale).min(reach);
    while inner < reach {
        let nearest = [-1.0, 1.0]
            .into_iter()
            .flat_map(|side| scan(probe, &shell(start, side * inner, side * outer)).roots)
            .min_by(|a, b| (a.value - start).abs().total_cmp(&(b.value - start).abs()));
        match nearest {
            Some(root) if (root.value - start).abs() < reach => return Some(root),
            _ => {}
        }
        inner = outer;
        outer = (outer * 10.0).min(reach);
    }
    None
}

/// Places between two distances from the start, ascending, and one inside the inner distance, so
/// that a minimum of |f| at the border of two shells is seen.
fn shell(start: f64, inner: f64, outer: f64) -> Vec<f64> {
    let at = |part: f64| {
        let distance = if inner == 0.0 {
            outer * part
        } else {
            inner * (outer / inner).powf(part)
        };
        start + distance
    };
    let mut places: Vec<f64> = (0..=SHELL)
        .map(|place| at(f64::from(place) / f64::from(SHELL)))
        .collect();
    places.push(start + inner * 0.95);
    places.sort_by(f64::total_cmp);
    places.dedup();
    places
}
