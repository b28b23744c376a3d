//! Control volumes: walls, the boundary around them, what passes its cuts, and what acts on it.
//!
//! A shape has a file of its own, which puts its walls on the sheet and tells where the boundary
//! runs and where each stream passes it ([`Vessel`]). All else is the same for all of them:
//! [`cut`] draws what passes, [`act`] what acts.

mod act;
mod bend;
mod boxed;
mod branch;
mod channel;
mod cut;
mod duct;
mod gate;
mod nozzle;
mod plate;
mod polygon;
mod rotor;
mod tank;
mod vane;

pub(super) use self::cut::circle;
use super::beside::Label;
use super::pens::BOUNDARY;
use super::sheet::{Layer, Sheet};
use super::way::{Way, tame};
use super::{Cut, Flow, Note, Shape, Size, Sketch, Towards, Volume};
use crate::drawing::ink::Point;

/// How far the boundary runs outside of a wall (1.8 mm).
const OUTSIDE: f64 = 7.0;

/// How wide the first section is drawn, and the widest.
const FIRST: f64 = 60.0;
const WIDEST: f64 = 84.0;

/// How wide others are, in parts of the first.
const LEAST: f64 = 0.45;
const MOST: f64 = 1.6;

/// A shape on the page.
#[derive(Debug, Clone, PartialEq, Default)]
struct Vessel {
    /// Where the streams pass, in the order of the cuts.
    gates: Vec<Passage>,
    /// Closed lines; the first is the outer one.
    boundary: Vec<Vec<Point>>,
    /// Where a weight may hang; the first is liked most.
    hearts: Vec<Point>,
    /// Where forces without a place leave from, each with the way out there; with none, around the
    /// boundary.
    holds: Vec<(Point, Option<Way>)>,
    /// The upper side of a box, on which heat and power have their places.
    top: Option<[Point; 2]>,
    /// The radius of a wheel, whose couples and turning are drawn around it.
    rim: Option<f64>,
}

/// Where a stream passes the boundary.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Passage {
    /// The middle of the cut.
    at: Point,
    /// The way of the stream.
    way: Way,
    /// The way out of the control volume, square to the cut.
    out: Way,
    /// Half of what is open, and half of the cut, to the boundary.
    half: f64,
    reach: f64,
    /// How much room there is inside for an arrow; with none it is outside.
    inside: f64,
    /// Whether its number is outside of the boundary, not on its corner.
    is_in_side: bool,
}

/// Draws a control volume; one with places so many times as large as usual.
pub(super) fn draw(sketch: &Sketch, volume: &Volume, size: f64, sheet: &mut Sheet) -> Vec<Note> {
    let (vessel, places) = match on_places(volume, size, sheet) {
        Some((vessel, places)) => (vessel, Some(places)),
        None => (alone(volume, sheet), None),
    };
    sheet.begin_faint();
    for line in &vessel.boundary {
        let mut closed = line.clone();
        closed.extend(line.first());
        sheet.line(Layer::Thin, &closed, BOUNDARY);
    }
    // Within the outer one it flows.
    vessel
        .boundary
        .iter()
        .take(1)
        .for_each(|it| sheet.body(it.clone()));
    for (cut, passage) in volume.cuts.iter().zip(&vessel.gates) {
        cut::draw(sheet, cut, passage);
    }
    for label in &volume.inside {
        sheet.begin();
        if let Some(heart) = vessel.hearts.first() {
            sheet.label(Label::around(label, *heart, Way::UP, 2.0));
        }
    }
    act::draw(sketch, volume, &vessel, places.as_ref(), sheet);
    let notes = match &places {
        Some(places) => polygon::dimensions(sheet, places, &volume.frame),
        None => Vec::new(),
    };
    // Where there is room is known now.
    for (cut, passage) in volume.cuts.iter().zip(&vessel.gates) {
        cut::number(sheet, cut, passage);
    }
    notes
}

