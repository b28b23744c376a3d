//! A vane: a jet of even width along a curved plate.

use super::super::Volume;
use super::super::pens::LOAD;
use super::super::sheet::{Layer, Sheet};
use super::super::way::Way;
use super::duct::Duct;
use super::{OUTSIDE, Vessel, ends, turn, widths};
use crate::drawing::ink::{Ink, Item, Pen, Point};

/// How wide the jet is in parts of a duct.
const JET: f64 = 0.42;

/// The radius of the middle of the jet, and how long it is straight.
const RADIUS: f64 = 74.0;
const STRAIGHT: [f64; 2] = [74.0, 60.0];

/// How thick the plate is, and how far it goes on beside the straight jet.
const THICK: f64 = 6.0;
const BEYOND: f64 = 10.0;

/// Draws a vane; nothing where it has other sections than an inlet and an outlet.
pub(super) fn draw(volume: &Volume, sheet: &mut Sheet) -> Option<Vessel> {
    let [(inlet, first), (outlet, last)] = ends(volume)?;
    let widths = widths(&volume.cuts);
    let halves = [inlet, outlet].map(|cut| JET * widths[cut] / 2.0);
    let turn = turn(first, last);
    let jet = Duct::bent(first, turn, RADIUS, STRAIGHT, halves);
    sheet.begin();
    let edges = [true, false].map(|is_left| jet.side(is_left, 0.0));
    sheet.lines(Layer::Body, edges.to_vec(), LOAD);
    plate(sheet, &jet, turn < 0.0);
    let mut gates = vec![jet.passage(true, 0.0)?, jet.passage(false, 0.0)?];
    for gate in &mut gates {
        gate.reach += THICK;
        // With a pressure the speed stands inside.
        gate.inside = STRAIGHT[1];
    }
    if inlet > outlet {
        gates.reverse();
    }
    Some(Vessel {
        gates,
        holds: holds(&jet, turn < 0.0),
        boundary: vec![jet.around(THICK + OUTSIDE)],
        hearts: jet.hearts(),
        ..Vessel::default()
    })
}

/// Behind the plate, the nearest to its middle first.
fn holds(jet: &Duct, is_left: bool) -> Vec<(Point, Option<Way>)> {
    let sign = if is_left { 1.0 } else { -1.0 };
    let count = jet.stops.len();
    let mut found = Vec::new();
    for off in [6.0, 14.0, 24.0, 36.0] {
        for part in [8, 7, 9, 6, 10, 5, 11] {
            let Some(stop) = jet.stops.get(count * part / 16) else {
                continue;
            };
            let out = if is_left {
                stop.way.left()
            } else {
                stop.way.left().back()
            };
            let beside = sign * (stop.half + THICK + OUTSIDE + off);
            found.push((stop.way.left().from(stop.at, beside), Some(out)));
        }
    }
    found
}

/// The plate lies on the outer side of the jet.
fn plate(sheet: &mut Sheet, jet: &Duct, is_left: bool) {
    let count = jet.stops.len();
    if count < 3 {
        return;
    }
    let stops = &jet.stops[1..count - 1];
    let sign = if is_left { 1.0 } else { -1.0 };
    let beside = |off: f64| {
        let at = |along: f64, stop: &super::duct::Stop| {
            stop.way
                .left()
                .from(stop.way.from(stop.at, along), sign * (stop.half + off))
        };
        let mut line: Vec<Point> = stops.iter().map(|stop| at(0.0, stop)).collect();
        let ends = [
            stops.first().map(|it| at(-BEYOND, it)),
            stops.last().map(|it| at(BEYOND, it)),
        ];
        if let [Some(start), Some(end)] = ends {
            line.insert(0, start);
            line.push(end);
        }
        line
    };
    sheet.begin();
    let pen = Pen::new(Ink::Black, THICK);
    sheet.put(Layer::Body, Item::Lines(vec![beside(THICK / 2.0)], pen));
    sheet.keep_off(&beside(0.0));
    sheet.keep_off(&beside(THICK));
}
