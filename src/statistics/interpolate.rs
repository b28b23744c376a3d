//! Values between the rows of a table: by straight lines, or by monotone cubic pieces.
//!
//! The cubic pieces keep within the conditions of Fritsch and Carlson (1980), so that the curve
//! rises only where the rows do; the slopes at the rows are the weighted harmonic means of Fritsch
//! and Butland (1984), those at the ends of three points, cut to the same conditions.
//!
//! A value depends on four rows at most. Its derivatives by all numbers of these and by the place
//! are found with it, by carrying them along.

use std::cmp::Ordering;

/// How values between rows are had.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// On the straight line between two rows.
    Straight,
    /// On a monotone cubic piece.
    Cubic,
}

/// What a curve is made of: numbers, with whatever they carry along.
pub trait Figure: Clone {
    /// A small whole number.
    fn whole(value: i32) -> Self;
    /// `self + other`
    fn added(&self, other: &Self) -> Self;
    /// `self - other`
    fn less(&self, other: &Self) -> Self;
    /// `self * other`
    fn multiplied(&self, other: &Self) -> Self;
    /// `self / other`
    fn divided(&self, other: &Self) -> Self;
    /// How it compares; `None` where it is not known well enough.
    fn order(&self, other: &Self) -> Option<Ordering>;
    /// A number of which is known that it is no further from 0 than this one, and nothing else;
    /// none where that is not enough, since derivatives are wanted.
    fn around_zero(&self) -> Option<Self>;
}

/// The rows of a table: those with both entries take part.
pub trait Table<N> {
    /// How many rows there are.
    fn count(&self) -> usize;
    /// Whether a row has both entries.
    fn has(&self, row: usize) -> bool;
    /// The entries of a row: the place, and the value there.
    fn row(&self, row: usize) -> (N, N);
    /// The place of a row alone.
    fn place(&self, row: usize) -> N {
        self.row(row).0
    }
}

/// Why there is no value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Without {
    /// The place lies outside the rows.
    Outside,
    /// The places do not rise or fall from row to row: at this one.
    Order(usize),
    /// There are fewer than two rows.
    Rows,
    /// The numbers are not known well enough to say where the place lies.
    Doubt,
}

/// A row of a table: its place, and the value there.
type Knot<N> = (N, N);

/// The rows about a place: the two between which it lies, and their neighbours.
struct Piece {
    before: Option<usize>,
    left: usize,
    right: usize,
    after: Option<usize>,
    /// Whether the place is known to be on the row at the left.
    is_at_row: bool,
}

/// The value at `place` on the curve through the rows.
///
/// # Errors
/// Why there is none.
pub fn between<N: Figure>(table: &dyn Table<N>, way: Way, place: &N) -> Result<N, Without> {
    let piece = piece(table, place)?;
    let rows = [
        piece.before,
        Some(piece.left),
        Some(piece.right),
        piece.after,
    ];
    let knots: Vec<Knot<N>> = rows.iter().flatten().map(|row| table.row(*row)).collect();
    in_order(&knots, piece.right)?;
    let left = usize::from(piece.before.is_some());
    if piece.is_at_row
        && let Some(value) = at_row(&knots, left, place)
    {
        return Ok(value);
    }
    if piece.is_at_row && place.order(&knots[left].0).is_none() {
        return Err(Without::Doubt);
    }
    match way {
        Way::Straight => Ok(straight(&knots[left], &knots[left + 1], place)),
        Way::Cubic => cubic(&knots, left, place).ok_or(Without::Doubt),
    }
}

/// The places of the rows rise or fall all the way.
fn in_order<N: Figure>(knots: &[Knot<N>], row: usize) -> Result<(), Without> {
    let orders: Vec<Option<Ordering>> = (knots.windows(2))
        .map(|pair| pair[1].0.order(&pair[0].0))
        .collect();
    match orders.first() {
        Some(Some(first)) if first.is_ne() && orders.iter().all(|it| *it == Some(*first)) => Ok(()),
        _ if orders.contains(&None) => Err(Without::Doubt),
        _ => Err(Without::Order(row)),
    }
}

