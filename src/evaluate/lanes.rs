//! One number in several trials at once.
//!
//! A program runs on it as on any number, so that a step costs its arithmetic and little more.
//! Where the trials do not all go the same way there is no answer, and each is run by itself:
//! nothing is decided here that would be decided otherwise there.

use std::cmp::Ordering;

use super::number::Number;
use crate::functions::Function;

/// A number in some trials.
#[derive(Debug, Clone)]
pub(super) enum Lanes {
    /// The same in all.
    Same(f64),
    /// One for each.
    Each(Box<[f64]>),
}

impl Lanes {
    /// One number for each trial.
    pub fn each(numbers: impl Iterator<Item = f64>) -> Self {
        Self::Each(numbers.collect())
    }

    /// The number in a trial.
    pub fn at(&self, lane: usize) -> f64 {
        match self {
            Self::Same(number) => *number,
            Self::Each(numbers) => numbers[lane],
        }
    }

    fn map(&self, of: impl Fn(f64) -> f64) -> Self {
        match self {
            Self::Same(number) => Self::Same(of(*number)),
            Self::Each(numbers) => Self::each(numbers.iter().map(|number| of(*number))),
        }
    }

    fn join(&self, other: &Self, of: impl Fn(f64, f64) -> f64) -> Self {
        match (self, other) {
            (_, Self::Same(right)) => self.map(|left| of(left, *right)),
            (Self::Same(left), _) => other.map(|right| of(*left, right)),
            (Self::Each(left), Self::Each(right)) => Self::each(
                left.iter()
                    .zip(right)
                    .map(|(left, right)| of(*left, *right)),
            ),
        }
    }

    /// Whether it is 0 in all trials, or in none.
    fn is_zero(&self) -> Option<bool> {
        match self {
            Self::Same(number) => Some(*number == 0.0),
            Self::Each(numbers) => {
                let zeros = numbers.iter().filter(|number| **number == 0.0).count();
                (zeros == 0 || zeros == numbers.len()).then_some(zeros > 0)
            }
        }
    }

    /// What is so in all trials, where it is the same.
    fn agreed<T: PartialEq>(&self, of: impl Fn(f64) -> Option<T>) -> Option<T> {
        match self {
            Self::Same(number) => of(*number),
            Self::Each(numbers) => agreed(numbers.iter().map(|number| of(*number))),
        }
    }
}

fn agreed<T: PartialEq>(mut found: impl Iterator<Item = Option<T>>) -> Option<T> {
    let first = found.next()??;
    found.all(|it| it.as_ref() == Some(&first)).then_some(first)
}

impl Number for Lanes {
    fn constant(value: f64) -> Self {
        Self::Same(value)
    }

    /// The number where it is the same in all trials, or another that is zero or not as they are:
    /// what asks for more is run by itself. No number where some are zero and others are not.
    fn value(&self) -> f64 {
        self.is_zero().map_or(f64::NAN, |_| self.at(0))
    }

    fn is_known(&self) -> bool {
        let are_finite = match self {
            Self::Same(number) => number.is_finite(),
            // Looking at all of them is quicker than asking after each whether to go on.
            Self::Each(numbers) => numbers.iter().fold(true, |all, it| all & it.is_finite()),
        };
        are_finite && self.is_zero().is_some()
    }

    fn compare(&self, other: &Self) -> Option<Ordering> {
        match (self, other) {
            (_, Self::Same(right)) => self.agreed(|left| left.compare(right)),
            (Self::Same(left), _) => other.agreed(|right| left.compare(&right)),
            (Self::Each(left), Self::Each(right)) => agreed(
                left.iter()
                    .zip(right)
                    .map(|(left, right)| left.compare(right)),
            ),
        }
    }

    fn is_in_domain(&self, function: Function, argument: usize) -> Option<bool> {
        self.agreed(|number| number.is_in_domain(function, argument))
    }

    /// Of whole numbers that differ it is not told: what is made of them hangs on their signs.
    fn is_whole(&self) -> Option<bool> {
        match self {
            Self::Same(number) => number.is_whole(),
            Self::Each(_) => self.agreed(|number| number.is_whole().filter(|whole| !whole)),
        }
    }

    fn around_zero(&self) -> Option<Self> {
        None
    }

    fn told_by(&self, _: &dyn Fn(u32) -> bool) -> Self {
        self.clone()
    }

    fn plus(&self, other: &Self) -> Self {
        self.join(other, |left, right| left.plus(&right))
    }

    fn minus(&self, other: &Self) -> Self {
        self.join(other, |left, right| left.minus(&right))
    }

    fn times(&self, other: &Self) -> Self {
        self.join(other, |left, right| left.times(&right))
    }

    fn over(&self, other: &Self) -> Self {
        self.join(other, |left, right| left.over(&right))
    }

    fn power(&self, other: &Self) -> Self {
        self.join(other, |left, right| left.power(&right))
    }

    fn call(function: Function, arguments: &[Self]) -> Self {
        if let [only] = arguments {
            return only.map(|number| f64::call(function, &[number]));
        }
        let lanes = arguments.iter().find_map(|it| match it {
            Self::Same(_) => None,
            Self::Each(numbers) => Some(numbers.len()),
        });
        let mut row = vec![0.0; arguments.len()];
        let mut called = |lane: usize| {
            for (number, argument) in row.iter_mut().zip(arguments) {
                *number = argument.at(lane);
            }
            f64::call(function, &row)
        };
        match lanes {
            Some(lanes) => Self::each((0..lanes).map(called)),
            None => Self::Same(called(0)),
        }
    }
}
