//! A sketch: what a body is and what acts on it.
//!
//! In go numbers and letters, out come strokes. Angles are in radians, anticlockwise from right;
//! lengths are in metres, or any other unit that is one for all of a sketch. A length or an angle
//! that is not known is 1 or 35°, which is the caller's to put in. Which way a force points and
//! what it is called is told; where its arrow begins and ends is found here.
//!
//! A figure is a variant of [`Figure`] with a file of its own, which puts strokes and labels on a
//! [`sheet`]; a control volume has one for each of its shapes. Line types and widths are those of
//! ISO 128-2 (`pens`), dimensions those of ISO 129-1.

mod angle;
mod arrows;
mod axes;
mod beside;
mod body;
mod diagram;
mod dimension;
mod load;
mod particle;
mod pens;
mod plan;
mod ramp;
mod sheet;
mod stations;
mod support;
mod tube;
mod turn;
mod volume;
mod water;
mod way;

#[cfg(test)]
mod cases;
#[cfg(test)]
pub(crate) mod laws;
#[cfg(test)]
mod streams;

use self::sheet::Sheet;
use super::ink::Drawing;
use crate::typeset::Run;

/// A place by its number in [`Body::places`].
pub type PlaceId = usize;

/// A sketch as data.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// What it is called.
    pub title: String,
    /// What is to be seen on it, in words.
    pub description: String,
    pub figure: Figure,
    /// In the order of the lines; those of supports stand with these.
    pub forces: Vec<Force>,
    /// Forces square to the page.
    pub square: Vec<Square>,
    /// How it moves or accelerates.
    pub motions: Vec<Motion>,
    /// Nothing draws none.
    pub axes: Option<Axes>,
    /// The bars of forces, lengths and speeds that are drawn to a scale.
    pub scales: Vec<ScaleBar>,
}

/// What it is a sketch of.
#[derive(Debug, Clone, PartialEq)]
pub enum Figure {
    /// A body with places.
    Body(Body),
    /// Forces through one point.
    Particle,
    /// A block that lies on something.
    Ramp(Ramp),
    /// What a fluid flows through.
    Volume(Volume),
    /// A way along pipes.
    Stations(Vec<Station>),
    /// A fluid at rest.
    Tube(Tube),
}

/// What a fluid flows through, with a boundary around it.
#[derive(Debug, Clone, PartialEq)]
pub struct Volume {
    pub shape: Shape,
    /// In the order of their lines.
    pub cuts: Vec<Cut>,
    /// Heat and power through the boundary.
    pub rates: Vec<Rate>,
    /// What is written inside, such as losses.
    pub inside: Vec<Vec<Run>>,
    /// Its places, couples, dimensions and levels; a body has no more of it.
    pub frame: Body,
    /// How it turns, about a place.
    pub turning: Option<Turning>,
}

/// How a control volume is drawn. One whose sections have places is the polygon of these, but for
/// an impeller or a sprinkler; one that does not fit its sections is a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    Bend,
    Branch,
    Box,
    Channel,
    Gate,
    Heater,
    Nozzle,
    Plate,
    Tank,
    Vane,
    Impeller,
    Sprinkler,
}

/// Where a fluid comes in or leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// What stands in the circle.
    pub name: String,
    pub is_inlet: bool,
    pub flow: Flow,
    /// Its middle, or its bed; nothing where no place is said.
    pub at: Option<PlaceId>,
    pub size: Size,
    /// Whether it is open to the atmosphere.
    pub is_open: bool,
    /// What the pressure is called; may be empty. Of a depth it is that at the bed.
    pub pressure: Vec<Run>,
    /// What is said of the stream, the speed first.
    pub stream: Vec<Vec<Run>>,
    /// Whether the stream turned out to go the other way: its arrow does, and all else stays.
    pub is_turned: bool,
    /// Whether the pressure turned out to pull.
    pub pulls: bool,
    /// How long the arrow of the stream is in millimetres, where speeds are drawn to a scale.
    pub length: Option<f64>,
}

/// Where a stream goes.
#[derive(Debug, Clone, PartialEq)]
pub enum Flow {
    /// On the page.
    Along(Direction),
    /// Square to the page.
    Square { is_toward_reader: bool },
}

/// How large a section is.
#[derive(Debug, Clone, PartialEq)]
pub enum Size {
    /// An area, in any unit that is one for all; no number where it is not known.
    Area(f64),
    /// The depth of a stream with a free surface, which is no number where it is not known.
    Depth { depth: f64, label: Vec<Run> },
}

