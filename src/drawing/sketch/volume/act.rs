//! What acts on a control volume: weight, heat and power, forces, couples, and how it turns.

use super::super::arrows::{self, Shaft, Stand};
use super::super::beside::Label;
use super::super::pens::{DOT, LOAD, MM};
use super::super::plan::Plan;
use super::super::sheet::{Layer, Sheet};
use super::super::way::{self, Way, part};
use super::super::{Direction, Force, ForceKind, Rate, Sketch, Towards, Volume, turn};
use super::{Vessel, polygon};
use crate::drawing::ink::{Ink, Point};

/// How far apart the places are from which forces may leave.
const STEP: f64 = 24.0;

/// How far off the boundary they may leave.
const OFF: [f64; 5] = [5.0, 13.0, 23.0, 35.0, 48.0];

/// What an arrow costs that leaves into the boundary or ends away from it.
const UNNATURAL: f64 = 6.0;

/// What it costs where a name has no room, and how many places are asked for that.
const NO_ROOM: f64 = 6.0;
const ASKED: usize = 10;

/// What it costs to be in a hollow of the boundary, and a step farther from its middle.
const IN_HOLLOW: f64 = 8.0;
const FAR: f64 = 0.03;

/// How long the arrow of a rate is, and half of what is between its two lines.
const RATE: f64 = 9.0 * MM;
const DOUBLE: f64 = 1.8;

/// The radii that an arc about a place is tried with.
const TURNING: [f64; 4] = [24.0, 31.0, 40.0, 52.0];

pub(super) fn draw(
    sketch: &Sketch,
    volume: &Volume,
    vessel: &Vessel,
    places: Option<&Plan>,
    sheet: &mut Sheet,
) {
    let place = |number: usize| places.map(|plan| plan.place(number));
    if let Some(turning) = &volume.turning {
        let at = place(turning.about).or(vessel.hearts.first().copied());
        let radii = vessel.rim.map_or(TURNING.to_vec(), |rim| vec![rim + 13.0]);
        let label = (turning.label.as_slice(), turning.is_clockwise);
        at.into_iter()
            .for_each(|at| turn::about(sheet, label, at, &radii));
    }
    rates(sheet, &volume.rates, vessel);
    for force in sketch
        .forces
        .iter()
        .filter(|it| it.kind == ForceKind::Weight)
    {
        weight(sheet, force, vessel, force.at.and_then(place));
    }
    let mut loose = Vec::new();
    for force in sketch
        .forces
        .iter()
        .filter(|it| it.kind != ForceKind::Weight)
    {
        match force.at.and_then(place) {
            Some(at) => placed(sheet, force, at, places),
            None => loose.push(force),
        }
    }
    self::loose(sheet, &loose, vessel);
    for moment in &volume.frame.moments {
        let at = place(moment.at).or(vessel.hearts.first().copied());
        let at = at.into_iter();
        match vessel.rim {
            Some(rim) => {
                at.for_each(|at| turn::moment_around(sheet, moment, at, &[rim + 15.0, rim + 28.0]))
            }
            None => at.for_each(|at| turn::moment(sheet, moment, at)),
        }
    }
    for square in &sketch.square {
        let at = square.at.and_then(place).or(vessel.hearts.last().copied());
        at.into_iter()
            .for_each(|at| turn::square(sheet, square, at));
    }
}

/// The way of a force at a point.
fn way_of(direction: &Direction, at: Point, places: Option<&Plan>) -> Way {
    match (direction.towards, places) {
        (Towards::Angle(angle), _) => Way::at(angle),
        (_, Some(plan)) => plan.way(direction, at),
        (Towards::Place(_) | Towards::AwayFrom(_), None) => Way::RIGHT,
    }
}

/// From a dot in the middle, where it meets least.
fn weight(sheet: &mut Sheet, force: &Force, vessel: &Vessel, at: Option<Point>) {
    let way = way_of(&force.direction, Point::new(0.0, 0.0), None);
    let hearts = match at {
        Some(at) => vec![at],
        None => vessel.hearts.clone(),
    };
    let shafts = hearts.into_iter().enumerate().map(|(number, at)| {
        let stand = Stand {
            at,
            way,
            leaves: true,
            gap: 0.0,
            length: arrows::length(force),
        };
        stand.shaft(true, 0.0, number as f64)
    });
    let shafts: Vec<Shaft> = shafts.collect();
    let best = arrows::cheapest(sheet, &shafts);
    let Some(shaft) = best else { return };
    sheet.begin();
    sheet.circle(Layer::Top, shaft.tail, DOT, Ink::Black, LOAD);
    arrows::draw(sheet, force, way, &[shaft]);
}

