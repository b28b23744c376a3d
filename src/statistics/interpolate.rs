//! Values between the rows of a table: by straight lines, or by monotone cubic pieces.
//!
//! The cubic pieces keep within the conditions of Fritsch and Carlson (1980), so that the curve
//! rises only where the rows do; the slopes at the rows are the weighted harmonic means of Fritsch
//! and Butland (1984), those at the ends of three points, cut to the same conditions.
//!
//! A value depends on four rows at most. Its derivatives by all numbers of these and by the place
//! are found with it, by carrying them along.

use std::ops::{Add, Div, Mul, Sub};

/// How values between rows are had.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// On the straight line between two rows.
    Straight,
    /// On a monotone cubic piece.
    Cubic,
}

/// A value with its derivatives.
#[derive(Debug, Clone, PartialEq)]
pub struct Between {
    /// The value.
    pub value: f64,
    /// By the place.
    pub by_place: f64,
    /// By the two numbers of each row that it depends on: the row, by its x, by its y.
    pub by_rows: Vec<(usize, f64, f64)>,
}

/// The rows that a value can depend on.
const ROWS: usize = 4;

/// A number with its derivatives by the x of the rows, the y of the rows, and the place.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Graded {
    value: f64,
    slopes: [f64; 2 * ROWS + 1],
}

impl Graded {
    fn exact(value: f64) -> Self {
        Self {
            value,
            slopes: [0.0; 2 * ROWS + 1],
        }
    }

    fn input(value: f64, which: usize) -> Self {
        let mut input = Self::exact(value);
        input.slopes[which] = 1.0;
        input
    }

    fn with(self, other: Self, value: f64, by_self: f64, by_other: f64) -> Self {
        let mut slopes = self.slopes;
        for (slope, other) in slopes.iter_mut().zip(other.slopes) {
            *slope = *slope * by_self + other * by_other;
        }
        Self { value, slopes }
    }
}

impl Add for Graded {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        self.with(other, self.value + other.value, 1.0, 1.0)
    }
}

impl Sub for Graded {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self.with(other, self.value - other.value, 1.0, -1.0)
    }
}

impl Mul for Graded {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        self.with(other, self.value * other.value, other.value, self.value)
    }
}

impl Div for Graded {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let value = self.value / other.value;
        self.with(other, value, 1.0 / other.value, -value / other.value)
    }
}

/// The value at `place` on the curve through the rows; none outside of them, or where there are
/// fewer than two. `x` rises or falls from row to row.
pub fn between(x: &[f64], y: &[f64], way: Way, place: f64) -> Option<Between> {
    let left = piece(x, place)?;
    let first = match way {
        Way::Straight => left,
        Way::Cubic => left.saturating_sub(1).min(x.len().saturating_sub(ROWS)),
    };
    let last = match way {
        Way::Straight => left + 2,
        Way::Cubic => (left + 3).min(x.len()),
    };
    // At an end the piece depends on three rows; a fourth that is near is harmless.
    let rows = first..last.max(first + 2);
    let knots: Vec<[Graded; 2]> = rows
        .clone()
        .enumerate()
        .map(|(i, row)| [Graded::input(x[row], i), Graded::input(y[row], ROWS + i)])
        .collect();
    let place = Graded::input(place, 2 * ROWS);
    let value = match way {
        Way::Straight => straight(knots[0], knots[1], place),
        Way::Cubic => cubic(&knots, left - first, place),
    };
    let by_rows = rows.enumerate();
    let by_rows = by_rows.map(|(i, row)| (row, value.slopes[i], value.slopes[ROWS + i]));
    Some(Between {
        value: value.value,
        by_place: value.slopes[2 * ROWS],
        by_rows: by_rows.filter(|(_, x, y)| (*x, *y) != (0.0, 0.0)).collect(),
    })
}

/// The row at which the piece with this place begins.
fn piece(x: &[f64], place: f64) -> Option<usize> {
    let (&first, &last) = (x.first()?, x.last()?);
    let rises = last > first;
    let is_inside = if rises {
        first <= place && place <= last
    } else {
        last <= place && place <= first
    };
    if !is_inside || x.len() < 2 {
        return None;
    }
    let before = x.partition_point(|&x| if rises { x <= place } else { x >= place });
    Some(before.clamp(1, x.len() - 1) - 1)
}

