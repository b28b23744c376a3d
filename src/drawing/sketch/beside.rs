//! Labels, and the places where they may stand.

use std::f64::consts::TAU;

use super::pens::{LETTER, SYMBOL, THIN};
use super::way::{self, Way};
use crate::drawing::ink::{Anchor, Area, Ink, Item, Point, Words};
use crate::drawing::labels::Candidate;
use crate::drawing::letters;
use crate::typeset::Run;

/// No label is wider; it has several lines then.
const WIDEST: f64 = 230.0;

/// From line to line, in sizes of the type.
const LINE: f64 = 1.15;

/// How far a label stands off what it names: a near one is liked more.
const DISTANCES: [(f64, f64); 3] = [(0.0, 0.0), (7.0, 2.0), (16.0, 5.0)];

/// What is kept free around a label.
const ROOM: f64 = 1.6;

/// How far labels with a leader stand off; each time farther.
const LED: [&[f64]; FARTHER] = [
    &[30.0, 45.0],
    &[65.0, 90.0, 120.0],
    &[160.0, 210.0, 270.0, 340.0],
    &[55.0, 105.0, 150.0, 190.0, 240.0, 300.0, 380.0, 430.0],
];

/// How often labels that still touch something are tried farther off.
pub(super) const FARTHER: usize = 4;

/// In how many directions they are tried, and at last.
const ROUND: usize = 16;
const ALL_ROUND: usize = 36;

/// A label before it has a place.
#[derive(Debug, Clone)]
pub(super) struct Label {
    pub lines: Vec<Vec<Run>>,
    pub size: f64,
    pub candidates: Vec<Candidate>,
    /// What a leader points to.
    pub named: Point,
    /// The number of the thing whose lines it names; those may be near.
    pub owner: Option<usize>,
}

impl Label {
    fn new(runs: &[Run], size: f64, named: Point) -> Self {
        let lines = match runs.is_empty() {
            true => Vec::new(),
            false => letters::wrapped(runs, size, WIDEST),
        };
        Self {
            lines: lines.into_iter().filter(|line| !line.is_empty()).collect(),
            size,
            candidates: Vec::new(),
            named,
            owner: None,
        }
    }

    /// Width and height, with some room.
    pub fn extent(&self) -> (f64, f64) {
        let widths = self.lines.iter().map(|it| letters::width(it, self.size));
        let lines = self.lines.len().max(1) as f64;
        let height =
            LINE * self.size * (lines - 1.0) + (letters::ASCENT + letters::DESCENT) * self.size;
        (widths.fold(0.0, f64::max) + 2.0 * ROOM, height + 2.0 * ROOM)
    }

    /// A candidate with its middle at a place.
    fn middle(&mut self, at: Point, cost: f64, leader: Option<Point>) {
        let (width, height) = self.extent();
        let area = Area {
            left: at.x - width / 2.0,
            top: at.y - height / 2.0,
            right: at.x + width / 2.0,
            bottom: at.y + height / 2.0,
        };
        let leader = leader.map(|to| (edge(&area, to), to));
        self.candidates.push(Candidate { area, cost, leader });
    }

    /// How far its middle is from a line that it stands beside.
    fn reach(&self, way: Way) -> f64 {
        let (width, height) = self.extent();
        (way.x.abs() * width + way.y.abs() * height) / 2.0
    }

    /// How far its middle is from a point that it stands behind.
    fn behind(&self, way: Way) -> f64 {
        let (width, height) = self.extent();
        let across = width / 2.0 / way.x.abs().max(1e-6);
        let down = height / 2.0 / way.y.abs().max(1e-6);
        across.min(down)
    }

    /// Of an arrow: beyond its far end, beside its far part, beside its middle.
    pub fn arrow(runs: &[Run], (near, far): (Point, Point)) -> Self {
        let mut label = Self::new(runs, SYMBOL, way::part(near, far, 0.8));
        let way = Way::between(near, far).unwrap_or(Way::UP);
        for (distance, cost) in DISTANCES {
            let by = label.behind(way) + 3.0 + distance;
            label.middle(way.from(far, by), cost, None);
            for (along, unliked) in [(0.8, 1.0), (0.5, 2.0), (0.2, 4.0)] {
                let at = way::part(near, far, along);
                label.both_sides(at, way, 4.0 + distance, cost + unliked);
            }
        }
        label
    }