/// A force at a place of the frame.
fn placed(sheet: &mut Sheet, force: &Force, at: Point, places: Option<&Plan>) {
    let way = way_of(&force.direction, at, places);
    let length = arrows::length(force);
    let stand = Stand {
        at,
        way,
        leaves: true,
        gap: 3.0,
        length,
    };
    arrows::draw(sheet, force, way, &stand.shafts());
}

/// All forces without a place leave from one point outside of the wall.
fn loose(sheet: &mut Sheet, forces: &[&Force], vessel: &Vessel) {
    if forces.is_empty() {
        return;
    }
    let ways: Vec<Way> = (forces.iter())
        .map(|force| way_of(&force.direction, Point::new(0.0, 0.0), None))
        .collect();
    let mut tried: Vec<(f64, Point)> = (holds(vessel).into_iter())
        .map(|(at, out, cost)| {
            let all = forces.iter().zip(&ways);
            let costs = all.map(|(force, way)| best(sheet, force, *way, at, out).0);
            (cost + costs.sum::<f64>(), at)
        })
        .collect();
    tried.sort_by(|one, other| one.0.total_cmp(&other.0));
    tried.truncate(ASKED);
    let outs = holds(vessel);
    let out_at = |at: Point| outs.iter().find(|it| it.0 == at).and_then(|it| it.1);
    let rooms = tried.iter().map(|(cost, at)| {
        let all = forces.iter().zip(&ways);
        let narrow = all.filter(|(force, way)| {
            let (_, shaft) = best(sheet, force, **way, *at, out_at(*at));
            !has_room(sheet, force, &shaft)
        });
        (cost + NO_ROOM * narrow.count() as f64, *at)
    });
    let found = rooms.min_by(|one, other| one.0.total_cmp(&other.0));
    let Some((_, at)) = found else { return };
    let out = out_at(at);
    for (force, way) in forces.iter().zip(&ways) {
        let shafts = stand(force, *way, at).shafts();
        let shafts: Vec<Shaft> = (shafts.into_iter())
            .map(|shaft| Shaft {
                cost: shaft.cost + unnatural(&shaft, *way, out),
                ..shaft
            })
            .collect();
        arrows::draw(sheet, force, *way, &shafts);
    }
}

fn stand(force: &Force, way: Way, at: Point) -> Stand {
    Stand {
        at,
        way,
        leaves: true,
        gap: 0.0,
        length: arrows::length(force),
    }
}

/// The arrow that leaves from a point, or ends there.
fn best(sheet: &Sheet, force: &Force, way: Way, at: Point, out: Option<Way>) -> (f64, Shaft) {
    let stand = stand(force, way, at);
    let both = [stand.shaft(true, 0.0, 0.0), stand.shaft(false, 0.0, 2.0)];
    let costs = both.map(|shaft| {
        let clash = sheet.clash(shaft.tail, shaft.tip);
        (shaft.cost + clash + unnatural(&shaft, way, out), shaft)
    });
    if costs[0].0 <= costs[1].0 {
        costs[0]
    } else {
        costs[1]
    }
}

/// An arrow outside of a wall lies on the outer side of its point.
fn unnatural(shaft: &Shaft, way: Way, out: Option<Way>) -> f64 {
    let Some(out) = out else { return 0.0 };
    let leaves = way::distance(shaft.tail, shaft.foot) < way::distance(shaft.tip, shaft.foot);
    let arm = if leaves { way } else { way.back() };
    if arm.dot(out) < -0.1 { UNNATURAL } else { 0.0 }
}

/// Whether the name of a force has room beyond its far end or beside it.
fn has_room(sheet: &Sheet, force: &Force, shaft: &Shaft) -> bool {
    let is_far = way::distance(shaft.tail, shaft.foot) > way::distance(shaft.tip, shaft.foot);
    let ends = if is_far {
        (shaft.tip, shaft.tail)
    } else {
        (shaft.tail, shaft.tip)
    };
    let label = Label::arrow(&force.label, ends);
    let mut near = label.candidates.iter().take(5);
    let (from, far) = (part(ends.0, ends.1, 0.35), ends.1);
    let beside = way::around([from, far]).is_some_and(|area| sheet.is_free(&area.wider(8.0)));
    beside && near.any(|it| sheet.is_free(&it.area))
}