fn straight(left: [Graded; 2], right: [Graded; 2], place: Graded) -> Graded {
    // From the nearer row, so that the rows themselves are met exactly.
    let slope = secant(left, right);
    let is_left = (place.value - left[0].value).abs() <= (right[0].value - place.value).abs();
    let [x, y] = if is_left { left } else { right };
    y + slope * (place - x)
}

fn secant(left: [Graded; 2], right: [Graded; 2]) -> Graded {
    (right[1] - left[1]) / (right[0] - left[0])
}

fn cubic(knots: &[[Graded; 2]], left: usize, place: Graded) -> Graded {
    if knots.len() == 2 {
        return straight(knots[0], knots[1], place);
    }
    let [from, to] = [knots[left], knots[left + 1]];
    let (begin, end) = (slope(knots, left), slope(knots, left + 1));
    let width = to[0] - from[0];
    let secant = secant(from, to);
    let two = Graded::exact(2.0);
    let three = Graded::exact(3.0);
    let curve = (three * secant - two * begin - end) / width;
    let twist = (begin + end - two * secant) / (width * width);
    let step = place - from[0];
    from[1] + step * (begin + step * (curve + step * twist))
}

/// The slope at a row; two rows on one side of it tell it at an end.
fn slope(knots: &[[Graded; 2]], at: usize) -> Graded {
    let width = |i: usize| knots[i + 1][0] - knots[i][0];
    let secant = |i: usize| secant(knots[i], knots[i + 1]);
    let last = knots.len() - 1;
    if at == 0 {
        return at_end([width(0), width(1)], [secant(0), secant(1)]);
    }
    if at == last {
        let (next, second) = (last - 1, last - 2);
        return at_end([width(next), width(second)], [secant(next), secant(second)]);
    }
    let (before, after) = (secant(at - 1), secant(at));
    if before.value * after.value <= 0.0 {
        return Graded::exact(0.0);
    }
    let two = Graded::exact(2.0);
    let (left, right) = (width(at - 1), width(at));
    let (first, second) = (two * right + left, right + two * left);
    (first + second) / (first / before + second / after)
}

/// The slope at an end from the two pieces next to it, the nearer first.
fn at_end([near, far]: [Graded; 2], [first, second]: [Graded; 2]) -> Graded {
    let two = Graded::exact(2.0);
    let slope = ((two * near + far) * first - near * second) / (near + far);
    if slope.value * first.value <= 0.0 {
        Graded::exact(0.0)
    } else if first.value * second.value <= 0.0 && slope.value.abs() > 3.0 * first.value.abs() {
        Graded::exact(3.0) * first
    } else {
        slope
    }
}

