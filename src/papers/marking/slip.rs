//! When a slip is named: only where the student's number tells it from everything else that is
//! looked at.
//!
//! In go the right or carried value, what each slip comes to, and the number as it was written;
//! out comes the group of slips that agree with it, of which none is told from the others. All in
//! coherent SI units.

/// So much of what rounding the results between to four figures makes is room for a number.
const ROOM: f64 = 2.5;

/// Slips whose values differ by no more than this part are one group.
const EQUAL: f64 = 1e-5;

/// A number of fewer figures tells nothing.
const LEAST_FIGURES: usize = 3;

/// No other group may lie within so many of its own widths of the number.
const APART: f64 = 3.0;

/// A slip that moves the result by less than this part of it is not told from rounding.
const LEAST_PART: f64 = 0.03;

/// Of a temperature as a point, whose zero is a convention, by less than this, in kelvins.
const LEAST_KELVINS: f64 = 1.5;

/// What a slip comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Come {
    /// The result with it, one number for each component.
    pub value: Vec<f64>,
    /// What rounding the results between to four figures makes of that.
    pub rounded: Vec<f64>,
}

/// A number as a student wrote it.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// It, one for each component.
    pub value: Vec<f64>,
    /// Half a unit in the last place of each.
    pub half_a_unit: Vec<f64>,
    /// How many figures it has; of several components the fewest.
    pub figures: usize,
}

/// The slips that agree with what was written, as indices into all of them, where they are told
/// from all others; `None` where nothing is to be said. `is_point` says that the result is a
/// temperature as a point on a scale.
pub fn named(
    right: &[f64],
    slips: &[Come],
    written: &Written,
    is_point: bool,
) -> Option<Vec<usize>> {
    if written.figures < LEAST_FIGURES {
        return None;
    }
    // How far a group may lie beside the number: by less than `widths` of its own width.
    let is_within = |come: &Come, widths: f64| {
        let numbers = written.value.iter().zip(&come.value);
        let room = written.half_a_unit.iter().zip(&come.rounded);
        written.value.len() == come.value.len()
            && numbers.zip(room).all(|((own, value), (half, rounded))| {
                (own - value).abs() <= widths * (half + ROOM * rounded)
            })
    };
    let mut near = groups(slips).into_iter().filter(|group| {
        let mut own = group.iter();
        own.any(|at| is_within(&slips[*at], APART))
    });
    let (only, other) = (near.next()?, near.next());
    let first = &slips[*only.first()?];
    let is_it = other.is_none() && is_within(first, 1.0);
    (is_it && is_far(right, &first.value, is_point)).then_some(only)
}

/// Slips of equal value, in their order, by the first of each.
pub fn groups(slips: &[Come]) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..slips.len()).collect();
    let first = |at: usize| slips[at].value.first().copied().unwrap_or(0.0);
    order.sort_by(|a, b| first(*a).total_cmp(&first(*b)));
    let mut found: Vec<Vec<usize>> = Vec::new();
    for at in order {
        let own = slips[at].value.as_slice();
        // Those of equal first numbers stand at the end, and the others of a vector may differ.
        let near = found.iter_mut().rev().take_while(|group| {
            let last = group.last().map_or(0.0, |last| first(*last));
            is_equal_number(last, first(at))
        });
        let mut same = near.filter(|group| {
            let other = group.first().map(|other| slips[*other].value.as_slice());
            other.is_some_and(|other| is_equal(other, own))
        });
        match same.next() {
            Some(group) => group.push(at),
            None => found.push(vec![at]),
        }
    }
    found.iter_mut().for_each(|group| group.sort_unstable());
    found.sort_by_key(|group| group.first().copied());
    found
}

fn is_equal(one: &[f64], other: &[f64]) -> bool {
    one.len() == other.len() && {
        let largest = largest(one).max(largest(other));
        let mut pairs = one.iter().zip(other);
        pairs.all(|(a, b)| (a - b).abs() <= EQUAL * largest)
    }
}

/// Whether first numbers are near enough for values to be equal: of a vector the others may be
/// larger, so that this is no more than where looking back ends.
fn is_equal_number(one: f64, other: f64) -> bool {
    (one - other).abs() <= LEAST_PART * one.abs().max(other.abs())
}

fn largest(value: &[f64]) -> f64 {
    value.iter().fold(0.0, |a, b| a.max(b.abs()))
}

