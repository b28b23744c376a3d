//! What acts on a body.

use super::Id;
use super::direction::{Direction, Turn};

/// How a load lies on its line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Load {
    /// In one direction, so much for each length of its line.
    PerLength(Direction),
    /// In one direction, so much for each length of what its line is to the right or left.
    PerLevelLength(Direction),
    /// Square to its line, on it from a side.
    Square {
        /// Whether that is the left of the way from first to last place.
        from_the_left: bool,
        /// The side of the page.
        side: Direction,
    },
}

/// Where the free surface of a fluid is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Surface {
    /// The number of a place.
    pub place: usize,
    /// How high the surface lies above it; nothing where it is as high.
    pub height: Option<Id>,
}

/// A fluid at rest on a line, square to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Water {
    /// What is multiplied: density, gravity and width, or a pressure and the width.
    pub magnitudes: Vec<Id>,
    /// From where it grows with depth; nothing for a pressure that is one for the whole line.
    pub surface: Option<Surface>,
    /// Whether it is on the left of the way from first to last place.
    pub from_the_left: bool,
    /// The side of the page.
    pub side: Direction,
    /// The numbers of the places.
    pub places: [usize; 2],
}

/// What acts, on which body a line of its sketch says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Action {
    /// A force.
    Force {
        /// How large it is.
        magnitude: Id,
        /// Where it points.
        direction: Direction,
        /// The number of the place where it acts.
        at: Option<usize>,
    },
    /// A couple.
    Couple {
        /// How large it is.
        magnitude: Id,
        /// How it turns.
        turn: Turn,
    },
    /// What is spread evenly, or changes evenly, from place to place.
    Load {
        /// How large it is at both ends; nothing is zero.
        ends: [Option<Id>; 2],
        /// How it lies.
        lies: Load,
        /// The numbers of the places.
        places: [usize; 2],
    },
    /// A fluid at rest on a line.
    Water(Water),
    /// A mass that moves faster and faster.
    Accelerates {
        /// How much faster.
        magnitude: Id,
        /// Where to.
        direction: Direction,
        /// How much is moved.
        mass: Id,
        /// The number of the place of its centre.
        at: Option<usize>,
    },
    /// What turns faster and faster.
    Turns {
        /// How much faster.
        magnitude: Id,
        /// How it turns.
        turn: Turn,
        /// The moment of inertia about the centre of mass.
        inertia: Id,
    },
}

impl Action {
    /// How large it is, where that is one quantity.
    pub fn magnitude(&self) -> Option<Id> {
        match self {
            Self::Force { magnitude, .. }
            | Self::Couple { magnitude, .. }
            | Self::Accelerates { magnitude, .. }
            | Self::Turns { magnitude, .. } => Some(*magnitude),
            Self::Load { .. } | Self::Water(_) => None,
        }
    }
}
