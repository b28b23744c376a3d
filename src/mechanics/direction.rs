//! Directions on the page: quarter turns and signed angles, slopes, ways from place to place.

use num_rational::Ratio;

use super::Id;
use super::place::Way;
use super::sum::{Angles, Factor, Sum};

/// A sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// It counts as it is.
    Plus,
    /// It counts the other way.
    Minus,
}

impl Sign {
    /// The other one.
    #[must_use]
    pub fn reversed(self) -> Self {
        match self {
            Self::Plus => Self::Minus,
            Self::Minus => Self::Plus,
        }
    }

    /// 1 or −1.
    pub fn number(self) -> i64 {
        match self {
            Self::Plus => 1,
            Self::Minus => -1,
        }
    }
}

/// A sense of turning on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// As the hands of a clock.
    Clockwise,
    /// Against them: positive without a word.
    Anticlockwise,
}

/// From what turns are counted.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Course {
    /// From `right`.
    Right,
    /// From the long side of a triangle to the right, up or down.
    Slope { falls: bool, rise: Id, run: Id },
    /// From a way.
    Way(Way),
}

/// A direction on the page, or square to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Direction {
    /// Quarter turns anticlockwise from the course; nothing for a direction square to the page.
    quarters: Option<u8>,
    /// Angles from there, anticlockwise where they count plus.
    angles: Angles,
    course: Course,
}

impl Direction {
    /// So many quarter turns anticlockwise from `right`.
    pub fn quarters(quarters: u8) -> Self {
        Self::turned(quarters, Vec::new())
    }

    /// To the right.
    pub fn right() -> Self {
        Self::quarters(0)
    }

    /// Up the page.
    pub fn up() -> Self {
        Self::quarters(1)
    }

    /// Quarter turns from `right`, and angles from there.
    pub fn turned(quarters: u8, angles: Angles) -> Self {
        Self {
            quarters: Some(quarters % 4),
            angles,
            course: Course::Right,
        }
    }

    /// Rising or falling by `rise` in `run` to the right or to the left.
    pub fn slope(rises: bool, to_the_right: bool, rise: Id, run: Id) -> Self {
        // What rises to the left is the opposite of what falls to the right.
        let falls = rises != to_the_right;
        Self {
            quarters: Some(if to_the_right { 0 } else { 2 }),
            angles: Vec::new(),
            course: Course::Slope { falls, rise, run },
        }
    }

    /// Along a way from place to place.
    pub fn along(way: Way) -> Self {
        if let Some(direction) = way.only_direction() {
            return direction;
        }
        Self {
            quarters: Some(0),
            angles: Vec::new(),
            course: Course::Way(way),
        }
    }

    /// Toward or away from the reader: it has no component on the page.
    pub fn square_to_the_page() -> Self {
        Self {
            quarters: None,
            angles: Vec::new(),
            course: Course::Right,
        }
    }

    /// Whether it is toward the reader or away.
    pub fn is_square_to_the_page(&self) -> bool {
        self.quarters.is_none()
    }

    /// Turned by an angle from here.
    #[must_use]
    pub fn turned_by(mut self, sign: Sign, angle: Id) -> Self {
        self.angles.push((sign, angle));
        self
    }

    /// A quarter turn anticlockwise.
    #[must_use]
    pub fn quarter(self) -> Self {
        self.by_quarters(1)
    }

    /// The opposite direction.
    #[must_use]
    pub fn opposite(self) -> Self {
        self.by_quarters(2)
    }

    fn by_quarters(mut self, more: u8) -> Self {
        self.quarters = self.quarters.map(|quarters| (quarters + more) % 4);
        self
    }

    /// By how many quarter turns anticlockwise it goes on from another, where they differ by
    /// nothing else.
    pub fn quarters_from(&self, other: &Self) -> Option<u8> {
        let is_same =
            self.course == other.course && difference(&self.angles, &other.angles).is_empty();
        let (here, there) = (self.quarters?, other.quarters?);
        is_same.then_some((here + 4 - there) % 4)
    }

    /// Whether it is told from the left, so that its upper side is to the right of it.
    pub fn goes_left(&self) -> bool {
        self.quarters == Some(2)
    }

