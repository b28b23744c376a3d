//! Labels beside their series.

use super::TYPE;
use crate::drawing::ink::{Anchor, Area, Ink, Item, Point, Words};
use crate::drawing::labels::Candidate;
use crate::drawing::letters;
use crate::typeset::Run;

/// How far the lines of a label stand apart.
pub(super) const LINE: f64 = 1.15 * TYPE;

/// Where along a series labels like to stand.
const LIKED: f64 = 0.72;

/// At how many places along a series a label is tried.
const PLACES: usize = 24;

/// How far a label stands off its place: a near one is liked more.
const DISTANCES: [(f64, f64); 5] = [
    (7.0, 0.0),
    (12.0, 2.5),
    (20.0, 6.0),
    (32.0, 11.0),
    (45.0, 14.0),
];

/// The eight sides of a place: to the right or left, below or above, and how much that is liked.
const SIDES: [(f64, f64, f64); 8] = [
    (1.0, 1.0, 0.0),
    (-1.0, -1.0, 1.0),
    (1.0, -1.0, 1.5),
    (-1.0, 1.0, 2.0),
    (1.0, 0.0, 2.0),
    (0.0, -1.0, 3.0),
    (0.0, 1.0, 3.0),
    (-1.0, 0.0, 4.0),
];

/// A label, before it has a place.
#[derive(Debug, Clone)]
pub(super) struct Label {
    pub lines: Vec<Vec<Run>>,
    pub size: f64,
    pub ink: Ink,
    /// Where what it names is to be seen.
    pub anchors: Vec<Point>,
}

impl Label {
    /// A label of a series, no wider than this.
    pub fn new(runs: &[Run], ink: Ink, anchors: Vec<Point>, widest: f64) -> Self {
        Self {
            lines: letters::wrapped(runs, TYPE, widest),
            size: TYPE,
            ink,
            anchors,
        }
    }

    fn extent(&self) -> (f64, f64) {
        let widths = self.lines.iter().map(|it| letters::width(it, self.size));
        let height = LINE * (self.lines.len().max(1) - 1) as f64
            + (letters::ASCENT + letters::DESCENT) * self.size;
        (widths.fold(0.0, f64::max), height)
    }

    /// Where it may stand in a frame.
    pub fn candidates(&self, frame: &Area) -> Vec<Candidate> {
        let (width, height) = self.extent();
        let count = self.anchors.len();
        let every = count.div_ceil(PLACES).max(1);
        let mut found = Vec::new();
        for (at, anchor) in self.anchors.iter().enumerate().step_by(every) {
            let along = (at as f64 + 0.5) / count as f64;
            for (distance, far) in DISTANCES {
                for (right, down, unliked) in SIDES {
                    // Beside a corner the distance is that of both sides together.
                    let off = if right != 0.0 && down != 0.0 {
                        0.75 * distance
                    } else {
                        distance
                    };
                    let left = anchor.x + right * off - (1.0 - right) / 2.0 * width;
                    let top = anchor.y + down * off - (1.0 - down) / 2.0 * height;
                    let area = Area {
                        left,
                        top,
                        right: left + width,
                        bottom: top + height,
                    };
                    let cost = unliked + far + 6.0 * (along - LIKED).abs();
                    if frame.holds(&area) {
                        found.push(Candidate {
                            area,
                            cost,
                            leader: None,
                        });
                    }
                }
            }
        }
        found
    }

    /// The label in an area; only a grid goes through what is there.
    pub fn items(&self, area: &Area, has_grid: bool) -> impl Iterator<Item = Item> + '_ {
        let (left, top) = (area.left, area.top + letters::ASCENT * self.size);
        self.lines.iter().enumerate().map(move |(at, runs)| {
            Item::Words(Words {
                at: Point::new(left, top + LINE * at as f64),
                anchor: Anchor::Start,
                runs: runs.clone(),
                size: self.size,
                ink: self.ink,
                has_rim: has_grid,
            })
        })
    }
}

/// Places along lines, evenly spaced.
pub(super) fn along(lines: &[Vec<Point>]) -> Vec<Point> {
    let pairs = || lines.iter().flat_map(|line| line.windows(2));
    let length = |pair: &[Point]| (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y);
    let whole: f64 = pairs().map(length).sum();
    let mut found = Vec::new();
    let mut passed = 0.0;
    for pair in pairs() {
        let own = length(pair);
        while found.len() < PLACES {
            let wanted = (found.len() as f64 + 0.5) * whole / PLACES as f64;
            if wanted > passed + own || own == 0.0 {
                break;
            }
            let part = (wanted - passed) / own;
            found.push(Point::new(
                pair[0].x + part * (pair[1].x - pair[0].x),
                pair[0].y + part * (pair[1].y - pair[0].y),
            ));
        }
        passed += own;
    }
    found
}
