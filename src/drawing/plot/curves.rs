//! Curves within their frame, and points that are too many to be drawn one by one.

use super::scale::Scale;
use super::{Curve, Reading};
use crate::drawing::ink::{Area, Ink, Line, Pen, Point};

/// More points than this are drawn as a band.
pub(super) const MOST_POINTS: usize = 4000;

/// How far a curve may be moved to have fewer corners.
const TOLERANCE: f64 = 0.08;

const WIDTH: f64 = 1.2;

/// The types of lines in the order in which curves take them.
const LINES: [Line; 5] = [
    Line::Continuous,
    Line::Dashed,
    Line::LongDashDot,
    Line::Dotted,
    Line::LongDashTwoDots,
];

/// What the curve with this number is drawn with; after all types they come again, wider.
pub(super) fn pen(curve: usize, ink: Ink) -> Pen {
    let wider = (curve / LINES.len()) as f64;
    Pen {
        ink,
        width: WIDTH + 0.8 * wider,
        line: LINES[curve % LINES.len()],
    }
}

/// The runs of a curve in a frame, from point to point.
pub(super) fn lines(curve: &Curve, x: &Scale, y: &Scale, frame: &Area) -> Vec<Vec<Point>> {
    let runs = curve.runs.iter().map(|run| placed(run, x, y));
    runs.flat_map(|run| clipped(&run, frame))
        .map(|it| thinned(&it))
        .collect()
}

/// A band in a frame.
pub(super) struct Band {
    pub outline: Vec<Point>,
    /// From its upper end to its lower one, here and there.
    pub across: Vec<(Point, Point)>,
}

/// How far the places stand apart at which it is told where a band is.
const APART: f64 = 6.0;

/// The bands around a curve, in a frame.
pub(super) fn band(curve: &Curve, x: &Scale, y: &Scale, frame: &Area) -> Vec<Band> {
    let runs = curve.runs.iter().zip(&curve.band);
    runs.filter_map(|(run, band)| {
        let inside: Vec<(f64, f64, f64)> = (run.iter().zip(band))
            .map(|((at, _), (low, high))| (x.at(*at), y.at(*low), y.at(*high)))
            .filter(|(at, ..)| *at >= frame.left - 1e-6 && *at <= frame.right + 1e-6)
            .collect();
        let kept = |place: f64| place.clamp(frame.top, frame.bottom);
        let side = |pick: fn(&(f64, f64, f64)) -> f64| {
            let points = inside.iter().map(|it| Point::new(it.0, kept(pick(it))));
            thinned(&points.collect::<Vec<Point>>())
        };
        let mut outline = side(|it| it.1);
        outline.extend(side(|it| it.2).into_iter().rev());
        let mut last = f64::NEG_INFINITY;
        let across = inside.iter().filter(|(at, ..)| {
            let is_apart = (at - last).abs() >= APART;
            last = if is_apart { *at } else { last };
            is_apart
        });
        let ends = across
            .map(|(at, low, high)| (Point::new(*at, kept(*high)), Point::new(*at, kept(*low))));
        let across = ends.collect();
        (outline.len() > 3 && outline.iter().all(Point::is_finite))
            .then_some(Band { outline, across })
    })
    .collect()
}

fn placed(run: &[(f64, f64)], x: &Scale, y: &Scale) -> Vec<Point> {
    let points = run
        .iter()
        .map(|(at, value)| Point::new(x.at(*at), y.at(*value)));
    points.filter(Point::is_finite).collect()
}

/// A line through points, cut off at a frame; it may come in several parts.
fn clipped(points: &[Point], frame: &Area) -> Vec<Vec<Point>> {
    let mut parts: Vec<Vec<Point>> = Vec::new();
    for pair in points.windows(2) {
        let Some((from, to)) = inside(pair[0], pair[1], frame) else {
            continue;
        };
        match parts.last_mut() {
            Some(part) if part.last() == Some(&from) => part.push(to),
            _ => parts.push(vec![from, to]),
        }
    }
    parts
}

