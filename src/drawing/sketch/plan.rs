//! Where places stand on the page: evenly scaled, and no length too short to be seen.

use super::way::{self, Way};
use super::{Body, Direction, Position, Surface, Towards};
use crate::drawing::ink::Point;
use crate::drawing::sketch::pens::MM;

/// What a body is made to fit, and how high it may be with water.
const WIDE: f64 = 300.0;
const WIDE_WITH_DIAGRAMS: f64 = 360.0;
const HIGH: f64 = 250.0;
const HIGH_WITH_WATER: f64 = 330.0;

/// The greatest radius of a wheel.
const WHEEL: f64 = 62.0;

/// How many times the shortest length the longest may be.
const RATIO: f64 = 8.0;

/// A length that is no number.
const UNKNOWN: f64 = 1.0;

/// The lengths of a sketch as they are drawn.
///
/// Where they differ too much, all are raised to the same power: the shortest is drawn as an
/// eighth of the longest then, their order stays, and so do equal ratios, so that a point on an
/// oblique line stays on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lengths {
    longest: f64,
    power: f64,
}

/// Where places stand.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Plan {
    pub at: Vec<Point>,
    lengths: Lengths,
    /// How long a length of one is drawn.
    scale: f64,
}

impl Lengths {
    pub fn new(all: &[f64]) -> Self {
        let sizes = all.iter().map(|it| it.abs()).filter(|it| *it > 0.0);
        let (shortest, longest) = sizes.fold((f64::INFINITY, 0.0_f64), |(least, most), it| {
            (least.min(it), most.max(it))
        });
        let ratio = longest / shortest;
        let power = match ratio.is_finite() && ratio > RATIO {
            true => RATIO.ln() / ratio.ln(),
            // The ratio of some lengths is beyond all numbers.
            false if ratio == f64::INFINITY => RATIO.ln() / f64::MAX.ln(),
            false => 1.0,
        };
        Self { longest, power }
    }

    /// Whether all are in proportion.
    pub fn is_to_scale(&self) -> bool {
        self.power == 1.0
    }

    /// In parts of the longest.
    pub fn drawn(&self, length: f64) -> f64 {
        if self.longest == 0.0 || length == 0.0 {
            return 0.0;
        }
        let part = length.abs() / self.longest;
        part.powf(self.power) * length.signum()
    }
}

impl Plan {
    pub fn new(body: &Body, size: f64) -> Self {
        let all = lengths(body);
        let lengths = match body.scale {
            Some(_) => Lengths {
                power: 1.0,
                ..Lengths::new(&all)
            },
            None => Lengths::new(&all),
        };
        let mut plan = Self {
            at: Vec::new(),
            lengths,
            scale: 1.0,
        };
        for place in &body.places {
            let at = plan.position(&place.position);
            plan.at.push(at);
        }
        plan.scale = plan.fitting(body, size);
        for at in &mut plan.at {
            *at = Point::new(at.x * plan.scale, at.y * plan.scale);
        }
        plan
    }

    /// Whether all lengths are in proportion.
    pub fn is_to_scale(&self) -> bool {
        self.lengths.is_to_scale()
    }

    /// How long a length is drawn.
    pub fn length(&self, length: f64) -> f64 {
        self.lengths.drawn(known(length)) * self.scale
    }

    /// The place with a number; one that there is not is the beginning.
    pub fn place(&self, number: usize) -> Point {
        self.at.get(number).copied().unwrap_or(Point::new(0.0, 0.0))
    }

    /// Where a direction points at a place.
    pub fn way(&self, direction: &Direction, at: Point) -> Way {
        let to = |place: usize| Way::between(at, self.place(place)).unwrap_or(Way::RIGHT);
        match direction.towards {
            Towards::Angle(angle) => Way::at(angle),
            Towards::Place(place) => to(place),
            Towards::AwayFrom(place) => to(place).back(),
        }
    }

    fn position(&self, position: &Position) -> Point {
        match position {
            Position::Origin => Point::new(0.0, 0.0),
            Position::Middle(one, other) => way::middle(self.place(*one), self.place(*other)),
            Position::Legs(from, legs) => legs.iter().fold(self.place(*from), |at, leg| {
                let way = self.way(&leg.direction, at);
                way.from(at, self.length(leg.length))
            }),
        }
    }

    /// How long one is drawn, so that all fits.
    fn fitting(&self, body: &Body, size: f64) -> f64 {
        if let Some(scale) = body.scale {
            return (scale * MM * self.lengths.longest).clamp(1.0, 1e4);
        }
        let rims = body.wheels.iter().flat_map(|wheel| {
            let (at, radius) = (self.place(wheel.at), self.length(wheel.radius).abs());
            [-radius, radius].map(|by| Point::new(at.x + by, at.y + by))
        });
        let surfaces = body
            .water
            .iter()
            .map(|water| Point::new(self.place(water.from).x, self.surface(&water.surface)));
        let ends = self.at.iter().copied().chain(rims).chain(surfaces);
        let Some(area) = way::around(ends) else {
            return 1.0;
        };
        let high = match body.water.is_empty() {
            true => HIGH,
            false => HIGH_WITH_WATER,
        };
        let wide = match body.diagrams.is_empty() {
            true => WIDE,
            false => WIDE_WITH_DIAGRAMS,
        };
        let across = size * wide / (area.right - area.left);
        let down = size * high / (area.bottom - area.top);
        let radii = body.wheels.iter().map(|it| self.length(it.radius).abs());
        let widest = radii.fold(0.0, f64::max);
        let scale = across.min(down).min(size * WHEEL / widest);
        if scale.is_finite() { scale } else { 1.0 }
    }

    /// How far down a free surface is.
    pub fn surface(&self, surface: &Surface) -> f64 {
        match surface {
            Surface::At(place) => self.place(*place).y,
            Surface::Above { place, height, .. } => self.place(*place).y - self.length(*height),
        }
    }
}

/// All lengths of a body.
fn lengths(body: &Body) -> Vec<f64> {
    let legs = body.places.iter().flat_map(|it| match &it.position {
        Position::Origin | Position::Middle(..) => Vec::new(),
        Position::Legs(_, legs) => legs.iter().map(|leg| leg.length).collect(),
    });
    let radii = body.wheels.iter().map(|it| it.radius);
    let heights = body.water.iter().filter_map(|it| match it.surface {
        Surface::At(_) => None,
        Surface::Above { height, .. } => Some(height),
    });
    legs.chain(radii).chain(heights).map(known).collect()
}

fn known(length: f64) -> f64 {
    if length.is_finite() { length } else { UNKNOWN }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shortest_length_is_an_eighth_of_the_longest_at_least() {
        let lengths = Lengths::new(&[1.0, 64.0, 8.0, -2.0, 0.0]);
        let drawn = [64.0, 1.0, -2.0, 0.0].map(|it| lengths.drawn(it));
        assert_eq!(drawn[0], 1.0);
        assert!((drawn[1] - 0.125).abs() < 1e-12);
        assert!(drawn[2] < -0.125 && drawn[3] == 0.0);
        assert_eq!(Lengths::new(&[1.0, 8.0]).power, 1.0);
    }

    #[test]
    fn equal_ratios_stay_equal() {
        let lengths = Lengths::new(&[4.0, 3.0, 0.04, 0.03]);
        let slope = |across: f64, up: f64| lengths.drawn(up) / lengths.drawn(across);
        assert!((slope(4.0, 3.0) - slope(0.04, 0.03)).abs() < 1e-12);
    }
}
