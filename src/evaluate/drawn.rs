//! What came of trials, beside what first-order propagation says (JCGM 101, clause 8).

use rayon::prelude::*;

use crate::statistics::trials::{self, Trials};

/// What came of trials, in coherent SI units.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// How many there were.
    pub count: u64,
    /// How many of them had no value.
    pub without: u64,
    /// The part of all values that the intervals hold.
    pub level: f64,
    /// The mean.
    pub mean: f64,
    /// The standard uncertainty.
    pub uncertainty: f64,
    /// The shortest interval.
    pub shortest: (f64, f64),
    /// The interval with as much below as above.
    pub symmetric: (f64, f64),
    /// The value of first order, its standard uncertainty, and the ends of its interval.
    pub first: (f64, f64, (f64, f64)),
    /// Whether two figures are settled.
    pub is_settled: bool,
    /// How far the ends of the interval of first order are off those of the trials, in standard
    /// uncertainties.
    pub off: (f64, f64),
    /// Whether first order serves.
    pub serves: bool,
    /// How many values lie in each of the bins.
    pub bins: Bins,
}

/// How many values lie in each of some bins of the same width, one after the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Bins {
    /// Where the first begins.
    pub from: f64,
    /// How wide each is.
    pub width: f64,
    /// How many values each holds.
    pub counts: Vec<u32>,
}

/// Into so many bins the values within four standard uncertainties of their mean are put.
const BINS: usize = 64;

impl Bins {
    fn of(trials: &Trials) -> Self {
        let whole = trials.intervals.whole;
        let reach = 4.0 * trials.uncertainty;
        let low = whole.low.max(trials.mean - reach);
        let high = whole.high.min(trials.mean + reach);
        let width = (high - low) / BINS as f64;
        let counted = |values: &[f64]| {
            let mut counts = [0; BINS];
            for value in values {
                let place = (value - low) / width;
                let is_last = *value == high;
                if let Some(count) = counts.get_mut(if is_last { BINS - 1 } else { place as usize })
                    && place >= 0.0
                {
                    *count += 1;
                }
            }
            counts
        };
        let parts = trials.values.par_chunks(trials::BLOCK as usize);
        let counts = parts.map(counted).reduce(
            || [0; BINS],
            |one, other| std::array::from_fn(|bin| one[bin] + other[bin]),
        );
        Self {
            from: low,
            width,
            counts: counts.to_vec(),
        }
    }
}

impl Drawn {
    pub(super) fn new(trials: &Trials, level: f64, (value, size, half): (f64, f64, f64)) -> Self {
        let first = (value - half, value + half);
        let [symmetric, shortest] = [trials.intervals.symmetric, trials.intervals.shortest];
        let ends = (symmetric.low, symmetric.high);
        let off = [first.0 - ends.0, first.1 - ends.1];
        // What the trials leave open themselves is no fault of the first order.
        let tolerance = tolerance(trials.uncertainty) * (1.0 + trials.unsettled.min(10.0));
        Self {
            count: trials.count,
            without: trials.without,
            level,
            mean: trials.mean,
            uncertainty: trials.uncertainty,
            shortest: (shortest.low, shortest.high),
            symmetric: ends,
            first: (value, size, first),
            is_settled: trials.is_settled(),
            off: (off[0] / trials.uncertainty, off[1] / trials.uncertainty),
            serves: off.iter().all(|off| off.abs() <= tolerance),
            bins: Bins::of(trials),
        }
    }
}

/// Half a unit of the second figure of an uncertainty (7.9.2).
fn tolerance(uncertainty: f64) -> f64 {
    0.5 * 10_f64.powf(uncertainty.log10().floor() - 1.0)
}
