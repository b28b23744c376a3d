//! A body with places: members, outlines and wheels, and all that acts on them.

use super::arrows::{self, Shaft, Stand};
use super::beside::Label;
use super::load::{self, Row};
use super::pens::{DOT, LOAD, OUTLINE, REFERENCE};
use super::plan::Plan;
use super::sheet::{Layer, Sheet};
use super::support::{self, Ground};
use super::way::{self, Way};
use super::{
    Acts, Body, Force, ForceKind, LevelMark, MemberKind, Note, Position, Sketch, Support,
    SupportKind, angle, diagram, dimension, ramp, turn, water,
};
use crate::drawing::ink::{Ink, Item, Pen, Point};

/// How far an arrow ends off the body.
const GAP: f64 = 2.5;

/// How far a force reaches above a load.
const ABOVE: f64 = 46.0;

/// How far over a load an arrow ends that is drawn to a scale.
const ON_LOAD: f64 = 8.0;

/// What it costs a rope that leaves a wheel to be drawn beside it: more than to begin along its rim,
/// and less than to lie on another.
const OFF_RIM: f64 = 25.0;

/// What it costs a force at an axle to be drawn beside it.
const OFF_AXLE: f64 = 10.0;

/// How far centre lines reach beyond a wheel.
const CENTRE: f64 = 9.0;

/// Within this angle of a support an arrow is along it, and within that of a member on it (the
/// cosines).
const ALONG: f64 = 0.9;
const ON: f64 = 0.97;

/// How far an arrow ends off a member that it meets at a small angle.
const FARTHEST: f64 = 24.0;

/// A body on the way.
struct Stage<'b> {
    body: &'b Body,
    plan: Plan,
    rows: Vec<Row>,
}

/// Draws a body so many times as large as usual.
pub(super) fn draw(sketch: &Sketch, body: &Body, size: f64, sheet: &mut Sheet) -> Vec<Note> {
    if body.places.is_empty() {
        ramp::draw(sketch, None, sheet);
        return Vec::new();
    }
    let mut stage = Stage {
        body,
        plan: Plan::new(body, size),
        rows: Vec::new(),
    };
    stage.outlines(sheet);
    stage.members(sheet);
    stage.wheels(sheet);
    let grounds = stage.supports(sheet);
    stage.loads(sketch, sheet);
    stage.reactions(&grounds, sheet);
    stage.forces(sketch, sheet);
    stage.turns(sketch, sheet);
    stage.names(sheet);
    if body.has_dimensions {
        stage.angles(sheet);
    }
    body.levels.iter().for_each(|it| stage.level(it, sheet));
    dimension::draw(sheet, &stage.plan, body);
    diagram::draw(sheet, &stage.plan, body);
    match stage.plan.is_to_scale() {
        true => Vec::new(),
        false => vec![Note::NotToScale],
    }
}

/// How thick a member is.
fn thickness(kind: MemberKind) -> f64 {
    match kind {
        MemberKind::Beam => 11.0,
        MemberKind::Bar => 8.0,
        MemberKind::Plate => 9.0,
        MemberKind::Rope => 0.0,
    }
}