    /// The angle from the right to where it points, in radians and anticlockwise, with the values
    /// of the caller's quantities; nothing for what is square to the page, or goes nowhere.
    pub fn radians(&self, value: &dyn Fn(Id) -> f64) -> Option<f64> {
        self.quarters?;
        let [x, y] = self.on_the_page().map(|part| part.value(value));
        (x.hypot(y) > 0.0).then(|| y.atan2(x))
    }

    /// Its component along an axis.
    pub fn component(&self, axis: &Self) -> Sum {
        let (Some(here), Some(there)) = (self.quarters, axis.quarters) else {
            return Sum::default();
        };
        if self.course == axis.course {
            let angles = difference(&self.angles, &axis.angles);
            return quarter_cosine((here + 4 - there) % 4, &angles);
        }
        let ([x, y], [right, up]) = (self.on_the_page(), axis.on_the_page());
        x.times(&right).plus(y.times(&up))
    }

    /// Its components to the right and up the page.
    pub fn on_the_page(&self) -> [Sum; 2] {
        let Some(quarters) = self.quarters else {
            return [Sum::default(), Sum::default()];
        };
        let angles = difference(&self.angles, &[]);
        let turned = [quarters, (quarters + 3) % 4].map(|it| quarter_cosine(it, &angles));
        let [x, y] = match &self.course {
            Course::Right => return turned,
            Course::Slope { falls, rise, run } => {
                let part = |leg, number| {
                    let leg = Factor::Slope {
                        leg,
                        of: [*rise, *run],
                    };
                    Sum::of(Ratio::from(number), vec![leg])
                };
                [part(*run, 1), part(*rise, if *falls { -1 } else { 1 })]
            }
            Course::Way(way) => along(way),
        };
        let [cosine, sine] = turned;
        [
            x.times(&cosine).plus(y.times(&sine).reversed()),
            x.times(&sine).plus(y.times(&cosine)),
        ]
    }
}

/// The components of one along a way: its legs over its length.
fn along(way: &Way) -> [Sum; 2] {
    let parts = way.on_the_page();
    let over = Sum::of(
        Ratio::from(1),
        vec![Factor::OverLength(Box::new(parts.clone()))],
    );
    parts.map(|part| part.times(&over))
}

/// The first angles less the others; what cancels is left out.
fn difference(left: &[(Sign, Id)], right: &[(Sign, Id)]) -> Angles {
    let mut found: Angles = Vec::with_capacity(left.len() + right.len());
    let turned = right.iter().map(|(sign, id)| (sign.reversed(), *id));
    for (sign, id) in left.iter().copied().chain(turned) {
        match found.iter().position(|it| *it == (sign.reversed(), id)) {
            Some(at) => {
                found.remove(at);
            }
            None => found.push((sign, id)),
        }
    }
    found
}

/// The cosine of quarter turns and angles, written so that no quarter turn stands in it and the
/// first angle counts plus.
fn quarter_cosine(quarters: u8, angles: &[(Sign, Id)]) -> Sum {
    let Some((first, _)) = angles
        .iter()
        .find(|(sign, _)| *sign == Sign::Plus)
        .or(angles.first())
    else {
        return match quarters {
            0 => Sum::number(1),
            2 => Sum::number(-1),
            _ => Sum::default(),
        };
    };
    let turns = *first == Sign::Minus;
    let mut written: Angles = (angles.iter())
        .map(|(sign, id)| (if turns { sign.reversed() } else { *sign }, *id))
        .collect();
    // An angle that counts plus is written first.
    if let Some(at) = written.iter().position(|(sign, _)| *sign == Sign::Plus) {
        let plus = written.remove(at);
        written.insert(0, plus);
    }
    // cos(A + 90°) = −sin A, and sin(−A) = −sin A.
    let odd = if turns { -1 } else { 1 };
    let (number, factor) = match quarters {
        0 => (1, Factor::Cosine(written)),
        1 => (-odd, Factor::Sine(written)),
        2 => (-1, Factor::Cosine(written)),
        _ => (odd, Factor::Sine(written)),
    };
    Sum::of(Ratio::from(number), vec![factor])
}
