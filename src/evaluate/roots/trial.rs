//! A system of equations at a place, in numbers that can be compared.

use std::array::from_fn;

use super::noise::{SAMPLES, SPACINGS};
use super::{Failure, Linearised, NOISE, Scales, noise};
use crate::statistics::square::Square;

/// A residual below this part of the terms of its equation is rounding.
const ROUNDING: f64 = 64.0 * f64::EPSILON;

/// An unknown below this part of its size has become much smaller than it.
const SHRUNK: f64 = 0.1;

/// The caller's function: residuals, and the Jacobian row by row.
pub(super) type Function<'f, S> = dyn FnMut(&[f64]) -> Result<Linearised, S> + 'f;

/// The residuals and the Jacobian at a place.
#[derive(Debug, Clone)]
pub(super) struct Place {
    pub(super) x: Vec<f64>,
    pub(super) residuals: Vec<f64>,
    pub(super) jacobian: Vec<f64>,
}

/// The equations with the sizes of their unknowns.
pub(super) struct Equations<'f, S> {
    function: &'f mut Function<'f, S>,
    /// The sizes of the unknowns at the start.
    sizes: Vec<f64>,
    /// The sizes of the terms, where the caller gave them.
    terms: Vec<f64>,
}

impl<'f, S> Equations<'f, S> {
    /// The equations and their start, which must have a value.
    pub(super) fn new(
        function: &'f mut Function<'f, S>,
        start: &[f64],
        scales: Scales<'_>,
    ) -> Result<(Self, Place), Failure<S>> {
        let (residuals, jacobian) = function(start).map_err(Failure::Stopped)?;
        let count = start.len();
        if residuals.len() != count || jacobian.len() != count * count {
            return Err(Failure::Shape {
                unknowns: count,
                equations: residuals.len(),
            });
        }
        let place = Place {
            x: start.to_vec(),
            residuals,
            jacobian,
        };
        if !place.is_finite() {
            return Err(Failure::NotFinite { at: place.x });
        }
        let sizes = sizes_at_start(&place, scales.unknowns);
        let terms = (0..count)
            .map(|i| given(scales.residuals, i).unwrap_or(0.0))
            .collect();
        Ok((
            Self {
                function,
                sizes,
                terms,
            },
            place,
        ))
    }

    /// The place at `x`; none if there is no finite value.
    pub(super) fn at(&mut self, x: Vec<f64>) -> Option<Place> {
        if !x.iter().all(|x| x.is_finite()) {
            return None;
        }
        let (residuals, jacobian) = (self.function)(&x).ok()?;
        let shape = residuals.len() == x.len() && jacobian.len() == x.len() * x.len();
        let place = Place {
            x,
            residuals,
            jacobian,
        };
        (shape && place.is_finite()).then_some(place)
    }

    /// The place after a step that is given in sizes of the unknowns.
    pub(super) fn after(&mut self, from: &Place, step: &[f64], part: f64) -> Option<Place> {
        let x = (0..step.len())
            .map(|j| from.x[j] + part * step[j] * self.size(from, j))
            .collect();
        self.at(x)
    }

    /// The size of an unknown: what it was at the start, or more if it has grown.
    pub(super) fn size(&self, place: &Place, unknown: usize) -> f64 {
        self.sizes[unknown].max(place.x[unknown].abs())
    }

    /// How often an unknown has outgrown its size at the start, at most.
    pub(super) fn growth(&self, place: &Place) -> f64 {
        place
            .x
            .iter()
            .zip(&self.sizes)
            .map(|(x, size)| x.abs() / size)
            .fold(0.0, f64::max)
    }

    /// The size of the terms of an equation: what the caller says, or what its unknowns
    /// contribute to first order.
    fn terms(&self, place: &Place, equation: usize) -> f64 {
        let contribution = |(j, slope): (usize, &f64)| (slope * self.size(place, j)).abs();
        let sum = place
            .row(equation)
            .iter()
            .enumerate()
            .map(contribution)
            .sum::<f64>();
        sum.max(self.terms[equation])
    }

    /// What the residuals are divided by. A residual counts as no more than its whole equation,
    /// so that a row that is nearly without slope does not drown the others.
    pub(super) fn weights(&self, place: &Place) -> Vec<f64> {
        (0..place.x.len())
            .map(|i| self.terms(place, i).max(place.residuals[i].abs()))
            .map(|size| if size > 0.0 { size } else { 1.0 })
            .collect()
    }

