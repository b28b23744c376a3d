//! All the roots that a row of sample places shows.

use super::bracket::{Crossing, crossing};
use super::probe::{Point, Probe, opposite, ulps};
use super::{NOISE, Root, STEP, noise};

/// The most steps of one search for a minimum; golden sections narrow it to nothing in 80.
const MOST_SECTIONS: u32 = 120;

/// The most steps to the end of a domain: as many as a number has binary digits, and some more.
const MOST_HALVINGS: u32 = 60;

/// A minimum whose surroundings are no higher than this many times itself goes no lower.
const FLAT: f64 = 1.0 + 1e-6;

/// The smaller part of a golden section, (3 − √5)/2.
const GOLDEN: f64 = 0.381_966_011_250_105_1;

/// Roots closer than this part of their size may be one root, blurred by rounding.
const BLUR: f64 = 1e-6;

/// What a row of samples showed.
#[derive(Debug, Default)]
pub(super) struct Findings {
    /// Ascending.
    pub(super) roots: Vec<Root>,
    pub(super) poles: Vec<f64>,
    pub(super) jumps: Vec<f64>,
    /// Whether the function is zero over a stretch.
    pub(super) flat: bool,
    /// The first and the last place with a value.
    pub(super) ends: Option<(Point, Point)>,
}

impl Findings {
    fn add(&mut self, crossing: Crossing) {
        match crossing {
            Crossing::Root(root) => self.roots.push(root),
            Crossing::Pole(at) => self.poles.push(at),
            Crossing::Jump(at) => self.jumps.push(at),
        }
    }
}

/// Looks for roots between the first and the last of ascending `places`.
///
/// Found are zeros at a place, changes of sign between neighbours, and minima of |f| that touch
/// zero. Two roots between the same neighbours are found only if |f| has a minimum there.
pub(super) fn scan<S>(probe: &mut Probe<'_, S>, places: &[f64]) -> Findings {
    let samples = sample(probe, places);
    let mut findings = Findings::default();
    if let (Some(first), Some(last)) = (samples.first(), samples.last()) {
        findings.ends = Some((*first, *last));
    }
    for pair in samples.windows(2) {
        if opposite(pair[0].y, pair[1].y) {
            findings.add(crossing(probe, pair[0], pair[1]));
        }
    }
    zeros(probe, &samples, &mut findings);
    for index in 0..samples.len() {
        minimum(probe, &samples, index, &mut findings);
    }
    merge(probe, &mut findings.roots);
    findings
}

/// The points at the places that have a value, and at the ends of the domain between them.
fn sample<S>(probe: &mut Probe<'_, S>, places: &[f64]) -> Vec<Point> {
    let mut samples: Vec<Point> = Vec::with_capacity(places.len());
    let mut before: Option<(f64, Option<Point>)> = None;
    for &x in places {
        let here = probe.at(x);
        match (before, here) {
            (Some((outside, None)), Some(point)) => samples.push(edge(probe, point, outside)),
            (Some((_, Some(point))), None) => {
                let edge = edge(probe, point, x);
                samples.push(edge);
            }
            _ => {}
        }
        samples.extend(here);
        before = Some((x, here));
    }
    samples.dedup_by(|a, b| a.x == b.x);
    samples
}

/// The place farthest from `inside` towards `outside` that still has a value.
fn edge<S>(probe: &mut Probe<'_, S>, mut inside: Point, mut outside: f64) -> Point {
    for _ in 0..MOST_HALVINGS {
        let middle = inside.x + 0.5 * (outside - inside.x);
        if middle == inside.x || middle == outside {
            break;
        }
        match probe.at(middle) {
            Some(point) => inside = point,
            None => outside = middle,
        }
    }
    inside
}

/// Samples that are zero: a root each, unless the function is zero between two of them as well.
fn zeros<S>(probe: &mut Probe<'_, S>, samples: &[Point], findings: &mut Findings) {
    let mut in_stretch = false;
    for (index, point) in samples.iter().enumerate() {
        if point.y != 0.0 {
            in_stretch = false;
            continue;
        }
        let stretch = samples
            .get(index + 1)
            .is_some_and(|next| is_flat(probe, *point, *next));
        findings.flat |= stretch;
        if !stretch && !in_stretch {
            findings.roots.push(Root {
                value: point.x,
                residual: 0.0,
                iterations: 0,
            });
        }
        if !stretch {
            for neighbour in [index.checked_sub(1), Some(index + 1)]
                .into_iter()
                .flatten()
            {
                if let Some(neighbour) = samples.get(neighbour) {
                    beside_zero(probe, *point, *neighbour, findings);
                }
            }
        }
        in_stretch = stretch;
    }
}

