//! What a control volume is drawn as, what gathers in it, and what flows through it.

use super::super::super::grammar::{Pair, Rule};
use super::super::super::reader::{Read, Reader, error};
use super::super::super::tokens::word_at;
use super::super::diagnose;
use super::direction::Direction;
use super::line::Sketch;
use crate::diagnostic::{Code, Diagnostic, nearest};

/// What a control volume is drawn as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VolumeShape {
    /// A bend.
    Bend,
    /// A branch.
    Branch,
    /// A box, also without a word.
    Box,
    /// An open channel.
    Channel,
    /// A gate in a channel.
    Gate,
    /// A heater.
    Heater,
    /// A nozzle.
    Nozzle,
    /// A way along pipes.
    Pipe,
    /// A plate that a jet meets.
    Plate,
    /// A tank.
    Tank,
    /// A vane.
    Vane,
    /// A wheel with blades.
    Impeller,
    /// Arms that turn.
    Sprinkler,
}

/// The words of the shapes.
const SHAPES: [(&str, VolumeShape); 13] = [
    ("bend", VolumeShape::Bend),
    ("branch", VolumeShape::Branch),
    ("box", VolumeShape::Box),
    ("channel", VolumeShape::Channel),
    ("gate", VolumeShape::Gate),
    ("heater", VolumeShape::Heater),
    ("nozzle", VolumeShape::Nozzle),
    ("pipe", VolumeShape::Pipe),
    ("plate", VolumeShape::Plate),
    ("tank", VolumeShape::Tank),
    ("vane", VolumeShape::Vane),
    ("impeller", VolumeShape::Impeller),
    ("sprinkler", VolumeShape::Sprinkler),
];

/// The words of the shapes, as an order of parts.
pub(super) fn order() -> String {
    format!("( {} )", SHAPES.map(|(word, _)| word).join(" | "))
}

impl VolumeShape {
    /// Its word.
    pub fn word(self) -> &'static str {
        let found = SHAPES.iter().find(|(_, shape)| *shape == self);
        found.map_or("box", |(word, _)| word)
    }
}

/// What gathers inside.
#[derive(Debug, Clone, PartialEq)]
pub enum GatheredOf {
    /// Mass.
    Mass,
    /// Energy.
    Energy,
    /// Momentum, in a direction.
    Momentum(Direction),
}

/// What is said of all that flows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MediumKind {
    /// Its density.
    Density,
    /// How strong gravity is.
    Gravity,
    /// Its heat capacity.
    HeatCapacity,
    /// The pressure all around.
    Surroundings,
}

impl MediumKind {
    pub(super) fn named(words: &str) -> Self {
        match word_at(words, 0) {
            "density" => Self::Density,
            "gravity" => Self::Gravity,
            "surroundings" => Self::Surroundings,
            _ => Self::HeatCapacity,
        }
    }

    /// Its words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Density => "density",
            Self::Gravity => "gravity",
            Self::HeatCapacity => "heat capacity",
            Self::Surroundings => "surroundings",
        }
    }
}

impl Reader<'_> {
    /// `accumulation of momentum mdot U right`
    pub(super) fn accumulation(&mut self, pair: Pair<'_>) -> Read<Sketch> {
        let (mut of, mut magnitude) = (None, None);
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::gathered_word => {
                    of = Some(match part.as_str() {
                        "mass" => GatheredOf::Mass,
                        _ => GatheredOf::Energy,
                    });
                }
                Rule::direction => of = Some(GatheredOf::Momentum(self.direction(part)?)),
                _ => magnitude = Some(self.sketch_expr(&part)?),
            }
        }
        match (of, magnitude) {
            (Some(of), Some(magnitude)) => Ok(Sketch::Gathered(of, magnitude)),
            _ => Err(self.nothing()),
        }
    }
}

/// The shape that a control volume is said to be around.
pub(super) fn shape(kind: Pair<'_>) -> VolumeShape {
    let word = kind.into_inner().next();
    let found = word.and_then(|word| SHAPES.iter().find(|(it, _)| *it == word.as_str()));
    found.map_or(VolumeShape::Box, |(_, shape)| *shape)
}

/// `control volume around an elbow`: no shape that can be drawn.
pub(super) fn unknown_shape(body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let words: Vec<&str> = body.split_whitespace().collect();
    let ["control", "volume", "around", "a" | "an", rest @ ..] = words.as_slice() else {
        return None;
    };
    let named = rest.first().copied().unwrap_or("");
    if SHAPES.iter().any(|(word, _)| *word == named) {
        return None;
    }
    let at = body.find(named).filter(|_| !named.is_empty())?;
    let all = SHAPES.map(|(word, _)| word);
    let help = match nearest(named, all) {
        Some(near) => format!("`around a {near}`"),
        None => format!(
            "a shape that is drawn: `{}`; or `control volume` alone, which is drawn as a box",
            all.join("`, `")
        ),
    };
    Some(error(
        Code::G03,
        diagnose::place(body, start, at),
        format!("`{named}` is no shape of a control volume"),
        help,
    ))
}
