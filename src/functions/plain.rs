//! Arithmetic of plain numbers in which the rounding of earlier steps decides nothing.

use super::sums::compensated;

/// A sum. What is left of terms that cancel to within two rounding errors is noise, and is 0.
pub fn sum(left: f64, right: f64) -> f64 {
    let sum = left + right;
    let noise = 2.0 * f64::EPSILON * left.abs().max(right.abs());
    if sum.abs() <= noise { 0.0 } else { sum }
}

/// Whether two numbers are one but for the rounding of the steps that led to them.
pub fn is_same(left: f64, right: f64) -> bool {
    (left - right).abs() <= SAME * left.abs().max(right.abs())
}

/// The largest relative difference of two numbers that are one.
pub(super) const SAME: f64 = 1e-12;

/// The whole number that `x` is but for rounding: `0.6/0.2` is 3.
fn whole(x: f64) -> Option<f64> {
    let nearest = x.round();
    is_same(x, nearest).then_some(nearest)
}

pub(super) fn is_whole(x: f64) -> bool {
    whole(x).is_some()
}

pub(super) fn floor(x: f64) -> f64 {
    whole(x).unwrap_or(x.floor())
}

pub(super) fn ceil(x: f64) -> f64 {
    whole(x).unwrap_or(x.ceil())
}

/// Rounded to a whole number, halves away from zero, where a half is one but for rounding.
pub(super) fn round(x: f64) -> f64 {
    match whole(2.0 * x) {
        Some(halves) => (halves / 2.0).round(),
        None => x.round(),
    }
}

pub(super) fn sign(x: f64) -> f64 {
    if x == 0.0 { 0.0 } else { x.signum() }
}

pub(super) fn sin(x: f64) -> f64 {
    zero_near_root(x.sin(), x)
}

pub(super) fn cos(x: f64) -> f64 {
    zero_near_root(x.cos(), x)
}

pub(super) fn tan(x: f64) -> f64 {
    match cos(x) {
        0.0 => f64::INFINITY,
        _ => zero_near_root(x.tan(), x),
    }
}

/// A sine or cosine. At its zeros the rounded angle leaves a residue, which is 0.
fn zero_near_root(value: f64, angle: f64) -> f64 {
    if value.abs() <= f64::EPSILON * angle.abs() {
        0.0
    } else {
        value
    }
}

/// A sum of many; what is left of terms that cancel is 0, as in a [`sum`] of two.
pub(super) fn total(values: &[f64]) -> f64 {
    let total = compensated(values.iter().copied());
    let largest = values
        .iter()
        .fold(0.0, |largest, value| value.abs().max(largest));
    if total.abs() <= 2.0 * f64::EPSILON * largest {
        return 0.0;
    }
    total
}

pub(super) fn mean(values: &[f64]) -> f64 {
    total(values) / values.len() as f64
}

/// The first of the least.
pub(super) fn least(values: &[f64]) -> usize {
    first_of(values, |candidate, best| candidate < best)
}

/// The first of the greatest.
pub(super) fn greatest(values: &[f64]) -> usize {
    first_of(values, |candidate, best| candidate > best)
}

fn first_of(values: &[f64], is_better: fn(f64, f64) -> bool) -> usize {
    let better = |best: usize, at: usize| match is_better(values[at], values[best]) {
        true => at,
        false => best,
    };
    (1..values.len()).fold(0, better)
}

pub(super) fn at(values: &[f64], place: usize) -> f64 {
    values.get(place).copied().unwrap_or(f64::NAN)
}

/// The derivatives of the one value of several that counts.
pub(super) fn only(values: &[f64], place: usize) -> Vec<f64> {
    let slope = |at| if at == place { 1.0 } else { 0.0 };
    (0..values.len()).map(slope).collect()
}
/// How far the greatest and the least number lie apart.
pub(super) fn range(all: &[f64]) -> f64 {
    at(all, greatest(all)) - at(all, least(all))
}

pub(super) fn range_slopes(all: &[f64]) -> Vec<f64> {
    let (high, low) = (only(all, greatest(all)), only(all, least(all)));
    high.iter().zip(low).map(|(high, low)| high - low).collect()
}

/// The places of the numbers, from the least to the greatest.
fn ranked(all: &[f64]) -> Vec<usize> {
    let mut places: Vec<usize> = (0..all.len()).collect();
    places.sort_by(|one, other| all[*one].total_cmp(&all[*other]));
    places
}

/// The number in the middle; between two, their mean.
pub(super) fn median(all: &[f64]) -> f64 {
    let slopes = median_slopes(all);
    let parts = all.iter().zip(slopes).filter(|(_, slope)| *slope != 0.0);
    parts.map(|(number, slope)| number * slope).sum()
}

pub(super) fn median_slopes(all: &[f64]) -> Vec<f64> {
    let places = ranked(all);
    let mut slopes = vec![0.0; all.len()];
    let middle = [all.len().saturating_sub(1) / 2, all.len() / 2];
    for place in middle.iter().filter_map(|at| places.get(*at)) {
        slopes[*place] += 0.5;
    }
    slopes
}

/// The experimental standard deviation (JCGM 100, 4.2.2); of one number there is none.
pub(super) fn standard_deviation(all: &[f64]) -> f64 {
    let mean = mean(all);
    let squares = compensated(all.iter().map(|number| (number - mean).powi(2)));
    (squares / (all.len() as f64 - 1.0)).sqrt()
}

pub(super) fn standard_deviation_slopes(all: &[f64]) -> Vec<f64> {
    let (mean, deviation) = (mean(all), standard_deviation(all));
    let scale = (all.len() as f64 - 1.0) * deviation;
    let slope = |number: &f64| match scale {
        0.0 => 1.0,
        scale => (number - mean) / scale,
    };
    all.iter().map(slope).collect()
}

/// The experimental standard deviation of the mean (JCGM 100, 4.2.3).
pub(super) fn standard_deviation_of_mean(all: &[f64]) -> f64 {
    standard_deviation(all) / (all.len() as f64).sqrt()
}

pub(super) fn standard_deviation_of_mean_slopes(all: &[f64]) -> Vec<f64> {
    let root = (all.len() as f64).sqrt();
    let slopes = standard_deviation_slopes(all).into_iter();
    slopes.map(|slope| slope / root).collect()
}
