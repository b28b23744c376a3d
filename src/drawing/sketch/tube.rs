//! A fluid at rest: columns in a bent tube, from one end to the other.
//!
//! Where columns change from going down to going up, and the other way, the tube is a U; the
//! surface between two fluids lies where their columns meet, and the U is filled with what lies
//! there by its weight.

use super::beside::Label;
use super::pens::{LOAD, OUTLINE, REFERENCE, THIN};
use super::plan::Lengths;
use super::sheet::{Layer, Sheet};
use super::way::{self, Way};
use super::{Column, ColumnWay, Direction, Mark, Note, Towards, Tube, TubeEnd, angle, dimension};
use crate::drawing::ink::{Ink, Item, Point};
use crate::typeset::Run;

/// Half of the width of a tube.
const HALF: f64 = 8.0;

/// The radius of a U, and how far its limbs go on beyond the level where columns meet.
const RADIUS: f64 = 38.0;
const BEYOND: f64 = 26.0;

/// How long the longest column is, and how short one beside a vessel may be.
const LONGEST: f64 = 190.0;
const SHORTEST: f64 = 40.0;

/// How far a tube goes on over an open surface.
const OPEN: f64 = 36.0;

/// The radius of the vessel at an end.
const VESSEL: f64 = 16.0;

/// How far from the tube heights are told.
const OFF: f64 = HALF + 24.0;

/// The triangle on a surface: how high, and half as wide.
const TRIANGLE: (f64, f64) = (8.0, 4.5);

/// A piece of the tube with one fluid in it; nothing above an open surface.
#[derive(Debug, Clone, PartialEq)]
struct Stretch {
    points: Vec<Point>,
    /// The number of the column whose fluid it is.
    fluid: Option<usize>,
}

/// The tube on the page.
#[derive(Debug)]
struct Bent {
    stretches: Vec<Stretch>,
    /// Where each column begins and ends.
    columns: Vec<[Point; 2]>,
    /// Where columns of two fluids meet, and the other limb there.
    levels: Vec<[Point; 2]>,
    /// Where each end of the fluid is, and where the tube goes on there.
    ends: [(Point, Way); 2],
}

/// Draws a tube with its ends; so many times as large as usual.
pub(super) fn draw(tube: &Tube, size: f64, sheet: &mut Sheet) -> Vec<Note> {
    let (lengths, is_to_scale) = lengths(tube, size);
    let bent = Bent::new(tube, &lengths);
    sheet.begin();
    fluids(sheet, tube, &bent);
    walls(sheet, &bent);
    for (end, (at, out)) in tube.ends.iter().zip(&bent.ends) {
        self::end(sheet, end, *at, *out);
    }
    for [from, to] in &bent.levels {
        level(sheet, *from, *to);
    }
    heights(sheet, tube, &bent);
    names(sheet, tube, &bent);
    match is_to_scale {
        true => Vec::new(),
        false => vec![Note::NotToScale],
    }
}

/// How long the columns are drawn, and whether they are in proportion.
fn lengths(tube: &Tube, size: f64) -> (Vec<f64>, bool) {
    let known = |it: &Column| {
        if it.length.is_finite() {
            it.length.abs()
        } else {
            1.0
        }
    };
    let all: Vec<f64> = tube.columns.iter().map(known).collect();
    let lengths = Lengths::new(&all);
    let mut is_to_scale = lengths.is_to_scale();
    let last = all.len().saturating_sub(1);
    let drawn = all.iter().enumerate().map(|(at, length)| {
        let own = lengths.drawn(*length) * LONGEST * size;
        let ends = [(0, &tube.ends[0]), (last, &tube.ends[1])];
        let has_vessel = ends
            .iter()
            .any(|(it, end)| *it == at && end.pressure.is_some());
        let least = if has_vessel { SHORTEST } else { 12.0 };
        is_to_scale &= own >= least;
        own.max(least)
    });
    let drawn = drawn.collect();
    (drawn, is_to_scale)
}

fn way_of(way: &ColumnWay) -> Way {
    match way {
        ColumnWay::Down => Way::DOWN,
        ColumnWay::Up => Way::UP,
        ColumnWay::Along(Direction { towards, .. }) => match towards {
            Towards::Angle(angle) => Way::at(*angle),
            // A tube has no places.
            Towards::Place(_) | Towards::AwayFrom(_) => Way::RIGHT,
        },
    }
}

fn goes_down(way: Way) -> bool {
    way.y > 0.02
}

fn goes_up(way: Way) -> bool {
    way.y < -0.02
}

