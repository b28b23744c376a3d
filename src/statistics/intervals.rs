//! Coverage intervals of drawn values (JCGM 101, 7.7).
//!
//! Their ends are numbers at a place in the order of all. Only the tails are put in order, from
//! which both intervals are read off.

use rayon::join;

/// An interval with its ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Its lower end.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

/// How many steps the ends of an interval with this coverage lie apart in the order of so many
/// values (7.7.1): at least one, and one less than there are values at most.
fn steps(count: usize, coverage: f64) -> usize {
    let steps = (coverage * count as f64 + 0.5).floor() as usize;
    steps.clamp(1, count - 1)
}

/// Intervals of some values, and between which they all lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Intervals {
    /// That which leaves as many values below as above it (7.7.2).
    pub symmetric: Interval,
    /// The shortest (7.7.3), the lowest of those that are equally short.
    pub shortest: Interval,
    /// That of all values.
    pub whole: Interval,
}

/// The intervals with this coverage; none of fewer than two values.
pub fn intervals(values: &[f64], coverage: f64) -> Option<Intervals> {
    let count = values.len();
    if count < 2 {
        return None;
    }
    // The lower end is one of the first `count − steps`, the upper one of the last.
    let places = count - steps(count, coverage);
    let (lows, highs) = join(|| least(values, places), || greatest(values, places));
    let both = |(&low, &high): (&f64, &f64)| Interval { low, high };
    let mut all = lows.iter().zip(&highs).map(both);
    Some(Intervals {
        symmetric: all.clone().nth(places.div_ceil(2) - 1)?,
        whole: Interval {
            low: *lows.first()?,
            high: *highs.last()?,
        },
        shortest: all.next().map(|first| {
            all.fold(first, |best, next| {
                match next.high - next.low < best.high - best.low {
                    true => next,
                    false => best,
                }
            })
        })?,
    })
}

/// The symmetric one alone.
pub fn symmetric(values: &[f64], coverage: f64) -> Option<Interval> {
    let count = values.len();
    if count < 2 {
        return None;
    }
    let places = count - steps(count, coverage);
    let below = places.div_ceil(2);
    Some(Interval {
        low: *least(values, below).last()?,
        high: *greatest(values, places - below + 1).first()?,
    })
}

/// So many of the least values, in their order.
fn least(values: &[f64], count: usize) -> Vec<f64> {
    least_of(values.iter().copied(), values.len(), count)
}

/// So many of the greatest values, in their order.
fn greatest(values: &[f64], count: usize) -> Vec<f64> {
    let opposite = values.iter().map(|value| -value);
    let mut found = least_of(opposite, values.len(), count);
    found.reverse();
    found.iter_mut().for_each(|value| *value = -*value);
    found
}

/// The least of so many values, of which those are left out first that are beyond a place told by a
/// sample (Floyd and Rivest 1975).
fn least_of(values: impl Iterator<Item = f64> + Clone, all: usize, count: usize) -> Vec<f64> {
    let mut found = match sampled(values.clone(), all, count) {
        Some(most) => values.clone().filter(|value| *value <= most).collect(),
        None => Vec::new(),
    };
    if found.len() < count {
        found = values.collect();
    }
    if count < found.len() {
        found.select_nth_unstable_by(count, f64::total_cmp);
        found.truncate(count);
    }
    found.sort_unstable_by(f64::total_cmp);
    found
}

/// A value with somewhat more than so many of all below it, by a sample of them; none where the
/// sample does not tell.
fn sampled(values: impl Iterator<Item = f64>, all: usize, count: usize) -> Option<f64> {
    let every = (all as f64).sqrt() as usize / 10;
    let mut sample: Vec<f64> = values.step_by(every.max(1)).collect();
    let below = count as f64 * sample.len() as f64 / all as f64;
    let place = (below + 4.0 * below.sqrt() + 4.0) as usize;
    if place >= sample.len() {
        return None;
    }
    let (_, most, _) = sample.select_nth_unstable_by(place, f64::total_cmp);
    Some(*most)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn ends_are_values() {
        let values: Vec<f64> = (1..=100).rev().map(f64::from).collect();
        let both = |low, high| Some(Interval { low, high });
        let shortest = |values: &[f64]| intervals(values, 0.95).map(|it| it.shortest);
        assert_eq!(symmetric(&values, 0.95), both(3.0, 98.0));
        assert_eq!(symmetric(&values, 0.9), both(5.0, 95.0));
        assert_eq!(shortest(&values), both(1.0, 96.0));
        assert_eq!(symmetric(&[1.0], 0.95), None);
        assert_eq!(intervals(&[1.0], 0.95), None);
        assert_eq!(shortest(&[2.0, 1.0]), both(1.0, 2.0));
    }

    #[test]
    fn the_shortest_interval_leaves_the_long_tail_out() {
        let values: Vec<f64> = (0..1000).map(|i| f64::from(i).powi(2)).collect();
        let found = intervals(&values, 0.9).unwrap();
        assert_eq!(
            found.shortest,
            Interval {
                low: 0.0,
                high: 810_000.0
            }
        );
    }

    proptest! {
        #[test]
        fn selection_gives_what_sorting_gives(
            values in prop::collection::vec(-100_i32..100, 2..2000),
            coverage in 0.05..0.999,
            is_in_order: bool,
        ) {
            let mut values: Vec<f64> = values.into_iter().map(f64::from).collect();
            let mut sorted = values.clone();
            sorted.sort_unstable_by(f64::total_cmp);
            if is_in_order {
                values.clone_from(&sorted);
            }
            let steps = steps(values.len(), coverage);
            let first = (values.len() - steps).div_ceil(2) - 1;
            let expected = Interval { low: sorted[first], high: sorted[first + steps] };
            let found = intervals(&values, coverage).unwrap();
            prop_assert_eq!(symmetric(&values, coverage).unwrap(), expected);
            prop_assert_eq!(found.symmetric, expected);
            let widths = sorted.windows(steps + 1).map(|part| part[steps] - part[0]);
            let least = widths.fold(f64::INFINITY, f64::min);
            prop_assert_eq!(found.shortest.high - found.shortest.low, least);
            let all = Interval { low: sorted[0], high: sorted[sorted.len() - 1] };
            prop_assert_eq!(found.whole, all);
        }
    }
}