/// The next row with both entries from this one on, and before an end.
fn next<N>(table: &dyn Table<N>, from: usize, end: usize) -> Option<usize> {
    (from..end).find(|row| table.has(*row))
}

/// The last row with both entries before this one.
fn last<N>(table: &dyn Table<N>, before: usize) -> Option<usize> {
    (0..before).rev().find(|row| table.has(*row))
}

fn piece<N: Figure>(table: &dyn Table<N>, place: &N) -> Result<Piece, Without> {
    let count = table.count();
    let (Some(first), Some(end)) = (next(table, 0, count), last(table, count)) else {
        return Err(Without::Rows);
    };
    if first == end {
        return Err(Without::Rows);
    }
    let (low, high) = (table.place(first), table.place(end));
    let rises = high.order(&low).ok_or(Without::Doubt)?;
    // Whether a row lies before the place, at it, or beyond.
    let order = |row: usize| {
        let order = place.order(&table.place(row));
        if rises.is_lt() {
            order.map(Ordering::reverse)
        } else {
            order
        }
    };
    // Whether the place is outside has to be certain.
    for (row, outside) in [(first, Ordering::Less), (end, Ordering::Greater)] {
        if order(row).ok_or(Without::Doubt)? == outside {
            return Err(Without::Outside);
        }
    }
    let (mut left, mut right) = (first, end);
    let mut is_at_row = false;
    while let Some(middle) = middle(table, left, right) {
        match order(middle) {
            Some(Ordering::Less) => right = middle,
            Some(Ordering::Greater) => left = middle,
            Some(Ordering::Equal) | None => {
                left = middle;
                right = next(table, middle + 1, right + 1).unwrap_or(right);
                is_at_row = true;
                break;
            }
        }
    }
    Ok(Piece {
        before: last(table, left),
        left,
        right,
        after: next(table, right + 1, count),
        is_at_row,
    })
}

/// A row with both entries between two, near the middle.
fn middle<N>(table: &dyn Table<N>, left: usize, right: usize) -> Option<usize> {
    let middle = left + (right - left) / 2;
    next(table, middle.max(left + 1), right)
        .or_else(|| last(table, middle).filter(|row| *row > left))
}

/// The value at a row, where the place cannot be told from it: no curve is steeper than three
/// times the secants beside the row.
fn at_row<N: Figure>(knots: &[Knot<N>], at: usize, place: &N) -> Option<N> {
    let (x, y) = &knots[at];
    if place.order(x).is_some() {
        return None;
    }
    let beyond = place.less(x);
    let mut pairs = knots.windows(2).skip(at.saturating_sub(1)).take(2);
    pairs.try_fold(y.clone(), |value, pair| {
        let most = secant(&pair[0], &pair[1]).multiplied(&N::whole(3));
        Some(value.added(&most.multiplied(&beyond).around_zero()?))
    })
}

fn straight<N: Figure>(left: &Knot<N>, right: &Knot<N>, place: &N) -> N {
    let step = place.less(&left.0);
    left.1.added(&secant(left, right).multiplied(&step))
}

fn secant<N: Figure>(left: &Knot<N>, right: &Knot<N>) -> N {
    right.1.less(&left.1).divided(&right.0.less(&left.0))
}

fn cubic<N: Figure>(knots: &[Knot<N>], left: usize, place: &N) -> Option<N> {
    if knots.len() == 2 {
        return Some(straight(&knots[0], &knots[1], place));
    }
    let (from, to) = (&knots[left], &knots[left + 1]);
    let (begin, end) = (slope(knots, left)?, slope(knots, left + 1)?);
    let width = to.0.less(&from.0);
    let secant = secant(from, to);
    let (two, three) = (N::whole(2), N::whole(3));
    let bend = three.multiplied(&secant).less(&two.multiplied(&begin));
    let bend = bend.less(&end).divided(&width);
    let twist = begin.added(&end).less(&two.multiplied(&secant));
    let twist = twist.divided(&width).divided(&width);
    let step = place.less(&from.0);
    let rise = bend.added(&step.multiplied(&twist));
    let rise = begin.added(&step.multiplied(&rise));
    Some(from.1.added(&step.multiplied(&rise)))
}