impl Stage<'_> {
    fn outlines(&self, sheet: &mut Sheet) {
        for outline in &self.body.outlines {
            sheet.begin();
            let points = outline.iter().map(|it| self.plan.place(*it)).collect();
            sheet.outline(Layer::Body, points, Ink::Paper, Some(OUTLINE));
        }
    }

    /// Thick lines in ink, then thinner ones in paper over them, so that joints are one outline.
    fn members(&self, sheet: &mut Sheet) {
        let strokes = |ink: Ink, less: f64, sheet: &mut Sheet| {
            for member in &self.body.members {
                let thick = thickness(member.kind) - less;
                if thick <= 0.0 {
                    continue;
                }
                let ends = [member.from, member.to].map(|it| self.plan.place(it));
                sheet.put(
                    Layer::Body,
                    Item::Lines(vec![ends.to_vec()], Pen::new(ink, thick)),
                );
                for end in ends {
                    let round = Item::Circle(end, thick / 2.0 - 0.5, ink, Pen::new(ink, 1.0));
                    sheet.put(Layer::Body, round);
                }
            }
        };
        strokes(Ink::Black, 0.0, sheet);
        strokes(Ink::Paper, 2.0 * OUTLINE.width, sheet);
        for member in &self.body.members {
            sheet.begin();
            let (from, to) = (self.plan.place(member.from), self.plan.place(member.to));
            let half = thickness(member.kind) / 2.0;
            let Some(way) = Way::between(from, to) else {
                continue;
            };
            if half == 0.0 {
                sheet.line(Layer::Body, &[from, to], OUTLINE);
                continue;
            }
            let edge = |side: f64| [from, to].map(|end| way.left().from(end, side * half));
            sheet.keep_off(&edge(1.0));
            sheet.keep_off(&edge(-1.0));
            for (end, out) in [(from, way.back()), (to, way)] {
                let end = out.from(end, half);
                sheet.keep_off(&[way.left().from(end, half), way.left().from(end, -half)]);
            }
        }
    }

    fn wheels(&self, sheet: &mut Sheet) {
        for wheel in &self.body.wheels {
            sheet.begin();
            let at = self.plan.place(wheel.at);
            let radius = self.plan.length(wheel.radius).abs();
            sheet.circle(Layer::Body, at, radius, Ink::Paper, OUTLINE);
            let long = radius + CENTRE;
            let lines = [Way::RIGHT, Way::UP].map(|it| vec![it.from(at, -long), it.from(at, long)]);
            sheet.begin_faint();
            sheet.lines(Layer::Body, lines.to_vec(), REFERENCE);
        }
    }

    /// How far the body reaches around a place.
    fn reach(&self, place: usize) -> f64 {
        self.reach_at(self.plan.place(place))
    }

    fn reach_at(&self, at: Point) -> f64 {
        let members = self.body.members.iter().filter(|member| {
            let (from, to) = (self.plan.place(member.from), self.plan.place(member.to));
            way::off(at, from, to).0 < 1.0
        });
        members
            .map(|it| thickness(it.kind) / 2.0)
            .fold(0.0, f64::max)
    }

    /// The ways in which members go from a point.
    fn arms(&self, at: Point) -> Vec<Way> {
        let mut found = Vec::new();
        for member in &self.body.members {
            let (from, to) = (self.plan.place(member.from), self.plan.place(member.to));
            if way::off(at, from, to).0 >= 1.0 {
                continue;
            }
            let arms = [from, to]
                .map(|end| Way::between(at, end).filter(|_| way::distance(at, end) > 3.0));
            found.extend(arms.into_iter().flatten());
        }
        found
    }

    /// Whether the body lies in a direction from a point.
    fn is_behind(&self, at: Point, way: Way) -> bool {
        let is_in = |outline: &Vec<usize>| {
            let points: Vec<Point> = outline.iter().map(|it| self.plan.place(*it)).collect();
            [4.0, 14.0]
                .iter()
                .any(|by| way::is_inside(way.from(at, *by), &points))
        };
        let is_in_wheel = self.body.wheels.iter().any(|wheel| {
            let middle = self.plan.place(wheel.at);
            let radius = self.plan.length(wheel.radius).abs();
            way::distance(middle, at) > 1.0
                && way::distance(middle, way.from(at, 8.0)) < radius - 2.0
        });
        let is_member = self.arms(at).iter().any(|arm| arm.dot(way) > ON);
        is_member || is_in_wheel || self.body.outlines.iter().any(is_in)
    }

    /// Where the ground of a support lies.
    fn ground(&self, support: &Support) -> Way {
        let at = self.plan.place(support.at);
        let first = support
            .forces
            .first()
            .map(|it| self.plan.way(&it.direction, at));
        let sides = match self.body.water.iter().map(|it| it.side).next() {
            Some(super::Side::Right) => [Way::DOWN, Way::LEFT, Way::RIGHT, Way::UP],
            _ => [Way::DOWN, Way::RIGHT, Way::LEFT, Way::UP],
        };
        let is_free = |way: &Way| {
            let is_on = self.arms(at).iter().any(|arm| arm.dot(*way) > 0.6);
            !is_on && !self.is_behind(at, *way)
        };
        let free = sides.into_iter().find(is_free).unwrap_or(Way::DOWN);
        match support.kind {
            SupportKind::Pin | SupportKind::Hinge => free,
            SupportKind::Roller | SupportKind::Smooth | SupportKind::Rough => {
                first.map_or(free, Way::back)
            }
            // At the end of its member, where that ends.
            SupportKind::Fixed => match self.arms(at).as_slice() {
                [arm] => arm.back(),
                _ => free,
            },
            SupportKind::Link => match first {
                Some(way) if self.is_behind(at, way.back()) => way,
                Some(way) => way.back(),
                None => free,
            },
        }
    }

    fn supports(&self, sheet: &mut Sheet) -> Vec<Option<Ground>> {
        let supports = self.body.supports.iter().map(|support| {
            if self.body.supports_removed {
                return None;
            }
            let at = self.plan.place(support.at);
            let way = self.ground(support);
            support::draw(sheet, support, (at, way), self.reach(support.at))
        });
        supports.collect()
    }

    fn loads(&mut self, sketch: &Sketch, sheet: &mut Sheet) {
        for water in &self.body.water {
            let middle = way::middle(self.plan.place(water.from), self.plan.place(water.to));
            let row = water::draw(sheet, &self.plan, self.body, water, self.reach_at(middle));
            self.rows.push(row);
        }
        let forces: Vec<(Point, Way)> = (sketch.forces.iter())
            .filter_map(|force| {
                let at = self.plan.place(force.at?);
                Some((at, self.plan.way(&force.direction, at)))
            })
            .collect();
        // What is level above lies over all others.
        let is_level = |it: &&super::Load| matches!(it.acts, Acts::Level(_));
        let (level, along): (Vec<_>, Vec<_>) = self.body.loads.iter().partition(is_level);
        for load in along.into_iter().chain(level) {
            let middle = way::middle(self.plan.place(load.from), self.plan.place(load.to));
            let reach = self.reach_at(middle);
            let row = load::draw(sheet, &self.plan, load, reach, &forces, &self.rows);
            self.rows.push(row);
        }
    }

    fn reactions(&self, grounds: &[Option<Ground>], sheet: &mut Sheet) {
        for (support, ground) in self.body.supports.iter().zip(grounds) {
            let at = self.plan.place(support.at);
            for force in &support.forces {
                let way = self.plan.way(&force.direction, at);
                let shafts = match ground {
                    Some(ground) => self.at_ground(force, (at, way), ground),
                    None => self.shafts(force, at, way),
                };
                arrows::draw(sheet, force, way, &shafts);
            }
            if let Some(moment) = &support.moment {
                turn::moment(sheet, moment, at);
            }
        }
    }

    /// Along its support a reaction ends at the hatching or leaves from it; across, it ends
    /// beside the place.
    fn at_ground(&self, force: &Force, (at, way): (Point, Way), ground: &Ground) -> Vec<Shaft> {
        let along = way.dot(ground.way);
        let stand = Stand {
            at,
            way,
            leaves: along > 0.0,
            gap: ground.deep + 1.0,
            length: arrows::length(force),
        };
        if along.abs() > ALONG {
            let mut shafts = stand.shafts();
            // Not through the body.
            shafts.retain(|it| {
                let middle = way::middle(it.tail, it.tip);
                ground.way.dot(Way {
                    x: middle.x - at.x,
                    y: middle.y - at.y,
                }) > 0.0
            });
            return shafts;
        }
        let is_wall = self
            .body
            .supports
            .iter()
            .any(|it| self.plan.place(it.at) == at && it.kind == SupportKind::Fixed);
        let reach = self.reach_at(at).max(3.4) + GAP;
        let gap = if is_wall { ground.half + 4.0 } else { reach };
        let is_oblique = along.abs() > 0.3;
        Stand {
            leaves: is_oblique || self.is_behind(at, way.back()),
            gap,
            ..stand
        }
        .shafts()
    }

    fn forces(&self, sketch: &Sketch, sheet: &mut Sheet) {
        let dots = sketch
            .forces
            .iter()
            .filter(|it| it.kind == ForceKind::Weight);
        for force in dots {
            sheet.begin();
            let at = self.at(force.at);
            sheet.circle(Layer::Top, at, DOT, Ink::Black, LOAD);
        }
        for force in &sketch.forces {
            let at = self.at(force.at);
            let way = self.plan.way(&force.direction, at);
            let shafts = self.shafts(force, at, way);
            arrows::draw(sheet, force, way, &shafts);
        }
    }

    /// A place, or the middle of the body.
    fn at(&self, place: Option<usize>) -> Point {
        let middle = || {
            let area = way::around(self.plan.at.iter().copied());
            area.map(|it| way::middle(Point::new(it.left, it.top), Point::new(it.right, it.bottom)))
        };
        match place {
            Some(place) => self.plan.place(place),
            None => middle().unwrap_or(Point::new(0.0, 0.0)),
        }
    }

    /// Where the arrow of a force may be.
    fn shafts(&self, force: &Force, at: Point, way: Way) -> Vec<Shaft> {
        let reach = self.reach_at(at);
        let gap = self.gap(at, way, reach);
        let is_oblique = !way.is_level() && !way.is_upright();
        let stand = Stand {
            at,
            way,
            leaves: is_oblique,
            gap,
            length: arrows::length(force),
        };
        let is_at_an_axle = (self.body.wheels.iter())
            .any(|wheel| way::distance(self.plan.place(wheel.at), at) < 1.0);
        match force.kind {
            ForceKind::Weight => vec![Stand { gap: 0.0, ..stand }.shaft(true, 0.0, 0.0)],
            ForceKind::Cable | ForceKind::Bar => {
                let gap = if reach > 0.0 { gap } else { 0.0 };
                let mut shafts = Stand {
                    leaves: true,
                    gap,
                    ..stand
                }
                .shafts();
                shafts.retain(|it| {
                    way.dot(Way {
                        x: it.tip.x - it.foot.x,
                        y: it.tip.y - it.foot.y,
                    }) > 0.0
                });
                // Along the rim that it leaves.
                let is_on_a_rim = self.body.wheels.iter().any(|wheel| {
                    let off = way::distance(self.plan.place(wheel.at), at);
                    (off - self.plan.length(wheel.radius).abs()).abs() < 1.0
                });
                if is_on_a_rim {
                    for it in &mut shafts {
                        it.cost += if way::distance(it.foot, at) > 1.0 {
                            OFF_RIM
                        } else {
                            0.0
                        };
                    }
                }
                shafts
            }
            ForceKind::Force | ForceKind::Normal | ForceKind::Friction | ForceKind::Reaction => {
                if is_at_an_axle {
                    let gap = if reach > 0.0 { gap } else { 0.0 };
                    let stand = Stand {
                        leaves: true,
                        gap,
                        ..stand
                    };
                    // At the axle itself, from either side, before beside it.
                    let shafts = stand.shafts().into_iter();
                    let beside = |it: &Shaft| way::distance(it.foot, at) > 1.0;
                    return shafts
                        .map(|it| Shaft {
                            cost: it.cost + if beside(&it) { OFF_AXLE } else { 0.0 },
                            ..it
                        })
                        .collect();
                }
                let leaves = is_oblique || self.is_behind(at, way.back());
                let shafts = Stand { leaves, ..stand }.shafts();
                shafts
                    .into_iter()
                    .map(|it| self.over_loads(force, self.off_outlines(it), way))
                    .collect()
            }
        }
    }

    /// How far off a place an arrow has to end, so that it is off the sides of members.
    fn gap(&self, at: Point, way: Way, reach: f64) -> f64 {
        if reach == 0.0 {
            return GAP;
        }
        let sines = self
            .arms(at)
            .into_iter()
            .map(|arm| arm.left().dot(way).abs());
        let sine = sines.filter(|it| *it > 0.2).fold(1.0, f64::min);
        ((reach + GAP) / sine).min(FARTHEST)
    }

    /// Through a load it begins over that.
    fn over_loads(&self, force: &Force, shaft: Shaft, way: Way) -> Shaft {
        let ends_here =
            way::distance(shaft.tip, shaft.foot) < way::distance(shaft.tail, shaft.foot);
        let outlines: Vec<Vec<Point>> = self.rows.iter().map(Row::outline).collect();
        let is_in = |by: f64| {
            // On the edge of a load too.
            let near = [-1.5, 1.5].map(|side| way.left().from(way.from(shaft.tip, -by), side));
            outlines
                .iter()
                .any(|it| near.iter().any(|at| way::is_inside(*at, it)))
        };
        if !ends_here || !(is_in(8.0) || is_in(17.0)) {
            return shaft;
        }
        let steps = (3..60).map(|step| f64::from(step) * 6.0);
        let last = steps.filter(|by| is_in(*by)).fold(17.0, f64::max);
        // One to a scale keeps its length, and ends on the load.
        if force.length.is_some() {
            return Shaft {
                tail: way.from(shaft.tail, -(last + ON_LOAD)),
                tip: way.from(shaft.tip, -(last + ON_LOAD)),
                ..shaft
            };
        }
        Shaft {
            tail: way.from(shaft.tip, -(last + ABOVE)),
            // That it crosses the outline is meant.
            cost: shaft.cost - 4.0,
            ..shaft
        }
    }

    /// An arrow in the body is liked less than one beside it.
    fn off_outlines(&self, shaft: Shaft) -> Shaft {
        let middle = way::middle(shaft.tail, shaft.tip);
        let is_in = self.body.outlines.iter().any(|outline| {
            let points: Vec<Point> = outline.iter().map(|it| self.plan.place(*it)).collect();
            way::is_inside(middle, &points)
        });
        Shaft {
            cost: shaft.cost + if is_in { 6.0 } else { 0.0 },
            ..shaft
        }
    }

    fn turns(&self, sketch: &Sketch, sheet: &mut Sheet) {
        for moment in &self.body.moments {
            turn::moment(sheet, moment, self.plan.place(moment.at));
        }
        for square in &sketch.square {
            turn::square(sheet, square, self.at(square.at));
        }
    }

    fn names(&self, sheet: &mut Sheet) {
        for (place, at) in self.body.places.iter().zip(&self.plan.at) {
            sheet.name(Label::place(&place.label, *at));
        }
    }

    /// Angles of legs, each once.
    fn angles(&self, sheet: &mut Sheet) {
        let mut said: Vec<(Point, &super::Mark)> = Vec::new();
        for place in &self.body.places {
            let Position::Legs(from, legs) = &place.position else {
                continue;
            };
            let mut at = self.plan.place(*from);
            for leg in legs {
                let way = self.plan.way(&leg.direction, at);
                let end = way.from(at, self.plan.length(leg.length));
                let mark = &leg.direction.mark;
                if !said.contains(&(at, mark)) {
                    angle::draw(sheet, mark, at, end, way);
                    said.push((at, mark));
                }
                at = end;
            }
        }
    }

    /// A triangle on a thin line at the height of a place.
    fn level(&self, level: &LevelMark, sheet: &mut Sheet) {
        let at = self.plan.place(level.at);
        let right = sheet.rightmost(at.y).max(at.x);
        sheet.begin();
        let (from, to) = (
            Point::new(right + 6.0, at.y),
            Point::new(right + 36.0, at.y),
        );
        sheet.line(Layer::Thin, &[from, to], super::pens::THIN);
        let foot = Point::new(right + 21.0, at.y);
        let corners = [5.5, -5.5].map(|side| Point::new(foot.x + side, foot.y - 9.0));
        sheet.outline(
            Layer::Body,
            vec![foot, corners[0], corners[1]],
            Ink::Paper,
            Some(LOAD),
        );
        sheet.label(Label::arrow(&level.label, (from, to)));
    }
}