impl Bent {
    fn new(tube: &Tube, lengths: &[f64]) -> Self {
        let mut bent = Self {
            stretches: Vec::new(),
            columns: Vec::new(),
            levels: Vec::new(),
            ends: [(Point::new(0.0, 0.0), Way::UP); 2],
        };
        let ways: Vec<Way> = tube.columns.iter().map(|it| way_of(&it.way)).collect();
        let (Some(first), Some(last)) = (ways.first().copied(), ways.last().copied()) else {
            return bent;
        };
        let mut at = Point::new(0.0, 0.0);
        bent.ends[0] = (at, first.back());
        if tube.ends[0].pressure.is_none() {
            at = bent.open_first(at, first);
        }
        for (number, way) in ways.iter().enumerate() {
            if let Some(before) = number.checked_sub(1) {
                at = bent.turn(tube, at, (before, ways[before]), (number, *way));
            }
            let to = way.from(at, lengths.get(number).copied().unwrap_or(SHORTEST));
            bent.stretches.push(Stretch {
                points: vec![at, to],
                fluid: Some(number),
            });
            bent.columns.push([at, to]);
            at = to;
        }
        bent.ends[1] = (at, last);
        if tube.ends[1].pressure.is_none() {
            bent.open_last(at, last, ways.len() - 1);
        }
        bent.end_at_vessels(tube);
        bent
    }

    /// A tube ends where a vessel begins.
    fn end_at_vessels(&mut self, tube: &Tube) {
        let inward = |points: &mut [Point], (end, next): (usize, usize)| {
            if let Some(way) = Way::between(points[end], points[next]) {
                points[end] = way.from(points[end], VESSEL - 1.0);
            }
        };
        if let (Some(_), Some(first)) = (&tube.ends[0].pressure, self.stretches.first_mut()) {
            inward(&mut first.points, (0, 1));
        }
        if let (Some(_), Some(last)) = (&tube.ends[1].pressure, self.stretches.last_mut()) {
            let end = last.points.len() - 1;
            inward(&mut last.points, (end, end - 1));
        }
    }

    /// An open end where the fluid begins: air over a surface, which lies in a limb of its own
    /// where the column goes up from it.
    fn open_first(&mut self, at: Point, way: Way) -> Point {
        let air = |surface: Point| Stretch {
            points: vec![Way::UP.from(surface, OPEN), surface],
            fluid: None,
        };
        self.ends[0] = (at, Way::UP);
        if goes_down(way) {
            self.stretches.push(air(at));
            return at;
        }
        if !goes_up(way) {
            self.ends[0] = (at, way.back());
            return at;
        }
        self.stretches.push(air(at));
        let side = if way.x < 0.0 { -1.0 } else { 1.0 };
        let (points, over) = around(at, Way::DOWN, side);
        self.stretches.push(Stretch {
            points,
            fluid: Some(0),
        });
        over
    }

    fn open_last(&mut self, at: Point, way: Way, fluid: usize) {
        let air = |surface: Point| Stretch {
            points: vec![surface, Way::UP.from(surface, OPEN)],
            fluid: None,
        };
        self.ends[1] = (at, Way::UP);
        if goes_up(way) {
            let mut air = air(at);
            // An oblique tube goes on as it does.
            air.points[1] = way.from(at, OPEN);
            self.stretches.push(air);
            self.ends[1] = (at, way);
        } else if goes_down(way) {
            let side = if way.x < 0.0 { -1.0 } else { 1.0 };
            let (points, over) = around(at, Way::DOWN, side);
            self.stretches.push(Stretch {
                points,
                fluid: Some(fluid),
            });
            self.stretches.push(air(over));
            self.ends[1] = (over, Way::UP);
        } else {
            self.ends[1] = (at, way);
        }
    }

    /// A U between columns, where there is one.
    fn turn(
        &mut self,
        tube: &Tube,
        at: Point,
        (before, from): (usize, Way),
        (next, to): (usize, Way),
    ) -> Point {
        let is_low = goes_down(from) && goes_up(to);
        let is_high = goes_up(from) && goes_down(to);
        if !is_low && !is_high {
            return at;
        }
        let beyond = if is_low { Way::DOWN } else { Way::UP };
        let side = if to.x < -0.02 { -1.0 } else { 1.0 };
        let (points, over) = around(at, beyond, side);
        let density = |at: usize| tube.columns[at].density;
        // Of what is not known, the second.
        let is_before = match is_low {
            true => density(before) > density(next),
            false => density(before) < density(next),
        };
        let fluid = if is_before { before } else { next };
        self.stretches.push(Stretch {
            points,
            fluid: Some(fluid),
        });
        if tube.columns[before].fluid != tube.columns[next].fluid {
            self.levels.push([at, over]);
        }
        over
    }

    /// All of its middle line.
    fn line(&self) -> Vec<Point> {
        joined(self.stretches.iter())
    }
}

