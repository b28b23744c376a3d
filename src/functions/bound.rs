//! How far rounding can have moved the value of a function, and its derivatives.

use super::plain::SAME;
use super::row::Course;
use super::{Function, Measured};

/// A relative rounding error of one operation; functions of the system are not always exact to
/// the last bit.
const ROUNDING: f64 = 4.0 * f64::EPSILON;

/// The largest error of an argument over which its slope is taken to be known.
const NEAR: f64 = 0.05;

impl Function {
    /// A bound on the error of the value, beyond its own rounding, where each argument has an
    /// error; `None` where nothing can be said: at the end of the domain, at a step, or where an
    /// error is not small.
    pub fn error(self, arguments: &[f64], errors: &[f64]) -> Option<f64> {
        let own = self.row().error * self.value(arguments).abs().max(1.0);
        let moved = match self.row().course {
            Course::Smooth => self.slid(arguments, errors)?,
            Course::Steps | Course::Whole => self.stepped(arguments, errors)?,
        };
        Some(own + moved)
    }

    /// Its derivative by each argument with a bound on its error: by how much it differs at the
    /// ends of the errors of the arguments, twice. An error of a few last places is taken for
    /// granted, as a derivative is rounded like one of a place nearby.
    pub(crate) fn measured_slopes(self, arguments: &[Measured]) -> Vec<Measured> {
        let values: Vec<f64> = arguments.iter().map(|argument| argument.value).collect();
        let errors: Vec<f64> = arguments.iter().map(|argument| argument.error).collect();
        let slopes = self.slopes(&values);
        let differences = match self.row().course {
            Course::Smooth => self.bent(&values, &slopes, &errors),
            Course::Steps | Course::Whole => {
                let stays = self.stepped(&values, &errors).is_some();
                stays.then(|| vec![0.0; slopes.len()])
            }
        };
        let difference = |at: usize| differences.as_ref().map_or(f64::INFINITY, |all| all[at]);
        (slopes.iter().enumerate())
            .map(|(at, slope)| {
                let own = slope.abs() * ROUNDING + self.row().error * slope.abs().max(1.0);
                Measured {
                    value: *slope,
                    error: own + difference(at),
                }
            })
            .collect()
    }

    /// Twice the difference of each derivative at the ends of the errors of the arguments.
    fn bent(self, arguments: &[f64], slopes: &[f64], errors: &[f64]) -> Option<Vec<f64>> {
        let steps: Vec<f64> = (arguments.iter().zip(errors))
            .map(|(x, error)| (2.0 * ROUNDING * x.abs() + f64::MIN_POSITIVE).max(2.0 * error))
            .collect();
        let ends = self.slopes_at_ends(arguments, slopes, errors, &steps)?;
        let difference = |(at, here): (usize, &f64)| {
            let furthest = ends.iter().map(|end| (end[at] - here).abs());
            2.0 * furthest.fold(0.0, f64::max)
        };
        Some(slopes.iter().enumerate().map(difference).collect())
    }

    /// By the steepest slope at the arguments and at the ends of their errors, twice. An argument
    /// far from zero is known to fewer digits after the point.
    fn slid(self, arguments: &[f64], errors: &[f64]) -> Option<f64> {
        let slopes = self.slopes(arguments);
        let own = slopes.iter().zip(arguments);
        let own: f64 = own
            .map(|(slope, x)| slope.abs().min(1.0) * x.abs() * ROUNDING)
            .sum();
        if errors.iter().all(|error| *error == 0.0) {
            return Some(own);
        }
        let steps: Vec<f64> = errors.iter().map(|error| 2.0 * error).collect();
        let ends = self.slopes_at_ends(arguments, &slopes, errors, &steps)?;
        let moved = slopes
            .iter()
            .zip(&steps)
            .enumerate()
            .map(|(at, (here, step))| {
                let steepest = ends.iter().map(|end| end[at].abs());
                step * steepest.fold(here.abs(), f64::max)
            });
        Some(own + moved.sum::<f64>())
    }

    /// Its derivatives where the arguments are moved by so much each; `None` where an error is not
    /// small, or its domain ends there.
    fn slopes_at_ends(
        self,
        arguments: &[f64],
        slopes: &[f64],
        errors: &[f64],
        steps: &[f64],
    ) -> Option<Vec<Vec<f64>>> {
        // Not so of an error that is not a number.
        if !errors.iter().all(|error| *error <= NEAR) {
            return None;
        }
        (ends(arguments, slopes, steps).into_iter())
            .map(|end| self.is_defined(&end).then(|| self.slopes(&end)))
            .collect()
    }

    /// Nothing, unless a step may lie within the errors, or so close that what is whole but for
    /// rounding is taken for whole.
    fn stepped(self, arguments: &[f64], errors: &[f64]) -> Option<f64> {
        if errors.iter().all(|error| *error == 0.0) {
            return Some(0.0);
        }
        let room = |(x, error): (&f64, &f64)| match *error {
            0.0 => 0.0,
            error => 2.0 * error + 4.0 * SAME * x.abs(),
        };
        let steps: Vec<f64> = arguments.iter().zip(errors).map(room).collect();
        let ends = ends(arguments, &vec![0.0; arguments.len()], &steps);
        let mut values = ends.iter().map(|end| self.value(end));
        let first = values.next()?;
        values.all(|value| value == first).then_some(0.0)
    }
}

/// The arguments moved by so much each, all at once, so that a long list costs no more than its
/// length: up and down the slopes, and where the value does not go with an argument, either way
/// with each. There the greatest of several meets the one that may pass it.
fn ends(arguments: &[f64], slopes: &[f64], steps: &[f64]) -> Vec<Vec<f64>> {
    let is_level = |slope: &f64| *slope == 0.0;
    let all_level = slopes.iter().all(is_level);
    let ways: &[(f64, f64)] = match (all_level, slopes.iter().any(is_level)) {
        (true, _) => &[(0.0, -1.0), (0.0, 1.0)],
        (false, false) => &[(-1.0, 0.0), (1.0, 0.0)],
        (false, true) => &[(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)],
    };
    let moved = |(along, across): &(f64, f64)| {
        let each = arguments.iter().zip(slopes).zip(steps);
        each.map(|((x, slope), step)| match is_level(slope) {
            true => x + across * step,
            false => x + along * slope.signum() * step,
        })
        .collect()
    };
    ways.iter().map(moved).collect()
}
