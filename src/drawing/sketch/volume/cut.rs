//! What passes a cut: its pressure outside of it, its speed, its angle, and its number.

use std::f64::consts::TAU;

use super::super::arrows;
use super::super::beside::Label;
use super::super::load::Row;
use super::super::pens::{LOAD, NUMBER, REFERENCE, SPEED, THIN};
use super::super::sheet::{Layer, Sheet};
use super::super::way::Way;
use super::super::{Cut, Flow, Mark, Size, angle, turn};
use super::Passage;
use crate::drawing::ink::{Anchor, Area, Ink, Point, Words};
use crate::drawing::letters;
use crate::typeset::Run;

/// How long the arrow of a speed is, and how far it is off its cut inside and outside.
const SPEED_LONG: f64 = 40.0;
const INSIDE: f64 = 9.0;
const OUTSIDE: f64 = 5.0;

/// How long the arrows of a pressure are, how far apart, and how far off the cut they end.
const PRESSURE: f64 = 25.0;
const APART: f64 = 11.0;
const GAP: f64 = 2.5;

/// How long the greatest arrow of a pressure on a depth is, for one so deep.
const DEEP: f64 = 0.4;

/// How far an angle is beyond what stands there, and how long its arm is.
const BEYOND: f64 = 15.0;
const ARM: f64 = 46.0;

/// The least radius of the circle of a number.
const CIRCLE: f64 = 7.5;

pub(super) fn draw(sheet: &mut Sheet, cut: &Cut, passage: &Passage) {
    let direction = match &cut.flow {
        Flow::Along(direction) => direction,
        Flow::Square { is_toward_reader } => {
            square(sheet, cut, passage, *is_toward_reader);
            return;
        }
    };
    let off = pressure(sheet, cut, passage);
    let arm = speed(sheet, cut, passage, off);
    if direction.mark != Mark::Nothing {
        let (apex, far) = arm.unwrap_or_else(|| axis(sheet, passage, off));
        angle::draw(sheet, &direction.mark, apex, far, passage.way);
    }
}

/// A stream square to the page: a ring.
fn square(sheet: &mut Sheet, cut: &Cut, passage: &Passage, is_toward_reader: bool) {
    // A place of its own is where it is; a side of a box leaves room beside it.
    let at = match cut.at {
        Some(_) => passage.at,
        None => turn::free(sheet, passage.at),
    };
    sheet.begin();
    turn::ring(sheet, at, is_toward_reader != cut.is_turned);
    for label in &cut.stream {
        sheet.label(Label::around(label, at, Way::at(0.8), 9.0));
    }
}

/// A row of arrows on the cut; how far out it reaches.
fn pressure(sheet: &mut Sheet, cut: &Cut, passage: &Passage) -> f64 {
    let Passage { at, out, half, .. } = *passage;
    let ends = [1.0, -1.0].map(|side| out.left().from(at, side * half));
    let (heights, feet) = match &cut.size {
        Size::Depth { .. } => {
            // From nothing at the surface to its greatest at the bed.
            let (surface, bed) = if ends[0].y < ends[1].y {
                (ends[0], ends[1])
            } else {
                (ends[1], ends[0])
            };
            ([0.0, (2.0 * half * DEEP).clamp(14.0, 46.0)], [surface, bed])
        }
        Size::Area(_) if cut.pressure.is_empty() => return 0.0,
        Size::Area(_) => ([PRESSURE; 2], ends),
    };
    let row = Row {
        feet: feet.map(|foot| out.from(foot, GAP)),
        way: out.back(),
        heights,
        is_turned: cut.pulls,
    };
    sheet.begin();
    row.draw_apart(sheet, &[], APART);
    let tops = row.tops();
    let label = match cut.size {
        Size::Depth { .. } => Label::around(&cut.pressure, tops[1], Way::DOWN, 9.0),
        Size::Area(_) => Label::beside(&cut.pressure, (tops[0], tops[1]), out),
    };
    sheet.label(label);
    GAP + heights[0].max(heights[1])
}