    /// Of a stream outside of what it enters or leaves: beyond its far end, or beside its arrow
    /// and no nearer than that; one that comes after others leaves them the end.
    pub fn stream(runs: &[Run], (near, far): (Point, Point), is_first: bool) -> Self {
        let mut label = Self::new(runs, SYMBOL, way::middle(near, far));
        let way = Way::between(near, far).unwrap_or(Way::UP);
        let beyond = if is_first { 0.0 } else { 4.0 };
        let left = way.left();
        let upper = if left.y < -0.02 || (left.is_level() && left.x > 0.0) {
            left
        } else {
            left.back()
        };
        let (width, height) = label.extent();
        // Half of its box along the arrow.
        let along = (way.x.abs() * width + way.y.abs() * height) / 2.0;
        for (distance, cost) in DISTANCES {
            let by = label.behind(way) + 3.0 + distance;
            label.middle(way.from(far, by), cost + beyond, None);
            for (side, unliked) in [(upper, 0.5), (upper.back(), 1.0)] {
                let off = label.reach(side) + 2.0 + distance;
                for (shift, less) in [(0.0, 0.0), (14.0, 0.5), (30.0, 2.5), (48.0, 4.0)] {
                    let at = side.from(way.from(near, along + shift), off);
                    label.middle(at, cost + unliked + less, None);
                }
            }
        }
        label
    }

    /// Of a line that dimensions have: above its middle.
    pub fn above(runs: &[Run], (from, to): (Point, Point)) -> Self {
        let mut label = Self::new(runs, SYMBOL - 1.0, way::middle(from, to));
        let way = Way::between(from, to).unwrap_or(Way::RIGHT);
        // Read from below and from the right.
        let up = match way.is_upright() {
            true => Way::LEFT,
            false if way.left().y < 0.0 => way.left(),
            false => way.left().back(),
        };
        for (distance, cost) in DISTANCES {
            for (along, unliked) in [(0.5, 0.0), (0.35, 1.5), (0.65, 1.5), (0.2, 3.0), (0.8, 3.0)] {
                let at = way::part(from, to, along);
                let by = label.reach(up) + 1.0 + distance;
                label.middle(up.from(at, by), cost + unliked, None);
                label.middle(up.back().from(at, by), cost + unliked + 6.0, None);
            }
            for (end, out) in [(to, way), (from, way.back())] {
                let by = label.behind(out) + 3.0 + distance;
                label.middle(out.from(end, by), cost + 4.0, None);
            }
        }
        label
    }

    /// A value on a line: above it or below, or beside it.
    pub fn value(runs: &[Run], at: Point, first: Way) -> Self {
        let mut label = Self::new(runs, LETTER, at);
        for (distance, cost) in [(3.0, 0.0), (8.0, 1.0), (15.0, 3.0)] {
            for (side, unliked) in [(first, 0.0), (first.back(), 3.0)] {
                let off = label.reach(side) + distance;
                let (width, _) = label.extent();
                for (shift, less) in [(0.0, 0.0), (0.5, 0.6), (-0.5, 0.6), (0.3, 0.4), (-0.3, 0.4)]
                {
                    // Beside the ordinate of a place, not on it.
                    let by = shift * (width + 5.0) + 4.0 * f64::signum(shift) * f64::abs(shift);
                    let at = Point::new(at.x + by, side.from(at, off).y);
                    label.middle(at, cost + unliked + less, None);
                }
            }
            for (side, unliked) in [(Way::RIGHT, 2.0), (Way::LEFT, 2.0)] {
                let off = label.behind(side) + distance + 1.0;
                label.middle(side.from(at, off), cost + unliked, None);
            }
        }
        label
    }

