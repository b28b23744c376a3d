//! A way along pipes: ponds and sections in their order, pumps, turbines and losses between them.
//!
//! Levels are drawn in their order, at three heights.

use super::beside::Label;
use super::pens::{LOAD, OUTLINE, REFERENCE, THIN};
use super::sheet::{Layer, Sheet};
use super::volume::circle;
use super::way::Way;
use super::{Height, Note, Station, dimension, water};
use crate::drawing::ink::{Ink, Item, Pen, Point};
use crate::drawing::letters;
use crate::typeset::Run;

/// How far the three heights are apart, and the lowest over the datum.
const STEP: f64 = 74.0;
const LOWEST: f64 = 54.0;

/// A pond: how wide, how deep below its surface, how high its walls are above it.
const POND: f64 = 92.0;
const DEEP: f64 = 44.0;
const RIM: f64 = 16.0;

/// How deep below the surface the pipe is.
const BELOW: f64 = 24.0;

/// How thick the pipe is.
const PIPE: f64 = 8.0;

/// Half of a pump, and how far apart what stands along the pipe is.
const PUMP: f64 = 15.0;
const APART: f64 = 34.0;

/// The widest label that makes room for itself along the pipe.
const LONGEST: f64 = 62.0;

/// What stands along the pipe, where it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Spot<'s> {
    station: &'s Station,
    at: Point,
}

/// Draws stations in the order of the stream.
pub(super) fn draw(stations: &[Station], sheet: &mut Sheet) -> Vec<Note> {
    let spots = spots(stations);
    pipe(sheet, &spots);
    for spot in &spots {
        match spot.station {
            Station::Surface { .. } => pond(sheet, spot.at),
            Station::Section { .. } | Station::Loss(_) => {}
            Station::Pump(label) => machine(sheet, label, spot.at, true),
            Station::Turbine(label) => machine(sheet, label, spot.at, false),
        }
    }
    let datum = datum(sheet, &spots);
    let last = spots.len().saturating_sub(1);
    for (number, spot) in spots.iter().enumerate() {
        match spot.station {
            Station::Surface {
                name,
                level,
                pressure,
            } => {
                let top = spot.at.y - BELOW;
                let side = if number == last && number > 0 {
                    1.0
                } else {
                    -1.0
                };
                height(
                    sheet,
                    level,
                    (spot.at.x + side * (POND / 2.0 + 22.0), top, datum),
                );
                pressed(sheet, pressure, spot.at);
                let middle = Point::new(spot.at.x + 24.0, top);
                sheet.begin();
                circle(sheet, name, middle, move |radius| {
                    [3.0, 9.0, 16.0, 24.0]
                        .map(|by| Point::new(middle.x, middle.y - radius - by))
                        .to_vec()
                });
            }
            Station::Section { name, level, said } => {
                section(sheet, (name, level, said), spot.at, datum)
            }
            Station::Loss(label) => {
                sheet.begin();
                let ends = [-0.5, 0.5].map(|by| Point::new(spot.at.x + by * 30.0, spot.at.y));
                let ends = ends.map(|end| Point::new(end.x, end.y + PIPE / 2.0));
                sheet.label(Label::beside(label, (ends[0], ends[1]), Way::DOWN));
            }
            Station::Pump(_) | Station::Turbine(_) => {}
        }
    }
    let is_level = stations.iter().all(|it| level(it).is_none());
    if is_level {
        Vec::new()
    } else {
        vec![Note::LevelsNotToScale]
    }
}

fn level(station: &Station) -> Option<&Height> {
    match station {
        Station::Surface { level, .. } | Station::Section { level, .. } => Some(level),
        Station::Pump(_) | Station::Turbine(_) | Station::Loss(_) => None,
    }
    .filter(|level| !level.label.is_empty())
}

/// How wide a station is, with what is written at it; what is longer finds its room.
fn width(station: &Station) -> f64 {
    let of = |label: &[Run]| letters::width(label, super::pens::SYMBOL).min(LONGEST);
    match station {
        Station::Surface { .. } => POND,
        Station::Section { said, .. } => said.iter().map(|it| of(it)).fold(20.0, f64::max),
        Station::Pump(label) | Station::Turbine(label) => of(label).max(2.0 * PUMP),
        Station::Loss(label) => of(label).max(24.0),
    }
}

