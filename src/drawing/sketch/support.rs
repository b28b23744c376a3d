//! Supports: what holds a body at a place.

use super::pens::OUTLINE;
use super::sheet::{Layer, Sheet};
use super::way::Way;
use super::{Support, SupportKind};
use crate::drawing::ink::{Ink, Point};

/// The ring of a joint.
const RING: f64 = 3.4;

/// The triangle of a pin: how deep, and half as wide.
const TRIANGLE: (f64, f64) = (20.0, 12.0);

/// What a roller leaves free below its triangle.
const ROLLER: f64 = 5.0;

/// How long a link is from ring to ring.
const LINK: f64 = 26.0;

/// Half of the ground below a pin, and of other ground.
const GROUND: f64 = 18.0;
const WALL: f64 = 20.0;

/// How deep hatching is, with a gap to what comes behind it.
const HATCHED: f64 = 9.0;

/// Where the ground of a support is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ground {
    pub way: Way,
    /// How far what is drawn reaches that way.
    pub deep: f64,
    /// Half of its width.
    pub half: f64,
}

/// Draws a support whose ground lies in a direction, at a body that reaches so far from its
/// place; nothing where it has no ground.
pub(super) fn draw(
    sheet: &mut Sheet,
    support: &Support,
    (at, way): (Point, Way),
    reach: f64,
) -> Option<Ground> {
    sheet.begin();
    let ground = |deep: f64, half: f64| Some(Ground { way, deep, half });
    match support.kind {
        SupportKind::Pin => {
            triangle(sheet, at, way);
            line(sheet, way.from(at, TRIANGLE.0), way, GROUND);
            ring(sheet, at);
            ground(TRIANGLE.0 + HATCHED, GROUND)
        }
        SupportKind::Roller => {
            triangle(sheet, at, way);
            line(sheet, way.from(at, TRIANGLE.0 + ROLLER), way, GROUND);
            ring(sheet, at);
            ground(TRIANGLE.0 + ROLLER + HATCHED, GROUND)
        }
        SupportKind::Smooth | SupportKind::Rough | SupportKind::Fixed => {
            line(sheet, way.from(at, reach), way, WALL);
            ground(reach + HATCHED, WALL)
        }
        SupportKind::Link => {
            let end = way.from(at, LINK);
            sheet.line(
                Layer::Top,
                &[way.from(at, RING), way.from(end, -RING)],
                OUTLINE,
            );
            ring(sheet, at);
            ring(sheet, end);
            line(sheet, way.from(end, RING), way, GROUND / 1.5);
            ground(LINK + RING + HATCHED, GROUND / 1.5)
        }
        SupportKind::Hinge => {
            ring(sheet, at);
            None
        }
    }
}

fn ring(sheet: &mut Sheet, at: Point) {
    sheet.circle(Layer::Top, at, RING, Ink::Paper, OUTLINE);
}

fn triangle(sheet: &mut Sheet, at: Point, way: Way) {
    let (deep, half) = TRIANGLE;
    let base = way.from(at, deep);
    let corners = [half, -half].map(|side| way.left().from(base, side));
    sheet.outline(
        Layer::Top,
        vec![at, corners[0], corners[1]],
        Ink::Paper,
        Some(OUTLINE),
    );
}

/// A hatched line square to a way.
fn line(sheet: &mut Sheet, at: Point, way: Way, half: f64) {
    let (from, to) = (way.left().from(at, half), way.left().from(at, -half));
    sheet.line(Layer::Body, &[from, to], OUTLINE);
    // Seen along the way, its left comes first: the ground is on the left of that line.
    sheet.hatch(to, from);
}
