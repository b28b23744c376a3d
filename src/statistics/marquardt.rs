//! The least sum of squares of residuals that are no linear functions of their parameters, by the
//! method of Levenberg and Marquardt in a region of trust (Moré 1978).
//!
//! Steps are measured by the largest derivatives so far, so that units do not matter; the region
//! grows and shrinks with the gain: what a step gained of what was foreseen.
//! It ends when the residuals are perpendicular to the tangent plane (Bates and Watts 1981), or
//! where rounding leaves no progress.

use nalgebra::{DMatrix, DVector, SVD};

/// The most steps that are tried.
pub const MOST_STEPS: u32 = 2000;

/// The offset of Bates and Watts at which the search ends.
pub const OFFSET: f64 = 1e-8;

/// The first region of trust, in sizes of the start. Moré takes up to 100; a farther first step
/// than the start is large jumps over the pole of a formula.
const FIRST_REGION: f64 = 1.0;

/// What a step has to gain of what is foreseen.
const LEAST_GAIN: f64 = 1e-4;

/// How near the length of a step is to the region's.
const LENGTH: f64 = 0.1;

/// What is sought.
pub trait Problem {
    /// What is known at a place.
    type At;
    /// What is known at parameters; none where a residual has no value.
    fn at(&self, parameters: &[f64]) -> Option<Self::At>;
    /// The residuals there.
    fn residuals<'a>(&self, at: &'a Self::At) -> &'a [f64];
    /// What the residuals fall by with each parameter there, column by column.
    fn tangent(&self, at: &Self::At) -> Option<Vec<Vec<f64>>>;
}

/// The two ends that a parameter stays between.
pub type Bounds = [f64; 2];

/// Where a search ended.
#[derive(Debug, Clone, PartialEq)]
pub struct End<A> {
    /// The parameters.
    pub parameters: Vec<f64>,
    /// What is known there.
    pub at: A,
    /// How many steps were tried.
    pub steps: u32,
    /// Whether it came to an end by itself.
    pub is_end: bool,
}

/// The parameters with the least squares, from a start within the bounds; none where the start has
/// no value.
pub fn least<P: Problem>(problem: &P, start: &[f64], bounds: &[Bounds]) -> Option<End<P::At>> {
    let at = problem.at(start)?;
    let mut search = Search {
        problem,
        bounds,
        tangent: tangent(problem, &at)?,
        at,
        parameters: start.to_vec(),
        scales: vec![0.0; start.len()],
        region: None,
        damping: 0.0,
    };
    let mut steps = 0;
    let mut is_end = start.is_empty();
    while !is_end && steps < MOST_STEPS {
        is_end = search.advance(&mut steps)?;
    }
    Some(End {
        parameters: search.parameters,
        at: search.at,
        steps,
        is_end,
    })
}

/// The tangent, where it has numbers.
fn tangent<P: Problem>(problem: &P, at: &P::At) -> Option<Vec<Vec<f64>>> {
    let found = problem.tangent(at);
    found.filter(|tangent| tangent.iter().flatten().all(|entry| entry.is_finite()))
}

struct Search<'a, P: Problem> {
    problem: &'a P,
    bounds: &'a [Bounds],
    at: P::At,
    tangent: Vec<Vec<f64>>,
    parameters: Vec<f64>,
    /// The largest size so far of each column of the tangent.
    scales: Vec<f64>,
    region: Option<f64>,
    damping: f64,
}

/// The tangent with its columns divided by their scales, taken apart.
struct Parts {
    /// The residuals along the singular directions, and those directions in scaled parameters.
    along: DVector<f64>,
    sizes: DVector<f64>,
    directions: DMatrix<f64>,
}