/// Side by side, each at its height.
fn spots(stations: &[Station]) -> Vec<Spot<'_>> {
    let heights = heights(stations);
    let mut right = 0.0;
    let mut spots = Vec::new();
    for (number, (station, height)) in stations.iter().zip(heights).enumerate() {
        let half = width(station) / 2.0;
        let is_raised = spots
            .last()
            .is_some_and(|it: &Spot| (it.at.y + height).abs() > 1.0);
        if number > 0 {
            // The pipe needs room to rise.
            right += APART + if is_raised { 26.0 } else { 0.0 };
        }
        spots.push(Spot {
            station,
            at: Point::new(right + half, -height),
        });
        right += 2.0 * half;
    }
    spots
}

/// How high the pipe is at each station: at three heights by the order of levels; what has none
/// is as high as what is before it, and behind the first machine or loss it rises.
fn heights(stations: &[Station]) -> Vec<f64> {
    let known = |station: &Station| match station {
        Station::Surface { level, .. } | Station::Section { level, .. } => {
            Some(level.height).filter(|it| it.is_finite())
        }
        Station::Pump(_) | Station::Turbine(_) | Station::Loss(_) => None,
    };
    let mut sorted: Vec<f64> = stations.iter().filter_map(known).collect();
    sorted.sort_by(f64::total_cmp);
    sorted.dedup();
    let most = sorted.len().saturating_sub(1).max(1) as f64;
    let step = |height: f64| {
        let rank = sorted.iter().position(|it| *it == height).unwrap_or(0) as f64;
        LOWEST + STEP * (2.0 * rank / most).round()
    };
    let own = |station: &Station| {
        let height = step(known(station)?);
        Some(match station {
            // The pipe is below the surface.
            Station::Surface { .. } => height - BELOW,
            _ => height,
        })
    };
    let mut found: Vec<Option<f64>> = stations.iter().map(own).collect();
    let mut before = found.iter().flatten().next().copied().unwrap_or(LOWEST);
    for height in &mut found {
        before = height.unwrap_or(before);
        *height = Some(before);
    }
    found.into_iter().flatten().collect()
}

/// The pipe from spot to spot: level at each, and rising between them.
fn pipe(sheet: &mut Sheet, spots: &[Spot]) {
    let mut line: Vec<Point> = Vec::new();
    for pair in spots.windows(2) {
        let [from, to] = pair else { continue };
        let ends = [
            Point::new(from.at.x + width(from.station) / 2.0 + 6.0, from.at.y),
            Point::new(to.at.x - width(to.station) / 2.0 - 6.0, to.at.y),
        ];
        if line.is_empty() {
            line.push(from.at);
        }
        if (ends[0].y - ends[1].y).abs() > 0.5 {
            line.extend(ends);
        }
        line.push(to.at);
    }
    for (ink, wide) in [(Ink::Black, PIPE), (Ink::Paper, PIPE - 2.0 * OUTLINE.width)] {
        sheet.put(
            Layer::Body,
            Item::Lines(vec![line.clone()], Pen::new(ink, wide)),
        );
    }
    sheet.begin();
    for pair in line.windows(2) {
        if let Some(way) = Way::between(pair[0], pair[1]) {
            for side in [0.5, -0.5] {
                let edge = [0, 1].map(|end| way.left().from(pair[end], side * PIPE));
                sheet.keep_off(&edge);
            }
        }
    }
}