/// A second root between a zero and the next sample, if the sign changes once more on the way.
fn beside_zero<S>(probe: &mut Probe<'_, S>, zero: Point, next: Point, findings: &mut Findings) {
    let Some(beside) = probe.at(zero.x + BLUR * (next.x - zero.x)) else {
        return;
    };
    if opposite(beside.y, next.y) {
        findings.add(if beside.x < next.x {
            crossing(probe, beside, next)
        } else {
            crossing(probe, next, beside)
        });
    }
}

fn is_flat<S>(probe: &mut Probe<'_, S>, low: Point, high: Point) -> bool {
    let width = high.x - low.x;
    low.y == 0.0
        && high.y == 0.0
        && [0.5, 0.3, 0.8].into_iter().all(|part| {
            let x = low.x + part * width;
            x != low.x && x != high.x && probe.at(x).is_some_and(|point| point.y == 0.0)
        })
}

/// If |f| has a minimum at this sample without changing sign, looks for a zero there.
fn minimum<S>(probe: &mut Probe<'_, S>, samples: &[Point], index: usize, findings: &mut Findings) {
    let here = samples[index];
    let low = if index == 0 { here } else { samples[index - 1] };
    let high = samples.get(index + 1).copied().unwrap_or(here);
    let higher = |p: Point| p.y * here.y.signum() >= here.y.abs();
    let stands_out = low.y != here.y || high.y != here.y;
    if here.y == 0.0 || !higher(low) || !higher(high) || !stands_out {
        return;
    }
    match descend(probe, low, here, high) {
        Lowest::Below(point) => {
            // |f| dips through zero and comes back: two roots in one cell.
            findings.add(crossing(probe, low, point));
            findings.add(crossing(probe, point, high));
        }
        Lowest::Touches(point) => {
            findings.roots.push(Root {
                value: point.x,
                residual: point.y.abs(),
                iterations: 0,
            });
        }
        Lowest::Above => {}
    }
}

/// How low a minimum of |f| goes.
enum Lowest {
    /// Through zero.
    Below(Point),
    /// To zero, as far as rounding lets one see.
    Touches(Point),
    /// Not to zero.
    Above,
}

/// Narrows a minimum of |f| by golden sections, until it is through zero or cannot be narrowed.
fn descend<S>(probe: &mut Probe<'_, S>, mut low: Point, middle: Point, mut high: Point) -> Lowest {
    let sign = middle.y.signum();
    let scale = high.x - low.x;
    let mut best = middle;
    for _ in 0..MOST_SECTIONS {
        let is_narrow = high.x - low.x <= ulps(best.x, scale, 2.0);
        let is_level = low.y.abs().max(high.y.abs()) <= FLAT * best.y.abs();
        let up = high.x - best.x > best.x - low.x;
        let longer = if up { high.x - best.x } else { low.x - best.x };
        let x = best.x + GOLDEN * longer;
        if is_narrow || is_level || x == best.x || best.y * sign <= 0.0 {
            break;
        }
        // Where there is no value, it is as if it were beyond all bounds.
        let point = probe.at(x).unwrap_or(Point {
            x,
            y: sign * f64::INFINITY,
        });
        let rim = if point.y * sign <= best.y * sign {
            std::mem::replace(&mut best, point)
        } else {
            point
        };
        if rim.x < best.x {
            low = rim;
        } else {
            high = rim;
        }
    }
    if best.y == 0.0 || best.y.abs() <= NOISE * noise::around(probe, best.x, scale) {
        Lowest::Touches(best)
    } else if best.y * sign < 0.0 {
        Lowest::Below(best)
    } else {
        Lowest::Above
    }
}

/// Sorts the roots and makes one of those that are the same.
fn merge<S>(probe: &mut Probe<'_, S>, roots: &mut Vec<Root>) {
    roots.sort_by(|a, b| a.value.total_cmp(&b.value));
    let mut merged: Vec<Root> = Vec::with_capacity(roots.len());
    for &root in roots.iter() {
        match merged.last_mut() {
            Some(last) if is_same(probe, last.value, root.value) => {
                if root.residual < last.residual {
                    *last = root;
                }
            }
            _ => merged.push(root),
        }
    }
    *roots = merged;
}

/// Whether nothing but rounding lies between two roots.
fn is_same<S>(probe: &mut Probe<'_, S>, a: f64, b: f64) -> bool {
    let size = a.abs().max(b.abs());
    if b - a <= STEP * size {
        return true;
    }
    let middle = a + 0.5 * (b - a);
    b - a <= BLUR * size
        && probe
            .at(middle)
            .is_some_and(|point| point.y.abs() <= NOISE * noise::around(probe, middle, b - a))
}