impl<P: Problem> Search<'_, P> {
    /// One step that gains, or the end; how many were tried is counted. Whether it is the end.
    fn advance(&mut self, steps: &mut u32) -> Option<bool> {
        let residuals = DVector::from_column_slice(self.problem.residuals(&self.at));
        let square = residuals.norm_squared();
        let matrix = self.scaled(&residuals);
        let parts = Parts::of(&matrix, &residuals)?;
        if square == 0.0 || parts.offset(square, matrix.nrows()) < OFFSET {
            return Some(true);
        }
        let size = self.size(&self.parameters);
        let mut region = self.region.unwrap_or(match size > 0.0 {
            true => FIRST_REGION * size,
            false => FIRST_REGION,
        });
        loop {
            *steps += 1;
            self.damping = parts.damping(region, self.damping);
            let scaled = parts.step(self.damping);
            let next = self.moved(&scaled);
            let step = self.scaled_step(&next);
            let length = step.norm();
            if self.region.is_none() {
                region = region.min(length);
            }
            let change = &matrix * &step;
            let foreseen = (2.0 * residuals.dot(&change) - change.norm_squared()) / square;
            let found = self.problem.at(&next);
            let left = found.as_ref().map(|at| {
                let left = self.problem.residuals(at).iter().map(|r| r * r);
                left.sum::<f64>() / square
            });
            let gained = left.filter(|left| left.is_finite()).map(|left| 1.0 - left);
            let gain = gained.map_or(-1.0, |gained| gained / foreseen);
            // A place from which there is no further step is none to go to.
            let there = found.filter(|_| gain >= LEAST_GAIN);
            let there = there.and_then(|at| Some((tangent(self.problem, &at)?, at)));
            let gain = if there.is_some() { gain } else { gain.min(0.0) };
            if gain.is_nan() || gain <= 0.25 {
                let shrink = shrinking(gained, foreseen);
                region = shrink * region.min(length / LENGTH);
                self.damping /= shrink;
            } else if self.damping == 0.0 || gain >= 0.75 {
                region = length / 0.5;
                self.damping *= 0.5;
            }
            self.region = Some(region);
            if let Some((tangent, at)) = there {
                (self.parameters, self.tangent, self.at) = (next, tangent, at);
                let is_small = gained.is_some_and(|gained| gained.abs() <= f64::EPSILON)
                    && foreseen <= f64::EPSILON;
                return Some(is_small || length <= f64::EPSILON * size);
            }
            let is_spent = region <= f64::EPSILON * size || foreseen <= f64::EPSILON;
            if is_spent || *steps >= MOST_STEPS {
                return Some(is_spent);
            }
        }
    }

    /// The tangent in scaled parameters. A parameter at its bound that would leave has no column.
    fn scaled(&mut self, residuals: &DVector<f64>) -> DMatrix<f64> {
        let entries = self.tangent.iter().flatten().copied();
        let mut matrix = DMatrix::from_iterator(residuals.len(), self.tangent.len(), entries);
        for (j, mut column) in matrix.column_iter_mut().enumerate() {
            self.scales[j] = self.scales[j].max(column.norm());
            let [low, high] = self.bounds[j];
            let falls = column.dot(residuals);
            let leaves = (self.parameters[j] <= low && falls < 0.0)
                || (self.parameters[j] >= high && falls > 0.0);
            if leaves || self.scales[j] == 0.0 {
                column.fill(0.0);
            } else {
                column /= self.scales[j];
            }
        }
        matrix
    }

    fn size(&self, parameters: &[f64]) -> f64 {
        let parts = parameters.iter().zip(&self.scales);
        let squares = parts.map(|(parameter, scale)| (parameter * scale).powi(2));
        squares.sum::<f64>().sqrt()
    }

    fn moved(&self, step: &DVector<f64>) -> Vec<f64> {
        let parts = self.parameters.iter().zip(step.iter()).enumerate();
        parts
            .map(|(j, (parameter, step))| {
                let [low, high] = self.bounds[j];
                let step = if self.scales[j] > 0.0 {
                    step / self.scales[j]
                } else {
                    0.0
                };
                (parameter + step).clamp(low, high)
            })
            .collect()
    }

    fn scaled_step(&self, next: &[f64]) -> DVector<f64> {
        let parts = next.iter().zip(&self.parameters).zip(&self.scales);
        let steps = parts.map(|((next, now), scale)| (next - now) * scale);
        DVector::from_iterator(next.len(), steps)
    }
}

