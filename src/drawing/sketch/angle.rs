//! What is written beside a direction: an angle on an arc, or a slope on a triangle.

use std::f64::consts::PI;

use super::Mark;
use super::beside::Label;
use super::pens::{DIMENSION_HEAD, HEAD, REFERENCE, THIN};
use super::sheet::{Layer, Sheet};
use super::way::{self, Way, tame};
use crate::drawing::ink::Point;

/// The radii that an arc is tried with.
const RADII: [f64; 7] = [42.0, 36.0, 50.0, 28.0, 60.0, 72.0, 86.0];

/// How far a reference line goes beyond its arc.
const BEYOND: f64 = 16.0;

/// What it costs an arc to meet its arm where that ends.
const AT_THE_END: f64 = 3.0;

/// Marks a direction. `arm` goes from the point along what has it, to the far end of that;
/// the mark is that of the direction or of its opposite, which is the same angle.
pub(super) fn draw(sheet: &mut Sheet, mark: &Mark, at: Point, far: Point, said: Way) {
    let Some(arm) = Way::between(at, far) else {
        return;
    };
    sheet.begin();
    match mark {
        Mark::Nothing => {}
        Mark::Angle { from, label } => {
            let is_opposite = arm.dot(said) < 0.0;
            let half_turn = if is_opposite { PI } else { 0.0 };
            let by = tame(said.angle() - tame(*from));
            // The shorter way around.
            let by = match by {
                by if by > PI => by - 2.0 * PI,
                by if by < -PI => by + 2.0 * PI,
                by => by,
            };
            if by.abs() > 0.02 {
                let long = way::distance(at, far);
                arc(sheet, label, (at, long), (tame(*from) + half_turn, by));
            }
        }
        Mark::Slope { upright, level } => slope(sheet, [upright, level], at, far),
    }
}

fn arc(
    sheet: &mut Sheet,
    label: &[crate::typeset::Run],
    (at, long): (Point, f64),
    (from, by): (f64, f64),
) {
    let reference = Way::at(from);
    let line = |radius: f64| {
        let (start, end) = (reference.from(at, 9.0), reference.from(at, radius + BEYOND));
        (start, end)
    };
    let cost = |radius: f64| {
        let points = way::arc(at, radius, from, from + by);
        // Its ends lie on lines.
        let inner = &points[1..points.len().max(2) - 1];
        let crossed: f64 = inner.windows(2).map(|it| sheet.clash(it[0], it[1])).sum();
        let (start, end) = line(radius);
        // Not on the head of an arrow.
        let is_at_the_end = (-2.0..=HEAD.0 + 3.0).contains(&(long - radius));
        let at_the_end = if is_at_the_end { AT_THE_END } else { 0.0 };
        crossed + at_the_end + sheet.clash(start, end) + 0.08 * (radius - RADII[0]).abs()
    };
    let radius = RADII
        .into_iter()
        .min_by(|one, other| cost(*one).total_cmp(&cost(*other)))
        .unwrap_or(RADII[0]);
    let (start, end) = line(radius);
    let points = way::arc(at, radius, from, from + by);
    let layer = layer(sheet, &points);
    if !sheet.is_on_line(start, end) {
        sheet.line(layer, &[start, end], REFERENCE);
    }
    let last = points[points.len() - 1];
    let before = points[points.len() - 2];
    let has_head = by.abs() * radius > 14.0;
    if let Some(way) = Way::between(before, last).filter(|_| has_head) {
        sheet.head(layer, last, way, DIMENSION_HEAD);
    }
    sheet.line(layer, &points, THIN);
    sheet.label(Label::arc(label, at, radius, (from, from + by)));
}

/// A triangle beside an arm.
fn slope(sheet: &mut Sheet, labels: [&Vec<crate::typeset::Run>; 2], at: Point, far: Point) {
    let (one, other) = (way::part(at, far, 0.35), way::part(at, far, 0.75));
    let level = Way {
        x: (other.x - one.x).signum(),
        y: 0.0,
    };
    let (low, high) = if one.y > other.y {
        (one, other)
    } else {
        (other, one)
    };
    let way = Way::between(low, high).unwrap_or(level);
    let below = match way.left().y > 0.0 {
        true => way.left(),
        false => way.left().back(),
    };
    // Below the arm, or above it where less is in the way.
    let corners = |is_below: bool| {
        let out = if is_below { below } else { below.back() };
        let (low, high) = (out.from(low, 5.0), out.from(high, 5.0));
        let corner = match is_below {
            true => Point::new(high.x, low.y),
            false => Point::new(low.x, high.y),
        };
        [low, high, corner]
    };
    let cost = |[low, high, corner]: [Point; 3]| {
        sheet.clash(low, corner) + sheet.clash(corner, high) + sheet.clash(low, high)
    };
    let is_below = cost(corners(true)) <= cost(corners(false));
    let [low, high, corner] = corners(is_below);
    let lines = [low, high, corner, low];
    sheet.line(layer(sheet, &lines), &lines, THIN);
    let (upright, across) = if is_below { (high, low) } else { (low, high) };
    let is_right = upright.x > across.x;
    let aside = if is_right { Way::RIGHT } else { Way::LEFT };
    let over = if is_below { Way::DOWN } else { Way::UP };
    sheet.label(Label::beside(labels[0], (upright, corner), aside));
    sheet.label(Label::beside(labels[1], (across, corner), over));
}

/// Below everything, or on the body that would cover it there.
fn layer(sheet: &Sheet, lines: &[Point]) -> Layer {
    match lines.iter().any(|at| sheet.is_in_a_body(*at)) {
        true => Layer::Top,
        false => Layer::Thin,
    }
}
