//! A fluid at rest: the pressure along its columns, from one end to the other.

use super::Id;
use super::balance::{Of, Side, Term};
use super::direction::Direction;
use super::sum::Sum;

/// What an end is under.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Open to the atmosphere.
    Open,
    /// A pressure.
    Pressure(Id),
}

/// A column of one fluid.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Where it goes.
    pub direction: Direction,
    /// How long it is.
    pub length: Id,
    /// The density of its fluid.
    pub density: Id,
    /// How strong gravity is.
    pub gravity: Id,
}

/// Columns that follow each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Columns {
    /// Both ends; the first is where the way begins.
    pub ends: [End; 2],
    /// As they follow each other.
    pub columns: Vec<Column>,
    /// The pressure all around, where pressures are absolute.
    pub surroundings: Option<Id>,
}

impl Columns {
    /// The pressure at an end; nothing where it is the 0 of gauge pressures.
    fn pressure(&self, end: usize) -> Option<Id> {
        match self.ends[end] {
            End::Pressure(pressure) => Some(pressure),
            End::Open => self.surroundings,
        }
    }

    /// Whether an open end, and no pressure around, makes its pressures gauge.
    pub fn is_gauge(&self) -> bool {
        self.surroundings.is_none() && self.ends.contains(&End::Open)
    }

    /// The terms of the balance of pressure: the first end and what goes down on the left, what goes
    /// up and the last end on the right.
    pub fn pressures(&self) -> Vec<Term> {
        let mut terms = Vec::new();
        let mut add = |of, side, magnitudes, by: Sum| {
            if !by.is_zero() {
                terms.push(Term {
                    of,
                    side,
                    flow: None,
                    magnitudes,
                    by,
                });
            }
        };
        if let Some(pressure) = self.pressure(0) {
            add(Of::End(0), Side::Left, vec![pressure], Sum::number(1));
        }
        for (number, column) in self.columns.iter().enumerate() {
            let (side, by) = column.height();
            add(
                Of::Column(number),
                side,
                vec![column.density, column.gravity],
                by,
            );
        }
        if let Some(pressure) = self.pressure(1) {
            add(Of::End(1), Side::Right, vec![pressure], Sum::number(1));
        }
        terms
    }
}

impl Column {
    /// The side on which it counts, and its upright height.
    fn height(&self) -> (Side, Sum) {
        let [_, up] = self.direction.on_the_page();
        let length = Sum::quantity(self.length);
        match self.goes_down() {
            true => (Side::Left, length.times(&up.reversed())),
            false => (Side::Right, length.times(&up)),
        }
    }

    /// Whether pressure grows along it.
    pub fn goes_down(&self) -> bool {
        let [_, up] = self.direction.on_the_page();
        up.0.first().is_some_and(|it| it.number < 0.into())
    }
}