/// The part of a line that lies in a frame (the method of Liang and Barsky).
fn inside(from: Point, to: Point, frame: &Area) -> Option<(Point, Point)> {
    let (mut first, mut last) = (0.0_f64, 1.0_f64);
    let (right, down) = (to.x - from.x, to.y - from.y);
    for (way, room) in [
        (-right, from.x - frame.left),
        (right, frame.right - from.x),
        (-down, from.y - frame.top),
        (down, frame.bottom - from.y),
    ] {
        if way == 0.0 {
            if room < 0.0 {
                return None;
            }
            continue;
        }
        let part = room / way;
        if way < 0.0 {
            first = first.max(part);
        } else {
            last = last.min(part);
        }
    }
    if first > last {
        return None;
    }
    let at = |part: f64| match part {
        0.0 => from,
        1.0 => to,
        part => Point::new(from.x + part * right, from.y + part * down),
    };
    Some((at(first), at(last)))
}

/// A line with as few corners as show it (the method of Douglas and Peucker).
fn thinned(points: &[Point]) -> Vec<Point> {
    let mut is_kept = vec![false; points.len()];
    let mut open = vec![(0, points.len().saturating_sub(1))];
    for end in [0, points.len().saturating_sub(1)] {
        is_kept
            .iter_mut()
            .skip(end)
            .take(1)
            .for_each(|it| *it = true);
    }
    while let Some((first, last)) = open.pop() {
        let between = first + 1..last;
        let farthest = between
            .map(|at| (at, distance(points[at], points[first], points[last])))
            .max_by(|one, other| one.1.total_cmp(&other.1));
        if let Some((at, distance)) = farthest
            && distance > TOLERANCE
        {
            is_kept[at] = true;
            open.extend([(first, at), (at, last)]);
        }
    }
    let kept = points.iter().zip(is_kept).filter(|(_, kept)| *kept);
    kept.map(|(point, _)| *point).collect()
}

/// How far a point lies from a line between two.
fn distance(point: Point, from: Point, to: Point) -> f64 {
    let (right, down) = (to.x - from.x, to.y - from.y);
    let length = right.hypot(down);
    if length == 0.0 {
        return (point.x - from.x).hypot(point.y - from.y);
    }
    ((point.x - from.x) * down - (point.y - from.y) * right).abs() / length
}

/// The least and the greatest of many points in each column of the drawing, from left to right.
pub(super) fn columns(readings: &[Reading], x: &Scale, y: &Scale, frame: &Area) -> [Vec<Point>; 2] {
    let width = (frame.right - frame.left).round() as usize;
    let mut found: Vec<Option<(f64, f64)>> = vec![None; width + 1];
    for reading in readings {
        let (across, down) = (x.at(reading.x) - frame.left, y.at(reading.y));
        let column = found.get_mut(across.round() as usize);
        let Some(column) = column.filter(|_| across >= 0.0) else {
            continue;
        };
        let down = down.clamp(frame.top, frame.bottom);
        let (high, low) = column.unwrap_or((down, down));
        *column = Some((high.min(down), low.max(down)));
    }
    let place = |at: usize| frame.left + at as f64;
    let columns = found.iter().enumerate();
    let ends = columns.filter_map(|(at, ends)| Some((at, (*ends)?)));
    let ends: Vec<(usize, (f64, f64))> = ends.collect();
    [
        ends.iter()
            .map(|(at, ends)| Point::new(place(*at), ends.0))
            .collect(),
        ends.iter()
            .map(|(at, ends)| Point::new(place(*at), ends.1))
            .collect(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Area = Area {
        left: 0.0,
        top: 0.0,
        right: 10.0,
        bottom: 10.0,
    };

    #[test]
    fn a_curve_ends_at_the_frame_and_begins_again() {
        let points = [
            (-5.0, 5.0),
            (5.0, 5.0),
            (5.0, 20.0),
            (8.0, 20.0),
            (8.0, 5.0),
        ];
        let points = points.map(|(x, y)| Point::new(x, y));
        let parts = clipped(&points, &FRAME);
        let ends = |part: &Vec<Point>| {
            let (first, last) = (part[0], part[part.len() - 1]);
            (first.x, first.y, last.x, last.y)
        };
        let ends: Vec<(f64, f64, f64, f64)> = parts.iter().map(ends).collect();
        assert_eq!(ends, [(0.0, 5.0, 5.0, 10.0), (8.0, 10.0, 8.0, 5.0)]);
    }

    #[test]
    fn a_straight_line_has_two_points() {
        let points: Vec<Point> = (0..9).map(|at| Point::new(f64::from(at), 1.0)).collect();
        assert_eq!(thinned(&points).len(), 2);
        assert!(thinned(&[]).is_empty());
    }
}
