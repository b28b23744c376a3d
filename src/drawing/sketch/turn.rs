//! Couples, what is square to the page, and how a body moves.

use std::f64::consts::TAU;

use super::arrows;
use super::beside::Label;
use super::pens::{FORCE, HEAD, LOAD, LOAD_HEAD, SPEED};
use super::sheet::{Layer, Sheet};
use super::way::{self, Way};
use super::{Moment, Motion, Square};
use crate::drawing::ink::{Area, Ink, Point};
use crate::typeset::Run;

/// How far round the arc of a couple goes.
const ROUND: f64 = 0.62 * TAU;

/// Half of what is drawn for a force square to the page (3 mm).
const RING: f64 = 1.5 * super::pens::MM;

/// An arc around a place, where it meets least.
pub(super) fn moment(sheet: &mut Sheet, moment: &Moment, at: Point) {
    moment_around(sheet, moment, at, &[24.0, 30.0, 38.0, 48.0]);
}

/// The same with one of these radii.
pub(super) fn moment_around(sheet: &mut Sheet, moment: &Moment, at: Point, radii: &[f64]) {
    sheet.begin();
    let arc = |(radius, eighth): (f64, u8)| {
        // A wide one need not go so far around.
        let round = ROUND * (48.0 / radius).min(1.0);
        let turn = if moment.is_clockwise { -round } else { round };
        let middle = f64::from(eighth) * TAU / 8.0;
        way::arc(at, radius, middle - turn / 2.0, middle + turn / 2.0)
    };
    let cost = |tried: &(f64, u8)| {
        let points = arc(*tried);
        let crossed: f64 = (points.windows(2))
            .map(|it| sheet.clash(it[0], it[1]))
            .sum();
        crossed + 0.1 * tried.0
    };
    let tried = radii.iter();
    let tried = tried.flat_map(|radius| [2, 0, 4, 6, 1, 3, 5, 7].map(|eighth| (*radius, eighth)));
    let best = tried.min_by(|one, other| cost(one).total_cmp(&cost(other)));
    let best = best.unwrap_or((24.0, 2));
    let points = arc(best);
    let (pen, head) = match moment.is_zero {
        true => (LOAD, LOAD_HEAD),
        false => (FORCE, HEAD),
    };
    // The head lies on the chord of its own length.
    let tip = points[points.len() - 1];
    let base = points
        .iter()
        .rev()
        .find(|it| way::distance(**it, tip) >= 0.9 * head.0);
    let way = base
        .and_then(|base| Way::between(*base, tip))
        .unwrap_or(Way::UP);
    let last = points
        .iter()
        .rposition(|it| way::distance(*it, tip) >= 0.8 * head.0);
    sheet.line(Layer::Top, &points[..=last.unwrap_or(0).max(1)], pen);
    sheet.head(Layer::Top, tip, way, head);
    let middle = Way::at(f64::from(best.1) * TAU / 8.0);
    sheet.label(Label::around(&moment.label, at, middle, best.0 + 3.0));
}

/// A ring with a dot or a cross, where there is room for it.
pub(super) fn square(sheet: &mut Sheet, square: &Square, at: Point) {
    let at = free(sheet, at);
    sheet.begin();
    ring(sheet, at, square.is_toward_reader);
    sheet.label(Label::around(
        &square.label,
        at,
        Way::at(TAU / 8.0),
        RING + 2.0,
    ));
}

/// A place for a ring, at a point or near it.
pub(super) fn free(sheet: &Sheet, at: Point) -> Point {
    let room = |at: Point| {
        let area = Area {
            left: at.x,
            top: at.y,
            right: at.x,
            bottom: at.y,
        };
        sheet.is_free(&area.wider(RING + 2.0))
    };
    let near = [16.0, 24.0, 34.0, 46.0].into_iter();
    let near = near.flat_map(|off| [1, 3, 7, 5].map(|eighth| (off, eighth)));
    let near = near.map(|(off, eighth)| Way::at(f64::from(eighth) * TAU / 8.0).from(at, off));
    std::iter::once(at)
        .chain(near)
        .find(|at| room(*at))
        .unwrap_or(at)
}

