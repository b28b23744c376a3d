//! Arithmetic of plain numbers in which the rounding of earlier steps decides nothing.

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

pub(super) fn total(values: &[f64]) -> f64 {
    values.iter().copied().reduce(sum).unwrap_or(0.0)
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
