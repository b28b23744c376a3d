//! What a drawing is made of.

use super::letters;
use crate::typeset::Run;

/// A place in a drawing: to the right and down from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    pub x: f64,
    pub y: f64,
}

/// Two opposite corners, of which the first is the upper left one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

/// What an ink is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// The ink of the page.
    Black,
    /// Less loud.
    Quiet,
    /// What is to be seen first.
    Accent,
    /// The colour of the paper.
    Paper,
    /// A band, on which black lines are seen.
    Band,
}

/// The types of lines of ISO 128-2, in the order in which a drawing takes them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Line {
    /// 01
    Continuous,
    /// 02
    Dashed,
    /// 04
    LongDashDot,
    /// 07
    Dotted,
    /// 05
    LongDashTwoDots,
}

impl Line {
    /// Lengths of dashes and gaps in turn, in widths of the line. Dots are seen by the round ends
    /// of the lines.
    pub fn dashes(self) -> &'static [f64] {
        match self {
            Self::Continuous => &[],
            Self::Dashed => &[12.0, 3.0],
            Self::LongDashDot => &[24.0, 3.0, 0.5, 3.0],
            Self::Dotted => &[0.5, 3.0],
            Self::LongDashTwoDots => &[24.0, 3.0, 0.5, 3.0, 0.5, 3.0],
        }
    }
}

/// What a line is drawn with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    pub ink: Ink,
    pub width: f64,
    pub line: Line,
}

impl Pen {
    /// A continuous line.
    pub const fn new(ink: Ink, width: f64) -> Self {
        Self {
            ink,
            width,
            line: Line::Continuous,
        }
    }
}

/// Which part of some words stands at their place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// Letters in one line.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// Where they stand, on their base line.
    pub at: Point,
    pub anchor: Anchor,
    pub runs: Vec<Run>,
    /// The size of the type.
    pub size: f64,
    pub ink: Ink,
    /// Whether lines beneath are kept off by a rim of paper.
    pub has_rim: bool,
}

impl Words {
    /// The area that they cover.
    pub fn area(&self) -> Area {
        let width = letters::width(&self.runs, self.size);
        let left = match self.anchor {
            Anchor::Start => self.at.x,
            Anchor::Middle => self.at.x - width / 2.0,
            Anchor::End => self.at.x - width,
        };
        Area {
            left,
            top: self.at.y - letters::ASCENT * self.size,
            right: left + width,
            bottom: self.at.y + letters::DESCENT * self.size,
        }
    }
}

/// One thing in a drawing; later ones lie on top.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// Open lines, each from point to point.
    Lines(Vec<Vec<Point>>, Pen),
    /// A closed outline with what fills it.
    Outline(Vec<Point>, Ink, Option<Pen>),
    /// A circle: middle, radius, and what fills it.
    Circle(Point, f64, Ink, Pen),
    /// Words.
    Words(Words),
}

/// A drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    pub width: f64,
    pub height: f64,
    /// What it is called.
    pub title: String,
    /// What is to be seen on it, in words.
    pub description: String,
    pub items: Vec<Item>,
}

impl Item {
    /// The same moved and then made so many times as large.
    #[must_use]
    pub fn placed(self, by: (f64, f64), times: f64) -> Self {
        let at = |it: Point| Point::new((it.x + by.0) * times, (it.y + by.1) * times);
        let all = |points: Vec<Point>| points.into_iter().map(at).collect();
        let pen = |pen: Pen| Pen {
            width: pen.width * times,
            ..pen
        };
        match self {
            Self::Lines(lines, own) => Self::Lines(lines.into_iter().map(all).collect(), pen(own)),
            Self::Outline(points, filled, own) => Self::Outline(all(points), filled, own.map(pen)),
            Self::Circle(middle, radius, filled, own) => {
                Self::Circle(at(middle), radius * times, filled, pen(own))
            }
            Self::Words(words) => Self::Words(Words {
                at: at(words.at),
                size: words.size * times,
                ..words
            }),
        }
    }
}

