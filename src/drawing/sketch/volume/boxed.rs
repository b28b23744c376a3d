//! A box: streams at its sides, heat and power from above; a heater has a coil in it.

use super::super::pens::{LOAD, OUTLINE, SYMBOL};
use super::super::sheet::{Layer, Sheet};
use super::super::way::{Way, distance, part};
use super::super::{Shape, Volume};
use super::{OUTSIDE, Passage, Vessel, out, way};
use crate::drawing::ink::Point;
use crate::drawing::letters;

/// The least width and height.
const WIDE: f64 = 130.0;
const HIGH: f64 = 62.0;

/// How far apart streams are that pass one side, and rates.
const ROW: f64 = 60.0;
const COLUMN: f64 = 46.0;

/// Half of a cut in the side of a box.
const HALF: f64 = 9.0;
const PRESSED: f64 = 15.0;

/// A side of the box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum BoxSide {
    Left,
    Right,
    Top,
    Bottom,
}

/// How large the box is: half of its width, and half of its height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Extent {
    pub across: f64,
    pub down: f64,
}

pub(super) fn draw(volume: &Volume, sheet: &mut Sheet) -> Vessel {
    let sides = sides(volume);
    let extent = extent(volume, &sides);
    let Extent { across, down } = extent;
    let rectangle = |more: f64| {
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(x, y)| Point::new(x * (across + more), y * (down + more)))
            .to_vec()
    };
    let gates = (0..volume.cuts.len()).map(|cut| {
        let spread = |number: usize, count: usize, half: f64| {
            (2.0 * (number as f64 + 0.5) / count as f64 - 1.0) * half
        };
        passage(volume, &sides, extent, cut, spread)
    });
    let gates: Vec<Passage> = gates.collect();
    let standing = [BoxSide::Left, BoxSide::Bottom, BoxSide::Right, BoxSide::Top];
    walls(sheet, volume, extent, &gates, &sides, &standing);
    if volume.shape == Shape::Heater {
        coil(sheet);
    }
    Vessel {
        gates,
        boundary: vec![rectangle(OUTSIDE)],
        hearts: vec![Point::new(0.0, 0.0)],
        holds: Vec::new(),
        rim: None,
        top: Some(top(volume, &sides, extent)),
    }
}

/// Walls that stand, from the left around the bottom, open where a stream passes, with a short pipe
/// there to the boundary.
pub(super) fn walls(
    sheet: &mut Sheet,
    volume: &Volume,
    extent: Extent,
    gates: &[Passage],
    sides: &[BoxSide],
    standing: &[BoxSide],
) {
    let Extent { across, down } = extent;
    let corners = [
        (-across, -down),
        (-across, down),
        (across, down),
        (across, -down),
        (-across, -down),
    ];
    let corners = corners.map(|(x, y)| Point::new(x, y));
    sheet.begin();
    for (side, ends) in standing.iter().zip(corners.windows(2)) {
        let passing = volume.cuts.iter().zip(gates).zip(sides);
        let own = passing.filter(|((cut, _), it)| *it == side && way(cut).is_some());
        let length = distance(ends[0], ends[1]);
        let mut open: Vec<(f64, f64, Way)> = own
            .map(|((_, gate), _)| {
                let along = match side {
                    BoxSide::Left | BoxSide::Right => (gate.at.y - ends[0].y).abs(),
                    BoxSide::Bottom | BoxSide::Top => (gate.at.x - ends[0].x).abs(),
                };
                (along - gate.half, along + gate.half, gate.out)
            })
            .collect();
        open.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut lines = Vec::new();
        let mut from = 0.0;
        let point = |by: f64| part(ends[0], ends[1], by / length);
        for (first, last, out) in open {
            let stubs = [first, last].map(|by| vec![point(by), out.from(point(by), OUTSIDE)]);
            lines.extend(stubs);
            lines.push(vec![point(from), point(first.max(from))]);
            from = last;
        }
        lines.push(vec![point(from), point(length)]);
        sheet.lines(Layer::Body, lines, OUTLINE);
    }
}

/// The part of the upper side that streams leave to heat and power.
pub(super) fn top(volume: &Volume, sides: &[BoxSide], extent: Extent) -> [Point; 2] {
    let Extent { across, down } = extent;
    let streams = sides.iter().filter(|it| **it == BoxSide::Top).count() as f64;
    let all = streams + volume.rates.len() as f64;
    let first = -across + 2.0 * across * streams / all.max(1.0);
    [first, across].map(|x| Point::new(x, -down - OUTSIDE))
}