/// Whether a slip moves the result by enough to be told.
fn is_far(right: &[f64], value: &[f64], is_point: bool) -> bool {
    let pairs = right.iter().zip(value);
    let off = pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    match is_point {
        true => off > LEAST_KELVINS,
        false => off > LEAST_PART * largest(right),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn come(value: f64) -> Come {
        Come {
            value: vec![value],
            rounded: vec![0.0],
        }
    }

    fn written(value: f64, half_a_unit: f64, figures: usize) -> Written {
        Written {
            value: vec![value],
            half_a_unit: vec![half_a_unit],
            figures,
        }
    }

    /// The beam whose weight was left out: 1.94 kN for 2.752 kN.
    #[test]
    fn the_only_slip_near_a_number_is_named() {
        let slips = [come(1943.3), come(5504.0), come(1.0)];
        let found = named(&[2752.5], &slips, &written(1940.0, 5.0, 3), false);
        assert_eq!(found, Some(vec![0]));
    }

    #[test]
    fn two_figures_tell_nothing() {
        let slips = [come(1943.3)];
        assert_eq!(
            named(&[2752.5], &slips, &written(1900.0, 50.0, 2), false),
            None
        );
        assert!(named(&[2752.5], &slips, &written(1900.0, 50.0, 3), false).is_some());
    }

    #[test]
    fn a_number_beyond_its_width_is_not_named_and_rounding_between_makes_it_wider() {
        let mut slips = [come(1943.3)];
        let number = written(1950.0, 5.0, 3);
        assert_eq!(named(&[2752.5], &slips, &number, false), None);
        // 6.7 lies within 5 + 2.5 · 0.7.
        slips[0].rounded = vec![0.7];
        assert_eq!(named(&[2752.5], &slips, &number, false), Some(vec![0]));
        slips[0].rounded = vec![0.67];
        assert_eq!(named(&[2752.5], &slips, &number, false), None);
    }

    #[test]
    fn another_group_within_three_of_its_own_widths_leaves_it_open() {
        let mut slips = [come(1943.3), come(1954.9)];
        let number = written(1940.0, 5.0, 3);
        assert_eq!(named(&[2752.5], &slips, &number, false), None);
        slips[1].value = vec![1955.1];
        assert_eq!(named(&[2752.5], &slips, &number, false), Some(vec![0]));
        slips[1].rounded = vec![0.1];
        assert_eq!(named(&[2752.5], &slips, &number, false), None);
    }

    #[test]
    fn slips_of_equal_value_are_told_together() {
        let slips = [come(69.63), come(17.0), come(69.630_5), come(69.64)];
        assert_eq!(groups(&slips), [vec![0, 2], vec![1], vec![3]]);
        let found = named(&[17.41], &slips[..3], &written(69.6, 0.05, 3), false);
        assert_eq!(found, Some(vec![0, 2]));
    }

    #[test]
    fn what_is_next_to_right_is_not_named() {
        let near = [come(2830.0)];
        assert_eq!(
            named(&[2752.5], &near, &written(2830.0, 5.0, 3), false),
            None
        );
        let far = [come(2840.0)];
        assert!(named(&[2752.5], &far, &written(2840.0, 5.0, 3), false).is_some());
        // Of 57.2 °C it is kelvins that count, not a part of 330 K.
        let point = [come(332.0)];
        assert!(named(&[330.35], &point, &written(332.0, 0.05, 3), true).is_some());
        let point = [come(331.8)];
        assert_eq!(
            named(&[330.35], &point, &written(331.8, 0.05, 3), true),
            None
        );
    }

    #[test]
    fn all_components_of_a_vector_have_to_agree() {
        let vector = |x: f64, y: f64| Come {
            value: vec![x, y],
            rounded: vec![0.0, 0.0],
        };
        let number = Written {
            value: vec![9360.0, 2950.0],
            half_a_unit: vec![5.0, 5.0],
            figures: 3,
        };
        let slips = [vector(9355.2, 3782.5), vector(9355.2, 2955.0)];
        let right = [9355.2, 3782.5];
        assert_eq!(named(&right, &slips, &number, false), Some(vec![1]));
        assert_eq!(groups(&slips), [vec![0], vec![1]]);
    }

    mod laws {
        use proptest::prelude::*;

        use super::*;

        proptest! {
            /// What is named fulfils each of the conditions as they are written, and what is not
            /// breaks one.
            #[test]
            fn a_group_is_named_where_all_four_conditions_hold(
                values in proptest::collection::vec((900.0..1100.0_f64, 0.0..2.0_f64), 1..8),
                number in 900.0..1100.0_f64,
                right in 900.0..1100.0_f64,
                half in 0.05..5.0_f64,
                figures in 2..5_usize,
            ) {
                let all: Vec<Come> = values.iter().map(|(value, rounded)| Come {
                    value: vec![*value],
                    rounded: vec![*rounded],
                }).collect();
                let found = named(&[right], &all, &written(number, half, figures), false);
                let width = |at: usize| half + 2.5 * values[at].1;
                let off = |at: usize| (number - values[at].0).abs();
                let same = |a: usize, b: usize| {
                    (values[a].0 - values[b].0).abs() <= 1e-5 * values[a].0.max(values[b].0)
                };
                let holds = |at: usize| {
                    let others = (0..all.len()).filter(|other| !same(at, *other));
                    figures >= 3
                        && off(at) <= width(at)
                        && others.clone().all(|other| off(other) > 3.0 * width(other))
                        && (values[at].0 - right).abs() > 0.03 * right
                };
                let first = found.as_ref().and_then(|group| group.first().copied());
                let wanted = (0..all.len()).find(|at| holds(*at));
                prop_assert_eq!(first, wanted);
            }
        }
    }
}
