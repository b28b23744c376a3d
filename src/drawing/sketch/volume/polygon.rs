//! A control volume whose sections have places: the polygon of these.

use super::super::beside::Label;
use super::super::pens::{DOT, LOAD};
use super::super::plan::Plan;
use super::super::sheet::{Layer, Sheet};
use super::super::way::{self, Way, middle};
use super::super::{Body, Note, Towards, Volume, dimension};
use super::{Flow, Passage, Vessel, out, widths};
use crate::drawing::ink::{Ink, Point};

/// How far the boundary runs outside of a place that is on no cut.
const OFF: f64 = 14.0;

/// How wide a cut is in parts of a duct.
const CUT: f64 = 0.7;

pub(super) fn draw(volume: &Volume, size: f64, sheet: &mut Sheet) -> Option<(Vessel, Plan)> {
    let plan = Plan::new(&volume.frame, size);
    let widths = widths(&volume.cuts);
    let gates: Vec<Passage> = (volume.cuts.iter().zip(&widths))
        .map(|(cut, width)| passage(cut, &plan, CUT * width / 2.0))
        .collect();
    let mut corners = Vec::new();
    for gate in &gates {
        let across = gate.out.left();
        corners.extend([1.0, -1.0].map(|side| across.from(gate.at, side * gate.reach)));
    }
    for at in &plan.at {
        let is_cut = gates.iter().any(|gate| way::distance(gate.at, *at) < 1.0);
        if !is_cut {
            corners.extend([Way::RIGHT, Way::UP, Way::LEFT, Way::DOWN].map(|it| it.from(*at, OFF)));
        }
    }
    let boundary = around(corners);
    names(sheet, &plan, volume);
    let heart = way::around(boundary.iter().copied())
        .map(|it| middle(Point::new(it.left, it.top), Point::new(it.right, it.bottom)));
    let vessel = Vessel {
        gates,
        boundary: vec![boundary],
        hearts: heart.into_iter().collect(),
        ..Vessel::default()
    };
    Some((vessel, plan))
}

/// A stream at its place; one that has none is in the middle of all.
pub(super) fn passage(cut: &super::Cut, plan: &Plan, half: f64) -> Passage {
    let at = plan.place(cut.at.unwrap_or(0));
    let way = match &cut.flow {
        Flow::Along(direction) => match direction.towards {
            Towards::Angle(angle) => Way::at(angle),
            Towards::Place(_) | Towards::AwayFrom(_) => plan.way(direction, at),
        },
        Flow::Square { .. } => Way::DOWN,
    };
    let is_pressed = !cut.pressure.is_empty();
    Passage {
        at,
        way,
        out: out(cut, way),
        half,
        reach: half + 4.0,
        inside: if is_pressed { 46.0 } else { 0.0 },
        is_in_side: false,
    }
}

/// A dot and a letter for each place.
pub(super) fn names(sheet: &mut Sheet, plan: &Plan, volume: &Volume) {
    let is_ring = |place: usize| {
        let mut own = volume.cuts.iter().filter(|cut| cut.at == Some(place));
        own.any(|cut| matches!(cut.flow, Flow::Square { .. }))
    };
    for (number, (place, at)) in volume.frame.places.iter().zip(&plan.at).enumerate() {
        if !is_ring(number) {
            sheet.begin();
            sheet.circle(Layer::Top, *at, DOT / 1.4, Ink::Black, LOAD);
        }
        sheet.name(Label::place(&place.label, *at));
    }
}

/// Lengths between places, and what was drawn otherwise than it is.
pub(super) fn dimensions(sheet: &mut Sheet, plan: &Plan, frame: &Body) -> Vec<Note> {
    dimension::draw(sheet, plan, frame);
    match plan.is_to_scale() {
        true => Vec::new(),
        false => vec![Note::NotToScale],
    }
}

/// The corners of the least polygon without hollows around some points.
pub(super) fn around(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_by(|one, other| one.x.total_cmp(&other.x).then(one.y.total_cmp(&other.y)));
    points.dedup();
    let side =
        |a: &Point, b: &Point, c: &Point| (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    let half = |points: &mut dyn Iterator<Item = Point>| {
        let mut line: Vec<Point> = Vec::new();
        for point in points {
            while line.len() > 1
                && side(&line[line.len() - 2], &line[line.len() - 1], &point) <= 1e-9
            {
                line.pop();
            }
            line.push(point);
        }
        line.pop();
        line
    };
    let mut line = half(&mut points.iter().copied());
    line.append(&mut half(&mut points.iter().rev().copied()));
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_polygon_goes_around_all_points_and_has_no_hollows() {
        let points = [
            (0.0, 0.0),
            (2.0, 2.0),
            (4.0, 0.0),
            (4.0, 4.0),
            (0.0, 4.0),
            (4.0, 2.0),
        ];
        let points = points.map(|(x, y)| Point::new(x, y)).to_vec();
        let corners: Vec<(f64, f64)> = around(points).iter().map(|it| (it.x, it.y)).collect();
        assert_eq!(corners, [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]);
    }
}
