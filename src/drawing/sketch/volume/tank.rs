//! A vessel with a free surface: inlets near its top, outlets near its bottom.

use super::super::pens::{LOAD, OUTLINE};
use super::super::sheet::{Layer, Sheet};
use super::super::way::part;
use super::super::{Volume, water};
use super::boxed::{self, BoxSide, Extent};
use super::{OUTSIDE, Passage, Vessel};
use crate::drawing::ink::Point;

/// The least width and height.
const WIDE: f64 = 170.0;
const HIGH: f64 = 128.0;

/// How far below the rim the surface is.
const FREE: f64 = 34.0;

/// How far a pipe reaches out of the wall, to the boundary.
const PIPE: f64 = OUTSIDE;

pub(super) fn draw(volume: &Volume, sheet: &mut Sheet) -> Vessel {
    let sides = boxed::sides(volume);
    let least = boxed::extent(volume, &sides);
    let extent = Extent {
        across: least.across.max(WIDE / 2.0),
        down: least.down.max(HIGH / 2.0),
    };
    let gates: Vec<Passage> = (0..volume.cuts.len())
        .map(|number| {
            let is_inlet = volume.cuts[number].is_inlet;
            let spread = |at: usize, count: usize, half: f64| match sides[number] {
                BoxSide::Top | BoxSide::Bottom => {
                    (2.0 * (at as f64 + 0.5) / count as f64 - 1.0) * half
                }
                // Inlets from the top downward, outlets from the bottom upward.
                BoxSide::Left | BoxSide::Right if is_inlet => 17.0 + 50.0 * at as f64 - half,
                BoxSide::Left | BoxSide::Right => half - 17.0 - 50.0 * (count - 1 - at) as f64,
            };
            Passage {
                inside: 0.0,
                ..boxed::passage(volume, &sides, extent, number, spread)
            }
        })
        .collect();
    walls(sheet, extent, &gates, &sides);
    let Extent { across, down } = extent;
    let level = -down + FREE;
    sheet.begin();
    let ends = [-across, across].map(|x| Point::new(x, level));
    sheet.line(Layer::Body, &ends, LOAD);
    water::mark(sheet, part(ends[0], ends[1], 0.5));
    let (x, y) = (across + OUTSIDE, down + OUTSIDE);
    let boundary = [(-x, -y), (x, -y), (x, y), (-x, y)].map(|(x, y)| Point::new(x, y));
    Vessel {
        gates,
        boundary: vec![boundary.to_vec()],
        hearts: [(0.0, 12.0), (-30.0, 12.0), (30.0, 12.0)]
            .map(|(x, y)| Point::new(x, y))
            .to_vec(),
        holds: Vec::new(),
        rim: None,
        top: Some(boxed::top(volume, &sides, extent)),
    }
}

/// Both sides and the bottom, open where a stream passes, with a short pipe there.
fn walls(sheet: &mut Sheet, extent: Extent, gates: &[Passage], sides: &[BoxSide]) {
    let Extent { across, down } = extent;
    let corners = [
        (-across, -down),
        (-across, down),
        (across, down),
        (across, -down),
    ];
    let corners = corners.map(|(x, y)| Point::new(x, y));
    sheet.begin();
    for (side, ends) in [BoxSide::Left, BoxSide::Bottom, BoxSide::Right]
        .into_iter()
        .zip(corners.windows(2))
    {
        let own = gates.iter().zip(sides).filter(|(_, it)| **it == side);
        let length = super::super::way::distance(ends[0], ends[1]);
        let along = |at: Point| match side {
            BoxSide::Left => at.y - ends[0].y,
            BoxSide::Bottom => at.x - ends[0].x,
            BoxSide::Right | BoxSide::Top => ends[0].y - at.y,
        };
        let mut open: Vec<(f64, f64, Passage)> = own
            .map(|(gate, _)| {
                (
                    along(gate.at) - gate.half,
                    along(gate.at) + gate.half,
                    *gate,
                )
            })
            .collect();
        open.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut lines = Vec::new();
        let mut from = 0.0;
        let point = |by: f64| part(ends[0], ends[1], by / length);
        for (first, last, gate) in open {
            let stubs = [first, last].map(|by| vec![point(by), gate.out.from(point(by), PIPE)]);
            lines.extend(stubs);
            lines.push(vec![point(from), point(first.max(from))]);
            from = last;
        }
        lines.push(vec![point(from), point(length)]);
        sheet.lines(Layer::Body, lines, OUTLINE);
    }
}
