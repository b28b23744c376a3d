//! Water on a line: its pressure, its surface, and the wall over it.

use super::beside::Label;
use super::dimension;
use super::load::{self, Row};
use super::pens::{LOAD, OUTLINE};
use super::plan::Plan;
use super::sheet::{Layer, Sheet};
use super::way::{self, Way};
use super::{Body, Side, Surface, Water};
use crate::drawing::ink::{Ink, Point};

/// How long the greatest pressure is drawn.
const HIGH: f64 = 58.0;

/// How far the surface is drawn out.
const LONG: f64 = 150.0;

/// What a wall leaves free above a body, for the forces there, and its least height.
const FREE: f64 = 74.0;
const WALL: f64 = 24.0;

/// How far off the body the height of the surface is written.
const DIMENSION: f64 = 112.0;

/// The triangle on a surface: how high, and half as wide.
const TRIANGLE: (f64, f64) = (9.0, 5.5);

/// Draws water on a body that reaches so far to its side.
pub(super) fn draw(sheet: &mut Sheet, plan: &Plan, body: &Body, water: &Water, reach: f64) -> Row {
    let (from, to) = (plan.place(water.from), plan.place(water.to));
    let surface = plan.surface(&water.surface);
    let way = load::square(from, to, water.side);
    let over = plan.length(water.pressure_height).max(0.0);
    let depth = |at: Point| (at.y - surface).max(0.0) + over;
    let most = depth(from).max(depth(to));
    let heights = [from, to].map(|at| match most > 1e-9 {
        true => HIGH * depth(at) / most,
        false => 0.0,
    });
    let row = Row {
        feet: [from, to].map(|at| way.from(at, -(reach + 1.0))),
        way,
        heights,
        is_turned: false,
    };
    sheet.begin_faint();
    row.draw(sheet, &[]);
    let tops = row.tops();
    sheet.label(Label::beside(&water.label, (tops[0], tops[1]), way.back()));
    let face = face(water, (from, to), (surface, reach));
    self::surface(sheet, water, (face, out(way)));
    wall(sheet, (from, to), way, (face, reach));
    if body.has_dimensions {
        height(sheet, plan, water, (face, out(way)));
    }
    row
}

/// Where the surface ends at the body, or at the wall over it.
fn face(water: &Water, (from, to): (Point, Point), (surface, reach): (f64, f64)) -> Point {
    let (top, low) = if from.y < to.y {
        (from, to)
    } else {
        (to, from)
    };
    let along = match low.y - top.y > 1e-6 {
        true => ((surface - top.y) / (low.y - top.y)).clamp(0.0, 1.0),
        false => 0.0,
    };
    let at = way::part(top, low, along);
    let x = match water.side {
        Side::Left => at.x - reach,
        Side::Right => at.x + reach,
        Side::Above | Side::Below => at.x,
    };
    Point::new(x, surface)
}

/// Which way the water reaches from a body that it presses this way.
fn out(push: Way) -> Way {
    if push.x < 0.0 { Way::RIGHT } else { Way::LEFT }
}

/// The line of the surface with its triangle, and what presses on it.
fn surface(sheet: &mut Sheet, water: &Water, (face, out): (Point, Way)) {
    let end = out.from(face, LONG);
    sheet.begin();
    sheet.line(Layer::Body, &[face, end], LOAD);
    mark(sheet, out.from(face, 0.62 * LONG));
    let above = (out.from(face, 0.2 * LONG), out.from(face, 0.5 * LONG));
    sheet.label(Label::beside(&water.pressure, above, Way::UP));
}

/// The triangle of a free surface, with two short lines below it.
pub(super) fn mark(sheet: &mut Sheet, foot: Point) {
    let (high, half) = TRIANGLE;
    let corners = [half, -half].map(|side| Point::new(foot.x + side, foot.y - high));
    sheet.outline(
        Layer::Body,
        vec![foot, corners[0], corners[1]],
        Ink::Paper,
        Some(LOAD),
    );
    let lines = [(6.0, 3.0), (3.5, 5.6)].map(|(half, down)| {
        vec![
            Point::new(foot.x - half, foot.y + down),
            Point::new(foot.x + half, foot.y + down),
        ]
    });
    sheet.lines(Layer::Body, lines.to_vec(), super::pens::THIN);
}

/// A hatched wall from over an upright plate to over the surface.
fn wall(sheet: &mut Sheet, (from, to): (Point, Point), push: Way, (face, reach): (Point, f64)) {
    let top = if from.y < to.y { from } else { to };
    let is_upright = Way::between(from, to).is_some_and(Way::is_upright);
    let low = Point::new(face.x, top.y - FREE);
    if !is_upright || low.y - face.y < WALL {
        return;
    }
    let high = Point::new(face.x, face.y - 14.0);
    let low = Point::new(face.x, low.y.min(top.y - reach));
    sheet.begin();
    sheet.line(Layer::Body, &[high, low], OUTLINE);
    // The ground is on the dry side: on the right of the way where water presses to the left.
    match push.x < 0.0 {
        true => sheet.hatch(high, low),
        false => sheet.hatch(low, high),
    }
}

/// How high the surface is above a place.
fn height(sheet: &mut Sheet, plan: &Plan, water: &Water, (face, out): (Point, Way)) {
    let Surface::Above { place, label, .. } = &water.surface else {
        return;
    };
    let at = plan.place(*place);
    let x = out.from(face, DIMENSION).x;
    sheet.begin();
    dimension::upright(sheet, label, x, [face, at], [false, true]);
}
