//! Loads along a line: rows of small arrows under an outline.

use super::beside::Label;
use super::pens::{LOAD, LOAD_HEAD};
use super::plan::Plan;
use super::sheet::{Layer, Sheet};
use super::way::{self, Way};
use super::{Acts, Load, Side, Spread};
use crate::drawing::ink::{self, Ink, Point};

/// How high the greatest end of a load is drawn.
const HIGH: f64 = 34.0;

/// How far apart its arrows are, and the most of them.
const APART: f64 = 18.0;
const MOST: usize = 24;

/// How far one load is from the next on the same line.
const BETWEEN: f64 = 5.0;

/// What is drawn of a pressure or load.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    /// Where its arrows end, from place to place.
    pub feet: [Point; 2],
    /// The way they point.
    pub way: Way,
    /// How long they are at both ends.
    pub heights: [f64; 2],
    /// Whether they point the other way where they stand.
    pub is_turned: bool,
}

/// The way that is square to a line and points away from a side.
pub(super) fn square(from: Point, to: Point, side: Side) -> Way {
    let along = Way::between(from, to).unwrap_or(Way::RIGHT);
    let away = match side {
        Side::Left => Way::RIGHT,
        Side::Right => Way::LEFT,
        Side::Above => Way::DOWN,
        Side::Below => Way::UP,
    };
    match along.left().dot(away) < 0.0 {
        true => along.left().back(),
        false => along.left(),
    }
}

/// Draws a load over a body that reaches so far to its side; `forces` end there as well, and
/// stand for the arrows that they would cover; `rows` are there already.
pub(super) fn draw(
    sheet: &mut Sheet,
    plan: &Plan,
    load: &Load,
    reach: f64,
    forces: &[(Point, Way)],
    rows: &[Row],
) -> Row {
    let row = row(plan, load, reach, rows);
    sheet.begin_faint();
    row.draw(sheet, forces);
    let tops = row.tops();
    match &load.label {
        Spread::Even(label) => {
            sheet.label(Label::beside(label, (tops[0], tops[1]), row.way.back()))
        }
        Spread::Uneven(labels) => {
            for (label, top) in labels.iter().zip(tops) {
                sheet.label(Label::around(label, top, row.way.back(), 3.0));
            }
        }
    }
    row
}

fn row(plan: &Plan, load: &Load, reach: f64, rows: &[Row]) -> Row {
    let (from, to) = (plan.place(load.from), plan.place(load.to));
    let along = Way::between(from, to).unwrap_or(Way::RIGHT);
    let way = match &load.acts {
        Acts::Along(direction) | Acts::Level(direction) => plan.way(direction, from),
        Acts::SquareFrom(side) => square(from, to, *side),
    };
    let sizes = sizes(load.sizes);
    let square = along.left().dot(way).abs().max(0.2);
    let heights = sizes.map(|size| HIGH * size);
    let mut off = (reach + 1.0) / square;
    // On the same side of the same line it stands over what is there.
    for other in rows.iter().filter(|it| it.is_under(from, to, way)) {
        let high = other.heights[0].max(other.heights[1]);
        let other_square = along.left().dot(other.way).abs().max(0.2);
        let top = way::off(other.feet[0], from, to).0.max(reach) + high * other_square + BETWEEN;
        off = off.max(top / square);
    }
    if let Acts::Level(_) = load.acts {
        // A strip that is square to it, over the end that it meets first.
        let down = |at: Point| way.dot(Way { x: at.x, y: at.y });
        let least = down(from).min(down(to));
        let feet = [from, to].map(|at| way.from(at, -(off + down(at) - least)));
        return Row {
            feet,
            way,
            heights,
            is_turned: load.is_turned,
        };
    }
    let feet = [from, to].map(|at| way.from(at, -off));
    Row {
        feet,
        way,
        heights,
        is_turned: load.is_turned,
    }
}

