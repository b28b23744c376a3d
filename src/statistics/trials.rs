//! Trials of a model with drawn inputs (JCGM 101): how many, and what comes of them.
//!
//! A trial is a function of its number. Blocks of trials are run by as many threads as there are,
//! and judged in their order, so that the result hangs neither on the threads nor on their speed.

use std::ops::Range;

use rayon::prelude::*;

use super::intervals::{Intervals, intervals, symmetric};
use super::spread::standard_deviation_of_mean;
use crate::questions::Share;

/// The trials of a block (7.9.4 b).
pub const BLOCK: u64 = 10_000;

/// The most trials that are run.
pub const MOST: u64 = 10_000_000;

/// Blocks that are run together.
const AT_ONCE: u64 = 8;

/// What came of some trials.
#[derive(Debug, Clone, PartialEq)]
pub struct Trials {
    /// The work that they were.
    pub work: u64,
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
    /// The intervals that hold so many of them.
    pub intervals: Intervals,
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

/// What trials may take in all problems of a worksheet, and for each byte of a problem beside that,
/// in about a nanosecond each.
const WORK: u64 = 800_000_000;
const WORK_OF_EACH_BYTE: u64 = 100_000;

/// What all trials of a problem may take.
pub fn work_for(share: Share) -> u64 {
    share.of(WORK, WORK_OF_EACH_BYTE)
}

/// So many trials, or as many as may be run with so much work. `block` runs those with these
/// numbers, from the first on, with no more than so much work, and says what it was; a trial
/// without a value is NaN. None where fewer than two trials have a value.
pub fn run<F>(count: u64, coverage: f64, most: u64, block: F) -> Option<Trials>
where
    F: Fn(Range<u64>, u64) -> (Vec<f64>, u64) + Sync,
{
    let mut course = Course::new(coverage);
    course.values.reserve_exact(count as usize);
    course.go_on(count, most, &block, |_| false);
    course.finish()
}

/// As many blocks as settle two figures of the uncertainty (7.9), at least two and at most
/// [`MOST`] trials, or as many as may be run with so much work.
pub fn run_until_settled<F>(coverage: f64, most: u64, block: F) -> Option<Trials>
where
    F: Fn(Range<u64>, u64) -> (Vec<f64>, u64) + Sync,
{
    let mut course = Course::new(coverage);
    course.go_on(MOST, most, &block, |course| course.unsettled() <= 1.0);
    course.finish()
}

/// Mean of some values, and the sum of the squares of what they differ by from it.
#[derive(Debug, Clone, Copy, Default)]
struct Moments {
    count: f64,
    mean: f64,
    squares: f64,
}

impl Moments {
    fn of(values: &[f64]) -> Self {
        let count = values.len() as f64;
        let first = values.iter().sum::<f64>() / count.max(1.0);
        let sums = values.iter().fold([0.0; 2], |[sum, squares], value| {
            let part = value - first;
            [sum + part, squares + part * part]
        });
        // What rounding has left of the mean.
        let rest = sums[0] / count.max(1.0);
        Self {
            count,
            mean: first + rest,
            squares: sums[1] - rest * sums[0],
        }
    }

    /// Those of both together (Chan, Golub and LeVeque 1979).
    fn with(self, other: Self) -> Self {
        let count = self.count + other.count;
        if count == 0.0 {
            return self;
        }
        let apart = other.mean - self.mean;
        Self {
            count,
            mean: self.mean + apart * other.count / count,
            squares: self.squares
                + other.squares
                + apart * apart * self.count * other.count / count,
        }
    }