    /// Of a place: around it, off the body by so much.
    pub fn place(runs: &[Run], at: Point) -> Self {
        let mut label = Self::new(runs, LETTER, at);
        let round = [3.0, 1.0, 5.0, 7.0, 2.0, 6.0, 0.0, 4.0];
        for (distance, cost) in [(7.0, 0.0), (11.0, 1.0), (17.0, 3.0), (25.0, 6.0)] {
            for (unliked, eighth) in round.into_iter().enumerate() {
                let way = Way::at(eighth * TAU / 8.0);
                let by = label.behind(way) + distance;
                label.middle(way.from(at, by), cost + 0.3 * unliked as f64, None);
            }
        }
        label
    }

    /// Of an arc around a point: outside of it, between two angles.
    pub fn arc(runs: &[Run], middle: Point, radius: f64, (from, to): (f64, f64)) -> Self {
        let half = Way::at((from + to) / 2.0).from(middle, radius);
        let mut label = Self::new(runs, SYMBOL - 1.0, half);
        for (distance, cost) in [(2.0, 0.0), (8.0, 1.5), (16.0, 4.0), (26.0, 7.0)] {
            for (along, unliked) in [
                (0.5, 0.0),
                (0.35, 0.5),
                (0.65, 0.5),
                (0.15, 1.0),
                (0.85, 1.0),
                (-0.2, 3.0),
                (1.2, 3.0),
            ] {
                let way = Way::at(from + along * (to - from));
                let by = radius + label.behind(way) + distance;
                label.middle(way.from(middle, by), cost + unliked, None);
            }
        }
        // Beside its ends, where it is narrow.
        let turn = if to < from { 1.0 } else { -1.0 };
        for (end, out) in [(from, turn), (to, -turn)] {
            let way = Way::at(end);
            let side = Way::at(end + out * TAU / 4.0);
            let by = label.reach(side) + 3.0;
            label.middle(side.from(way.from(middle, radius), by), 3.5, None);
        }
        // Within, where there is room.
        let way = Way::at((from + to) / 2.0);
        let by = (radius - label.behind(way) - 2.0).max(radius / 2.0);
        label.middle(way.from(middle, by), 2.5, None);
        label
    }

    /// In a circle where it has room there, else around it.
    pub fn within(runs: &[Run], at: Point, radius: f64) -> Self {
        let mut label = Self::around(runs, at, Way::UP, radius + 2.0);
        label.size = LETTER;
        let (width, height) = label.extent();
        if width.hypot(height) / 2.0 < radius {
            label.candidates.clear();
            label.middle(at, 0.0, None);
        }
        label
    }

    /// Around a point, beginning at this way, off it by so much.
    pub fn around(runs: &[Run], at: Point, first: Way, off: f64) -> Self {
        let mut label = Self::new(runs, SYMBOL, at);
        for (distance, cost) in DISTANCES {
            for turn in 0..8 {
                let way = Way::at(first.angle() + f64::from(turn) * TAU / 8.0);
                let unliked = 0.8 * f64::from(turn.min(8 - turn));
                let by = label.behind(way) + off + distance;
                label.middle(way.from(at, by), cost + unliked, None);
            }
        }
        label
    }

    /// Beside a line on one side of it, along all of it.
    pub fn beside(runs: &[Run], (from, to): (Point, Point), out: Way) -> Self {
        let mut label = Self::new(runs, SYMBOL, way::middle(from, to));
        let along = Way::between(from, to).unwrap_or(Way::RIGHT);
        let square = if along.left().dot(out) > 0.0 {
            along.left()
        } else {
            along.left().back()
        };
        for (distance, cost) in DISTANCES {
            for (at, unliked) in [
                (0.5, 0.0),
                (0.4, 0.5),
                (0.6, 0.5),
                (0.3, 1.0),
                (0.7, 1.0),
                (0.15, 2.0),
                (0.85, 2.0),
            ] {
                let by = label.reach(square) + 2.0 + distance;
                let at = way::part(from, to, at);
                label.middle(square.from(at, by), cost + unliked, None);
            }
        }
        label
    }