/// Both ends in parts of the greater one.
fn sizes(ends: [f64; 2]) -> [f64; 2] {
    let most = ends[0].abs().max(ends[1].abs());
    if !most.is_finite() || most == 0.0 {
        return [1.0, 1.0];
    }
    let sign = match ends[0].abs() > ends[1].abs() {
        true => ends[0].signum(),
        false => ends[1].signum(),
    };
    ends.map(|end| (sign * end / most).clamp(0.0, 1.0))
}

impl Row {
    pub fn tops(&self) -> [Point; 2] {
        [0, 1].map(|end| self.way.from(self.feet[end], -self.heights[end]))
    }

    /// The area that it covers, from the body on.
    pub fn outline(&self) -> Vec<Point> {
        let tops = self.tops();
        vec![self.feet[0], tops[0], tops[1], self.feet[1]]
    }

    /// Whether it stands on the same side of some part of a line.
    fn is_under(&self, from: Point, to: Point, way: Way) -> bool {
        let Some(along) = Way::between(from, to) else {
            return false;
        };
        let Some(own) = Way::between(self.feet[0], self.feet[1]) else {
            return false;
        };
        let at = |point: Point| {
            along.dot(Way {
                x: point.x - from.x,
                y: point.y - from.y,
            })
        };
        let aside = |point: Point| {
            along.left().dot(Way {
                x: point.x - from.x,
                y: point.y - from.y,
            })
        };
        // By their lines on the body, not by where the arrows begin.
        let feet = self.feet.map(|foot| {
            let down = along.left().dot(self.way);
            let by = if down.abs() > 0.1 {
                -aside(foot) / down
            } else {
                0.0
            };
            self.way.from(foot, by)
        });
        let (first, last) = (at(feet[0]).min(at(feet[1])), at(feet[0]).max(at(feet[1])));
        let is_same_line = own.dot(along).abs() > 0.999 && aside(self.feet[0]).abs() < 200.0;
        let is_same_side = along.left().dot(self.way) * along.left().dot(way) > 0.0;
        let length = way::distance(from, to);
        is_same_line && is_same_side && first < length - 1.0 && last > 1.0
    }

    /// Arrows under their outline; a force that ends between them stands for those it covers.
    pub fn draw(&self, sheet: &mut Sheet, forces: &[(Point, Way)]) {
        self.draw_apart(sheet, forces, APART);
    }

    /// The same with its arrows so far apart.
    pub fn draw_apart(&self, sheet: &mut Sheet, forces: &[(Point, Way)], apart: f64) {
        let tops = self.tops();
        let length = way::distance(self.feet[0], self.feet[1]);
        let count = ((length / apart).round() as usize).clamp(1, MOST);
        let mut shafts = Vec::new();
        for number in 0..=count {
            let along = number as f64 / count as f64;
            let foot = way::part(self.feet[0], self.feet[1], along);
            let top = way::part(tops[0], tops[1], along);
            let is_covered = |(at, way): &(Point, Way)| {
                let off = way.left().dot(Way {
                    x: foot.x - at.x,
                    y: foot.y - at.y,
                });
                way.dot(self.way) > 0.9 && off.abs() < 0.45 * apart
            };
            let high = way::distance(foot, top);
            if high < LOAD_HEAD.0 + 2.0 || forces.iter().any(is_covered) {
                continue;
            }
            let (tail, tip, way) = match self.is_turned {
                true => (foot, top, self.way.back()),
                false => (top, foot, self.way),
            };
            shafts.push(vec![tail, way.from(tip, -0.8 * LOAD_HEAD.0)]);
            let head = ink::head(tip, (way.x, way.y), LOAD_HEAD);
            sheet.put(Layer::Body, ink::Item::Outline(head, Ink::Black, None));
        }
        sheet.lines(Layer::Body, shafts, LOAD);
        let edge = [self.feet[0], tops[0], tops[1], self.feet[1]];
        sheet.line(Layer::Body, &edge, LOAD);
        sheet.keep_off(&[self.feet[0], self.feet[1]]);
    }
}