pub(super) fn ring(sheet: &mut Sheet, at: Point, is_toward_reader: bool) {
    sheet.circle(Layer::Top, at, RING, Ink::Paper, SPEED);
    match is_toward_reader {
        true => sheet.circle(Layer::Top, at, 1.2, Ink::Black, SPEED),
        false => {
            let lines = [1, 3].map(|eighth| {
                let way = Way::at(f64::from(eighth) * TAU / 8.0);
                vec![way.from(at, -RING), way.from(at, RING)]
            });
            sheet.lines(Layer::Top, lines.to_vec(), SPEED);
        }
    }
}

/// An open arrow on an arc about a point, where it meets least.
pub(super) fn about(
    sheet: &mut Sheet,
    (label, is_clockwise): (&[Run], bool),
    at: Point,
    radii: &[f64],
) {
    const LONG: f64 = 0.3 * TAU;
    sheet.begin();
    let arc = |radius: f64, eighth: u8| {
        let long = LONG * (60.0 / radius).min(1.0);
        let turn = if is_clockwise { -long } else { long };
        let middle = f64::from(eighth) * TAU / 8.0;
        way::arc(at, radius, middle - turn / 2.0, middle + turn / 2.0)
    };
    let tried = radii
        .iter()
        .flat_map(|radius| [2, 1, 3, 6, 5, 7, 0, 4].map(|eighth| (*radius, eighth)));
    let costs = tried.map(|(radius, eighth)| {
        let points = arc(radius, eighth);
        let crossed: f64 = points.windows(2).map(|it| sheet.clash(it[0], it[1])).sum();
        (crossed + 0.1 * radius, radius, eighth)
    });
    let best = costs.min_by(|one, other| one.0.total_cmp(&other.0));
    let Some((_, radius, eighth)) = best else {
        return;
    };
    let points = arc(radius, eighth);
    let end = points.len() - 1;
    sheet.line(Layer::Top, &points, SPEED);
    if let Some(way) = Way::between(points[end - 1], points[end]) {
        open_head(sheet, points[end], way);
    }
    let middle = Way::at(f64::from(eighth) * TAU / 8.0);
    sheet.label(Label::around(label, at, middle, radius + 3.0));
}

/// How wide and high a motion is.
pub(super) const MOTION: f64 = 40.0;

/// An open arrow around a point.
pub(super) fn motion(sheet: &mut Sheet, motion: &Motion, at: Point, way: Way) {
    sheet.begin();
    match motion {
        Motion::Straight { label, length, .. } => {
            let half = length.map_or(MOTION, arrows::millimetres) / 2.0;
            let (tail, tip) = (way.from(at, -half), way.from(at, half));
            sheet.line(Layer::Top, &[tail, tip], SPEED);
            open_head(sheet, tip, way);
            sheet.label(Label::arrow(label, (tail, tip)));
        }
        Motion::Turning {
            label,
            is_clockwise,
        } => {
            let turn = if *is_clockwise { -ROUND } else { ROUND };
            let points = way::arc(
                at,
                MOTION / 3.0,
                TAU / 4.0 - turn / 2.0,
                TAU / 4.0 + turn / 2.0,
            );
            let end = points.len() - 1;
            let way = Way::between(points[end - 1], points[end]).unwrap_or(Way::UP);
            sheet.line(Layer::Top, &points, SPEED);
            open_head(sheet, points[end], way);
            sheet.label(Label::around(label, at, Way::UP, MOTION / 3.0 + 3.0));
        }
    }
}

/// Two lines at 45° that end at a tip.
pub(super) fn open_head(sheet: &mut Sheet, tip: Point, way: Way) {
    let back = way.from(tip, -6.5);
    let ends = [6.5, -6.5].map(|side| way.left().from(back, side * 0.6));
    sheet.line(Layer::Top, &[ends[0], tip, ends[1]], SPEED);
}