    /// The largest residual as a part of its equation: at most 1.
    pub(super) fn residual(&self, place: &Place) -> f64 {
        let weighted = place
            .residuals
            .iter()
            .zip(self.weights(place))
            .map(|(r, w)| r.abs() / w);
        weighted.fold(0.0, f64::max)
    }

    /// The Jacobian in comparable numbers.
    pub(super) fn linear(&self, place: &Place, weights: &[f64]) -> Square {
        let count = place.x.len();
        let entries: Vec<f64> = (0..count * count)
            .map(|at| place.jacobian[at] * self.size(place, at % count) / weights[at / count])
            .map(|entry| if entry.is_finite() { entry } else { 0.0 })
            .collect();
        Square::new(&entries, count)
    }

    /// Whether every residual is small beside the terms that it is left of.
    pub(super) fn holds(&self, place: &Place) -> bool {
        self.residual(place) <= ROUNDING
    }

    /// Whether no residual can be told from zero by the rounding that the equations show.
    pub(super) fn holds_in_noise(&mut self, place: &Place) -> bool {
        let mut levels = vec![None; place.x.len()];
        for index in 0..SPACINGS {
            let parts: [f64; SAMPLES] = from_fn(|at| (at as f64 - 3.0) * noise::spacing(index));
            let Some(samples) = self.line(place, parts) else {
                break;
            };
            for (known, samples) in levels.iter_mut().zip(&samples) {
                *known = known.or_else(|| noise::level(samples));
            }
        }
        let widely = self.line(place, noise::WIDELY);
        (0..levels.len()).all(|i| {
            let most = widely.as_ref().map_or(f64::INFINITY, |samples| {
                noise::variation(samples[i].iter().copied()) * noise::LARGEST
            });
            let shown = NOISE * levels[i].unwrap_or(0.0).min(most);
            place.residuals[i].abs() <= shown.max(ROUNDING * self.terms(place, i))
        })
    }

    /// The residuals, by equation, where all unknowns are moved by parts of their sizes; none if
    /// one of the places has no value.
    fn line(&mut self, place: &Place, parts: [f64; SAMPLES]) -> Option<Vec<[f64; SAMPLES]>> {
        let mut samples = vec![[0.0; SAMPLES]; place.x.len()];
        for (index, part) in parts.into_iter().enumerate() {
            // Each unknown moves at a pace of its own, so that no difference of them is still.
            let pace: Vec<f64> = (0..place.x.len()).map(|j| 1.0 + 0.5 * j as f64).collect();
            let near = self.after(place, &pace, part)?;
            for (row, residual) in samples.iter_mut().zip(near.residuals) {
                row[index] = residual;
            }
        }
        Some(samples)
    }

    /// Takes the unknowns at a root for their sizes, and says whether one of them is far smaller
    /// than its size was, so that the root may lack digits.
    pub(super) fn resize(&mut self, root: &[f64]) -> bool {
        let mut shrunk = false;
        for (size, x) in self.sizes.iter_mut().zip(root) {
            if x.is_normal() {
                shrunk |= x.abs() < SHRUNK * *size;
                *size = x.abs();
            }
        }
        shrunk
    }
}

impl Place {
    pub(super) fn row(&self, equation: usize) -> &[f64] {
        let count = self.x.len();
        &self.jacobian[equation * count..(equation + 1) * count]
    }

    fn is_finite(&self) -> bool {
        self.residuals
            .iter()
            .chain(&self.jacobian)
            .all(|value| value.is_finite())
    }
}

/// The entry, if the caller gave a usable one.
fn given(scales: &[f64], index: usize) -> Option<f64> {
    scales
        .get(index)
        .copied()
        .filter(|scale| scale.is_finite() && *scale > 0.0)
}

/// The sizes of the unknowns: given, or of the start, or for a start at 0 the smallest change
/// that matters in an equation beside its residual and the other unknowns.
fn sizes_at_start(start: &Place, scales: &[f64]) -> Vec<f64> {
    let known: Vec<f64> = start
        .x
        .iter()
        .enumerate()
        .map(|(j, x)| given(scales, j).unwrap_or(x.abs()))
        .collect();
    let matters = |j: usize| {
        let change = |i: usize| {
            let row = start.row(i);
            let others = (0..row.len())
                .map(|k| (row[k] * known[k]).abs())
                .sum::<f64>();
            (others + start.residuals[i].abs()) / row[j].abs()
        };
        (0..known.len())
            .map(change)
            .filter(|size| size.is_normal())
            .fold(f64::INFINITY, f64::min)
    };
    (0..known.len())
        .map(|j| if known[j] > 0.0 { known[j] } else { matters(j) })
        .map(|size| if size.is_finite() { size } else { 1.0 })
        .collect()
}