impl Point {
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    pub fn is_finite(&self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl Area {
    /// Whether a line from point to point comes into it.
    pub fn meets(&self, from: Point, to: Point) -> bool {
        // The part of the line between two parallels, and between the two others.
        let (mut first, mut last) = (0.0_f64, 1.0_f64);
        let runs = [
            (from.x, to.x - from.x, self.left, self.right),
            (from.y, to.y - from.y, self.top, self.bottom),
        ];
        for (start, way, low, high) in runs {
            if way == 0.0 {
                if start <= low || start >= high {
                    return false;
                }
                continue;
            }
            let (one, other) = ((low - start) / way, (high - start) / way);
            first = first.max(one.min(other));
            last = last.min(one.max(other));
        }
        first < last
    }

    /// How much of it another covers.
    pub fn shared(&self, other: &Self) -> f64 {
        let width = self.right.min(other.right) - self.left.max(other.left);
        let height = self.bottom.min(other.bottom) - self.top.max(other.top);
        width.max(0.0) * height.max(0.0)
    }

    /// Whether all of another lies in it.
    pub fn holds(&self, other: &Self) -> bool {
        self.left <= other.left
            && self.top <= other.top
            && self.right >= other.right
            && self.bottom >= other.bottom
    }

    /// The same with a rim around it.
    #[must_use]
    pub fn wider(&self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }
}

/// A closed head with its tip at a place, pointing this way (one long), so long and half as wide
/// as said.
pub fn head(tip: Point, (right, down): (f64, f64), (long, half): (f64, f64)) -> Vec<Point> {
    let base = Point::new(tip.x - long * right, tip.y - long * down);
    let beside = |side: f64| Point::new(base.x - side * down, base.y + side * right);
    vec![tip, beside(half), beside(-half)]
}

/// Short lines at 45° along a line, so far apart and so deep, on the right of the way from its
/// start to its end; at most so many.
pub fn hatching(from: Point, to: Point, apart: f64, deep: f64) -> Vec<Vec<Point>> {
    /// More are no ground any more.
    const MOST: usize = 400;
    let (right, down) = (to.x - from.x, to.y - from.y);
    let length = right.hypot(down);
    if length == 0.0 || !length.is_finite() {
        return Vec::new();
    }
    let (right, down) = (right / length, down / length);
    let count = ((length / apart) as usize).min(MOST);
    let first = (length - apart * count.saturating_sub(1) as f64) / 2.0;
    let line = |number: usize| {
        let along = first + apart * number as f64;
        let foot = Point::new(from.x + along * right, from.y + along * down);
        let (back, side) = (deep * (-right - down), deep * (right - down));
        vec![foot, Point::new(foot.x + back, foot.y + side)]
    };
    (0..count).map(line).collect()
}

/// An open head with its tip at a place, and the shaft to there from so far off, level or upright.
pub fn arrow(tip: Point, (across, down): (f64, f64)) -> Vec<Vec<Point>> {
    let (wide, long) = (3.0, 5.0);
    let (x, y) = (long * sign(across), long * sign(down));
    let beside = |side: f64| match down == 0.0 {
        true => Point::new(tip.x + x, tip.y + side),
        false => Point::new(tip.x + side, tip.y + y),
    };
    let head = [beside(-wide), tip, beside(wide)];
    let start = Point::new(tip.x + across, tip.y + down);
    vec![vec![start, tip], head.to_vec()]
}

fn sign(way: f64) -> f64 {
    if way == 0.0 { 0.0 } else { way.signum() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_lies_on_the_right_of_the_way() {
        let lines = hatching(Point::new(0.0, 0.0), Point::new(20.0, 0.0), 5.0, 4.0);
        assert_eq!(lines.len(), 4);
        assert!(
            lines
                .iter()
                .all(|line| line[0].y == 0.0 && line[1].y == 4.0)
        );
        assert_eq!(lines[0][0].x - lines[0][1].x, 4.0);
        assert!(hatching(Point::new(1.0, 1.0), Point::new(1.0, 1.0), 5.0, 4.0).is_empty());
    }

    #[test]
    fn a_closed_head_ends_at_its_tip() {
        let points = head(Point::new(10.0, 0.0), (1.0, 0.0), (8.0, 2.0));
        let ends: Vec<(f64, f64)> = points.iter().map(|it| (it.x, it.y)).collect();
        assert_eq!(ends, [(10.0, 0.0), (2.0, 2.0), (2.0, -2.0)]);
    }
}
