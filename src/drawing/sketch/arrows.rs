//! Arrows of forces: where each begins and ends, and its name.

use super::beside::Label;
use super::pens::{ARROW, FORCE, HEAD, LOAD, LOAD_HEAD, MM, THIN};
use super::sheet::{Layer, Sheet};
use super::way::{self, Way};
use super::{Force, ForceKind, angle};
use crate::drawing::ink::Point;

/// What it costs not to be as the rule has it.
const OTHERWISE: f64 = 7.0;

/// How far arrows of one place and direction stand apart.
const APART: f64 = 9.0;

/// What it costs to be one such step beside its place.
const ASIDE: f64 = 5.0;

/// How many of them are tried on each side.
const MOST: i32 = 12;

/// How far a bar that is cut reaches, and half its width.
const STUB: (f64, f64) = (26.0, 4.0);

/// What is between a cut end and its arrow.
const AFTER: f64 = 5.0;

/// Where an arrow may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shaft {
    pub tail: Point,
    pub tip: Point,
    /// Where its line meets the body.
    pub foot: Point,
    pub cost: f64,
}

/// Where a force acts, and what is there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stand {
    pub at: Point,
    pub way: Way,
    /// Whether its arrow begins there, else it ends there.
    pub leaves: bool,
    /// How far off its place it begins or ends.
    pub gap: f64,
    pub length: f64,
}

/// How long the arrow of a force is.
pub(super) fn length(force: &Force) -> f64 {
    match (force.length, force.kind) {
        (None, _) => ARROW,
        // Its cut end is no part of the arrow.
        (Some(long), ForceKind::Bar) => millimetres(long) + STUB.0 + AFTER,
        (Some(long), _) => millimetres(long),
    }
}

/// A length to a scale, which is seen and does not go beyond all bounds.
pub(super) fn millimetres(long: f64) -> f64 {
    match long.is_finite() {
        true => (long * MM).clamp(4.0, 1e4),
        false => ARROW,
    }
}

impl Stand {
    /// The arrow itself, so far beside its place.
    pub fn shaft(&self, leaves: bool, aside: f64, cost: f64) -> Shaft {
        let foot = self.way.left().from(self.at, aside);
        let (near, far) = (self.gap, self.gap + self.length);
        let (tail, tip) = match leaves {
            true => (near, far),
            false => (-far, -near),
        };
        Shaft {
            tail: self.way.from(foot, tail),
            tip: self.way.from(foot, tip),
            foot,
            cost,
        }
    }

    /// Where it may be: as the rule has it, the other way, and beside that.
    pub fn shafts(&self) -> Vec<Shaft> {
        let mut found = Vec::new();
        for number in 0..=MOST {
            let by = APART * f64::from(number);
            let sides: &[f64] = if number == 0 { &[1.0] } else { &[1.0, -1.0] };
            for side in sides {
                let far = ASIDE * f64::from(number);
                found.push(self.shaft(self.leaves, side * by, far));
                found.push(self.shaft(!self.leaves, side * by, far + OTHERWISE));
            }
        }
        found
    }
}

/// Puts a force where it meets least.
pub(super) fn draw(sheet: &mut Sheet, force: &Force, said: Way, shafts: &[Shaft]) {
    if let Some(best) = cheapest(sheet, shafts) {
        put(sheet, force, said, best);
    }
}

/// The first of those that meet least.
pub(super) fn cheapest(sheet: &Sheet, shafts: &[Shaft]) -> Option<Shaft> {
    let cost = |shaft: &Shaft| shaft.cost + sheet.clash(shaft.tail, shaft.tip);
    let costs: Vec<f64> = shafts.iter().map(cost).collect();
    let best = (0..shafts.len()).min_by(|one, other| costs[*one].total_cmp(&costs[*other]));
    best.map(|best| shafts[best])
}

fn put(sheet: &mut Sheet, force: &Force, said: Way, shaft: Shaft) {
    sheet.begin();
    let Shaft { tail, tip, .. } = shaft;
    let (tail, tip) = if force.is_turned {
        (tip, tail)
    } else {
        (tail, tip)
    };
    let (pen, head) = match force.is_zero {
        true => (LOAD, LOAD_HEAD),
        false => (FORCE, HEAD),
    };
    let is_far = way::distance(tail, shaft.foot) > way::distance(tip, shaft.foot);
    let (near, mut far) = if is_far { (tip, tail) } else { (tail, tip) };
    if let (Some(long), ForceKind::Bar, Some(way)) =
        (force.length, force.kind, Way::between(shaft.foot, far))
    {
        far = way.from(shaft.foot, STUB.0 + AFTER + millimetres(long));
    }
    let begin = match force.kind {
        ForceKind::Bar => stub(sheet, shaft.foot, (near, far), force.length.is_some()),
        ForceKind::Force
        | ForceKind::Weight
        | ForceKind::Normal
        | ForceKind::Friction
        | ForceKind::Cable
        | ForceKind::Reaction => near,
    };
    let ends = if is_far { (far, begin) } else { (begin, far) };
    sheet.arrow(Layer::Top, ends, pen, head);
    sheet.label(Label::arrow(&force.label, (begin, far)));
    angle::draw(sheet, &force.direction.mark, shaft.foot, far, said);
}

/// The end of a bar that is cut, from the body to where its arrow begins.
fn stub(sheet: &mut Sheet, foot: Point, (near, far): (Point, Point), is_to_scale: bool) -> Point {
    let Some(way) = Way::between(near, far) else {
        return near;
    };
    let (long, half) = STUB;
    let long = match is_to_scale {
        true => long,
        false => long.min(0.5 * way::distance(foot, far)),
    };
    let at = |along: f64, aside: f64| way.left().from(way.from(foot, along), aside);
    let start = way::distance(foot, near);
    let edges = [half, -half].map(|side| vec![at(start, side), at(long, side)]);
    sheet.lines(Layer::Body, edges.to_vec(), LOAD);
    // The line of a break, ISO 128-3.
    let broken = [
        (0.0, 1.7),
        (0.0, 0.5),
        (3.0, 0.25),
        (-3.0, -0.25),
        (0.0, -0.5),
        (0.0, -1.7),
    ];
    let broken = broken.map(|(along, aside)| at(long + along, aside * half));
    sheet.line(Layer::Body, &broken, THIN);
    at(long + AFTER, 0.0)
}