/// The slope at a row; two rows on one side of it tell it at an end.
fn slope<N: Figure>(knots: &[Knot<N>], at: usize) -> Option<N> {
    let width = |i: usize| knots[i + 1].0.less(&knots[i].0);
    let secant = |i: usize| secant(&knots[i], &knots[i + 1]);
    let last = knots.len() - 1;
    if at == 0 {
        return at_end([width(0), width(1)], [secant(0), secant(1)]);
    }
    if at == last {
        let (next, second) = (last - 1, last - 2);
        return at_end([width(next), width(second)], [secant(next), secant(second)]);
    }
    let (before, after) = (secant(at - 1), secant(at));
    let zero = N::whole(0);
    // Neither is more than a third of the slope where it is not known whether it is 0.
    let (Some(left), Some(right)) = (before.order(&zero), after.order(&zero)) else {
        let unknown = if before.order(&zero).is_none() {
            before
        } else {
            after
        };
        return unknown.multiplied(&N::whole(3)).around_zero();
    };
    if left.is_eq() || left != right {
        return Some(zero);
    }
    let two = N::whole(2);
    let (left, right) = (width(at - 1), width(at));
    let (first, second) = (
        two.multiplied(&right).added(&left),
        two.multiplied(&left).added(&right),
    );
    let parts = first.divided(&before).added(&second.divided(&after));
    Some(first.added(&second).divided(&parts))
}

/// The slope at an end from the two pieces next to it, the nearer first.
fn at_end<N: Figure>([near, far]: [N; 2], [first, second]: [N; 2]) -> Option<N> {
    let (zero, two, three) = (N::whole(0), N::whole(2), N::whole(3));
    let above = two.multiplied(&near).added(&far).multiplied(&first);
    let slope = above
        .less(&near.multiplied(&second))
        .divided(&near.added(&far));
    let Some(rises) = first.order(&zero) else {
        return first.multiplied(&three).around_zero();
    };
    let Some(own) = slope.order(&zero) else {
        return slope.around_zero();
    };
    if rises.is_eq() || own != rises {
        return Some(zero);
    }
    // Of two pieces that go different ways the slope is at most three times the nearer secant.
    let most = three.multiplied(&first);
    let turns = second.order(&zero).is_some_and(|second| second != rises);
    let is_steep = slope.order(&most).is_some_and(|order| order == rises);
    Some(if turns && is_steep { most } else { slope })
}

/// How far the polynomial through the rows next to a place lies above the curve there: through
/// four rows, or all where there are fewer (Lagrange). None where the place is on a row.
pub fn left_out(table: &dyn Table<f64>, way: Way, place: f64) -> Option<f64> {
    let piece = piece(table, &place).ok()?;
    if [piece.left, piece.right]
        .iter()
        .any(|row| table.place(*row) == place)
    {
        return None;
    }
    let mut rows = vec![piece.left, piece.right];
    rows.splice(0..0, piece.before);
    rows.extend(piece.after);
    // Where one side has no more, the other has the fourth.
    while rows.len() < ROWS {
        match (
            last(table, rows[0]),
            next(table, rows[rows.len() - 1] + 1, table.count()),
        ) {
            (Some(before), _) => rows.insert(0, before),
            (None, Some(after)) => rows.push(after),
            (None, None) => break,
        }
    }
    let knots: Vec<Knot<f64>> = rows.iter().map(|row| table.row(*row)).collect();
    let term = |i: usize| {
        let others = (0..knots.len()).filter(|j| *j != i);
        let factors = others.map(|j| (place - knots[j].0) / (knots[i].0 - knots[j].0));
        knots[i].1 * factors.product::<f64>()
    };
    let through: f64 = (0..knots.len()).map(term).sum();
    Some(through - between(table, way, &place).ok()?)
}

