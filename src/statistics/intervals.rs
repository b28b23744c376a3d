//! Coverage intervals of drawn values (JCGM 101, 7.7).
//!
//! Their ends are numbers at a place in the order of all; these are selected, and only the tails
//! of the shortest interval are sorted.

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

/// The interval that leaves as many values below as above it (7.7.2); none of fewer than two
/// values. The order of the values is changed.
pub fn symmetric(values: &mut [f64], coverage: f64) -> Option<Interval> {
    let count = values.len();
    if count < 2 {
        return None;
    }
    let steps = steps(count, coverage);
    let first = (count - steps).div_ceil(2) - 1;
    let (_, &mut low, above) = values.select_nth_unstable_by(first, f64::total_cmp);
    let (_, &mut high, _) = above.select_nth_unstable_by(steps - 1, f64::total_cmp);
    Some(Interval { low, high })
}

/// The shortest interval with this coverage (7.7.3), the lowest of those that are equally short;
/// none of fewer than two values. The order of the values is changed.
pub fn shortest(values: &mut [f64], coverage: f64) -> Option<Interval> {
    let count = values.len();
    if count < 2 {
        return None;
    }
    let steps = steps(count, coverage);
    // The lower end is one of the first `count − steps`, the upper one of the last.
    let places = count - steps;
    values.select_nth_unstable_by(steps, f64::total_cmp);
    values[steps..].sort_unstable_by(f64::total_cmp);
    let highs = values[steps..].to_vec();
    if places < count {
        values.select_nth_unstable_by(places, f64::total_cmp);
    }
    values[..places].sort_unstable_by(f64::total_cmp);
    let all = values.iter().zip(highs);
    let all = all.map(|(&low, high)| Interval { low, high });
    all.reduce(
        |best, next| match next.high - next.low < best.high - best.low {
            true => next,
            false => best,
        },
    )
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn ends_are_values() {
        let mut values: Vec<f64> = (1..=100).rev().map(f64::from).collect();
        let both = |low, high| Some(Interval { low, high });
        assert_eq!(symmetric(&mut values, 0.95), both(3.0, 98.0));
        assert_eq!(symmetric(&mut values, 0.9), both(5.0, 95.0));
        assert_eq!(shortest(&mut values, 0.95), both(1.0, 96.0));
        assert_eq!(symmetric(&mut [1.0], 0.95), None);
        assert_eq!(shortest(&mut [2.0, 1.0], 0.95), both(1.0, 2.0));
    }

    #[test]
    fn the_shortest_interval_leaves_the_long_tail_out() {
        let mut values: Vec<f64> = (0..1000).map(|i| f64::from(i).powi(2)).collect();
        let found = shortest(&mut values, 0.9).unwrap();
        assert_eq!(
            found,
            Interval {
                low: 0.0,
                high: 810_000.0
            }
        );
    }

    proptest! {
        #[test]
        fn selection_gives_what_sorting_gives(
            values in prop::collection::vec(-100_i32..100, 2..200),
            coverage in 0.05..0.999,
        ) {
            let mut values: Vec<f64> = values.into_iter().map(f64::from).collect();
            let mut sorted = values.clone();
            sorted.sort_unstable_by(f64::total_cmp);
            let steps = steps(values.len(), coverage);
            let first = (values.len() - steps).div_ceil(2) - 1;
            let expected = Interval { low: sorted[first], high: sorted[first + steps] };
            prop_assert_eq!(symmetric(&mut values, coverage).unwrap(), expected);
            let widths = sorted.windows(steps + 1).map(|part| part[steps] - part[0]);
            let least = widths.fold(f64::INFINITY, f64::min);
            let found = shortest(&mut values, coverage).unwrap();
            prop_assert_eq!(found.high - found.low, least);
        }
    }
}