    fn both_sides(&mut self, at: Point, way: Way, off: f64, cost: f64) {
        // Above a level one, and to the right of an upright one.
        let left = way.left();
        let first = match left.y.abs() > left.x.abs() {
            true if left.y > 0.0 => left.back(),
            true => left,
            false if left.x < 0.0 => left.back(),
            false => left,
        };
        let by = self.reach(first) + off - 1.0;
        self.middle(first.from(at, by), cost, None);
        self.middle(first.back().from(at, by), cost + 0.5, None);
    }

    /// Candidates with a leader.
    pub fn led(&self, farther: usize) -> Vec<Candidate> {
        let mut label = Self {
            candidates: Vec::new(),
            ..self.clone()
        };
        let round = if farther + 1 < FARTHER {
            ROUND
        } else {
            ALL_ROUND
        };
        for distance in LED[farther.min(FARTHER - 1)] {
            for turn in 0..round {
                let way = Way::at(TAU * turn as f64 / round as f64);
                let by = label.behind(way) + distance;
                // Less than what it costs to touch a line.
                let cost = 4.0 + (distance / 60.0).min(4.0);
                label.middle(way.from(self.named, by), cost, Some(self.named));
            }
        }
        label.candidates
    }

    /// Candidates outside of everything that is drawn, with a leader.
    pub fn outside(&self, extent: &Area) -> Vec<Candidate> {
        let mut label = Self {
            candidates: Vec::new(),
            ..self.clone()
        };
        let (width, height) = label.extent();
        let count = |long: f64, step: f64| (long / step).ceil().clamp(1.0, 40.0) as usize;
        for row in 0..5 {
            let off = 14.0 + 26.0 * f64::from(row);
            let (left, right) = (
                extent.left - off - width / 2.0,
                extent.right + off + width / 2.0,
            );
            let (top, bottom) = (
                extent.top - off - height / 2.0,
                extent.bottom + off + height / 2.0,
            );
            let rows = count(bottom - top, height + 2.0);
            let columns = count(right - left, width / 2.0 + 8.0);
            let across = (0..=rows).flat_map(|at| {
                let y = top + (bottom - top) * at as f64 / rows as f64;
                [Point::new(left, y), Point::new(right, y)]
            });
            let along = (0..=columns).flat_map(|at| {
                let x = left + (right - left) * at as f64 / columns as f64;
                [Point::new(x, top), Point::new(x, bottom)]
            });
            for at in across.chain(along) {
                let cost = 5.0 + (way::distance(at, self.named) / 80.0).min(3.5);
                label.middle(at, cost, Some(self.named));
            }
        }
        label.candidates
    }

    /// The label at one of its candidates.
    pub fn items(&self, at: &Candidate, has_rim: bool) -> Vec<Item> {
        let leader = at
            .leader
            .map(|(from, to)| Item::Lines(vec![vec![from, to]], THIN));
        let lines = self.lines.iter().enumerate().map(|(line, runs)| {
            // Each in the middle of the others.
            let width = letters::width(runs, self.size);
            let left = (at.area.left + at.area.right - width) / 2.0;
            let top = at.area.top + ROOM + LINE * self.size * line as f64;
            words(Point::new(left, top), runs.clone(), self.size, has_rim)
        });
        leader.into_iter().chain(lines).collect()
    }
}

/// Where the line from the middle of an area to a point leaves it.
fn edge(area: &Area, to: Point) -> Point {
    let middle = Point::new(
        (area.left + area.right) / 2.0,
        (area.top + area.bottom) / 2.0,
    );
    let Some(way) = Way::between(middle, to) else {
        return middle;
    };
    let across = (area.right - area.left) / 2.0 / way.x.abs().max(1e-6);
    let down = (area.bottom - area.top) / 2.0 / way.y.abs().max(1e-6);
    way.from(middle, across.min(down))
}

/// Words of a line, from the left.
fn words(at: Point, runs: Vec<Run>, size: f64, has_rim: bool) -> Item {
    Item::Words(Words {
        at: Point::new(at.x, at.y + letters::ASCENT * size),
        anchor: Anchor::Start,
        runs,
        size,
        ink: Ink::Black,
        has_rim,
    })
}
