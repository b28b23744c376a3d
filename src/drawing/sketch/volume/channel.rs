//! A channel: its bed, its surface from depth to depth, and pressures that grow with depth.

use super::super::pens::{LOAD, OUTLINE};
use super::super::sheet::{Layer, Sheet};
use super::super::way::Way;
use super::super::{Size, Volume, dimension, water};
use super::{Passage, Vessel, ends, turn};
use crate::drawing::ink::Point;

/// How deep the deepest stream is drawn, and the least.
const DEEP: f64 = 112.0;
const LEAST: f64 = 22.0;

/// How far apart both sections are, and how far bed and surface go on beyond them.
const LONG: f64 = 220.0;
pub(super) const BEYOND: f64 = 104.0;

/// Depths without values.
const UNKNOWN: [f64; 2] = [1.0, 0.75];

/// How far off a section its depth is written.
const DIMENSION: f64 = 78.0;

/// Where the surface has its triangle, before and behind the sections.
const MARK: f64 = 50.0;

/// The boundary: how far above the surface, and off the bed within.
pub(super) const ABOVE: f64 = 6.0;
pub(super) const WITHIN: f64 = 4.0;

/// A bed, along which the stream goes from its start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bed {
    pub along: Way,
    pub up: Way,
    /// The inlet and the outlet, by their numbers.
    pub cuts: [usize; 2],
    /// Their depths as they are drawn.
    pub depths: [f64; 2],
}

impl Bed {
    /// Nothing where it is no stream of two depths along one bed; `unknown` are the depths of one
    /// without values.
    pub fn new(volume: &Volume, unknown: [f64; 2]) -> Option<Self> {
        let [(inlet, along), (outlet, last)] = ends(volume)?;
        let depth = |cut: usize| match volume.cuts[cut].size {
            Size::Depth { depth, .. } => Some(depth.abs()),
            Size::Area(_) => None,
        };
        if turn(along, last).abs() > 0.02 || along.x.abs() < 0.3 {
            return None;
        }
        let up = if along.left().y < 0.0 {
            along.left()
        } else {
            along.left().back()
        };
        let depths = [depth(inlet)?, depth(outlet)?];
        let is_known = depths.iter().all(|it| it.is_finite() && *it > 0.0);
        let depths = if is_known { depths } else { unknown };
        let most = depths[0].max(depths[1]);
        let depths = depths.map(|it| (DEEP * it / most).max(LEAST));
        Some(Self {
            along,
            up,
            cuts: [inlet, outlet],
            depths,
        })
    }

    /// So far along the bed, and off it.
    pub fn at(&self, along: f64, off: f64) -> Point {
        self.up
            .from(self.along.from(Point::new(0.0, 0.0), along), off)
    }

    /// The bed on its ground.
    pub fn ground(&self, sheet: &mut Sheet, long: f64) {
        let ends = [self.at(-BEYOND, 0.0), self.at(long + BEYOND, 0.0)];
        sheet.begin();
        sheet.line(Layer::Body, &ends, OUTLINE);
        // Hatching lies on the right of the way.
        match self.along.left().dot(self.up) > 0.0 {
            true => sheet.hatch(ends[0], ends[1]),
            false => sheet.hatch(ends[1], ends[0]),
        }
    }

    /// The free surface along some points, with a triangle before its start or behind its end.
    pub fn surface(&self, sheet: &mut Sheet, points: &[(f64, f64)], marks: &[(f64, f64)]) {
        sheet.begin();
        let line: Vec<Point> = points
            .iter()
            .map(|(along, off)| self.at(*along, *off))
            .collect();
        sheet.line(Layer::Body, &line, LOAD);
        for (along, off) in marks {
            water::mark(sheet, self.at(*along, *off));
        }
    }

    /// Where the triangles of both surfaces stand.
    pub fn marks(&self, long: f64) -> [(f64, f64); 2] {
        [(-MARK, self.depths[0]), (long + MARK, self.depths[1])]
    }

    /// Where the streams pass, in the order of the cuts, `inside` with so much room.
    pub fn gates(&self, long: f64, inside: [f64; 2]) -> Vec<Passage> {
        let gate = |end: usize| {
            let along = if end == 0 { 0.0 } else { long };
            let depth = self.depths[end];
            Passage {
                at: self.at(along, depth / 2.0),
                way: self.along,
                out: if end == 0 {
                    self.along.back()
                } else {
                    self.along
                },
                half: depth / 2.0,
                reach: depth / 2.0 + ABOVE,
                inside: inside[end],
                is_in_side: false,
            }
        };
        let mut gates = vec![gate(0), gate(1)];
        if self.cuts[0] > self.cuts[1] {
            gates.reverse();
        }
        gates
    }

    /// Both depths as dimensions.
    pub fn dimensions(&self, volume: &Volume, long: f64, sheet: &mut Sheet) {
        if !volume.frame.has_dimensions {
            return;
        }
        for (end, along) in [(0, -DIMENSION), (1, long + DIMENSION)] {
            let Size::Depth { label, .. } = &volume.cuts[self.cuts[end]].size else {
                continue;
            };
            sheet.begin();
            let ends = [self.at(along, 0.0), self.at(along, self.depths[end])];
            dimension::line(sheet, label, ends);
        }
    }
}

/// Draws a channel; nothing where it is no stream of two depths.
pub(super) fn draw(volume: &Volume, sheet: &mut Sheet) -> Option<Vessel> {
    let bed = Bed::new(volume, UNKNOWN)?;
    let [first, last] = bed.depths;
    bed.ground(sheet, LONG);
    // A jump is steeper than what falls.
    let (from, to) = if last > first {
        (0.38, 0.62)
    } else {
        (0.25, 0.75)
    };
    let depth = |part: f64| {
        let part = ((part - from) / (to - from)).clamp(0.0, 1.0);
        first + part * part * (3.0 - 2.0 * part) * (last - first)
    };
    let steps = (0..=20).map(|step| {
        let part = f64::from(step) / 20.0;
        (part * LONG, depth(part))
    });
    let over: Vec<(f64, f64)> = steps.collect();
    let mut surface = vec![(-BEYOND, first)];
    surface.extend(over.iter().copied());
    surface.push((LONG + BEYOND, last));
    bed.surface(sheet, &surface, &bed.marks(LONG));
    let mut boundary = vec![bed.at(0.0, WITHIN)];
    boundary.extend(over.iter().map(|(along, off)| bed.at(*along, off + ABOVE)));
    boundary.push(bed.at(LONG, WITHIN));
    bed.dimensions(volume, LONG, sheet);
    let middle = LONG / 2.0;
    // Nothing but the bed holds the stream.
    let holds = [14.0, 24.0, 36.0].into_iter().flat_map(|off| {
        [0.5, 0.35, 0.65].map(|part| (bed.at(part * LONG, -off), Some(bed.up.back())))
    });
    Some(Vessel {
        holds: holds.collect(),
        gates: bed.gates(LONG, [0.36 * LONG; 2]),
        boundary: vec![boundary],
        hearts: [middle, middle - 30.0, middle + 30.0]
            .map(|along| bed.at(along, 0.45 * depth(along / LONG)))
            .to_vec(),
        ..Vessel::default()
    })
}