    fn deviation(self) -> f64 {
        (self.squares / (self.count - 1.0)).sqrt()
    }
}

/// One block, and what is told of it, which is found where it is run.
struct Block {
    /// How many trials it has.
    count: u64,
    /// The values, in the order of the trials; without those of trials that had none.
    values: Vec<f64>,
    /// The place of the first of those.
    first_without: Option<u64>,
    moments: Moments,
    /// Of a whole block: mean, standard deviation, both ends.
    numbers: Option<[f64; 4]>,
}

impl Block {
    fn of(mut values: Vec<f64>, coverage: f64) -> Self {
        let count = values.len() as u64;
        let first_without = values.iter().position(|value| !value.is_finite());
        values.retain(|value| value.is_finite());
        let moments = Moments::of(&values);
        let numbers = || {
            let ends = symmetric(&values, coverage)?;
            Some([moments.mean, moments.deviation(), ends.low, ends.high])
        };
        Self {
            moments,
            numbers: (count == BLOCK).then(numbers).flatten(),
            count,
            first_without: first_without.map(|place| place as u64),
            values,
        }
    }
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
    moments: Moments,
    work: u64,
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
            moments: Moments::default(),
            work: 0,
        }
    }

    /// Some blocks at a time, run in parallel and taken in their order, until so many trials are
    /// run, they are enough, or one of them was not run to its end for want of work.
    fn go_on<F>(&mut self, count: u64, most: u64, block: &F, is_enough: impl Fn(&Self) -> bool)
    where
        F: Fn(Range<u64>, u64) -> (Vec<f64>, u64) + Sync,
    {
        while self.count < count {
            let left = most.saturating_sub(self.work);
            // The first tells what a block takes.
            let at_once = match self.count / BLOCK {
                0 => 1,
                blocks => (left / (self.work / blocks).max(1)).clamp(1, AT_ONCE),
            };
            let end = (self.count + at_once * BLOCK).min(count);
            let starts: Vec<u64> = (self.count..end).step_by(BLOCK as usize).collect();
            let left = left / at_once;
            let run = |&start: &u64| {
                let trials = start..(start + BLOCK).min(end);
                let (values, work) = block(trials.clone(), left);
                (trials.end, Block::of(values, self.coverage), work)
            };
            let blocks: Vec<(u64, Block, u64)> = starts.par_iter().map(run).collect();
            for (end, block, work) in blocks {
                self.work += work;
                self.take(block);
                if self.count < end || is_enough(self) {
                    return;
                }
            }
        }
    }

    fn take(&mut self, block: Block) {
        if let Some(place) = block.first_without {
            self.first_without = self.first_without.or(Some(self.count + place));
            self.without += block.count - block.values.len() as u64;
        }
        self.count += block.count;
        self.values.extend_from_slice(&block.values);
        self.moments = self.moments.with(block.moments);
        for (all, number) in self
            .blocks
            .iter_mut()
            .zip(block.numbers.into_iter().flatten())
        {
            all.push(number);
        }
    }

    /// Twice the largest standard deviation of the mean of the four numbers, in numerical
    /// tolerances.
    fn unsettled(&self) -> f64 {
        if self.blocks[0].len() < 2 {
            return f64::INFINITY;
        }
        let tolerance = tolerance(self.moments.deviation());
        let spreads = self.blocks.iter().map(|of| standard_deviation_of_mean(of));
        let most = spreads.fold(0.0, f64::max);
        if most == 0.0 {
            0.0
        } else {
            2.0 * most / tolerance
        }
    }

    fn finish(self) -> Option<Trials> {
        Some(Trials {
            intervals: intervals(&self.values, self.coverage)?,
            mean: self.moments.mean,
            uncertainty: self.moments.deviation(),
            unsettled: self.unsettled(),
            work: self.work,
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
    use crate::statistics::spread;

    /// A trial is a unit of work.
    fn sum_of_four(trials: Range<u64>, most: u64) -> (Vec<f64>, u64) {
        let draw = |trial| {
            let normals = (0..4).map(|part| Source { key: 11 }.normal(trial, part));
            normals.sum()
        };
        let found: Vec<f64> = trials.take(most as usize).map(draw).collect();
        let work = found.len() as u64;
        (found, work)
    }

    #[test]
    fn trials_end_where_work_does() {
        for most in [800, 80_000, 170_001, 1_000_000] {
            let some = run(300_000, 0.95, most, sum_of_four).unwrap();
            assert_eq!(some.count, most.min(300_000));
            assert!(some.count == some.work);
            assert_eq!(some.values, sum_of_four(0..some.count, u64::MAX).0);
        }
        let some = run_until_settled(0.95, 20_000, sum_of_four).unwrap();
        assert!(!some.is_settled() && some.count == 20_000);
    }

    /// JCGM 101, 9.2.2: four standard normal inputs; u = 2.0, ±3.92 for 95 %.
    #[test]
    fn a_sum_of_normal_inputs() {
        let trials = run_until_settled(0.95, u64::MAX, sum_of_four).unwrap();
        assert!(trials.is_settled());
        assert!((trials.uncertainty - 2.0).abs() < 0.05);
        assert!((trials.intervals.symmetric.high - 3.92).abs() < 0.05);
        assert!((trials.intervals.symmetric.low + 3.92).abs() < 0.05);
        assert!(
            (trials.intervals.shortest.high - trials.intervals.shortest.low - 7.84).abs() < 0.1
        );
        assert_eq!(trials.without, 0);
    }

    /// Far from zero, and in blocks of any length, some without a value.
    #[test]
    fn mean_and_deviation_are_those_of_all_values() {
        let block = |trials: Range<u64>, _| {
            let value = |trial| match trial % 1000 {
                7 => f64::NAN,
                _ => 1e8 + Source { key: 3 }.normal(trial, 0),
            };
            let work = trials.end - trials.start;
            (trials.map(value).collect(), work)
        };
        for count in [2, 9_999, 10_001, 123_456] {
            let found = run(count, 0.95, u64::MAX, block).unwrap();
            let mean = spread::mean(&found.values);
            assert!((found.mean - mean).abs() <= 2e-8, "{}", found.mean - mean);
            let deviation = spread::standard_deviation(&found.values);
            assert!((found.uncertainty / deviation - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn neither_threads_nor_blocks_change_a_value() {
        let one = rayon::ThreadPoolBuilder::new()
            .num_threads(1)
            .build()
            .unwrap();
        let alone = one
            .install(|| run(123_456, 0.95, u64::MAX, sum_of_four))
            .unwrap();
        assert_eq!(run(123_456, 0.95, u64::MAX, sum_of_four).unwrap(), alone);
        assert_eq!(alone.values, sum_of_four(0..123_456, u64::MAX).0);
    }

    #[test]
    fn trials_without_a_value_are_counted() {
        let block = |trials: Range<u64>| trials.map(|t| if t == 7 { f64::NAN } else { t as f64 });
        let trials = run(100, 0.95, 99, |trials, _| (block(trials).collect(), 1)).unwrap();
        assert_eq!((trials.without, trials.first_without), (1, Some(7)));
        assert_eq!(trials.values.len(), 99);
        assert!(
            run(100, 0.95, 99, |trials, _| (
                vec![f64::NAN; trials.count()],
                1
            ))
            .is_none()
        );
    }

    #[test]
    fn the_number_of_trials_that_settle_two_figures() {
        let trials = run(20_000, 0.95, u64::MAX, sum_of_four).unwrap();
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
