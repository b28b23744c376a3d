//! What came of trials, beside what first-order propagation says (JCGM 101, clause 8).

use crate::statistics::trials::Trials;

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
}

impl Drawn {
    pub(super) fn new(trials: &Trials, level: f64, (value, size, half): (f64, f64, f64)) -> Self {
        let first = (value - half, value + half);
        let ends = (trials.symmetric.low, trials.symmetric.high);
        let off = [first.0 - ends.0, first.1 - ends.1];
        // What the trials leave open themselves is no fault of the first order.
        let tolerance = tolerance(trials.uncertainty) * (1.0 + trials.unsettled.min(10.0));
        Self {
            count: trials.count,
            without: trials.without,
            level,
            mean: trials.mean,
            uncertainty: trials.uncertainty,
            shortest: (trials.shortest.low, trials.shortest.high),
            symmetric: ends,
            first: (value, size, first),
            is_settled: trials.is_settled(),
            off: (off[0] / trials.uncertainty, off[1] / trials.uncertainty),
            serves: off.iter().all(|off| off.abs() <= tolerance),
        }
    }
}

/// Half a unit of the second figure of an uncertainty (7.9.2).
fn tolerance(uncertainty: f64) -> f64 {
    0.5 * 10_f64.powf(uncertainty.log10().floor() - 1.0)
}