/// The arrow of the stream; outside it is the arm of its angle too.
fn speed(sheet: &mut Sheet, cut: &Cut, passage: &Passage, off: f64) -> Option<(Point, Point)> {
    let Passage {
        at,
        way,
        out,
        inside,
        ..
    } = *passage;
    let has_pressure = off > 0.0;
    let wanted = cut.length.map(arrows::millimetres);
    // One that is longer than its room is outside.
    let has_room = wanted.is_none_or(|long| long <= inside - INSIDE);
    let is_inside = inside > 0.0 && has_room && (has_pressure || !cut.is_open);
    let comes_in = cut.is_inlet != cut.is_turned;
    sheet.begin();
    if is_inside {
        let long = wanted.unwrap_or(SPEED_LONG.min(inside - INSIDE));
        let (near, far) = (-INSIDE, -INSIDE - long);
        let ends = [near, far].map(|by| out.from(at, by));
        let (tail, tip) = if comes_in {
            (ends[0], ends[1])
        } else {
            (ends[1], ends[0])
        };
        arrow(sheet, tail, tip);
        for label in &cut.stream {
            sheet.label(Label::arrow(label, (ends[0], ends[1])));
        }
        return None;
    }
    // Along its own way, which need not be square to the side of a box.
    let away = if cut.is_inlet { way.back() } else { way };
    let near = away.from(at, off + OUTSIDE);
    let far = away.from(near, wanted.unwrap_or(SPEED_LONG));
    let (tail, tip) = if comes_in { (far, near) } else { (near, far) };
    arrow(sheet, tail, tip);
    for (number, label) in cut.stream.iter().enumerate() {
        sheet.label(Label::stream(label, (near, far), number == 0));
    }
    Some((near, far))
}

fn arrow(sheet: &mut Sheet, tail: Point, tip: Point) {
    sheet.line(Layer::Top, &[tail, tip], SPEED);
    if let Some(way) = Way::between(tail, tip) {
        turn::open_head(sheet, tip, way);
    }
}

/// The line of the stream beyond its cut.
fn axis(sheet: &mut Sheet, passage: &Passage, off: f64) -> (Point, Point) {
    let apex = passage.out.from(passage.at, off + BEYOND);
    let far = passage.out.from(apex, ARM);
    sheet.begin();
    let near = passage.out.from(passage.at, off + 3.0);
    sheet.line(Layer::Thin, &[near, far], REFERENCE);
    (apex, far)
}

/// The number in its circle, at the upper end of the cut, or where there is room.
pub(super) fn number(sheet: &mut Sheet, cut: &Cut, passage: &Passage) {
    circle(sheet, &cut.name, passage.at, spots(passage));
}

/// Places for a number, each with its way off the cut; the first are liked more.
fn spots(passage: &Passage) -> impl Fn(f64) -> Vec<Point> + use<> {
    let Passage {
        at,
        out,
        reach,
        is_in_side,
        ..
    } = *passage;
    let across = match out.left() {
        way if way.is_level() => {
            if way.x > 0.0 {
                way
            } else {
                way.back()
            }
        }
        way if way.y < 0.0 => way,
        way => way.back(),
    };
    move |radius: f64| {
        let aside = if is_in_side { radius + 3.5 } else { 0.0 };
        let near = [0.0, 4.0, 9.0, 15.0, 22.0, 31.0, 42.0];
        let sides = [across, across.back()];
        let along = [aside, aside + 9.0, -9.0 - aside, aside + 20.0, aside + 32.0];
        let spot = |side: Way, by: f64, along: f64| {
            out.from(side.from(at, reach + radius + 3.0 + by), along)
        };
        let mut found = Vec::new();
        for by in near {
            for along in along {
                found.extend(sides.map(|side| spot(side, by, along)));
            }
        }
        found
    }
}

/// A thin circle with some letters in it, at the first of its spots that is free; with none, near
/// the point that it names, with a leader to that.
pub(in super::super) fn circle(
    sheet: &mut Sheet,
    name: &str,
    named: Point,
    spots: impl Fn(f64) -> Vec<Point>,
) {
    if name.is_empty() {
        return;
    }
    let runs = vec![Run::words(name)];
    let width = letters::width(&runs, NUMBER);
    let height = (letters::ASCENT + letters::DESCENT) * NUMBER;
    let radius = CIRCLE.max((width / 2.0).hypot(height / 2.0) + 1.4);
    let is_free = |at: &Point| {
        let area = Area {
            left: at.x,
            top: at.y,
            right: at.x,
            bottom: at.y,
        };
        sheet.is_free(&area.wider(radius + 1.5))
    };
    let around = (2..14).flat_map(|ring| {
        let way = |turn: u8| Way::at(f64::from(turn) * TAU / 16.0);
        (0..16).map(move |turn| way(turn).from(named, 16.0 * f64::from(ring)))
    });
    let spots = spots(radius);
    let near = spots.iter().copied().find(&is_free);
    let far = || around.clone().find(&is_free).or(spots.first().copied());
    let Some(at) = near.or_else(far) else {
        return;
    };
    sheet.begin();
    if near.is_none()
        && let Some(way) = Way::between(at, named)
    {
        sheet.line(Layer::Thin, &[way.from(at, radius), named], THIN);
    }
    sheet.circle(Layer::Top, at, radius, Ink::Paper, LOAD);
    let base = at.y - height / 2.0 + letters::ASCENT * NUMBER;
    sheet.words(Words {
        at: Point::new(at.x, base),
        anchor: Anchor::Middle,
        runs,
        size: NUMBER,
        ink: Ink::Black,
        has_rim: false,
    });
}
