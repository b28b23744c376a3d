//! A plot: series of points and curves over two axes, with strips below on the same axis.
//!
//! In go numbers in the units of the axes, out come strokes. The look is that of engineering
//! diagrams: axes at the left and below with what they count level at their ends (DIN 461),
//! a quantity over its unit (ISO 80000-1), line types before any colour (ISO 128-2), and each
//! series labelled beside itself.

mod beside;
mod curves;
mod describe;
mod marks;
mod panel;
mod scale;
mod strip;
mod ticks;
mod times;

#[cfg(test)]
mod laws;

use super::ink::Drawing;
use crate::tables::Pattern;
use crate::typeset::Run;

/// The size of the type.
pub const TYPE: f64 = 15.0;

/// A number beyond this has no place on an axis.
pub const LARGEST: f64 = 1e250;

/// A plot as data.
#[derive(Debug, Clone, PartialEq)]
pub struct Plot {
    /// What it is called.
    pub title: String,
    /// How wide and how high it is, without its strips.
    pub size: (f64, f64),
    /// What is counted to the right.
    pub x: Axis,
    /// What is plotted.
    pub panel: Panel,
    /// What stands below it on the same axis.
    pub strips: Vec<Panel>,
    /// Whether thin lines go through the ticks.
    pub has_grid: bool,
}

/// Series over one upright axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// What is counted upward.
    pub y: Axis,
    /// What is counted to the right, where that is not what the plot counts there.
    pub x: Option<Axis>,
    pub series: Vec<Series>,
}

/// What is counted along an axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// The quantity over its unit.
    pub title: Vec<Run>,
    /// The quantity in words, and the unit.
    pub spoken: (String, String),
    pub is_logarithmic: bool,
    pub is_reversed: bool,
    /// How times are written, where it counts the seconds of such.
    pub times: Option<Pattern>,
    /// Where it begins and ends, where that is said.
    pub from: Option<f64>,
    pub to: Option<f64>,
}

/// One series.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    pub shape: Shape,
    /// What it is called; empty where it has no name.
    pub label: Vec<Run>,
}

/// What a series is.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// Readings, each by itself.
    Points(Vec<Reading>),
    /// A line through places in their order, in one piece each.
    Curve(Curve),
    /// A result, with thin lines to the axes.
    Place(Reading),
    /// A line at this height.
    Horizontal(f64),
    /// A line at this place.
    Vertical(f64),
}

/// A line through places.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Runs of places; where a value is missing another begins.
    pub runs: Vec<Vec<(f64, f64)>>,
    /// A band around it: for each place of a run its lower and upper end.
    pub band: Vec<Vec<(f64, f64)>>,
    /// Whether it is a theory against data, and stands out.
    pub stands_out: bool,
}

/// A reading with the half lengths of its bars.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    pub x: f64,
    pub y: f64,
    pub bar_x: f64,
    pub bar_y: f64,
    /// Whether it was left out.
    pub is_left_out: bool,
}

/// A plot as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    pub drawing: Drawing,
    /// What has to be said of it below.
    pub notes: Vec<Note>,
}

/// What is not seen on a plot and has to be said below it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Note {
    /// A bar is smaller than its mark.
    HiddenBar,
    /// A bar is drawn.
    SeenBar,
    /// The band of points that are too many.
    Band,
    /// Rows were left out and are not in that band.
    LeftOutOfBand,
    /// A point has no place within the axes.
    PointOutside,
    /// A line has none.
    LineOutside,
}

/// A time as it is said beside a plot.
pub fn time(pattern: Pattern, seconds: f64) -> String {
    times::text(pattern, seconds)
}

/// What is said below a plot, by all its drawings.
pub fn notes(drawings: &[&Drawn]) -> Vec<&'static str> {
    let has = |note: Note| drawings.iter().any(|drawn| drawn.notes.contains(&note));
    let bars = match (has(Note::HiddenBar), has(Note::SeenBar)) {
        (false, _) => None,
        (true, false) => Some("bars of the uncertainty are smaller than the marks"),
        (true, true) => Some("a bar of the uncertainty that is not seen is smaller than its mark"),
    };
    let said = |note: Note, words: &'static str| has(note).then_some(words);
    let all = [
        bars,
        said(Note::Band, "the band holds all readings"),
        said(
            Note::LeftOutOfBand,
            "rows that were left out are not in the band",
        ),
        said(Note::PointOutside, "some points lie outside of the axes"),
        said(Note::LineOutside, "some lines lie outside of the axes"),
    ];
    all.into_iter().flatten().collect()
}

/// Draws a plot; nothing where there is nothing to be seen.
pub fn draw(plot: &Plot) -> Option<Drawn> {
    panel::draw(plot)
}

impl Plot {
    /// What is counted to the right of a panel.
    fn across<'p>(&'p self, panel: &'p Panel) -> &'p Axis {
        panel.x.as_ref().unwrap_or(&self.x)
    }
}

impl Reading {
    /// Whether it has a place on an axis.
    fn is_seen(&self, x: &Axis, y: &Axis) -> bool {
        x.has(self.x) && y.has(self.y)
    }
}

impl Axis {
    /// Whether a number has a place on it.
    fn has(&self, value: f64) -> bool {
        value.abs() < LARGEST && (value > 0.0 || !self.is_logarithmic)
    }
}
