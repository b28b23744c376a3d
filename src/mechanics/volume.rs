//! A control volume: its sections, how it moves, what gathers in it and what is brought to it.

use super::Id;
use super::direction::{Direction, Turn};
use super::heads::{Device, Station};

/// A cut through which something flows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// Whether it flows in.
    pub is_inlet: bool,
    /// Where the stream goes, seen from the control volume, or from the ground where that turns.
    pub flow: Direction,
    /// The number of the place of its middle; of a depth that of its bed.
    pub at: Option<usize>,
    /// How wide it is.
    pub opening: Option<Opening>,
    /// How fast it flows.
    pub speed: Option<Speed>,
    /// How much flows.
    pub rate: Option<Rate>,
    /// What it is under.
    pub pressure: Pressure,
    /// Its own density.
    pub density: Option<Id>,
    /// How high it lies.
    pub level: Option<Amount>,
    /// How warm it is.
    pub temperature: Option<Id>,
    /// Its enthalpy.
    pub enthalpy: Option<Amount>,
    /// Its own heat capacity.
    pub heat_capacity: Option<Id>,
    /// The share of a substance.
    pub content: Option<Amount>,
    /// What it is along a stream, where it is no cut.
    pub station: Option<Station>,
}

impl Section {
    /// One of which nothing is said but which way the stream goes.
    pub fn new(is_inlet: bool, flow: Direction) -> Self {
        Self {
            is_inlet,
            flow,
            at: None,
            opening: None,
            speed: None,
            rate: None,
            pressure: Pressure::Unsaid,
            density: None,
            level: None,
            temperature: None,
            enthalpy: None,
            heat_capacity: None,
            content: None,
            station: None,
        }
    }
}

/// A magnitude that may be a plain number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Amount {
    /// Nothing of it.
    Zero,
    /// All of it.
    One,
    /// So much.
    Of(Id),
}

/// How wide a section is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Opening {
    /// By its area.
    Area(Id),
    /// By its diameter.
    Diameter(Id),
    /// By its depth, under a free surface, and its width.
    Depth(Id, Option<Id>),
}

/// How fast something flows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Speed {
    /// How fast.
    pub of: Id,
    /// Whether it is seen from the control volume.
    pub is_relative: bool,
}

/// How much flows through a section, as it moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rate {
    /// By its mass.
    Mass(Id),
    /// By its volume.
    Volume(Id),
}

/// What a section is under.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pressure {
    /// Nothing is said.
    Unsaid,
    /// Open to the atmosphere.
    Open,
    /// A pressure.
    Of(Id),
}

/// How a control volume moves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Motion {
    /// It stands.
    Still,
    /// It moves steadily.
    Moves {
        /// How fast.
        speed: Id,
        /// Where to.
        direction: Direction,
    },
    /// It turns steadily.
    Turns {
        /// How fast.
        speed: Id,
        /// How it turns.
        turn: Turn,
        /// The number of the place of its axis.
        about: usize,
    },
}

/// What gathers inside, each second.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Gathered {
    /// Mass.
    Mass(Id),
    /// Energy.
    Energy(Id),
    /// Momentum, seen from the control volume.
    Momentum(Id, Direction),
}

/// What is brought through the boundary or taken out of it, each second.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Exchange {
    /// How much.
    pub of: Id,
    /// Whether it is power, and not heat.
    pub is_power: bool,
    /// Whether it comes in.
    pub is_in: bool,
}

/// What flows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Medium {
    /// The density of sections that have none of their own.
    pub density: Option<Id>,
    /// How strong gravity is.
    pub gravity: Option<Id>,
    /// The heat capacity of sections that have none of their own.
    pub heat_capacity: Option<Id>,
    /// The pressure all around, where pressures are absolute.
    pub surroundings: Option<Id>,
    /// Whether it is a liquid, or a gas.
    pub is_liquid: Option<bool>,
    /// Whether it is seen from above, where nothing has a height.
    pub is_from_above: bool,
}

/// One part of a control volume, as its lines stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// The action of this number.
    Action(usize),
    /// The section of this number.
    Section(usize),
    /// What gathers, by its number.
    Gathered(usize),
    /// Heat or power, by its number.
    Exchange(usize),
    /// A pump, a turbine or a loss, by its number.
    Device(usize),
}

/// A control volume, beside the body of its frame, its places and what acts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Volume {
    /// Through which something flows.
    pub sections: Vec<Section>,
    /// How it moves.
    pub motion: Motion,
    /// What gathers inside.
    pub gathered: Vec<Gathered>,
    /// Heat and power.
    pub exchanges: Vec<Exchange>,
    /// Pumps, turbines and losses, with their heads.
    pub devices: Vec<(Device, Id)>,
    /// What flows.
    pub medium: Medium,
    /// All parts in the order of their lines.
    pub order: Vec<Part>,
}

impl Default for Volume {
    fn default() -> Self {
        Self {
            sections: Vec::new(),
            motion: Motion::Still,
            gathered: Vec::new(),
            exchanges: Vec::new(),
            devices: Vec::new(),
            medium: Medium::default(),
            order: Vec::new(),
        }
    }
}
