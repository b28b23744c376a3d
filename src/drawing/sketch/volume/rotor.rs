//! What turns: the arms of a sprinkler, and the wheel of an impeller.

use std::f64::consts::TAU;

use super::super::pens::{LOAD, OUTLINE};
use super::super::plan::Plan;
use super::super::sheet::{Layer, Sheet};
use super::super::way::{self, Way};
use super::super::{Flow, Shape, Volume};
use super::{OUTSIDE, Passage, Vessel, polygon};
use crate::drawing::ink::{Ink, Point};

/// The greatest radius of a wheel.
const RADIUS: f64 = 108.0;

/// The hub of a sprinkler, and half of the width of its arms.
const HUB: f64 = 11.0;
const ARM: f64 = 5.0;

/// How far a nozzle goes along its stream from the middle of the arm.
const NOZZLE: f64 = 12.0;

/// How many blades are drawn, and how far one goes around.
const BLADES: u8 = 7;
const SWEEP: f64 = 50.0 / 360.0 * TAU;

/// Draws it; nothing where it does not turn about a place.
pub(super) fn draw(volume: &Volume, size: f64, sheet: &mut Sheet) -> Option<(Vessel, Plan)> {
    let turning = volume.turning.as_ref()?;
    let plan = fitting(volume, size, turning.about);
    let hub = plan.place(turning.about);
    let is_sprinkler = volume.shape == Shape::Sprinkler;
    let gates: Vec<Passage> = (volume.cuts.iter())
        .map(|cut| {
            let passage = polygon::passage(cut, &plan, ARM);
            let at = match (&cut.flow, is_sprinkler) {
                (Flow::Along(_), true) => passage.out.from(passage.at, NOZZLE),
                _ => passage.at,
            };
            Passage {
                at,
                inside: 0.0,
                is_in_side: true,
                ..passage
            }
        })
        .collect();
    let farthest = plan
        .at
        .iter()
        .map(|at| way::distance(hub, *at))
        .fold(0.0, f64::max);
    if farthest < 1.0 {
        return None;
    }
    let ring = |radius: f64| {
        let mut line = way::arc(hub, radius, 0.0, TAU);
        line.pop();
        line
    };
    let (boundary, rim) = if is_sprinkler {
        arms(volume, &plan, hub, sheet);
        (vec![ring(farthest + NOZZLE + OUTSIDE)], None)
    } else {
        let (inner, outer) = wheel(volume, &gates, hub, sheet);
        let both = [outer + OUTSIDE, (inner - OUTSIDE).max(3.0)];
        (both.map(ring).to_vec(), Some(both[0]))
    };
    polygon::names(sheet, &plan, volume);
    let vessel = Vessel {
        gates,
        boundary,
        hearts: vec![hub],
        rim,
        ..Vessel::default()
    };
    Some((vessel, plan))
}

/// Places around the hub, no farther off it than a wheel may be.
fn fitting(volume: &Volume, size: f64, hub: usize) -> Plan {
    let plan = Plan::new(&volume.frame, size);
    let middle = plan.place(hub);
    let farthest = plan
        .at
        .iter()
        .map(|at| way::distance(middle, *at))
        .fold(0.0, f64::max);
    match farthest > size * RADIUS {
        true => Plan::new(&volume.frame, size * size * RADIUS / farthest),
        false => plan,
    }
}

/// Arms from the hub to each nozzle.
fn arms(volume: &Volume, plan: &Plan, hub: Point, sheet: &mut Sheet) {
    for cut in &volume.cuts {
        let at = plan.place(cut.at.unwrap_or(0));
        let Flow::Along(_) = cut.flow else { continue };
        let Some(along) = Way::between(hub, at) else {
            continue;
        };
        let passage = polygon::passage(cut, plan, ARM);
        let out = passage.out;
        sheet.begin();
        let is_left = along.left().dot(out) > 0.0;
        let side = |way: Way, from: Point, by: f64| way.left().from(from, by);
        let sign = if is_left { 1.0 } else { -1.0 };
        // The outer wall goes around the corner, the inner one turns before it.
        let tip = out.from(at, NOZZLE);
        let outer = vec![
            side(along, along.from(hub, HUB - 1.0), -sign * ARM),
            side(along, along.from(at, ARM), -sign * ARM),
            along.from(tip, ARM),
        ];
        let inner = vec![
            side(along, along.from(hub, HUB - 1.0), sign * ARM),
            side(along, along.from(at, -ARM), sign * ARM),
            along.from(tip, -ARM),
        ];
        sheet.lines(Layer::Body, vec![outer, inner], OUTLINE);
    }
    sheet.begin();
    sheet.circle(Layer::Body, hub, HUB, Ink::Paper, OUTLINE);
}

/// Two circles with blades; their radii.
fn wheel(volume: &Volume, gates: &[Passage], hub: Point, sheet: &mut Sheet) -> (f64, f64) {
    let radii = gates.iter().map(|gate| way::distance(hub, gate.at));
    let outer = radii.clone().fold(0.0, f64::max).max(20.0);
    let inner = radii.filter(|it| *it > 1.0).fold(outer, f64::min);
    let inner = if inner > 0.95 * outer {
        0.4 * outer
    } else {
        inner
    };
    sheet.begin();
    sheet.circle(Layer::Body, hub, outer, Ink::Paper, OUTLINE);
    sheet.circle(Layer::Body, hub, inner, Ink::Paper, OUTLINE);
    // Blades lag behind the way it turns.
    let is_clockwise = volume.turning.as_ref().is_some_and(|it| it.is_clockwise);
    let sweep = if is_clockwise { SWEEP } else { -SWEEP };
    sheet.begin_faint();
    let blade = |number: u8| {
        let start = TAU * (f64::from(number) + 0.5) / f64::from(BLADES);
        let at = |part: f64| {
            let radius = inner + part * (outer - inner);
            Way::at(start + sweep * part).from(hub, radius)
        };
        (0..=8).map(|step| at(f64::from(step) / 8.0)).collect()
    };
    sheet.lines(Layer::Body, (0..BLADES).map(blade).collect(), LOAD);
    (inner, outer)
}
