//! Places of a body, and the ways between them.

use num_rational::Ratio;

use super::Id;
use super::direction::Direction;
use super::sum::{Factor, Sum};

/// A straight piece of a way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Leg {
    /// How long it is.
    pub length: Id,
    /// Where it goes.
    pub direction: Direction,
}

/// Legs, each with how often it is gone; none is gone zero times.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Way(Vec<(Ratio<i64>, Leg)>);

/// Where a place lies, as the way to it from the place that has none.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Place(Way);

impl Place {
    /// The place from here by these legs.
    pub fn by(&self, legs: impl IntoIterator<Item = Leg>) -> Self {
        let mut way = self.0.clone();
        legs.into_iter().for_each(|leg| way.go(Ratio::from(1), leg));
        Self(way)
    }

    /// The place a part of a leg away from here.
    pub fn by_part(&self, part: Ratio<i64>, leg: Leg) -> Self {
        let mut way = self.0.clone();
        way.go(part, leg);
        Self(way)
    }

    /// The middle of two places.
    pub fn middle(from: &Self, to: &Self) -> Self {
        let mut way = Way::default();
        for (often, leg) in from.0.0.iter().chain(&to.0.0) {
            way.go(*often / 2, leg.clone());
        }
        Self(way)
    }

    /// The way from here to another place.
    pub fn to(&self, other: &Self) -> Way {
        let mut way = other.0.clone();
        for (often, leg) in &self.0.0 {
            way.go(-*often, leg.clone());
        }
        way
    }
}

impl Way {
    fn go(&mut self, often: Ratio<i64>, leg: Leg) {
        let zero = Ratio::from(0);
        if let Some(at) = self.0.iter().position(|(_, it)| *it == leg) {
            self.0[at].0 += often;
            if self.0[at].0 == zero {
                self.0.remove(at);
            }
        } else if often != zero {
            self.0.push((often, leg));
        }
    }

    /// Whether it goes nowhere.
    pub fn is_nothing(&self) -> bool {
        self.0.is_empty()
    }

    /// How far it goes to the right and up.
    pub fn on_the_page(&self) -> [Sum; 2] {
        let mut found = [Sum::default(), Sum::default()];
        for (often, leg) in &self.0 {
            let length = Sum::quantity(leg.length).scaled(*often);
            for (sum, part) in found.iter_mut().zip(leg.direction.on_the_page()) {
                *sum = std::mem::take(sum).plus(length.times(&part));
            }
        }
        found
    }

    /// Its legs all lie along this line, counted from its first leg, which it goes along or back.
    fn line(&self) -> Option<(&Direction, Sum)> {
        let (_, first) = self.0.first()?;
        let mut length = Sum::default();
        for (often, leg) in &self.0 {
            let sign = match leg.direction.quarters_from(&first.direction)? {
                0 => 1,
                2 => -1,
                _ => return None,
            };
            length = length.plus(Sum::quantity(leg.length).scaled(*often * sign));
        }
        Some((&first.direction, length))
    }

    /// The line that all its legs lie along, as far as that can be told; which way along it, only
    /// the data can tell.
    pub fn line_direction(&self) -> Option<&Direction> {
        self.line().map(|(direction, _)| direction)
    }

    /// Where it goes, if all its legs lie along a line: what is a difference of legs is taken as it
    /// stands, which only the data can tell.
    pub fn course(&self) -> Option<Direction> {
        let (direction, length) = self.line()?;
        let goes_back = length.0.iter().all(|it| it.number < Ratio::from(0));
        Some(match goes_back {
            true => direction.clone().opposite(),
            false => direction.clone(),
        })
    }

    /// On which side of it a direction is: positive to the left, as far as signs of quantities tell.
    pub fn side(&self, direction: &Direction) -> Sum {
        match self.course() {
            Some(course) => cross(&course.on_the_page(), &direction.on_the_page()),
            None => self.moment(&direction.on_the_page()),
        }
    }

    /// Where it goes, if it is one leg.
    pub fn only_direction(&self) -> Option<Direction> {
        let [(often, leg)] = self.0.as_slice() else {
            return None;
        };
        let direction = leg.direction.clone();
        Some(match *often > Ratio::from(0) {
            true => direction,
            false => direction.opposite(),
        })
    }

    /// How long it is: the sum of legs on one line, with a sign that only the data can tell where
    /// it is a difference; else the root of its squares.
    pub fn length(&self) -> Sum {
        match self.line() {
            Some((_, length)) => length.without_sign().into_one(),
            None if self.is_nothing() => Sum::default(),
            None => Sum::of(
                Ratio::from(1),
                vec![Factor::Length(Box::new(self.on_the_page()))],
            ),
        }
    }

    /// How far it goes along a straight whole from the same beginning; nothing where it leaves that
    /// line. Whether a sum is nothing is asked where the legs do not tell.
    pub fn far_along(
        &self,
        along: &Direction,
        whole: &Self,
        is_nothing: &dyn Fn(&Sum) -> bool,
    ) -> Option<Sum> {
        if let Some(part) = self.part_of(whole) {
            let length = match whole.line() {
                Some((_, length)) => length.without_sign(),
                None => whole.length(),
            };
            return Some(length.scaled(part));
        }
        let mut legs = self.0.iter().map(|(often, leg)| {
            let sign = match leg.direction.quarters_from(along)? {
                0 => 1,
                2 => -1,
                _ => return None,
            };
            Some(Sum::quantity(leg.length).scaled(*often * sign))
        });
        let length = legs.try_fold(Sum::default(), |all, leg| Some(all.plus(leg?)));
        length.or_else(|| is_nothing(&whole.moment(&self.on_the_page())).then(|| self.length()))
    }

    /// Which part of another way it is, with the same legs.
    fn part_of(&self, whole: &Self) -> Option<Ratio<i64>> {
        if self.is_nothing() {
            return Some(Ratio::from(0));
        }
        let of = |leg: &Leg| whole.0.iter().find(|(_, it)| it == leg);
        let parts = self.0.iter().map(|(often, leg)| Some(*often / of(leg)?.0));
        let parts: Vec<Ratio<i64>> = parts.collect::<Option<_>>()?;
        let is_one = parts.windows(2).all(|pair| pair[0] == pair[1]);
        let is_whole = self.0.len() == whole.0.len() && is_one;
        parts.first().copied().filter(|_| is_whole)
    }

    /// How far it goes to the right and up, with its length as one factor where it has one line.
    pub fn along(&self) -> [Sum; 2] {
        match self.line() {
            Some((direction, length)) => {
                let length = length.into_one();
                direction.on_the_page().map(|part| length.times(&part))
            }
            None => self.on_the_page(),
        }
    }

    /// The moment about its beginning of what has these components at its end: x-arm times
    /// y-component less y-arm times x-component, anticlockwise.
    pub fn moment(&self, at_its_end: &[Sum; 2]) -> Sum {
        cross(&self.on_the_page(), at_its_end)
    }
}

/// The moment of what has the second components on an arm that has the first.
pub(super) fn cross([right, up]: &[Sum; 2], [x, y]: &[Sum; 2]) -> Sum {
    right.times(y).plus(up.times(x).reversed())
}
