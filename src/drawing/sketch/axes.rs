//! Axes, motions and scale bars: what stands beside the figure.

use super::arrows;
use super::beside::Label;
use super::pens::{DIMENSION_HEAD, LOAD, MM};
use super::sheet::{Layer, Sheet};
use super::turn::{self, MOTION};
use super::way::{Way, around, distance};
use super::{Axes, Motion, ScaleBar, Sketch, Towards};
use crate::drawing::ink::{Area, Point};

/// How long an axis is.
const AXIS: f64 = 28.0;

/// What is kept free around a corner of axes, for its letters.
const ROOM: f64 = 15.0;

/// How far they stand off where a label is liked.
const APART: f64 = 8.0;

/// How far apart the spots are that are tried.
const STEP: f64 = 12.0;

pub(super) fn draw(sketch: &Sketch, sheet: &mut Sheet) {
    for motion in &sketch.motions {
        self::motion(sheet, motion);
    }
    if let Some(axes) = &sketch.axes {
        corner(sheet, axes);
    }
    for bar in &sketch.scales {
        scale(sheet, bar);
    }
}

/// Beside or over the figure, nearest to its upper corners.
fn motion(sheet: &mut Sheet, motion: &Motion) {
    let way = match motion {
        Motion::Turning { .. } => Way::RIGHT,
        Motion::Straight { direction, .. } => match direction.towards {
            Towards::Angle(angle) => Way::at(angle),
            // Where that is, the figure alone knows.
            Towards::Place(_) | Towards::AwayFrom(_) => Way::RIGHT,
        },
    };
    let half = match motion {
        Motion::Straight {
            length: Some(long), ..
        } => arrows::millimetres(*long) / 2.0,
        Motion::Straight { .. } | Motion::Turning { .. } => MOTION / 2.0,
    };
    let own =
        [Way::LEFT, Way::RIGHT, Way::UP, Way::DOWN].map(|it| it.from(Point::new(0.0, 0.0), half));
    let Some(own) = around(own) else { return };
    let at = spot(sheet, &own.wider(8.0), |area, extent| {
        let from = Point::new(area.right, area.top);
        let to = [extent.left, extent.right].map(|x| distance(from, Point::new(x, extent.top)));
        to[0].min(to[1])
    });
    turn::motion(sheet, motion, at, way);
}

/// The axes in the free spot nearest to the lower corners.
fn corner(sheet: &mut Sheet, axes: &Axes) {
    let zero = Point::new(0.0, 0.0);
    let ways = [Way::at(axes.x), Way::at(axes.y)];
    let Some(own) = around([zero, ways[0].from(zero, AXIS), ways[1].from(zero, AXIS)]) else {
        return;
    };
    let at = spot(sheet, &own.wider(ROOM), |area, extent| {
        let left = distance(
            Point::new(area.left, area.bottom),
            Point::new(extent.left, extent.bottom),
        );
        let right = distance(
            Point::new(area.right, area.bottom),
            Point::new(extent.right, extent.bottom),
        );
        left.min(right + 4.0)
    });
    sheet.begin();
    for (way, label) in ways.into_iter().zip(&axes.labels) {
        let tip = way.from(at, AXIS);
        sheet.arrow(Layer::Top, (at, tip), LOAD, DIMENSION_HEAD);
        sheet.label(Label::around(label, tip, way, 2.0));
    }
}

/// Where an area around 0 has room, at the least cost.
fn spot(sheet: &Sheet, own: &Area, cost: impl Fn(&Area, &Area) -> f64) -> Point {
    let extent = sheet.extent();
    let (width, height) = (own.right - own.left, own.bottom - own.top);
    let count = |from: f64, to: f64| ((to - from) / STEP).ceil().clamp(0.0, 100.0) as usize;
    let (first, last) = (extent.left - width, extent.right);
    let (top, bottom) = (extent.top - height, extent.bottom - height);
    let moved = |column: usize, row: usize| {
        let left = first + STEP * column as f64;
        let low = bottom - STEP * row as f64;
        Area {
            left,
            top: low,
            right: left + width,
            bottom: low + height,
        }
    };
    let mut best: Option<(f64, Area)> = None;
    for row in 0..=count(top, bottom) {
        for column in 0..=count(first, last) {
            let area = moved(column, row);
            // What makes the drawing larger is liked less.
            let beyond = (extent.left - area.left).max(0.0)
                + (area.right - extent.right).max(0.0)
                + (extent.top - area.top).max(0.0);
            let cost = cost(&area, &extent) + 0.6 * beyond;
            // No line comes into what is free, so that all of it is in a body or outside.
            let is_outside = || !sheet.is_in_a_body(Point::new(area.left, area.top));
            if best.is_none_or(|(least, _)| cost < least)
                && sheet.is_free(&area)
                && !sheet.is_wanted(&area.wider(APART))
                && is_outside()
            {
                best = Some((cost, area));
            }
        }
    }
    // Left of everything there is room.
    let area = best.map_or_else(|| moved(0, 0), |(_, area)| area);
    Point::new(area.left - own.left, area.top - own.top)
}

/// A bar below everything at the left.
fn scale(sheet: &mut Sheet, bar: &ScaleBar) {
    let extent = sheet.extent();
    let length = match bar.length.is_finite() {
        true => (bar.length * MM).clamp(4.0, 1e4),
        false => 10.0 * MM,
    };
    let y = extent.bottom + 30.0;
    let (from, to) = (
        Point::new(extent.left, y),
        Point::new(extent.left + length, y),
    );
    sheet.begin();
    let tick = |x: f64| vec![Point::new(x, y - 4.0), Point::new(x, y + 4.0)];
    sheet.lines(
        Layer::Top,
        vec![vec![from, to], tick(from.x), tick(to.x)],
        LOAD,
    );
    sheet.label(Label::above(&bar.label, (from, to)));
}
