//! A vessel with a free surface: inlets near its top, outlets near its bottom.

use super::super::pens::LOAD;
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
    let standing = [BoxSide::Left, BoxSide::Bottom, BoxSide::Right];
    boxed::walls(sheet, volume, extent, &gates, &sides, &standing);
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
