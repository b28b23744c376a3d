//! A nozzle: a flange, a smooth taper, and the jet.

use super::super::Volume;
use super::super::pens::{LOAD, OUTLINE};
use super::super::sheet::{Layer, Sheet};
use super::super::way::{Way, part};
use super::duct::Duct;
use super::{OUTSIDE, Vessel, bend, ends, turn, widths};
use crate::drawing::ink::{Ink, Point};

/// How long it is, and the parts of that at which the taper begins and ends.
const LONG: f64 = 190.0;
const TAPER: [f64; 2] = [0.36, 0.72];

/// The flange: how long and how far beyond the wall.
const FLANGE: (f64, f64) = (6.0, 7.0);

/// How far a jet is drawn.
const JET: f64 = 52.0;

/// Draws a nozzle; what is not parallel is a bend.
pub(super) fn draw(volume: &Volume, sheet: &mut Sheet) -> Option<Vessel> {
    let [(inlet, way), (outlet, last)] = ends(volume)?;
    if turn(way, last).abs() > 0.02 {
        return bend::draw(volume, sheet);
    }
    let widths = widths(&volume.cuts);
    let halves = [inlet, outlet].map(|cut| widths[cut] / 2.0);
    let start = Point::new(0.0, 0.0);
    let end = way.from(start, LONG);
    let line: Vec<(Point, Way)> = (0..=24)
        .map(|step| (part(start, end, f64::from(step) / 24.0), way))
        .collect();
    let duct = Duct::tapered(&line, |along| {
        let part = ((along - TAPER[0]) / (TAPER[1] - TAPER[0])).clamp(0.0, 1.0);
        let smooth = part * part * (3.0 - 2.0 * part);
        halves[0] + smooth * (halves[1] - halves[0])
    });
    duct.walls(sheet);
    flange(sheet, (start, way), halves[0]);
    if volume.cuts[outlet].is_open {
        jet(sheet, (end, way), halves[1]);
    }
    // Around the flange too.
    let mut around = duct.around(OUTSIDE);
    let corners = [1.0, -1.0].map(|side| {
        let beyond = side * (halves[0] + FLANGE.1 + OUTSIDE);
        let beside = side * (halves[0] + OUTSIDE);
        [
            (0.0, beyond),
            (FLANGE.0 + OUTSIDE, beyond),
            (FLANGE.0 + OUTSIDE, beside),
        ]
        .map(|(along, aside)| way.left().from(way.from(start, along), aside))
    });
    let is_near = |at: &Point| way.dot(Way { x: at.x, y: at.y }) < FLANGE.0 + OUTSIDE;
    around.retain(|at| !is_near(at));
    let [left, right] = corners;
    let around = left
        .into_iter()
        .chain(around)
        .chain(right.into_iter().rev());
    let mut gates = vec![
        duct.passage(true, TAPER[0] * LONG)?,
        duct.passage(false, (1.0 - TAPER[1]) * LONG)?,
    ];
    gates[0].reach += FLANGE.1;
    if inlet > outlet {
        gates.reverse();
    }
    Some(Vessel {
        gates,
        boundary: vec![around.collect()],
        hearts: duct.hearts(),
        ..Vessel::default()
    })
}

/// Two pieces square to the wall.
fn flange(sheet: &mut Sheet, (start, way): (Point, Way), half: f64) {
    sheet.begin();
    let (long, high) = FLANGE;
    for side in [1.0, -1.0] {
        let at = |along: f64, aside: f64| way.left().from(way.from(start, along), side * aside);
        let corners = [
            (0.0, half),
            (0.0, half + high),
            (long, half + high),
            (long, half),
        ];
        let corners = corners.map(|(along, aside)| at(along, aside));
        sheet.outline(Layer::Body, corners.to_vec(), Ink::Paper, Some(OUTLINE));
    }
}

/// Two thin lines beyond the mouth.
fn jet(sheet: &mut Sheet, (mouth, way): (Point, Way), half: f64) {
    sheet.begin();
    let lines = [1.0, -1.0].map(|side| {
        let edge = way.left().from(mouth, side * half);
        let far = way.left().from(way.from(mouth, JET), side * (half + 1.5));
        vec![edge, far]
    });
    sheet.lines(Layer::Body, lines.to_vec(), LOAD);
}
