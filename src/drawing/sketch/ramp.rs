//! A block on an incline or a floor, or one that lies on nothing.

use super::arrows::{self, Shaft, Stand};
use super::pens::{DOT, OUTLINE, THIN};
use super::sheet::{Layer, Sheet};
use super::way::{self, Way};
use super::{Direction, Force, ForceKind, Mark, Ramp, Sketch, Towards, angle, turn};
use crate::drawing::ink::{Ink, Point};

/// How long what the block lies on is, and where the block is.
const LONG: f64 = 250.0;
const UP: f64 = 150.0;
const FLOOR: f64 = 190.0;
const LEVEL: f64 = 95.0;

/// The block: half of its length, and its height.
const HALF: f64 = 36.0;
const HIGH: f64 = 46.0;

/// The level line at the foot of an incline.
const BASE: f64 = 130.0;

/// How far off the surface friction is drawn.
const OFF: f64 = 7.0;

/// A block: the middle of its lower side, the way along that, and the way off it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Block {
    low: Point,
    along: Way,
    off: Way,
}

/// Draws the block on its ramp, or alone, and what acts on it.
pub(super) fn draw(sketch: &Sketch, ramp: Option<&Ramp>, sheet: &mut Sheet) {
    let along = ramp.map_or(Way::RIGHT, |ramp| way_of(&ramp.direction));
    let foot = Point::new(0.0, 0.0);
    let off = match along.left().y > 0.0 {
        true => along.left().back(),
        false => along.left(),
    };
    let up = if along.is_level() { LEVEL } else { UP };
    let block = Block {
        low: along.from(foot, up),
        along,
        off,
    };
    sheet.begin();
    sheet.outline(Layer::Body, block.outline(), Ink::Paper, Some(OUTLINE));
    if let Some(ramp) = ramp {
        ground(sheet, ramp, (foot, along, off));
    }
    for force in &sketch.forces {
        let way = way_of(&force.direction);
        let shafts = block.shafts(sheet, force, way);
        arrows::draw(sheet, force, way, &shafts);
    }
    for square in &sketch.square {
        turn::square(sheet, square, block.middle());
    }
}

/// What the block lies on, with its angle.
fn ground(sheet: &mut Sheet, ramp: &Ramp, (foot, along, off): (Point, Way, Way)) {
    sheet.begin();
    let long = if along.is_level() { FLOOR } else { LONG };
    let end = along.from(foot, long);
    sheet.line(Layer::Body, &[foot, end], OUTLINE);
    // Hatching lies on the right of the way, which is below.
    match along.left().dot(off) > 0.0 {
        true => sheet.hatch(foot, end),
        false => sheet.hatch(end, foot),
    }
    if let Mark::Angle { from, .. } = &ramp.direction.mark {
        let reference = Way::at(*from);
        if reference.is_level() && !along.is_level() {
            sheet.line(Layer::Thin, &[foot, reference.from(foot, BASE)], THIN);
        }
    }
    angle::draw(sheet, &ramp.direction.mark, foot, end, along);
}

impl Block {
    fn middle(&self) -> Point {
        self.off.from(self.low, HIGH / 2.0)
    }

    fn outline(&self) -> Vec<Point> {
        let corner = |along: f64, off: f64| self.off.from(self.along.from(self.low, along), off);
        vec![
            corner(-HALF, 0.0),
            corner(HALF, 0.0),
            corner(HALF, HIGH),
            corner(-HALF, HIGH),
        ]
    }

    /// Where the way from the middle leaves the block.
    fn edge(&self, way: Way) -> Point {
        let along = HALF / way.dot(self.along).abs().max(1e-6);
        let off = HIGH / 2.0 / way.dot(self.off).abs().max(1e-6);
        way.from(self.middle(), along.min(off))
    }

    /// Where the arrow of a force may be.
    fn shafts(&self, sheet: &mut Sheet, force: &Force, way: Way) -> Vec<Shaft> {
        let length = arrows::length(force);
        let stand = |at: Point, leaves: bool, gap: f64| Stand {
            at,
            way,
            leaves,
            gap,
            length,
        };
        let is_along = way.dot(self.along).abs() > 0.98;
        let is_across = way.dot(self.off).abs() > 0.98;
        match force.kind {
            ForceKind::Weight => {
                sheet.begin();
                sheet.circle(Layer::Top, self.middle(), DOT, Ink::Black, OUTLINE);
                let mut stand = stand(self.middle(), true, 0.0);
                // Out of the ground, so that it is read.
                if force.length.is_none() {
                    stand.length += HIGH / 3.0;
                }
                vec![stand.shaft(true, 0.0, 0.0)]
            }
            ForceKind::Friction if is_along => {
                let corner = self
                    .along
                    .from(self.low, HALF * way.dot(self.along).signum());
                let stand = stand(self.off.from(corner, OFF), true, 4.0);
                let towards = way.left().dot(self.off).signum();
                // Above the surface only.
                (0..4)
                    .map(|row| stand.shaft(true, towards * 9.0 * f64::from(row), f64::from(row)))
                    .collect()
            }
            ForceKind::Force if is_along || (is_across && way.dot(self.off) < 0.0) => {
                let mut shafts = stand(self.edge(way.back()), false, 2.0).shafts();
                let other = stand(self.edge(way), true, 2.0).shafts();
                shafts.retain(|it| self.is_clear(it));
                shafts.extend(other.into_iter().map(|it| Shaft {
                    cost: it.cost + 7.0,
                    ..it
                }));
                shafts.retain(|it| self.is_clear(it));
                shafts
            }
            ForceKind::Force
            | ForceKind::Normal
            | ForceKind::Friction
            | ForceKind::Cable
            | ForceKind::Bar
            | ForceKind::Reaction => {
                let mut shafts = stand(self.edge(way), true, 2.0).shafts();
                shafts.retain(|it| self.is_clear(it));
                shafts
            }
        }
    }

    /// Whether an arrow begins or ends at a side of the block and does not lie in it.
    fn is_clear(&self, shaft: &Shaft) -> bool {
        let outline = self.outline();
        let is_in = |part: f64| way::is_inside(way::part(shaft.tail, shaft.tip, part), &outline);
        let next = outline.iter().cycle().skip(1);
        let is_at_side = outline
            .iter()
            .zip(next)
            .any(|(from, to)| way::off(shaft.foot, *from, *to).0 < 1.0);
        is_at_side && !is_in(0.2) && !is_in(0.8)
    }
}

/// A block has no places to point to.
fn way_of(direction: &Direction) -> Way {
    match direction.towards {
        Towards::Angle(angle) => Way::at(angle),
        Towards::Place(_) | Towards::AwayFrom(_) => Way::RIGHT,
    }
}