/// The middle line of stretches that follow each other.
fn joined<'a>(stretches: impl Iterator<Item = &'a Stretch>) -> Vec<Point> {
    let mut line: Vec<Point> = Vec::new();
    for point in stretches.flat_map(|it| &it.points) {
        if line
            .last()
            .is_none_or(|last| way::distance(*last, *point) > 1e-6)
        {
            line.push(*point);
        }
    }
    line
}

/// A U from a place to the place beside it, and that place.
fn around(at: Point, beyond: Way, side: f64) -> (Vec<Point>, Point) {
    let over = Point::new(at.x + side * 2.0 * RADIUS, at.y);
    let deep = beyond.from(at, BEYOND);
    let middle = Point::new(at.x + side * RADIUS, deep.y);
    let start = if side > 0.0 {
        std::f64::consts::PI
    } else {
        0.0
    };
    // Through the bottom of a low one, through the top of a high one.
    let turns = if beyond.y > 0.0 { side } else { -side };
    let arc = way::arc(middle, RADIUS, start, start + turns * std::f64::consts::PI);
    let mut points = vec![at];
    points.extend(arc);
    points.push(over);
    (points, over)
}

/// Both sides of a line, so far off its middle.
fn sides(line: &[Point], off: f64) -> [Vec<Point>; 2] {
    let ways: Vec<Way> = (line.windows(2))
        .map(|pair| Way::between(pair[0], pair[1]).unwrap_or(Way::UP))
        .collect();
    let side = |sign: f64| {
        let corner = |(at, point): (usize, &Point)| {
            let next = ways.get(at).or(ways.last()).copied().unwrap_or(Way::UP);
            let before = match at {
                0 => next,
                at => ways[at - 1],
            };
            let (one, two) = (before.left(), next.left());
            let both = Way {
                x: one.x + two.x,
                y: one.y + two.y,
            };
            // Where the sides of both pieces meet; not far off, however sharp the corner.
            let over = (both.dot(one)).max(0.5);
            Point::new(
                point.x + sign * off * both.x / over,
                point.y + sign * off * both.y / over,
            )
        };
        line.iter().enumerate().map(corner).collect()
    };
    [side(1.0), side(-1.0)]
}

/// The denser fluid is tinted, and a line is where two meet.
fn fluids(sheet: &mut Sheet, tube: &Tube, bent: &Bent) {
    let tinted = densest(tube);
    let is_tinted = |stretch: &Stretch| {
        let column = stretch.fluid.and_then(|it| tube.columns.get(it));
        column.is_some_and(|it| Some(it.fluid) == tinted)
    };
    for run in bent
        .stretches
        .chunk_by(|one, two| is_tinted(one) == is_tinted(two))
    {
        if run.first().is_some_and(is_tinted) {
            let [mut left, right] = sides(&joined(run.iter()), HALF - 0.7);
            left.extend(right.into_iter().rev());
            sheet.put(Layer::Thin, Item::Outline(left, Ink::Band, None));
        }
    }
    let fluid = |it: &Stretch| Some(tube.columns.get(it.fluid?)?.fluid);
    for pair in bent.stretches.windows(2) {
        if fluid(&pair[0]) != fluid(&pair[1]) {
            surface(sheet, &pair[0], &pair[1]);
        }
    }
}

/// The fluid with the greatest density.
fn densest(tube: &Tube) -> Option<usize> {
    let all = tube.columns.iter().filter(|it| it.density.is_finite());
    let found = all.max_by(|one, two| one.density.total_cmp(&two.density));
    found.map(|it| it.fluid)
}

/// The surface between two stretches; a triangle stands on one under air.
fn surface(sheet: &mut Sheet, one: &Stretch, two: &Stretch) {
    let (Some(at), Some(before)) = (two.points.first(), one.points.iter().rev().nth(1)) else {
        return;
    };
    let along = Way::between(*before, *at).unwrap_or(Way::DOWN);
    let across = [HALF, -HALF].map(|by| along.left().from(*at, by));
    sheet.line(Layer::Body, &across, LOAD);
    if one.fluid.is_some() && two.fluid.is_some() {
        return;
    }
    let (high, half) = TRIANGLE;
    let foot = Point::new(at.x, at.y - 0.6);
    let corners = [half, -half].map(|side| Point::new(at.x + side, foot.y - high));
    let outline = vec![foot, corners[0], corners[1]];
    sheet.outline(Layer::Body, outline, Ink::Paper, Some(LOAD));
    let lines = [(4.5, 3.0), (2.5, 5.6)].map(|(half, down)| {
        [-half, half]
            .map(|side| Point::new(at.x + side, at.y + down))
            .to_vec()
    });
    sheet.lines(Layer::Body, lines.to_vec(), THIN);
}

