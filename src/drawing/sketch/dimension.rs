//! Dimensions after ISO 129-1: rows below, columns at the right, others beside their leg.

use super::beside::Label;
use super::pens::{DIMENSION_HEAD, THIN};
use super::plan::Plan;
use super::sheet::{Layer, Sheet};
use super::way::{self, Way};
use super::{Body, Position};
use crate::drawing::ink::Point;
use crate::drawing::letters;
use crate::typeset::Run;

/// How far the first row is off the figure, and how far rows are apart.
const FIRST: f64 = 20.0;
const ROW: f64 = 24.0;

/// How far an extension line goes beyond its row.
const BEYOND: f64 = 3.0;

/// What it leaves free behind what stands there.
const GAP: f64 = 5.0;

/// Shorter ones have their heads outside.
const SHORT: f64 = 2.6 * DIMENSION_HEAD.0;

/// One that is to be drawn.
#[derive(Debug, Clone, PartialEq)]
struct Asked<'b> {
    from: Point,
    to: Point,
    label: &'b [Run],
}

impl Asked<'_> {
    fn length(&self) -> f64 {
        way::distance(self.from, self.to)
    }

    fn way(&self) -> Way {
        Way::between(self.from, self.to).unwrap_or(Way::RIGHT)
    }
}

/// Draws all dimensions of a body.
pub(super) fn draw(sheet: &mut Sheet, plan: &Plan, body: &Body) {
    let asked = asked(plan, body);
    let is_level = |it: &&Asked| it.way().is_level();
    let is_upright = |it: &&Asked| it.way().is_upright();
    let oblique = asked.iter().filter(|it| !is_level(it) && !is_upright(it));
    let mut oblique: Vec<&Asked> = oblique.collect();
    oblique.sort_by(|one, other| one.length().total_cmp(&other.length()));
    for one in oblique {
        self::oblique(sheet, one);
    }
    let level: Vec<&Asked> = asked.iter().filter(is_level).collect();
    let low = sheet.extent().bottom + FIRST;
    for (row, all) in rows(level, |at| at.x).into_iter().enumerate() {
        let y = low + ROW * row as f64;
        for one in all {
            sheet.begin();
            self::level(sheet, one.label, y, [one.from, one.to]);
        }
    }
    let uprights: Vec<&Asked> = asked.iter().filter(is_upright).collect();
    let (mut right, mut columns) = (sheet.extent().right, Vec::new());
    for all in rows(uprights, |at| at.y) {
        // Letters stand level, before their line.
        let widths = all
            .iter()
            .map(|it| letters::width(it.label, super::pens::SYMBOL));
        right += ROW.max(widths.fold(0.0, f64::max) + 10.0);
        columns.extend(all.into_iter().map(|it| (it, right)));
    }
    for (one, x) in columns {
        sheet.begin();
        upright(sheet, one.label, x, [one.from, one.to], [true, true]);
    }
}

/// The legs of places and what the author asks for; the same is said once.
fn asked<'b>(plan: &Plan, body: &'b Body) -> Vec<Asked<'b>> {
    let mut found: Vec<Asked> = Vec::new();
    let mut add = |from: Point, to: Point, label: &'b [Run]| {
        let one = Asked { from, to, label };
        let is_said = found.iter().any(|other| {
            let is_alike = (other.length() - one.length()).abs() < 0.5;
            let is_parallel = other.way().dot(one.way()).abs() > 0.999;
            other.label == label && is_alike && is_parallel
        });
        if !label.is_empty() && one.length() > 0.5 && !is_said {
            found.push(one);
        }
    };
    if body.has_dimensions {
        for place in &body.places {
            let Position::Legs(from, legs) = &place.position else {
                continue;
            };
            let mut at = plan.place(*from);
            for leg in legs {
                let way = plan.way(&leg.direction, at);
                let end = way.from(at, plan.length(leg.length));
                add(at, end, &leg.label);
                at = end;
            }
        }
    }
    for dimension in &body.dimensions {
        let ends = [dimension.from, dimension.to].map(|place| plan.place(place));
        add(ends[0], ends[1], &dimension.label);
    }
    found
}