/// The side that each stream passes.
pub(super) fn sides(volume: &Volume) -> Vec<BoxSide> {
    let side = |cut: &super::super::Cut| {
        let Some(way) = way(cut) else {
            return BoxSide::Bottom;
        };
        let out = out(cut, way);
        match out.x.abs() >= out.y.abs() - 1e-9 {
            true if out.x < 0.0 => BoxSide::Left,
            true => BoxSide::Right,
            false if out.y < 0.0 => BoxSide::Top,
            false => BoxSide::Bottom,
        }
    };
    volume.cuts.iter().map(side).collect()
}

/// As large as its streams and rates ask for.
pub(super) fn extent(volume: &Volume, sides: &[BoxSide]) -> Extent {
    let count = |side: BoxSide| sides.iter().filter(|it| **it == side).count();
    let rows = count(BoxSide::Left).max(count(BoxSide::Right));
    let above = count(BoxSide::Top) + volume.rates.len();
    let columns = above.max(count(BoxSide::Bottom));
    // Names of rates stand side by side.
    let widths = volume
        .rates
        .iter()
        .map(|it| letters::width(&it.label, SYMBOL) + 8.0);
    let column = widths.fold(COLUMN, f64::max);
    Extent {
        across: (columns as f64 * column).max(WIDE) / 2.0,
        down: (rows as f64 * ROW + 14.0).max(HIGH) / 2.0,
    }
}

/// Where a stream passes its side; `spread` tells how far from the middle it is, by its number
/// among those of that side.
pub(super) fn passage(
    volume: &Volume,
    sides: &[BoxSide],
    extent: Extent,
    number: usize,
    spread: impl Fn(usize, usize, f64) -> f64,
) -> Passage {
    let (cut, side) = (&volume.cuts[number], sides[number]);
    let before = sides[..number].iter().filter(|it| **it == side).count();
    let mut count = sides.iter().filter(|it| **it == side).count();
    let (out, half) = match side {
        BoxSide::Left => (Way::LEFT, extent.down),
        BoxSide::Right => (Way::RIGHT, extent.down),
        BoxSide::Top => (Way::UP, extent.across),
        BoxSide::Bottom => (Way::DOWN, extent.across),
    };
    if side == BoxSide::Top {
        count += volume.rates.len();
    }
    let along = spread(before, count, half);
    let at = match side {
        BoxSide::Left | BoxSide::Right => Point::new(out.x * (extent.across + OUTSIDE), along),
        BoxSide::Top | BoxSide::Bottom => Point::new(along, out.y * (extent.down + OUTSIDE)),
    };
    let is_pressed = !cut.pressure.is_empty();
    let half = if is_pressed { PRESSED } else { HALF };
    // Within a heater is its coil.
    let has_room = is_pressed && volume.shape != Shape::Heater && cut_is_square(cut, out);
    Passage {
        at,
        way: way(cut).unwrap_or(Way::DOWN),
        out,
        half,
        reach: half,
        inside: if has_room {
            extent.across.min(62.0) - 8.0
        } else {
            0.0
        },
        is_in_side: true,
    }
}

fn cut_is_square(cut: &super::super::Cut, side: Way) -> bool {
    way(cut).is_some_and(|way| out(cut, way).dot(side) > 0.99)
}

/// What heats, or cools.
fn coil(sheet: &mut Sheet) {
    const LONG: f64 = 68.0;
    const HIGH: f64 = 8.0;
    const TEETH: u8 = 6;
    sheet.begin();
    let start = -LONG / 2.0;
    let tooth = LONG / (2.0 * f64::from(TEETH));
    let mut line = vec![Point::new(start - 10.0, 0.0), Point::new(start, 0.0)];
    for number in 0..2 * TEETH {
        let up = if number % 2 == 0 { -HIGH } else { HIGH };
        line.push(Point::new(start + tooth * (f64::from(number) + 0.5), up));
    }
    line.extend([Point::new(-start, 0.0), Point::new(10.0 - start, 0.0)]);
    sheet.line(Layer::Body, &line, LOAD);
}
