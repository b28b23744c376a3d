//! Trials of a model with drawn inputs (JCGM 101): how many, and what comes of them.
//!
//! A trial is a function of its number. Blocks of trials are run by as many threads as there are,
//! and judged in their order, so that the result hangs neither on the threads nor on their speed.

use std::ops::Range;

use rayon::prelude::*;

use super::intervals::{Interval, shortest, symmetric};
use super::spread::{mean, standard_deviation, standard_deviation_of_mean};

/// The trials of a block (7.9.4 b).
pub const BLOCK: u64 = 10_000;

/// The most trials that are run.
pub const MOST: u64 = 10_000_000;

/// Blocks that are run together where it is not known how many are needed.
const AT_ONCE: u64 = 8;

/// What came of some trials.
#[derive(Debug, Clone, PartialEq)]
pub struct Trials {
    /// The values, in the order of the trials; without those of trials that had none.
    pub values: Vec<f64>,
    /// How many trials were run.
    pub count: u64,
    /// How many of them had no value.
    pub without: u64,
    /// The first of those.
    pub first_without: Option<u64>,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation.
    pub uncertainty: f64,
    /// The interval with as much below as above it.
    pub symmetric: Interval,
    /// The shortest interval.
    pub shortest: Interval,
    /// By which factor the numerical tolerance of two figures is kept or missed: at most 1 where
    /// the trials settle both figures (7.9.4 i).
    pub unsettled: f64,
}

impl Trials {
    /// Whether the two figures of the uncertainty are settled.
    pub fn is_settled(&self) -> bool {
        self.unsettled <= 1.0
    }

    /// About how many trials settle two figures, to one figure upward.
    pub fn wanted(&self) -> f64 {
        let wanted = self.count as f64 * self.unsettled.powi(2);
        let figure = 10_f64.powf(wanted.log10().floor());
        (wanted / figure).ceil() * figure
    }
}

/// So many trials. `block` runs those with these numbers; a trial without a value is NaN. None
/// where fewer than two trials have a value.
pub fn run<F>(count: u64, coverage: f64, block: F) -> Option<Trials>
where
    F: Fn(Range<u64>) -> Vec<f64> + Sync,
{
    let mut course = Course::new(coverage);
    for summary in blocks(0..count, &block) {
        course.take(summary);
    }
    course.finish()
}

/// As many blocks as settle two figures of the uncertainty (7.9), at least two and at most
/// [`MOST`] trials.
pub fn run_until_settled<F>(coverage: f64, block: F) -> Option<Trials>
where
    F: Fn(Range<u64>) -> Vec<f64> + Sync,
{
    let mut course = Course::new(coverage);
    while course.count < MOST {
        let end = (course.count + AT_ONCE * BLOCK).min(MOST);
        for summary in blocks(course.count..end, &block) {
            course.take(summary);
            if course.unsettled() <= 1.0 {
                return course.finish();
            }
        }
    }
    course.finish()
}

/// The blocks of these trials, run in parallel, in their order.
fn blocks<F>(trials: Range<u64>, block: &F) -> Vec<Vec<f64>>
where
    F: Fn(Range<u64>) -> Vec<f64> + Sync,
{
    let starts: Vec<u64> = trials.clone().step_by(BLOCK as usize).collect();
    let run = |&start: &u64| block(start..(start + BLOCK).min(trials.end));
    starts.par_iter().map(run).collect()
}

/// The blocks so far.
struct Course {
    coverage: f64,
    count: u64,
    values: Vec<f64>,
    without: u64,
    first_without: Option<u64>,
    /// Of each whole block: mean, standard deviation, both ends.
    blocks: [Vec<f64>; 4],
    /// The sums of the first two powers of the values less the first, which tell the standard
    /// deviation of all so far well enough for its tolerance.
    sums: [f64; 2],
}

impl Course {
    fn new(coverage: f64) -> Self {
        Self {
            coverage,
            count: 0,
            values: Vec::new(),
            without: 0,
            first_without: None,
            blocks: Default::default(),
            sums: [0.0; 2],
        }
    }

    fn take(&mut self, mut block: Vec<f64>) {
        let trials = block.len() as u64;
        if let Some(place) = block.iter().position(|value| !value.is_finite()) {
            self.first_without = self.first_without.or(Some(self.count + place as u64));
            block.retain(|value| value.is_finite());
            self.without += trials - block.len() as u64;
        }
        self.count += trials;
        self.values.extend_from_slice(&block);
        let Some(&first) = self.values.first() else {
            return;
        };
        for value in &block {
            self.sums[0] += value - first;
            self.sums[1] += (value - first).powi(2);
        }
        let (mean, deviation) = (mean(&block), standard_deviation(&block));
        let ends = symmetric(&mut block, self.coverage);
        if let Some(ends) = ends.filter(|_| trials == BLOCK) {
            let numbers = [mean, deviation, ends.low, ends.high];
            for (all, number) in self.blocks.iter_mut().zip(numbers) {
                all.push(number);
            }
        }
    }

