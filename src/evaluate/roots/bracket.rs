//! One change of sign: where it is, and whether it is a root.

use super::probe::{Point, Probe, opposite, ulps};
use super::{NOISE, Root, noise};

/// The most steps of [`brent`]; bisection over all of the floating-point numbers takes 2100.
const MOST_STEPS: u32 = 2200;

/// How far from a crossing the function is sampled to judge it, in widths of the final bracket.
const SURROUNDINGS: [f64; 2] = [1024.0, 1_048_576.0];

/// What a change of sign turned out to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Crossing {
    Root(Root),
    /// |f| grows towards the place.
    Pole(f64),
    /// |f| stays away from zero, or has no value in between.
    Jump(f64),
}

/// Narrows the bracket between two points of opposite sign and judges what is there.
pub(super) fn crossing<S>(probe: &mut Probe<'_, S>, low: Point, high: Point) -> Crossing {
    let narrow = brent(probe, low, high);
    let Point { x, y } = narrow.best;
    let root = Root {
        value: x,
        residual: y.abs(),
        iterations: narrow.steps,
    };
    if y == 0.0 {
        Crossing::Root(root)
    } else {
        judge(probe, &narrow, root)
    }
}

/// A bracket that could not be narrowed further.
struct Narrow {
    /// The end with the smaller value.
    best: Point,
    other: Point,
    steps: u32,
}

/// Brent's method: bisection, made faster by secants and inverse parabolas where they are safe.
///
/// R. P. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4, `zero`.
/// Unlike there, a place without a value is passed over for another in the bracket.
fn brent<S>(probe: &mut Probe<'_, S>, low: Point, high: Point) -> Narrow {
    let (mut a, mut b, mut c) = (low, high, low);
    // The last step and the one before it.
    let mut d = b.x - a.x;
    let mut e = d;
    for steps in 0..MOST_STEPS {
        if c.y.abs() < b.y.abs() {
            (a, b, c) = (b, c, b);
        }
        let tolerance = ulps(b.x, 0.0, 1.0);
        let half = 0.5 * (c.x - b.x);
        if half.abs() <= tolerance || b.y == 0.0 {
            return Narrow {
                best: b,
                other: c,
                steps,
            };
        }
        if e.abs() >= tolerance && a.y.abs() > b.y.abs() {
            (d, e) = interpolate(a, b, c, d, e, tolerance);
        } else {
            (d, e) = (half, half);
        }
        let least = tolerance.copysign(half);
        let next = b.x + if d.abs() > tolerance { d } else { least };
        a = b;
        let Some(point) = value_inside(probe, next, b.x, c.x) else {
            return Narrow {
                best: b,
                other: c,
                steps,
            };
        };
        b = point;
        if !opposite(b.y, c.y) && b.y != 0.0 {
            c = a;
            d = b.x - a.x;
            e = d;
        }
    }
    Narrow {
        best: b,
        other: c,
        steps: MOST_STEPS,
    }
}

/// The next step from `b` and the one to remember: by interpolation, or to the middle.
fn interpolate(a: Point, b: Point, c: Point, last: f64, before: f64, tolerance: f64) -> (f64, f64) {
    let half = 0.5 * (c.x - b.x);
    let s = b.y / a.y;
    let (mut p, mut q) = if a.x == c.x {
        (2.0 * half * s, 1.0 - s)
    } else {
        let (q, r) = (a.y / c.y, b.y / c.y);
        (
            s * (2.0 * half * q * (q - r) - (b.x - a.x) * (r - 1.0)),
            (q - 1.0) * (r - 1.0) * (s - 1.0),
        )
    };
    if p > 0.0 {
        q = -q;
    } else {
        p = -p;
    }
    let inside = 2.0 * p < 3.0 * half * q - (tolerance * q).abs();
    if inside && p < (0.5 * before * q).abs() {
        (p / q, last)
    } else {
        (half, half)
    }
}

/// The value at `wanted`, or at another place strictly between `from` and `to`.
fn value_inside<S>(probe: &mut Probe<'_, S>, wanted: f64, from: f64, to: f64) -> Option<Point> {
    if let Some(point) = probe.at(wanted) {
        return Some(point);
    }
    [0.5, 0.25, 0.75, 0.375, 0.625, 0.125, 0.875]
        .into_iter()
        .find_map(|part| {
            let x = from + part * (to - from);
            if x == from || x == to {
                None
            } else {
                probe.at(x)
            }
        })
}

/// Tells a root from a pole and a jump by how |f| changes towards the crossing, on either side.
///
/// Towards a root it falls: by the ratio of the widths at a simple one, by a root of that ratio
/// where the function is steep. At a jump it stays, and at a pole it grows. Where it stays because
/// all of it is rounding (a triple root, multiplied out), it is a root all the same.
fn judge<S>(probe: &mut Probe<'_, S>, narrow: &Narrow, root: Root) -> Crossing {
    let at = root.value;
    let (left, right) = if narrow.best.x < narrow.other.x {
        (narrow.best, narrow.other)
    } else {
        (narrow.other, narrow.best)
    };
    let unit = (right.x - left.x).max(ulps(at, 0.0, 1.0));
    if unit > 8.0 * ulps(at, 0.0, 2.0) {
        // A hole without values is between the ends.
        return Crossing::Jump(at);
    }
    let sides = [side(probe, left, -unit), side(probe, right, unit)];
    let larger = left.y.abs().max(right.y.abs());
    if sides.iter().all(|side| *side == Side::Falls)
        || larger <= NOISE * noise::beside(probe, left.x, right.x, unit)
    {
        Crossing::Root(root)
    } else if sides.contains(&Side::Grows) {
        Crossing::Pole(at)
    } else {
        Crossing::Jump(at)
    }
}

/// What |f| does on the way to a crossing.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Side {
    Falls,
    Stays,
    Grows,
}

/// How |f| changes towards `end` from the surroundings; a place without a value tells nothing.
fn side<S>(probe: &mut Probe<'_, S>, end: Point, unit: f64) -> Side {
    let samples = SURROUNDINGS.map(|distance| probe.at(end.x + distance * unit));
    // From the end outwards.
    let mut inner = end.y.abs();
    let (mut falls, mut grows) = (true, false);
    for outer in samples.iter().flatten().map(|point| point.y.abs()) {
        falls &= 2.0 * inner <= outer;
        grows |= inner > 2.0 * outer;
        inner = outer;
    }
    match (falls, grows) {
        (true, _) => Side::Falls,
        (_, true) => Side::Grows,
        _ => Side::Stays,
    }
}
