//! Ducts: a line in the middle of a stream, and what runs beside it.

use super::super::pens::OUTLINE;
use super::super::sheet::{Layer, Sheet};
use super::super::way::{self, Way};
use super::{OUTSIDE, Passage};
use crate::drawing::ink::Point;

/// A stream from its start to its end.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Duct {
    pub stops: Vec<Stop>,
}

/// A point in the middle of a stream.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stop {
    pub at: Point,
    pub way: Way,
    /// Half of its width.
    pub half: f64,
}

impl Duct {
    /// Straight, around by an angle, and straight again; its width changes evenly.
    pub fn bent(
        first: Way,
        turn: f64,
        radius: f64,
        [before, behind]: [f64; 2],
        halves: [f64; 2],
    ) -> Self {
        let corner = first.from(Point::new(0.0, 0.0), before);
        let side = if turn < 0.0 { -1.0 } else { 1.0 };
        let middle = first.left().from(corner, side * radius);
        let start = first.left().back().angle();
        let mut line = vec![(Point::new(0.0, 0.0), first)];
        if turn.abs() < 1e-6 {
            line.push((corner, first));
        }
        // From the middle of the bend a point on it lies across the way, on the outer side.
        let from = if turn < 0.0 {
            first.left().angle()
        } else {
            start
        };
        let points = way::arc(middle, radius, from, from + turn);
        let steps = points.len().saturating_sub(1).max(1) as f64;
        if turn.abs() >= 1e-6 {
            for (number, at) in points.into_iter().enumerate() {
                let by = turn * number as f64 / steps;
                line.push((at, Way::at(first.angle() + by)));
            }
        }
        if let Some((at, way)) = line.last().copied() {
            line.push((way.from(at, behind), way));
        }
        Self::tapered(&line, |part| halves[0] + part * (halves[1] - halves[0]))
    }

    /// Along a line, so wide at each part of its length.
    pub fn tapered(line: &[(Point, Way)], half: impl Fn(f64) -> f64) -> Self {
        let mut lengths = vec![0.0];
        for pair in line.windows(2) {
            let before = lengths[lengths.len() - 1];
            lengths.push(before + way::distance(pair[0].0, pair[1].0));
        }
        let all = lengths[lengths.len() - 1].max(1e-9);
        let stops = line.iter().zip(&lengths).map(|((at, way), length)| Stop {
            at: *at,
            way: *way,
            half: half(length / all),
        });
        Self {
            stops: stops.collect(),
        }
    }

    /// The line so far beside the wall, on the left or on the right.
    pub fn side(&self, is_left: bool, more: f64) -> Vec<Point> {
        let sign = if is_left { 1.0 } else { -1.0 };
        let beside = |stop: &Stop| stop.way.left().from(stop.at, sign * (stop.half + more));
        self.stops.iter().map(beside).collect()
    }

    /// A closed line around it, so far off its walls and square across its ends.
    pub fn around(&self, more: f64) -> Vec<Point> {
        let mut line = self.side(true, more);
        let mut back = self.side(false, more);
        back.reverse();
        line.append(&mut back);
        line
    }

    /// Both walls.
    pub fn walls(&self, sheet: &mut Sheet) {
        sheet.begin();
        let walls = [true, false].map(|is_left| self.side(is_left, 0.0));
        sheet.lines(Layer::Body, walls.to_vec(), OUTLINE);
    }

    /// Where the stream comes in, or leaves at its end; `inside` is straight.
    pub fn passage(&self, is_start: bool, inside: f64) -> Option<Passage> {
        let stop = match is_start {
            true => self.stops.first()?,
            false => self.stops.last()?,
        };
        Some(Passage {
            at: stop.at,
            way: stop.way,
            out: if is_start { stop.way.back() } else { stop.way },
            half: stop.half,
            reach: stop.half + OUTSIDE,
            inside,
            is_in_side: false,
        })
    }

    /// Points in its middle, the nearest to the middle of its way first.
    pub fn hearts(&self) -> Vec<Point> {
        let count = self.stops.len();
        let at = |part: usize| self.stops.get(count * part / 16).map(|stop| stop.at);
        [8, 10, 6, 12, 4, 11, 5]
            .into_iter()
            .filter_map(at)
            .collect()
    }
}
