//! A particle: forces that leave from one point.

use super::arrows::{self, Stand};
use super::pens::OUTLINE;
use super::sheet::{Layer, Sheet};
use super::way::Way;
use super::{Direction, Force, Sketch, Towards, turn};
use crate::drawing::ink::{Ink, Point};

/// Half of the dot.
const DOT: f64 = 2.6;

/// How far arrows begin off it.
const GAP: f64 = 6.0;

/// More forces than these have longer arrows, so that their names have room around.
const MANY: f64 = 18.0;

pub(super) fn draw(sketch: &Sketch, sheet: &mut Sheet) {
    let at = Point::new(0.0, 0.0);
    sheet.begin();
    sheet.circle(Layer::Top, at, DOT, Ink::Black, OUTLINE);
    let longer = (sketch.forces.len() as f64 / MANY).max(1.0);
    for force in &sketch.forces {
        let way = way(&force.direction);
        let shafts = Stand {
            at,
            way,
            leaves: true,
            gap: GAP,
            length: match force.length {
                Some(_) => arrows::length(force),
                None => longer * length(force),
            },
        };
        // All forces of a particle leave from it.
        let mut shafts = shafts.shafts();
        shafts.retain(|shaft| {
            way.dot(Way {
                x: shaft.tip.x - shaft.foot.x,
                y: shaft.tip.y - shaft.foot.y,
            }) > 0.0
        });
        arrows::draw(sheet, force, way, &shafts);
    }
    for square in &sketch.square {
        turn::square(sheet, square, at);
    }
}

/// A bar has its cut end besides.
fn length(force: &Force) -> f64 {
    let length = arrows::length(force);
    match force.kind {
        super::ForceKind::Bar => length + 20.0,
        super::ForceKind::Force
        | super::ForceKind::Weight
        | super::ForceKind::Normal
        | super::ForceKind::Friction
        | super::ForceKind::Cable
        | super::ForceKind::Reaction => length,
    }
}

/// A particle has no places to point to.
fn way(direction: &Direction) -> Way {
    match direction.towards {
        Towards::Angle(angle) => Way::at(angle),
        Towards::Place(_) | Towards::AwayFrom(_) => Way::RIGHT,
    }
}
