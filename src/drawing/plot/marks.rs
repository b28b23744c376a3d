//! The marks of points, and their bars.

use super::Reading;
use super::scale::Scale;
use crate::drawing::ink::{Area, Ink, Item, Pen, Point};

/// How far a mark reaches from its middle.
pub(super) const RADIUS: f64 = 3.3;

/// Half of the short line at the end of a bar.
const CAP: f64 = 2.5;

pub(super) const OUTLINE: f64 = 1.1;
const BAR: f64 = 0.8;

/// The marks in the order in which series take them: what it is, and whether it is filled.
const KINDS: [(Kind, Ink); 8] = [
    (Kind::Circle, Ink::Paper),
    (Kind::Square, Ink::Paper),
    (Kind::Triangle, Ink::Paper),
    (Kind::Circle, Ink::Black),
    (Kind::Square, Ink::Black),
    (Kind::Triangle, Ink::Black),
    (Kind::Diamond, Ink::Paper),
    (Kind::Diamond, Ink::Black),
];

#[derive(Debug, Clone, Copy)]
enum Kind {
    Circle,
    Square,
    Triangle,
    Diamond,
}

/// The mark of the series with this number among those of points.
pub(super) fn mark(series: usize, at: Point, ink: Ink, items: &mut Vec<Item>) {
    let (kind, filled) = KINDS[series % KINDS.len()];
    let filled = if filled == Ink::Black { ink } else { filled };
    let pen = Pen::new(ink, OUTLINE);
    let corners: &[(f64, f64)] = match kind {
        Kind::Circle => {
            items.push(Item::Circle(at, RADIUS, filled, pen));
            return;
        }
        Kind::Square => &[(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)],
        Kind::Triangle => &[(0.0, -1.1), (1.1, 0.8), (-1.1, 0.8)],
        Kind::Diamond => &[(0.0, -1.2), (1.2, 0.0), (0.0, 1.2), (-1.2, 0.0)],
    };
    let corners = corners
        .iter()
        .map(|(x, y)| Point::new(at.x + x * RADIUS, at.y + y * RADIUS));
    items.push(Item::Outline(corners.collect(), filled, Some(pen)));
}

/// A point that was left out: a quiet open circle with a stroke through it.
pub(super) fn left_out(at: Point, items: &mut Vec<Item>) {
    let pen = Pen::new(Ink::Quiet, OUTLINE);
    items.push(Item::Circle(at, RADIUS, Ink::Paper, pen));
    let reach = 1.45 * RADIUS;
    let stroke = [
        Point::new(at.x - reach, at.y + reach),
        Point::new(at.x + reach, at.y - reach),
    ];
    items.push(Item::Lines(
        vec![stroke.to_vec()],
        Pen::new(Ink::Quiet, 0.9),
    ));
}

/// What a mark covers.
pub(super) fn area(at: Point) -> Area {
    let reach = 1.45 * RADIUS;
    Area {
        left: at.x - reach,
        top: at.y - reach,
        right: at.x + reach,
        bottom: at.y + reach,
    }
}

/// The bars of a reading.
pub(super) struct Bars {
    /// Bars with their ends.
    pub lines: Vec<Vec<Point>>,
    /// How many are seen.
    pub count: usize,
}

/// The bars of a reading that are longer than its mark, within the frame.
pub(super) fn bars(reading: &Reading, x: &Scale, y: &Scale, frame: &Area) -> Bars {
    let at = Point::new(x.at(reading.x), y.at(reading.y));
    let (mut lines, mut count) = (Vec::new(), 0);
    let ends = |scale: &Scale, value: f64, half: f64, low: f64, high: f64| {
        let one = scale.at(value + half);
        // On a logarithmic axis a bar to below 0 has no lower end.
        let other = match scale.is_logarithmic && value - half <= 0.0 {
            true => scale.start,
            false => scale.at(value - half),
        };
        let (least, greatest) = (one.min(other), one.max(other));
        let is_seen = greatest - least > 2.0 * RADIUS;
        is_seen.then(|| {
            (
                least.max(low),
                greatest.min(high),
                least >= low,
                greatest <= high,
            )
        })
    };
    if let Some((top, bottom, has_top, has_bottom)) =
        ends(y, reading.y, reading.bar_y, frame.top, frame.bottom)
    {
        count += 1;
        lines.push(vec![Point::new(at.x, top), Point::new(at.x, bottom)]);
        for (end, is_there) in [(top, has_top), (bottom, has_bottom)] {
            if is_there {
                lines.push(vec![
                    Point::new(at.x - CAP, end),
                    Point::new(at.x + CAP, end),
                ]);
            }
        }
    }
    if let Some((left, right, has_left, has_right)) =
        ends(x, reading.x, reading.bar_x, frame.left, frame.right)
    {
        count += 1;
        lines.push(vec![Point::new(left, at.y), Point::new(right, at.y)]);
        for (end, is_there) in [(left, has_left), (right, has_right)] {
            if is_there {
                lines.push(vec![
                    Point::new(end, at.y - CAP),
                    Point::new(end, at.y + CAP),
                ]);
            }
        }
    }
    Bars { lines, count }
}

/// What bars are drawn with.
pub(super) fn bar_pen(ink: Ink) -> Pen {
    Pen::new(ink, BAR)
}