/// Heat or power through the boundary.
#[derive(Debug, Clone, PartialEq)]
pub struct Rate {
    pub label: Vec<Run>,
    pub is_in: bool,
}

/// How a control volume turns.
#[derive(Debug, Clone, PartialEq)]
pub struct Turning {
    pub label: Vec<Run>,
    pub is_clockwise: bool,
    pub about: PlaceId,
}

/// A part of a way along pipes, in the order of the stream.
#[derive(Debug, Clone, PartialEq)]
pub enum Station {
    /// The free surface of a pond or tank.
    Surface {
        name: String,
        level: Height,
        pressure: Vec<Run>,
    },
    /// A section of the pipe, with what is said of it.
    Section {
        name: String,
        level: Height,
        said: Vec<Vec<Run>>,
    },
    Pump(Vec<Run>),
    Turbine(Vec<Run>),
    Loss(Vec<Run>),
}

/// How high something is over the datum; what is as high as what is before it has no number, and
/// its name may be empty.
#[derive(Debug, Clone, PartialEq)]
pub struct Height {
    pub height: f64,
    pub label: Vec<Run>,
}

/// Columns of fluids at rest, from one end to the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Tube {
    pub ends: [TubeEnd; 2],
    /// As they follow each other.
    pub columns: Vec<Column>,
}

/// An end of a tube.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeEnd {
    pub label: Vec<Run>,
    /// Its pressure; nothing where it is open.
    pub pressure: Option<Vec<Run>>,
}

/// A column of a fluid.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    pub way: ColumnWay,
    pub length: f64,
    pub label: Vec<Run>,
    /// The number of its fluid: columns of one have the same.
    pub fluid: usize,
    /// What the fluid is called.
    pub name: Vec<Run>,
    /// Its density, by which the denser one is told.
    pub density: f64,
}

/// Where a column goes.
#[derive(Debug, Clone, PartialEq)]
pub enum ColumnWay {
    Down,
    Up,
    Along(Direction),
}

/// A body with places; with none, a box.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Body {
    /// Each is reached from one before it.
    pub places: Vec<Place>,
    pub members: Vec<Member>,
    /// Closed outlines from place to place, without their first place again.
    pub outlines: Vec<Vec<PlaceId>>,
    pub wheels: Vec<Wheel>,
    pub supports: Vec<Support>,
    /// Whether supports are left away and their forces act alone.
    pub supports_removed: bool,
    pub moments: Vec<Moment>,
    pub loads: Vec<Load>,
    pub water: Vec<Water>,
    pub dimensions: Vec<Dimension>,
    pub levels: Vec<LevelMark>,
    /// Lines of what its member holds together, under it; that is level then, and goes to the right
    /// from its first place.
    pub diagrams: Vec<Diagram>,
    /// Whether lengths and angles of places are named.
    pub has_dimensions: bool,
    /// Millimetres of the drawing for one unit of length, where lengths are drawn to a scale.
    pub scale: Option<f64>,
}

/// A place with its letter.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    pub label: Vec<Run>,
    pub position: Position,
}

/// Where a place is.
#[derive(Debug, Clone, PartialEq)]
pub enum Position {
    /// A beginning.
    Origin,
    /// So far from another place.
    Legs(PlaceId, Vec<Leg>),
    /// In the middle of two others.
    Middle(PlaceId, PlaceId),
}

/// A part of the way to a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    pub length: f64,
    pub direction: Direction,
    pub label: Vec<Run>,
}

/// A direction, and how it was said.
#[derive(Debug, Clone, PartialEq)]
pub struct Direction {
    pub towards: Towards,
    pub mark: Mark,
}

/// Where a direction points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Towards {
    /// At an angle.
    Angle(f64),
    /// To a place.
    Place(PlaceId),
    /// Away from a place.
    AwayFrom(PlaceId),
}

/// What is written beside a direction.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    Nothing,
    /// The angle by which it is turned from another direction; that one is what an arc begins at.
    Angle {
        from: f64,
        label: Vec<Run>,
    },
    /// A slope: how far it rises or falls on a way that is level.
    Slope {
        upright: Vec<Run>,
        level: Vec<Run>,
    },
}

/// A straight part of a body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    pub kind: MemberKind,
    pub from: PlaceId,
    pub to: PlaceId,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MemberKind {
    Beam,
    Bar,
    Plate,
    Rope,
}