/// The rows that a polynomial is laid through.
const ROWS: usize = 4;

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use serde_json::Value;

    use super::*;

    fn numbers(of: &Value) -> Vec<f64> {
        let of = of.as_array().unwrap().iter();
        of.map(|number| number.as_f64().unwrap()).collect()
    }

    /// Rows; one whose value is not a number has none.
    struct Rows<'a>(&'a [f64], &'a [f64]);

    impl Table<f64> for Rows<'_> {
        fn count(&self) -> usize {
            self.0.len()
        }

        fn has(&self, row: usize) -> bool {
            !self.1[row].is_nan()
        }

        fn row(&self, row: usize) -> (f64, f64) {
            (self.0[row], self.1[row])
        }
    }

    fn at(x: &[f64], y: &[f64], way: Way, place: f64) -> Result<f64, Without> {
        between(&Rows(x, y), way, &place)
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
                let found = at(&x, &y, Way::Cubic, place).unwrap();
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
            assert_eq!(at(&x, &y, way, -0.1), Err(Without::Outside));
            assert_eq!(at(&x, &y, way, 3.1), Err(Without::Outside));
            assert_eq!(at(&x, &y, way, 3.0), Ok(3.0));
            assert_eq!(at(&[1.0], &[1.0], way, 1.0), Err(Without::Rows));
            let turned = [0.0, 2.0, 1.0, 3.0];
            let found = at(&turned, &turned, way, 1.5);
            assert!(matches!(found, Err(Without::Order(_))), "{found:?}");
        }
        assert_eq!(at(&x, &y, Way::Straight, 2.0), Ok(2.5));
        assert_eq!(at(&x, &y, Way::Straight, f64::NAN), Err(Without::Doubt));
    }

    #[test]
    fn rows_without_an_entry_are_not_in_it() {
        let (x, y) = ([0.0, 1.0, 2.0, 3.0], [f64::NAN, 2.0, f64::NAN, 4.0]);
        assert_eq!(at(&x, &y, Way::Straight, 2.0), Ok(3.0));
        assert_eq!(at(&x, &y, Way::Straight, 0.5), Err(Without::Outside));
    }

    /// 998.2 and 995.6 kg/m³ at 20 and 30 °C with their neighbours: what a straight line leaves
    /// out is told by four rows.
    #[test]
    fn the_nearest_rows_tell_what_a_straight_line_leaves_out() {
        let (x, y) = ([10.0, 20.0, 30.0, 40.0], [999.7, 998.2, 995.6, 992.2]);
        let line = at(&x, &y, Way::Straight, 25.0).unwrap();
        assert!((line - 996.9).abs() < 1e-9);
        let rows = Rows(&x, &y);
        let above = left_out(&rows, Way::Straight, 25.0).unwrap();
        assert!((above - 0.11875).abs() < 1e-9, "{above}");
        assert_eq!(left_out(&rows, Way::Straight, 20.0), None);
        // At an end the four rows are those of one side.
        let end = left_out(&rows, Way::Straight, 12.0).unwrap();
        let inner = left_out(&Rows(&x[1..], &y[1..]), Way::Straight, 25.0).unwrap();
        assert!(end > 0.0 && (inner - 0.1).abs() < 1e-9, "{end} {inner}");
    }

    fn table() -> impl Strategy<Value = (Vec<f64>, Vec<f64>, f64)> {
        let rows = prop::collection::vec((0.1..5.0, -10.0..10.0, 0..5_u8), 2..9);
        (rows, any::<bool>(), 0.0..1.0).prop_map(|(rows, falls, part)| {
            let sign = if falls { -1.0 } else { 1.0 };
            let mut at = 0.0;
            let places = rows.iter().map(|(step, ..)| {
                at += sign * step;
                at
            });
            let x: Vec<f64> = places.collect();
            let mut level = 0.0;
            let values = rows.iter().map(|(_, value, kind)| {
                // Some go up and down, some stand still.
                level = if *kind == 0 { level } else { *value };
                level
            });
            let y = values.collect();
            let place = x[0] + part * (x[x.len() - 1] - x[0]);
            (x, y, place)
        })
    }

    proptest! {
        #[test]
        fn curves_stay_between_their_rows((x, y, place) in table()) {
            let right = x.windows(2).position(|pair| (pair[0] - place) * (pair[1] - place) <= 0.0);
            let left = right.unwrap();
            let (low, high) = (y[left].min(y[left + 1]), y[left].max(y[left + 1]));
            for way in [Way::Straight, Way::Cubic] {
                let value = at(&x, &y, way, place).unwrap();
                prop_assert!(value >= low - 1e-9 && value <= high + 1e-9);
            }
        }
    }
}