/// A shape that has places.
fn on_places(volume: &Volume, size: f64, sheet: &mut Sheet) -> Option<(Vessel, super::plan::Plan)> {
    let has_places = volume.cuts.iter().any(|cut| cut.at.is_some());
    match volume.shape {
        _ if !has_places => None,
        Shape::Impeller | Shape::Sprinkler => rotor::draw(volume, size, sheet),
        Shape::Bend
        | Shape::Branch
        | Shape::Box
        | Shape::Channel
        | Shape::Gate
        | Shape::Heater
        | Shape::Nozzle
        | Shape::Plate
        | Shape::Tank
        | Shape::Vane => polygon::draw(volume, size, sheet),
    }
}

/// A shape that has none.
fn alone(volume: &Volume, sheet: &mut Sheet) -> Vessel {
    let drawn = match volume.shape {
        Shape::Bend => bend::draw(volume, sheet),
        Shape::Branch => branch::draw(volume, sheet),
        Shape::Channel => channel::draw(volume, sheet),
        Shape::Gate => gate::draw(volume, sheet),
        Shape::Nozzle => nozzle::draw(volume, sheet),
        Shape::Plate => plate::draw(volume, sheet),
        Shape::Vane => vane::draw(volume, sheet),
        Shape::Tank => Some(tank::draw(volume, sheet)),
        Shape::Box | Shape::Heater | Shape::Impeller | Shape::Sprinkler => None,
    };
    drawn.unwrap_or_else(|| boxed::draw(volume, sheet))
}

/// The way of a stream; nothing where that is square to the page.
fn way(cut: &Cut) -> Option<Way> {
    match &cut.flow {
        Flow::Along(direction) => match direction.towards {
            Towards::Angle(angle) => Some(Way::at(angle)),
            // Only a figure with places knows these.
            Towards::Place(_) | Towards::AwayFrom(_) => Some(Way::RIGHT),
        },
        Flow::Square { .. } => None,
    }
}

/// The way out of the control volume at a cut.
fn out(cut: &Cut, way: Way) -> Way {
    if cut.is_inlet { way.back() } else { way }
}

/// By how much one way is turned from another, anticlockwise, the shorter way around.
fn turn(from: Way, to: Way) -> f64 {
    let half = std::f64::consts::PI;
    let by = tame(to.angle() - from.angle());
    match by {
        by if by > half + 1e-9 => by - 2.0 * half,
        by if by < -half + 1e-9 => by + 2.0 * half,
        by => by,
    }
}

/// The one inlet and the one outlet, by their numbers, with their ways.
fn ends(volume: &Volume) -> Option<[(usize, Way); 2]> {
    let [one, other] = volume.cuts.as_slice() else {
        return None;
    };
    let ways = [(0, way(one)?), (1, way(other)?)];
    match (one.is_inlet, other.is_inlet) {
        (true, false) => Some(ways),
        (false, true) => Some([ways[1], ways[0]]),
        _ => None,
    }
}

/// How wide the sections are drawn.
fn widths(cuts: &[Cut]) -> Vec<f64> {
    let area = |cut: &Cut| match cut.size {
        Size::Area(area) => area.abs(),
        Size::Depth { depth, .. } => depth.abs(),
    };
    let areas: Vec<f64> = cuts.iter().map(area).collect();
    // What is known of some alone tells no proportion.
    let is_known = areas.iter().all(|it| it.is_finite() && *it > 0.0);
    let first = areas.first().copied().unwrap_or(1.0);
    let part = |area: &f64| match is_known {
        true => (area / first).sqrt().clamp(LEAST, MOST),
        false => 1.0,
    };
    let parts: Vec<f64> = areas.iter().map(part).collect();
    let most = parts.iter().copied().fold(1.0, f64::max);
    let first = FIRST.min(WIDEST / most);
    parts.into_iter().map(|it| it * first).collect()
}