fn walls(sheet: &mut Sheet, bent: &Bent) {
    let line = bent.line();
    if line.len() > 1 {
        sheet.lines(Layer::Body, sides(&line, HALF).to_vec(), OUTLINE);
    }
}

/// A vessel under a pressure, or an open mouth.
fn end(sheet: &mut Sheet, end: &TubeEnd, at: Point, out: Way) {
    sheet.begin();
    match &end.pressure {
        Some(pressure) => {
            sheet.circle(Layer::Top, at, VESSEL, Ink::Paper, OUTLINE);
            sheet.label(Label::within(&end.label, at, VESSEL));
            let first = if at.x <= 0.0 { Way::LEFT } else { Way::RIGHT };
            sheet.label(Label::around(pressure, at, first, VESSEL));
        }
        None => {
            let mouth = out.from(at, OPEN);
            let mut words = end.label.clone();
            words.push(Run::words(", open"));
            sheet.label(Label::around(&words, mouth, out, 2.0));
        }
    }
}

/// The level at which columns of two fluids meet, from limb to limb.
fn level(sheet: &mut Sheet, from: Point, to: Point) {
    let (left, right) = (from.x.min(to.x), from.x.max(to.x));
    let ends = [left + HALF + 2.0, right - HALF - 2.0].map(|x| Point::new(x, from.y));
    sheet.begin();
    sheet.line(Layer::Thin, &ends, REFERENCE);
}

/// The height or the length of each column.
fn heights(sheet: &mut Sheet, tube: &Tube, bent: &Bent) {
    let first_limb = bent.columns.first().map_or(0.0, |[from, _]| from.x);
    for (column, [from, to]) in tube.columns.iter().zip(&bent.columns) {
        sheet.begin();
        match &column.way {
            ColumnWay::Down | ColumnWay::Up => {
                let is_first = (from.x - first_limb).abs() < 1.0;
                let side = if is_first { -1.0 } else { 1.0 };
                let x = from.x + side * OFF;
                for end in [from, to] {
                    let ends = [from.x + side * (HALF + 4.0), x + side * 3.0];
                    let ends = ends.map(|x| Point::new(x, end.y));
                    if !sheet.is_on_line(ends[0], ends[1]) {
                        sheet.line(Layer::Thin, &ends, THIN);
                    }
                }
                let ends = [Point::new(x, from.y), Point::new(x, to.y)];
                dimension::line(sheet, &column.label, ends);
            }
            ColumnWay::Along(direction) => {
                oblique(sheet, &column.label, [*from, *to]);
                if let Mark::Angle { .. } | Mark::Slope { .. } = direction.mark {
                    angle::draw(sheet, &direction.mark, *from, *to, way_of(&column.way));
                }
            }
        }
    }
}

/// A length beside an oblique tube, on its upper side.
fn oblique(sheet: &mut Sheet, label: &[Run], [from, to]: [Point; 2]) {
    let Some(along) = Way::between(from, to) else {
        return;
    };
    let left = along.left();
    let out = if left.y > 0.0 { left.back() } else { left };
    for end in [from, to] {
        let ends = [out.from(end, HALF + 4.0), out.from(end, OFF + 3.0)];
        sheet.line(Layer::Thin, &ends, THIN);
    }
    dimension::line(sheet, label, [from, to].map(|end| out.from(end, OFF)));
}

/// What each fluid is called, beside the longest column of it in a row.
fn names(sheet: &mut Sheet, tube: &Tube, bent: &Bent) {
    let numbered: Vec<usize> = (0..tube.columns.len()).collect();
    let first_limb = bent.columns.first().map_or(0.0, |[from, _]| from.x);
    for run in numbered.chunk_by(|one, two| tube.columns[*one].fluid == tube.columns[*two].fluid) {
        let long = |at: &&usize| way::distance(bent.columns[**at][0], bent.columns[**at][1]);
        let longest = run
            .iter()
            .max_by(|one, two| long(one).total_cmp(&long(two)));
        let Some(at) = longest else { continue };
        let [from, to] = bent.columns[*at];
        let wall = |out: Way| (out.from(from, HALF), out.from(to, HALF));
        let along = Way::between(from, to).unwrap_or(Way::UP);
        let right = if along.left().x > 0.0 {
            along.left()
        } else {
            along.left().back()
        };
        let out = match along.is_upright() {
            true if (from.x - first_limb).abs() < 1.0 => Way::RIGHT,
            true => Way::LEFT,
            // Below an oblique one: its length stands above.
            false if right.y > 0.0 => right,
            false => right.back(),
        };
        sheet.begin();
        sheet.label(Label::beside(&tube.columns[*at].name, wall(out), out));
    }
}
