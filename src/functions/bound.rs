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
        let mut bound = self.row().error * self.value(arguments).abs().max(1.0);
        for (at, error) in errors.iter().copied().enumerate() {
            bound += match self.row().course {
                Course::Smooth => self.slid(arguments, at, error)?,
                Course::Steps | Course::Whole => self.stepped(arguments, at, error)?,
            };
        }
        Some(bound)
    }

    /// Its derivative by each argument with a bound on its error: by how much it differs at either
    /// end of the error of an argument, twice. An error of a few last places is taken for granted,
    /// as a derivative is rounded like one of a place nearby.
    pub(crate) fn measured_slopes(self, arguments: &[Measured]) -> Vec<Measured> {
        let values: Vec<f64> = arguments.iter().map(|argument| argument.value).collect();
        let slopes = self.slopes(&values);
        let mut errors: Vec<f64> = (slopes.iter())
            .map(|slope| slope.abs() * ROUNDING + self.row().error * slope.abs().max(1.0))
            .collect();
        for (at, argument) in arguments.iter().enumerate() {
            let differences = match self.row().course {
                Course::Smooth => self.bent(&values, &slopes, at, argument.error),
                Course::Steps | Course::Whole => {
                    let stays = self.stepped(&values, at, argument.error).is_some();
                    stays.then(|| vec![0.0; slopes.len()])
                }
            };
            for (place, error) in errors.iter_mut().enumerate() {
                *error += differences.as_ref().map_or(f64::INFINITY, |all| all[place]);
            }
        }
        let both = slopes.into_iter().zip(errors);
        both.map(|(value, error)| Measured { value, error })
            .collect()
    }

    /// Twice the difference of each derivative at either end of the error of an argument.
    fn bent(self, arguments: &[f64], slopes: &[f64], at: usize, error: f64) -> Option<Vec<f64>> {
        let least = 2.0 * ROUNDING * arguments.get(at)?.abs() + f64::MIN_POSITIVE;
        let ends = moved(arguments, at, least.max(2.0 * error));
        // Not so of an error that is not a number.
        let is_near = error <= NEAR && ends.iter().all(|end| self.is_defined(end));
        if !is_near {
            return None;
        }
        let [low, high] = ends.map(|end| self.slopes(&end));
        let all = slopes.iter().zip(low.iter().zip(&high));
        let differences =
            all.map(|(here, (low, high))| 2.0 * (low - here).abs().max((high - here).abs()));
        Some(differences.collect())
    }

    /// By the steepest slope at an argument and at either end of its error, twice. An argument
    /// far from zero is known to fewer digits after the point.
    fn slid(self, arguments: &[f64], at: usize, error: f64) -> Option<f64> {
        let slope = |arguments: &[f64]| self.slopes(arguments).get(at).map(|slope| slope.abs());
        let here = slope(arguments)?;
        let own = here.min(1.0) * arguments.get(at)?.abs() * ROUNDING;
        if error == 0.0 {
            return Some(own);
        }
        let ends = moved(arguments, at, 2.0 * error);
        if error > NEAR || !ends.iter().all(|end| self.is_defined(end)) {
            return None;
        }
        let steepest = ends
            .iter()
            .filter_map(|end| slope(end))
            .fold(here, f64::max);
        Some(own + 2.0 * error * steepest)
    }

    /// Nothing, unless a step may lie within the error, or so close that what is whole but for
    /// rounding is taken for whole.
    fn stepped(self, arguments: &[f64], at: usize, error: f64) -> Option<f64> {
        if error == 0.0 {
            return Some(0.0);
        }
        let room = 2.0 * error + 4.0 * SAME * arguments.get(at)?.abs();
        let [low, high] = moved(arguments, at, room).map(|end| self.value(&end));
        (low == high).then_some(0.0)
    }
}

/// The arguments with one of them less and more by so much.
fn moved(arguments: &[f64], at: usize, by: f64) -> [Vec<f64>; 2] {
    [-by, by].map(|by| {
        let mut moved = arguments.to_vec();
        moved.get_mut(at).into_iter().for_each(|x| *x += by);
        moved
    })
}