/// The shortest first, and those side by side in one row that do not overlap.
fn rows<'a, 'b>(
    mut all: Vec<&'a Asked<'b>>,
    along: impl Fn(Point) -> f64,
) -> Vec<Vec<&'a Asked<'b>>> {
    all.sort_by(|one, other| one.length().total_cmp(&other.length()));
    let span = |it: &Asked| {
        let ends = [along(it.from), along(it.to)];
        (ends[0].min(ends[1]), ends[0].max(ends[1]))
    };
    let mut rows: Vec<Vec<&Asked>> = Vec::new();
    for one in all {
        let (from, to) = span(one);
        let is_free = |row: &Vec<&Asked>| {
            row.iter().all(|other| {
                let (first, last) = span(other);
                // Two short ones with their heads outside have no room at one end.
                let room = if one.length().min(other.length()) < 2.0 * SHORT {
                    SHORT
                } else {
                    -0.5
                };
                to + room <= first || from >= last + room
            })
        };
        // Not below one that is longer.
        match rows.last_mut().filter(|row| is_free(row)) {
            Some(row) => row.push(one),
            None => rows.push(vec![one]),
        }
    }
    rows
}

/// A level one at a height below its ends.
fn level(sheet: &mut Sheet, label: &[Run], y: f64, ends: [Point; 2]) {
    for end in ends {
        let start = sheet.lowest(end.x, y).max(end.y) + GAP;
        if start < y {
            sheet.line(
                Layer::Thin,
                &[Point::new(end.x, start), Point::new(end.x, y + BEYOND)],
                THIN,
            );
        }
    }
    line(sheet, label, ends.map(|end| Point::new(end.x, y)));
}

/// An upright one at a place beside its ends; which of them need an extension line.
pub(super) fn upright(
    sheet: &mut Sheet,
    label: &[Run],
    x: f64,
    ends: [Point; 2],
    has_extension: [bool; 2],
) {
    for (end, has_extension) in ends.into_iter().zip(has_extension) {
        let is_right = x > end.x;
        let start = match is_right {
            true => sheet.rightmost(end.y).clamp(end.x, x) + GAP,
            false => sheet.leftmost(end.y, x).min(end.x) - GAP,
        };
        let beyond = if is_right { x + BEYOND } else { x - BEYOND };
        let is_there = if is_right { start < x } else { start > x };
        if has_extension && is_there {
            sheet.line(
                Layer::Thin,
                &[Point::new(start, end.y), Point::new(beyond, end.y)],
                THIN,
            );
        }
    }
    line(sheet, label, ends.map(|end| Point::new(x, end.y)));
}

/// One that is parallel to its leg, on the side where it meets less.
fn oblique(sheet: &mut Sheet, asked: &Asked) {
    sheet.begin();
    let out = asked.way().left();
    let moved = |by: f64| [asked.from, asked.to].map(|end| out.from(end, by));
    let cost = |by: &f64| {
        let [from, to] = moved(*by);
        // Its letter stands on one side of it or the other.
        let beside = [-14.0, 14.0].map(|more| {
            let [from, to] = moved(by + more);
            sheet.clash(from, to)
        });
        2.0 * sheet.clash(from, to) + beside[0].min(beside[1]) + 0.1 * by.abs()
    };
    let tried = [26.0, -26.0, 50.0, -50.0, 74.0, -74.0, 98.0, -98.0];
    let by = tried
        .into_iter()
        .min_by(|one, other| cost(one).total_cmp(&cost(other)));
    let by = by.unwrap_or(26.0);
    for end in [asked.from, asked.to] {
        let start = out.from(end, (GAP + 5.0) * by.signum());
        sheet.line(
            Layer::Thin,
            &[start, out.from(end, by + BEYOND * by.signum())],
            THIN,
        );
    }
    line(sheet, asked.label, moved(by));
}

/// The line with its heads and its letter.
pub(super) fn line(sheet: &mut Sheet, label: &[Run], [from, to]: [Point; 2]) {
    let Some(way) = Way::between(from, to) else {
        return;
    };
    let is_short = way::distance(from, to) < SHORT;
    let outside = if is_short {
        2.0 * DIMENSION_HEAD.0
    } else {
        0.0
    };
    let ends = [way.from(from, -outside), way.from(to, outside)];
    sheet.line(Layer::Thin, &ends, THIN);
    let (at_from, at_to) = if is_short {
        (way, way.back())
    } else {
        (way.back(), way)
    };
    sheet.head(Layer::Thin, from, at_from, DIMENSION_HEAD);
    sheet.head(Layer::Thin, to, at_to, DIMENSION_HEAD);
    sheet.name(Label::above(label, (ends[0], ends[1])));
}