    fn deviation(&self) -> f64 {
        let count = self.values.len() as f64;
        let [sum, squares] = self.sums;
        ((squares - sum * sum / count) / (count - 1.0))
            .max(0.0)
            .sqrt()
    }

    /// Twice the largest standard deviation of the mean of the four numbers, in numerical
    /// tolerances.
    fn unsettled(&self) -> f64 {
        if self.blocks[0].len() < 2 {
            return f64::INFINITY;
        }
        let tolerance = tolerance(self.deviation());
        let spreads = self.blocks.iter().map(|of| standard_deviation_of_mean(of));
        let most = spreads.fold(0.0, f64::max);
        if most == 0.0 {
            0.0
        } else {
            2.0 * most / tolerance
        }
    }

    fn finish(self) -> Option<Trials> {
        let mut values = self.values.clone();
        Some(Trials {
            mean: mean(&values),
            uncertainty: standard_deviation(&values),
            symmetric: symmetric(&mut values, self.coverage)?,
            shortest: shortest(&mut values, self.coverage)?,
            unsettled: self.unsettled(),
            count: self.count,
            without: self.without,
            first_without: self.first_without,
            values: self.values,
        })
    }
}

/// Half a unit of the second figure (7.9.2).
fn tolerance(uncertainty: f64) -> f64 {
    // To two figures first, so that 9.96 counts as 10.
    let power = uncertainty.log10().floor();
    let figures = (uncertainty / 10_f64.powf(power - 1.0)).round();
    let power = if figures >= 100.0 { power + 1.0 } else { power };
    0.5 * 10_f64.powf(power - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::philox::Source;

    fn sum_of_four(trials: Range<u64>) -> Vec<f64> {
        let draw = |trial| {
            let normals = (0..4).map(|part| Source { key: 11 }.normal(trial, part));
            normals.sum()
        };
        trials.map(draw).collect()
    }

    /// JCGM 101, 9.2.2: four standard normal inputs; u = 2.0, ±3.92 for 95 %.
    #[test]
    fn a_sum_of_normal_inputs() {
        let trials = run_until_settled(0.95, sum_of_four).unwrap();
        assert!(trials.is_settled());
        assert!((trials.uncertainty - 2.0).abs() < 0.05);
        assert!((trials.symmetric.high - 3.92).abs() < 0.05);
        assert!((trials.symmetric.low + 3.92).abs() < 0.05);
        assert!((trials.shortest.high - trials.shortest.low - 7.84).abs() < 0.1);
        assert_eq!(trials.without, 0);
    }

    #[test]
    fn neither_threads_nor_blocks_change_a_value() {
        let one = rayon::ThreadPoolBuilder::new()
            .num_threads(1)
            .build()
            .unwrap();
        let alone = one.install(|| run(123_456, 0.95, sum_of_four)).unwrap();
        assert_eq!(run(123_456, 0.95, sum_of_four).unwrap(), alone);
        assert_eq!(alone.values, sum_of_four(0..123_456));
    }

    #[test]
    fn trials_without_a_value_are_counted() {
        let block = |trials: Range<u64>| trials.map(|t| if t == 7 { f64::NAN } else { t as f64 });
        let trials = run(100, 0.95, |trials| block(trials).collect()).unwrap();
        assert_eq!((trials.without, trials.first_without), (1, Some(7)));
        assert_eq!(trials.values.len(), 99);
        assert!(run(100, 0.95, |trials| vec![f64::NAN; trials.count()]).is_none());
    }

    #[test]
    fn the_number_of_trials_that_settle_two_figures() {
        let trials = run(20_000, 0.95, sum_of_four).unwrap();
        let wanted = |count, unsettled| {
            let trials = Trials {
                count,
                unsettled,
                ..trials.clone()
            };
            trials.wanted()
        };
        assert_eq!(wanted(1_000_000, 1.9), 4e6);
        assert_eq!(wanted(20_000, 3.0), 2e5);
        assert_eq!(tolerance(0.033), 0.0005);
        assert_eq!(tolerance(0.0996), 0.005);
        assert!((tolerance(25.0) - 0.5).abs() < 1e-12);
    }
}