/// By how much the region shrinks: to where a parabola through what is known has its least.
fn shrinking(gained: Option<f64>, foreseen: f64) -> f64 {
    let Some(gained) = gained else {
        return 0.1;
    };
    // The slope along the step, in parts of the sum of squares.
    let slope = -foreseen;
    let shrink = match gained >= 0.0 {
        true => 0.5,
        false => 0.5 * slope / (slope + 0.5 * gained),
    };
    if shrink.is_nan() {
        0.1
    } else {
        shrink.clamp(0.1, 0.5)
    }
}

impl Parts {
    fn of(matrix: &DMatrix<f64>, residuals: &DVector<f64>) -> Option<Self> {
        const MOST_SWEEPS: usize = 500;
        let factors = matrix.clone().qr();
        let along = factors.q().tr_mul(residuals);
        let parts = SVD::try_new(factors.r(), true, true, f64::EPSILON, MOST_SWEEPS)?;
        Some(Self {
            along: parts.u?.tr_mul(&along),
            sizes: parts.singular_values,
            directions: parts.v_t?.transpose(),
        })
    }

    fn counts(&self, size: f64) -> bool {
        size > 4.0 * f64::EPSILON * self.sizes.max()
    }

    /// The tangent of the angle between residuals and tangent plane, by their dimensions.
    fn offset(&self, square: f64, rows: usize) -> f64 {
        let sizes = self.sizes.iter().zip(self.along.iter());
        let within: f64 = sizes
            .filter(|(size, _)| self.counts(**size))
            .map(|(_, along)| along * along)
            .sum();
        let count = self.sizes.len() as f64;
        let beside = (square - within).max(f64::EPSILON * square);
        ((within / count) / (beside / (rows as f64 - count).max(1.0))).sqrt()
    }

    /// The step with this damping, in scaled parameters.
    fn step(&self, damping: f64) -> DVector<f64> {
        let parts = self.sizes.iter().zip(self.along.iter());
        let along = parts.map(|(&size, along)| match self.counts(size) {
            true => along * size / (size * size + damping),
            false => 0.0,
        });
        &self.directions * DVector::from_iterator(self.sizes.len(), along)
    }

    /// The damping with which the step is as long as the region, but for a tenth; 0 where the
    /// undamped one is no longer.
    fn damping(&self, region: f64, last: f64) -> f64 {
        const MOST: usize = 20;
        if self.step(0.0).norm() <= (1.0 + LENGTH) * region {
            return 0.0;
        }
        let gradient = self.sizes.component_mul(&self.along).norm();
        let (mut low, mut high) = (0.0, gradient / region);
        let mut damping = if last > 0.0 && last < high {
            last
        } else {
            1e-3 * high
        };
        for _ in 0..MOST {
            let length = self.step(damping).norm();
            let beyond = length - region;
            if beyond.abs() <= LENGTH * region {
                break;
            }
            if beyond > 0.0 {
                low = damping;
            } else {
                high = damping;
            }
            // Newton's step of 1/length, which is nearly straight.
            let parts = self.sizes.iter().zip(self.along.iter());
            let curve: f64 = parts
                .filter(|(size, _)| self.counts(**size))
                .map(|(size, along)| (size * along).powi(2) / (size * size + damping).powi(3))
                .sum();
            let newton = damping + length * length * beyond / (region * curve);
            damping = match newton > low && newton < high {
                true => newton,
                false => (0.001 * high).max((low * high).sqrt()),
            };
        }
        damping
    }
}