/// A pond that the pipe ends in: walls with their ground, and the surface.
fn pond(sheet: &mut Sheet, at: Point) {
    let surface = at.y - BELOW;
    let (left, right) = (at.x - POND / 2.0, at.x + POND / 2.0);
    let (top, bottom) = (surface - RIM, surface + DEEP);
    sheet.begin();
    // The walls are open where the pipe passes.
    let open = PIPE / 2.0;
    for x in [left, right] {
        let parts = [[top, at.y - open], [at.y + open, bottom]];
        let lines = parts.map(|ends| ends.map(|y| Point::new(x, y)).to_vec());
        sheet.lines(Layer::Thin, lines.to_vec(), OUTLINE);
    }
    let floor = [Point::new(left, bottom), Point::new(right, bottom)];
    sheet.line(Layer::Thin, &floor, OUTLINE);
    sheet.hatch(floor[0], floor[1]);
    sheet.hatch(Point::new(left, top), Point::new(left, bottom));
    sheet.hatch(Point::new(right, bottom), Point::new(right, top));
    sheet.begin();
    sheet.line(
        Layer::Body,
        &[Point::new(left, surface), Point::new(right, surface)],
        LOAD,
    );
    water::mark(sheet, Point::new(at.x - 16.0, surface));
}

/// A pump, with a triangle along the stream; a turbine against it.
fn machine(sheet: &mut Sheet, label: &[Run], at: Point, is_pump: bool) {
    sheet.begin();
    sheet.circle(Layer::Body, at, PUMP, Ink::Paper, OUTLINE);
    let way = if is_pump { Way::RIGHT } else { Way::LEFT };
    let tip = way.from(at, PUMP);
    // Three corners of the circle.
    let base = [1.0, -1.0].map(|side| {
        way.left()
            .from(way.from(at, -PUMP / 2.0), side * 0.866 * PUMP)
    });
    sheet.lines(Layer::Body, vec![vec![tip, base[0], base[1], tip]], LOAD);
    sheet.label(Label::around(label, at, Way::UP, PUMP + 3.0));
}

/// What levels count from.
fn datum(sheet: &mut Sheet, spots: &[Spot]) -> Option<f64> {
    if spots.iter().all(|it| level(it.station).is_none()) {
        return None;
    }
    let extent = sheet.extent();
    let y = extent.bottom.max(0.0);
    sheet.begin();
    let ends = [
        Point::new(extent.left - 30.0, y),
        Point::new(extent.right + 30.0, y),
    ];
    sheet.line(Layer::Thin, &ends, REFERENCE);
    Some(y)
}

/// A level as a dimension from the datum.
fn height(sheet: &mut Sheet, level: &Height, (x, top, datum): (f64, f64, Option<f64>)) {
    let Some(datum) = datum.filter(|_| !level.label.is_empty()) else {
        return;
    };
    sheet.begin();
    let ends = [Point::new(x, top), Point::new(x, datum)];
    let side = if x > 0.0 { -14.0 } else { 14.0 };
    sheet.line(
        Layer::Thin,
        &[Point::new(x + side, top), Point::new(x - side / 4.0, top)],
        THIN,
    );
    dimension::line(sheet, &level.label, ends);
}

/// What presses on a surface.
fn pressed(sheet: &mut Sheet, pressure: &[Run], at: Point) {
    let y = at.y - BELOW;
    sheet.begin();
    let ends = [at.x - POND / 2.0 + 8.0, at.x + POND / 2.0 - 8.0].map(|x| Point::new(x, y));
    sheet.label(Label::beside(pressure, (ends[0], ends[1]), Way::UP));
}

/// A section of the pipe: a line across it, its number, and what is said of it.
fn section(
    sheet: &mut Sheet,
    (name, level, said): (&str, &Height, &[Vec<Run>]),
    at: Point,
    datum: Option<f64>,
) {
    sheet.begin();
    let across = [-1.0, 1.0].map(|side| Point::new(at.x, at.y + side * (PIPE / 2.0 + 6.0)));
    sheet.line(Layer::Top, &across, super::pens::BOUNDARY);
    for label in said {
        sheet.label(Label::around(label, at, Way::DOWN, PIPE / 2.0 + 8.0));
    }
    height(sheet, level, (at.x + 26.0, at.y, datum));
    circle(sheet, name, at, move |radius| {
        [8.0, 14.0, 22.0]
            .map(|by| Point::new(at.x, at.y - PIPE / 2.0 - radius - by))
            .to_vec()
    });
}
