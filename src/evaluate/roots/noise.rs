//! How much of a value is rounding.
//!
//! Over a few neighbouring floating-point numbers a smooth function is a straight line, and its
//! third differences vanish: what they show is rounding. For independent errors of size σ they
//! have size √20 σ. After J. J. Moré and S. M. Wild, "Estimating computational noise", SIAM J.
//! Sci. Comput. 33 (2011) 1292-1314, with one order of differences instead of several.

use super::probe::{Probe, ulps};

/// The samples that are taken for one estimate.
pub(super) const SAMPLES: usize = 7;

/// √(1 + 9 + 9 + 1), the growth of independent errors in a third difference.
const GROWTH: f64 = 4.472_135_954_999_579;

/// Where a function is sampled to see how it varies in the large, as parts of the unknown.
pub(super) const WIDELY: [f64; 7] = [-0.15, -0.05, -0.02, 0.0, 0.02, 0.05, 0.15];

/// The largest part of that variation that can be rounding.
pub(super) const LARGEST: f64 = 1e-4;

/// The spacings that are tried, each 16 times the one before: from two floating-point neighbours
/// to a part in 10⁸. Wider ones serve where the function does not move on the narrower, because
/// the unknown is added to something much larger.
pub(super) const SPACINGS: i32 = 7;

/// The spacing of the samples in one of the [`SPACINGS`], as a part of the unknown.
pub(super) fn spacing(index: i32) -> f64 {
    2.0 * f64::EPSILON * 16f64.powi(index)
}

/// The size of the rounding in equally spaced samples of a smooth function; none if they are all
/// the same, which says nothing.
pub(super) fn level(samples: &[f64; SAMPLES]) -> Option<f64> {
    let third = |s: &[f64]| ((s[3] - s[0]) - 3.0 * (s[2] - s[1])).abs() / GROWTH;
    let moves = samples.iter().any(|sample| *sample != samples[0]);
    moves.then(|| samples.windows(4).map(third).fold(0.0, f64::max))
}

/// The rounding of the function around `x`; 0 if it has no value close by.
pub(super) fn around<S>(probe: &mut Probe<'_, S>, x: f64, scale: f64) -> f64 {
    let levels = (0..SPACINGS).map_while(|index| {
        let step = ulps(x, scale, spacing(index) / f64::EPSILON);
        line(probe, x - 3.0 * step, step)
    });
    match levels.flatten().next() {
        Some(level) => level.min(limit(probe, x, scale)),
        None => 0.0,
    }
}

/// The rounding of the function on both sides of a place, each for itself, the smaller of the two:
/// a jump between them is no rounding.
pub(super) fn beside<S>(probe: &mut Probe<'_, S>, left: f64, right: f64, unit: f64) -> f64 {
    let below = line(probe, left - 7.0 * unit, unit)
        .flatten()
        .unwrap_or(0.0);
    let above = line(probe, right + unit, unit).flatten().unwrap_or(0.0);
    below.min(above).min(limit(probe, right, unit))
}

/// The [`level`] over samples from `start` on, `step` apart; none where there is no value.
fn line<S>(probe: &mut Probe<'_, S>, start: f64, step: f64) -> Option<Option<f64>> {
    let mut samples = [0.0; SAMPLES];
    let mut x = start;
    for sample in &mut samples {
        *sample = probe.at(x)?.y;
        x += step;
    }
    Some(level(&samples))
}

/// The most that rounding can be: a small part of how the function varies in the large. A function
/// that is as rough close by as it is far off is not rounded, it is rough.
fn limit<S>(probe: &mut Probe<'_, S>, x: f64, scale: f64) -> f64 {
    let size = if x == 0.0 { scale.abs() } else { x.abs() };
    let values = WIDELY.map(|part| probe.at(x + part * size));
    variation(values.into_iter().flatten().map(|point| point.y)) * LARGEST
}

/// The difference between the largest and the smallest value.
pub(super) fn variation(values: impl Iterator<Item = f64>) -> f64 {
    let ends = (f64::INFINITY, f64::NEG_INFINITY);
    let (least, most) = values.fold(ends, |(least, most), y| (least.min(y), most.max(y)));
    (most - least).max(0.0)
}