/// The value at `place` of the polynomial through the rows next to it: four, or all where there
/// are fewer (Lagrange).
pub fn through_nearest(x: &[f64], y: &[f64], place: f64) -> Option<f64> {
    let left = piece(x, place)?;
    let count = ROWS.min(x.len());
    let first = left.saturating_sub(1).min(x.len() - count);
    let rows = first..first + count;
    let term = |i: usize| {
        let others = rows.clone().filter(|&j| j != i);
        let factors = others.map(|j| (place - x[j]) / (x[i] - x[j]));
        y[i] * factors.product::<f64>()
    };
    Some(rows.clone().map(term).sum())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use serde_json::Value;

    use super::*;

    fn numbers(of: &Value) -> Vec<f64> {
        let of = of.as_array().unwrap().iter();
        of.map(|number| number.as_f64().unwrap()).collect()
    }

    /// `interpolate.py` says where the values come from.
    #[test]
    fn cubic_pieces_are_those_of_another_program() {
        let text = include_str!("../../tests/reference/interpolate.json");
        let cases: Vec<Value> = serde_json::from_str(text).unwrap();
        for case in &cases {
            let (x, y) = (numbers(&case["x"]), numbers(&case["y"]));
            let (places, values) = (numbers(&case["places"]), numbers(&case["values"]));
            for (place, expected) in places.into_iter().zip(values) {
                let found = between(&x, &y, Way::Cubic, place).unwrap().value;
                let size = y.iter().fold(0.0_f64, |most, y| most.max(y.abs()));
                assert!(
                    (found - expected).abs() <= 1e-13 * size,
                    "{case} {place}: {found}"
                );
            }
        }
        assert!(!cases.is_empty());
    }

    #[test]
    fn outside_there_is_no_value() {
        let (x, y) = ([0.0, 1.0, 3.0], [0.0, 2.0, 3.0]);
        for way in [Way::Straight, Way::Cubic] {
            assert_eq!(between(&x, &y, way, -0.1), None);
            assert_eq!(between(&x, &y, way, 3.1), None);
            assert_eq!(between(&x, &y, way, 3.0).unwrap().value, 3.0);
            assert_eq!(between(&[1.0], &[1.0], way, 1.0), None);
        }
        assert_eq!(between(&x, &y, Way::Straight, 2.0).unwrap().value, 2.5);
        assert_eq!(between(&x, &y, Way::Straight, f64::NAN), None);
    }

    /// 998.2 and 995.6 kg/m³ at 20 and 30 °C with their neighbours: what a straight line leaves
    /// out is told by four rows.
    #[test]
    fn the_nearest_rows_tell_what_a_straight_line_leaves_out() {
        let (x, y) = ([10.0, 20.0, 30.0, 40.0], [999.7, 998.2, 995.6, 992.2]);
        let line = between(&x, &y, Way::Straight, 25.0).unwrap().value;
        let four = through_nearest(&x, &y, 25.0).unwrap();
        assert!((line - 996.9).abs() < 1e-9);
        assert!((four - line - 0.11875).abs() < 1e-9, "{four}");
    }

    fn table() -> impl Strategy<Value = (Vec<f64>, Vec<f64>, f64)> {
        let rows = prop::collection::vec((0.1..5.0, -10.0..10.0), 2..9);
        (rows, any::<bool>(), 0.0..1.0).prop_map(|(rows, falls, part)| {
            let sign = if falls { -1.0 } else { 1.0 };
            let mut at = 0.0;
            let x: Vec<f64> = rows
                .iter()
                .map(|(step, _)| {
                    at += sign * step;
                    at
                })
                .collect();
            let y = rows.iter().map(|row| row.1).collect();
            let place = x[0] + part * (x[x.len() - 1] - x[0]);
            (x, y, place)
        })
    }

    proptest! {
        #[test]
        fn curves_stay_between_their_rows((x, y, place) in table()) {
            let left = piece(&x, place).unwrap();
            let (low, high) = (y[left].min(y[left + 1]), y[left].max(y[left + 1]));
            for way in [Way::Straight, Way::Cubic] {
                let value = between(&x, &y, way, place).unwrap().value;
                prop_assert!(value >= low - 1e-12 && value <= high + 1e-12);
            }
        }

        #[test]
        fn derivatives_are_those_of_the_value((x, y, place) in table(), which in 0_usize..18) {
            const STEP: f64 = 1e-6;
            for way in [Way::Straight, Way::Cubic] {
                let at = between(&x, &y, way, place).unwrap();
                let row = (which / 2).min(x.len() - 1);
                let moved = |by: f64| {
                    let (mut x, mut y) = (x.clone(), y.clone());
                    if which % 2 == 0 { x[row] += by } else { y[row] += by }
                    between(&x, &y, way, place).map(|found| found.value)
                };
                let place_moved = |by: f64| between(&x, &y, way, place + by).map(|it| it.value);
                let known = at.by_rows.iter().find(|it| it.0 == row);
                let known = known.map_or(0.0, |it| if which % 2 == 0 { it.1 } else { it.2 });
                let difference = |up: Option<f64>, down: Option<f64>| Some((up? - down?) / (2.0 * STEP));
                // Where the limits of the slopes set in, or a piece ends, the two sides differ.
                let smooth = |found: f64, one: Option<f64>| {
                    one.is_none_or(|one| (one - found).abs() < 1e-3 * (1.0 + found.abs()))
                };
                let one_sided = [moved(STEP), moved(-STEP)].map(|value| value.map(|v| v - at.value));
                let sides = [one_sided[0].map(|d| d / STEP), one_sided[1].map(|d| -d / STEP)];
                if let [Some(up), Some(down)] = sides
                    && (up - down).abs() < 1e-4 * (1.0 + up.abs())
                {
                    prop_assert!(smooth(known, difference(moved(STEP), moved(-STEP))));
                }
                let ends = [place_moved(STEP), place_moved(-STEP)].map(|v| v.map(|v| v - at.value));
                if let [Some(up), Some(down)] = ends
                    && (up + down).abs() < 1e-4 * STEP
                {
                    prop_assert!(smooth(at.by_place, difference(place_moved(STEP), place_moved(-STEP))));
                }
            }
        }
    }
}
