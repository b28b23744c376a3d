//! Directions on the page.

use std::f64::consts::{PI, TAU};

use crate::drawing::ink::{Area, Point};

/// An angle that is no number is drawn as this one.
const UNKNOWN: f64 = 35.0 / 180.0 * PI;

/// A direction, one long: to the right and down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Way {
    pub x: f64,
    pub y: f64,
}

impl Way {
    pub const RIGHT: Self = Self { x: 1.0, y: 0.0 };
    pub const LEFT: Self = Self { x: -1.0, y: 0.0 };
    pub const UP: Self = Self { x: 0.0, y: -1.0 };
    pub const DOWN: Self = Self { x: 0.0, y: 1.0 };

    /// At an angle, anticlockwise from right.
    pub fn at(angle: f64) -> Self {
        let angle = tame(angle);
        // A quarter turn is level or upright, whatever its sine is as a double.
        let straight = |value: f64| if value.abs() < 1e-9 { 0.0 } else { value };
        Self {
            x: straight(angle.cos()),
            y: straight(-angle.sin()),
        }
    }

    /// From one point to another; nothing where they are the same.
    pub fn between(from: Point, to: Point) -> Option<Self> {
        let length = distance(from, to);
        (length > 1e-6).then(|| Self {
            x: (to.x - from.x) / length,
            y: (to.y - from.y) / length,
        })
    }

    /// The angle, anticlockwise from right.
    pub fn angle(self) -> f64 {
        (-self.y).atan2(self.x)
    }

    /// Turned by a quarter, anticlockwise.
    pub fn left(self) -> Self {
        Self {
            x: self.y,
            y: -self.x,
        }
    }

    pub fn back(self) -> Self {
        Self {
            x: -self.x,
            y: -self.y,
        }
    }

    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// So far from a point.
    pub fn from(self, at: Point, by: f64) -> Point {
        Point::new(at.x + by * self.x, at.y + by * self.y)
    }

    pub fn is_level(self) -> bool {
        self.y.abs() < 0.02
    }

    pub fn is_upright(self) -> bool {
        self.x.abs() < 0.02
    }
}

/// An angle within a turn.
pub(super) fn tame(angle: f64) -> f64 {
    match angle.is_finite() {
        true if angle.abs() <= TAU => angle,
        true => angle % TAU,
        false => UNKNOWN,
    }
}

pub(super) fn distance(from: Point, to: Point) -> f64 {
    (to.x - from.x).hypot(to.y - from.y)
}

pub(super) fn middle(from: Point, to: Point) -> Point {
    Point::new((from.x + to.x) / 2.0, (from.y + to.y) / 2.0)
}

/// A part of the way from one point to another.
pub(super) fn part(from: Point, to: Point, part: f64) -> Point {
    Point::new(
        from.x + part * (to.x - from.x),
        from.y + part * (to.y - from.y),
    )
}

/// How far a point is from a line between two, and at which part of it that is nearest.
pub(super) fn off(point: Point, from: Point, to: Point) -> (f64, f64) {
    let (x, y) = (to.x - from.x, to.y - from.y);
    let square = x * x + y * y;
    let along = match square > 1e-12 {
        true => (((point.x - from.x) * x + (point.y - from.y) * y) / square).clamp(0.0, 1.0),
        false => 0.0,
    };
    (distance(point, part(from, to, along)), along)
}

/// Whether a point lies in a closed outline (each side that is crossed to the right counts).
pub(super) fn is_inside(point: Point, outline: &[Point]) -> bool {
    let next = outline.iter().cycle().skip(1);
    let crossed = outline.iter().zip(next).filter(|(from, to)| {
        if (from.y > point.y) == (to.y > point.y) {
            return false;
        }
        let along = (point.y - from.y) / (to.y - from.y);
        point.x < from.x + along * (to.x - from.x)
    });
    crossed.count() % 2 == 1
}

/// Points on an arc, from one angle to another.
pub(super) fn arc(middle: Point, radius: f64, from: f64, to: f64) -> Vec<Point> {
    let steps = (((to - from).abs() * radius / 5.0).ceil() as usize).clamp(2, 48);
    (0..=steps)
        .map(|step| {
            let angle = from + (to - from) * step as f64 / steps as f64;
            Point::new(
                middle.x + radius * angle.cos(),
                middle.y - radius * angle.sin(),
            )
        })
        .collect()
}

/// The area around some points; nothing where there is none.
pub(super) fn around(points: impl IntoIterator<Item = Point>) -> Option<Area> {
    points.into_iter().fold(None, |area: Option<Area>, it| {
        let area = area.unwrap_or(Area {
            left: it.x,
            top: it.y,
            right: it.x,
            bottom: it.y,
        });
        Some(Area {
            left: area.left.min(it.x),
            top: area.top.min(it.y),
            right: area.right.max(it.x),
            bottom: area.bottom.max(it.y),
        })
    })
}