/// A wheel around a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wheel {
    pub at: PlaceId,
    pub radius: f64,
}

/// What holds a body at a place, with its forces in the order of the line.
#[derive(Debug, Clone, PartialEq)]
pub struct Support {
    pub kind: SupportKind,
    pub at: PlaceId,
    /// Their places are not asked for. What is smooth or rough lies behind the first.
    pub forces: Vec<Force>,
    pub moment: Option<Moment>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SupportKind {
    Pin,
    Roller,
    Fixed,
    Smooth,
    Rough,
    /// A joint with another body: it has no ground.
    Hinge,
    Link,
}

/// A force as an arrow.
#[derive(Debug, Clone, PartialEq)]
pub struct Force {
    pub kind: ForceKind,
    pub label: Vec<Run>,
    /// As the line says it.
    pub direction: Direction,
    /// Nothing where no place is said.
    pub at: Option<PlaceId>,
    /// Whether it turned out to point the other way: the arrow does, and all else stays.
    pub is_turned: bool,
    /// Whether it turned out to be 0, and is thin.
    pub is_zero: bool,
    /// How long the arrow is in millimetres, where forces are drawn to a scale.
    pub length: Option<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ForceKind {
    Force,
    Weight,
    Normal,
    Friction,
    /// It pulls away from the body, as a rope does.
    Cable,
    /// It pulls away from the body, as a bar that is cut.
    Bar,
    /// Of a support.
    Reaction,
}

/// A force square to the page.
#[derive(Debug, Clone, PartialEq)]
pub struct Square {
    pub label: Vec<Run>,
    pub at: Option<PlaceId>,
    /// Whether it points out of the page.
    pub is_toward_reader: bool,
}

/// A couple.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    pub label: Vec<Run>,
    pub at: PlaceId,
    /// The way it turns in the end.
    pub is_clockwise: bool,
    pub is_zero: bool,
}

/// A force per length on the line between two places.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    pub from: PlaceId,
    pub to: PlaceId,
    pub acts: Acts,
    /// How large it is at both ends, in any unit; of unlike signs at most one is drawn.
    pub sizes: [f64; 2],
    /// What it is called at both ends: once, where it is even; nothing at an end with 0.
    pub label: Spread,
    /// Whether it turned out to pull where it is drawn to push: its arrows do, and all else stays.
    pub is_turned: bool,
}

/// How a load acts on its line.
#[derive(Debug, Clone, PartialEq)]
pub enum Acts {
    /// In a direction, each metre of the line alike.
    Along(Direction),
    /// In a direction, each metre of level extent alike.
    Level(Direction),
    /// Square to the line, from this side.
    SquareFrom(Side),
}

/// What a load is called.
#[derive(Debug, Clone, PartialEq)]
pub enum Spread {
    Even(Vec<Run>),
    Uneven([Vec<Run>; 2]),
}

/// A side of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    Left,
    Right,
    Above,
    Below,
}

/// Water on the line between two places.
#[derive(Debug, Clone, PartialEq)]
pub struct Water {
    pub from: PlaceId,
    pub to: PlaceId,
    pub side: Side,
    pub surface: Surface,
    /// What the pressure is called; may be empty.
    pub label: Vec<Run>,
    /// What presses on the surface over the air; empty where nothing does.
    pub pressure: Vec<Run>,
    /// That pressure as a height of the water, in the unit of lengths.
    pub pressure_height: f64,
}

/// Where a free surface is.
#[derive(Debug, Clone, PartialEq)]
pub enum Surface {
    /// As high as a place.
    At(PlaceId),
    /// So high above a place.
    Above {
        place: PlaceId,
        height: f64,
        label: Vec<Run>,
    },
}

/// A dimension that the author asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Dimension {
    pub from: PlaceId,
    pub to: PlaceId,
    pub label: Vec<Run>,
}

/// A line of what a level member holds together along its length.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagram {
    /// What is counted upward.
    pub name: Vec<Run>,
    /// How far from the first place, and how much there.
    pub line: Vec<(f64, f64)>,
    /// How far, how much, and what is written there.
    pub marks: Vec<(f64, f64, Vec<Run>)>,
    /// How far from the first place something acts.
    pub stops: Vec<f64>,
}

/// A level that is written at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelMark {
    pub at: PlaceId,
    pub label: Vec<Run>,
}