/// Where forces may leave, each with the way out there and what it costs to be so far off.
fn holds(vessel: &Vessel) -> Vec<(Point, Option<Way>, f64)> {
    if !vessel.holds.is_empty() {
        let held = vessel.holds.iter().enumerate();
        return held
            .map(|(number, (at, out))| (*at, *out, number as f64))
            .collect();
    }
    let line = vessel.boundary.first().cloned().unwrap_or_default();
    let hull = polygon::around(line);
    let middle = way::around(hull.iter().copied());
    let middle =
        middle.map(|it| way::middle(Point::new(it.left, it.top), Point::new(it.right, it.bottom)));
    let mut found = Vec::new();
    for (at, out) in around(vessel) {
        for by in OFF {
            let from = out.from(at, by);
            let far = middle.map_or(0.0, |middle| way::distance(middle, from));
            let hollow = if way::is_inside(from, &hull) {
                IN_HOLLOW
            } else {
                0.0
            };
            found.push((from, Some(out), 0.12 * by + FAR * far + hollow));
        }
    }
    found
}

/// Points of the outer boundary that are on no cut, with the way out.
fn around(vessel: &Vessel) -> Vec<(Point, Way)> {
    let Some(line) = vessel.boundary.first() else {
        return Vec::new();
    };
    // Twice the area that it goes around; it is positive where that lies on the right.
    let next = line.iter().cycle().skip(1);
    let turned: f64 = line
        .iter()
        .zip(next)
        .map(|(one, two)| one.x * two.y - two.x * one.y)
        .sum();
    let next = line.iter().cycle().skip(1);
    let mut found = Vec::new();
    // What is left of the way to the next point.
    let mut left = STEP / 2.0;
    for (from, to) in line.iter().zip(next) {
        let length = way::distance(*from, *to);
        let Some(along) = Way::between(*from, *to) else {
            continue;
        };
        let out = if turned > 0.0 {
            along.left()
        } else {
            along.left().back()
        };
        let mut by = left;
        while by < length {
            let at = part(*from, *to, by / length);
            if !is_at_cut(vessel, at) {
                found.push((at, out));
            }
            by += STEP;
        }
        left = by - length;
    }
    found
}

fn is_at_cut(vessel: &Vessel, at: Point) -> bool {
    vessel.gates.iter().any(|gate| {
        let to = Way {
            x: at.x - gate.at.x,
            y: at.y - gate.at.y,
        };
        let is_beyond = gate.out.dot(to) > -4.0 && gate.out.dot(to) < 60.0;
        is_beyond && gate.out.left().dot(to).abs() < gate.reach + 4.0
    })
}

/// Heat and power, from above where that is free.
fn rates(sheet: &mut Sheet, rates: &[Rate], vessel: &Vessel) {
    let slots = vessel.top.map(|[left, right]| {
        let count = rates.len() as f64;
        let at = |number: usize| part(left, right, (number as f64 + 0.5) / count);
        (0..rates.len()).map(at).collect::<Vec<Point>>()
    });
    for (number, rate) in rates.iter().enumerate() {
        let spots = match &slots {
            Some(slots) => vec![(slots[number], Way::UP)],
            None => around(vessel),
        };
        let ends = spots.into_iter().map(|(at, out)| {
            let (near, far) = (out.from(at, 2.0), out.from(at, 2.0 + RATE));
            let aside = [-5.0, 0.0, 5.0].map(|by| {
                let move_to = |end: Point| out.left().from(end, by);
                sheet.clash(move_to(near), move_to(far))
            });
            let cost = aside.iter().sum::<f64>() + 12.0 * (1.0 - out.dot(Way::UP));
            (cost, near, far)
        });
        let best = ends.min_by(|one, other| one.0.total_cmp(&other.0));
        if let Some((_, near, far)) = best {
            let (tail, tip) = if rate.is_in { (far, near) } else { (near, far) };
            double(sheet, tail, tip);
            sheet.label(Label::arrow(&rate.label, (near, far)));
        }
    }
}

/// A double line with an open head.
fn double(sheet: &mut Sheet, tail: Point, tip: Point) {
    let Some(way) = Way::between(tail, tip) else {
        return;
    };
    sheet.begin();
    let sides = [DOUBLE, -DOUBLE].map(|side| {
        let beside = |at: Point| way.left().from(at, side);
        vec![beside(tail), beside(way.from(tip, -1.6 * DOUBLE))]
    });
    sheet.lines(Layer::Top, sides.to_vec(), LOAD);
    let back = way.from(tip, -8.0);
    let ends = [4.8, -4.8].map(|side| way.left().from(back, side));
    sheet.line(Layer::Top, &[ends[0], tip, ends[1]], LOAD);
}
