//! One step of a search for the root of a system.

use super::trial::{Equations, Place};
use crate::statistics::square::{Parts, Square};

/// The most halvings of one step.
const MOST_HALVINGS: u32 = 40;

/// A step shortened to less than this part is given up for a damped one, if that leads lower.
const SHORT: f64 = 0.05;

/// The least part of the promised decrease that a step must keep.
const DECREASE: f64 = 1e-4;

/// The dampings that are tried, as parts of the largest singular value.
const DAMPINGS: [f64; 6] = [1e-4, 1e-3, 1e-2, 0.1, 1.0, 10.0];

/// The longest step downhill, in sizes of the unknowns: one may double, not leave the region.
const LONGEST: f64 = 1.0;

/// The longest step of plain Newton, which is to leave it.
const LONGEST_ONWARD: f64 = 10.0;

/// A place with all that the next step needs.
pub(super) struct Stand {
    pub(super) place: Place,
    pub(super) linear: Square,
    /// The weighted residuals.
    pub(super) residuals: Vec<f64>,
    weights: Vec<f64>,
    /// The step of Newton, or the shortest one if the Jacobian is singular; in sizes of unknowns.
    pub(super) step: Vec<f64>,
    /// The singular Jacobian, taken apart.
    pub(super) singular: Option<Parts>,
}

impl Stand {
    pub(super) fn new<S>(equations: &Equations<'_, S>, place: Place) -> Self {
        let weights = equations.weights(&place);
        let linear = equations.linear(&place, &weights);
        let residuals: Vec<f64> = place
            .residuals
            .iter()
            .zip(&weights)
            .map(|(r, w)| r / w)
            .collect();
        let (step, singular) = match linear.step(&residuals) {
            Some(step) => (step, None),
            None => {
                let parts = linear.parts();
                let none = vec![0.0; residuals.len()];
                (
                    parts
                        .as_ref()
                        .map_or(none, |parts| parts.shortest(&residuals)),
                    parts,
                )
            }
        };
        Self {
            place,
            linear,
            residuals,
            weights,
            step,
            singular,
        }
    }

    /// The sum of the squared residuals of another place, with the weights of this one.
    fn squares(&self, place: &Place) -> f64 {
        place
            .residuals
            .iter()
            .zip(&self.weights)
            .map(|(r, w)| (r / w) * (r / w))
            .sum()
    }

    /// The largest change of an unknown by the full step, in its size.
    pub(super) fn change(&self) -> f64 {
        largest(&self.step)
    }

    /// The next place with smaller residuals: on the step if that leads far enough, otherwise the
    /// best of some steps that are damped after Levenberg and Marquardt.
    pub(super) fn lower<S>(&self, equations: &mut Equations<'_, S>) -> Option<Place> {
        let mut best: Option<(f64, Place)> = None;
        let before = self.squares(&self.place);
        let full = (LONGEST / self.change()).min(1.0);
        let mut part = full;
        for _ in 0..MOST_HALVINGS {
            if let Some(place) = equations.after(&self.place, &self.step, part) {
                let after = self.squares(&place);
                if after < before * (1.0 - DECREASE * part) {
                    if part >= SHORT * full {
                        return Some(place);
                    }
                    best = Some((after, place));
                    break;
                }
            }
            part *= 0.5;
        }
        self.damped(equations, before, best).map(|(_, place)| place)
    }

    fn damped<S>(
        &self,
        equations: &mut Equations<'_, S>,
        before: f64,
        mut best: Option<(f64, Place)>,
    ) -> Option<(f64, Place)> {
        let parts = self.linear.parts()?;
        for damping in DAMPINGS {
            let step = parts.damped(&self.residuals, damping);
            let part = (LONGEST / largest(&step)).min(1.0);
            let Some(place) = equations.after(&self.place, &step, part) else {
                continue;
            };
            let after = self.squares(&place);
            let to_beat = best
                .as_ref()
                .map_or(before * (1.0 - DECREASE * DECREASE), |(b, _)| *b);
            if after < to_beat {
                best = Some((after, place));
            }
        }
        best
    }

    /// The next place of plain Newton, whether or not the residuals get smaller: it may climb out
    /// of a minimum. The step is limited, and halved where the equations have no value.
    pub(super) fn onward<S>(&self, equations: &mut Equations<'_, S>) -> Option<Place> {
        let mut part = (LONGEST_ONWARD / self.change()).min(1.0);
        for _ in 0..MOST_HALVINGS {
            match equations.after(&self.place, &self.step, part) {
                Some(place) => return Some(place),
                None => part *= 0.5,
            }
        }
        None
    }
}

fn largest(step: &[f64]) -> f64 {
    step.iter().fold(0.0, |most, s| s.abs().max(most))
}