/// How a body moves or accelerates, as an open arrow beside it.
#[derive(Debug, Clone, PartialEq)]
pub enum Motion {
    Straight {
        label: Vec<Run>,
        direction: Direction,
        /// How long it is in millimetres, where speeds are drawn to a scale.
        length: Option<f64>,
    },
    Turning {
        label: Vec<Run>,
        is_clockwise: bool,
    },
}

/// A block with what it lies on.
#[derive(Debug, Clone, PartialEq)]
pub struct Ramp {
    /// The way up; level for a floor.
    pub direction: Direction,
}

/// Where the axes point, and what they are called.
#[derive(Debug, Clone, PartialEq)]
pub struct Axes {
    pub x: f64,
    pub y: f64,
    pub labels: [Vec<Run>; 2],
}

/// A bar that shows a scale.
#[derive(Debug, Clone, PartialEq)]
pub struct ScaleBar {
    /// How long it is in the drawing, in millimetres.
    pub length: f64,
    /// What that stands for.
    pub label: Vec<Run>,
}

/// A sketch as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    pub drawing: Drawing,
    /// What has to be said of it below.
    pub notes: Vec<Note>,
}

/// What is not seen on a sketch and has to be said below it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Note {
    /// Short lengths are drawn longer than they are.
    NotToScale,
    /// Levels are drawn in their order alone.
    LevelsNotToScale,
    /// It would not fit the page as large as its scales say.
    Shrunk,
}

/// How much smaller a body is tried, until it fits the page with its labels.
const SIZES: [f64; 3] = [1.0, 0.7, 0.45];

/// Draws a sketch for a narrow screen: so many times as large, with letters as they are.
pub fn draw_narrow(sketch: &Sketch, size: f64) -> Drawn {
    let (sheet, notes) = sheet(sketch, size);
    Drawn {
        drawing: sheet::shrunk(sheet.finished(sketch)),
        notes,
    }
}

/// Draws a sketch.
pub fn draw(sketch: &Sketch) -> Drawn {
    let sizes = match &sketch.figure {
        Figure::Body(_) | Figure::Tube(_) => SIZES.as_slice(),
        Figure::Volume(volume) if !volume.frame.places.is_empty() => SIZES.as_slice(),
        // Nothing of these has a size of its own.
        Figure::Particle | Figure::Ramp(_) | Figure::Volume(_) | Figure::Stations(_) => &SIZES[..1],
    };
    let (last, larger) = (sizes[sizes.len() - 1], &sizes[..sizes.len() - 1]);
    for size in larger {
        let (sheet, notes) = sheet(sketch, *size);
        if !sheet.may_fit() {
            continue;
        }
        let drawing = sheet.finished(sketch);
        if sheet::fits(drawing.width, drawing.height) {
            return Drawn { drawing, notes };
        }
    }
    let (sheet, mut notes) = sheet(sketch, last);
    let drawing = sheet.finished(sketch);
    let fits = sheet::fits(drawing.width, drawing.height);
    if !fits && !sketch.scales.is_empty() {
        notes.push(Note::Shrunk);
    }
    Drawn {
        drawing: sheet::shrunk(drawing),
        notes,
    }
}

/// All strokes and labels; the figure so many times as large as usual.
fn sheet(sketch: &Sketch, size: f64) -> (Sheet, Vec<Note>) {
    let mut sheet = Sheet::default();
    let mut notes = Vec::new();
    match &sketch.figure {
        Figure::Body(body) => notes = body::draw(sketch, body, size, &mut sheet),
        Figure::Particle => particle::draw(sketch, &mut sheet),
        Figure::Ramp(ramp) => ramp::draw(sketch, Some(ramp), &mut sheet),
        Figure::Volume(volume) => notes = volume::draw(sketch, volume, size, &mut sheet),
        Figure::Stations(stations) => notes = stations::draw(stations, &mut sheet),
        Figure::Tube(tube) => notes = tube::draw(tube, size, &mut sheet),
    }
    axes::draw(sketch, &mut sheet);
    (sheet, notes)
}

#[cfg(test)]
impl Direction {
    /// A direction that needs no word.
    pub fn plain(angle: f64) -> Self {
        Self {
            towards: Towards::Angle(angle),
            mark: Mark::Nothing,
        }
    }

    /// A direction that is turned from another by an angle, anticlockwise where that is positive.
    pub fn turned(from: f64, by: f64, label: Vec<Run>) -> Self {
        Self {
            towards: Towards::Angle(from + by),
            mark: Mark::Angle { from, label },
        }
    }
}
