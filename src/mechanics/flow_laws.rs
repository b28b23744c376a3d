//! Balances of control volumes against plain vectors at random numbers.

use proptest::prelude::*;

use super::laws::{VALUES, Vector, close, cross, direction, place};
use super::volume::Medium;
use super::{
    Action, Axis, Balance, Body, Direction, Exchange, Frame, Gathered, Id, Motion, Opening, Part,
    Place, Pressure, Rate, Section, Side, Speed, Term, Turn, Volume, balance_of_volume,
};

/// The quantity of the density, and of gravity.
const DENSITY: Id = 0;
const GRAVITY: Id = 1;

fn value(id: Id) -> f64 {
    VALUES[id]
}

fn of_side(terms: &[Term], side: Side, value: &dyn Fn(Id) -> f64) -> f64 {
    let own = terms.iter().filter(|term| term.side == side);
    own.map(|term| {
        let magnitudes: f64 = term.magnitudes.iter().map(|id| value(*id)).product();
        let flow = term.flow.as_ref().map_or(1.0, |flow| flow.value(value));
        magnitudes * flow * term.by.value(value)
    })
    .sum()
}

/// What acts less what comes of it.
fn left_over(body: &Body, volume: &Volume, balance: Balance, value: &dyn Fn(Id) -> f64) -> f64 {
    let terms = balance_of_volume(body, volume, balance).expect("all is said");
    of_side(&terms, Side::Left, value) - of_side(&terms, Side::Right, value)
}

fn section(is_inlet: bool, flow: Direction, opening: Opening, speed: Id) -> Section {
    Section {
        opening: Some(opening),
        speed: Some(Speed {
            of: speed,
            is_relative: false,
        }),
        ..Section::new(is_inlet, flow)
    }
}

fn volume(sections: Vec<Section>, forces: usize) -> Volume {
    let order = (0..sections.len()).map(Part::Section);
    Volume {
        order: order.chain((0..forces).map(Part::Action)).collect(),
        sections,
        medium: Medium {
            density: Some(DENSITY),
            gravity: Some(GRAVITY),
            ..Medium::default()
        },
        ..Volume::default()
    }
}

fn body(places: Vec<Place>, actions: Vec<Action>) -> Body {
    Body {
        frame: Frame {
            x: Direction::right(),
            y: Direction::up(),
            turn: Turn::Anticlockwise,
            only: None,
        },
        places,
        actions,
    }
}

/// A section with the vector of its flow and where it is.
type Cut = (Section, Vector, (Place, Vector));

fn cut() -> impl Strategy<Value = Cut> {
    let opening = prop_oneof![
        (0usize..8).prop_map(Opening::Area),
        (0usize..8).prop_map(Opening::Diameter),
    ];
    (
        any::<bool>(),
        direction(),
        place(),
        opening,
        (0usize..8, 0usize..8),
        any::<bool>(),
    )
        .prop_map(
            |(is_inlet, (flow, vector), place, opening, (speed, pressure), is_open)| {
                let mut found = section(is_inlet, flow, opening, speed);
                found.pressure = match is_open {
                    true => Pressure::Open,
                    false => Pressure::Of(pressure),
                };
                (found, vector, place)
            },
        )
}

fn area(section: &Section) -> f64 {
    match section.opening {
        Some(Opening::Area(area)) => value(area),
        Some(Opening::Diameter(of)) => std::f64::consts::PI * value(of) * value(of) / 4.0,
        Some(Opening::Depth(depth, Some(width))) => value(depth) * value(width),
        _ => 0.0,
    }
}

/// Force less momentum of a section, as a vector.
fn counted(section: &Section, (x, y): Vector) -> Vector {
    let area = area(section);
    let speed = section.speed.map_or(0.0, |it| value(it.of));
    let pressure = match section.pressure {
        Pressure::Of(pressure) => value(pressure) * area,
        Pressure::Open | Pressure::Unsaid => 0.0,
    };
    let all = pressure + value(DENSITY) * area * speed * speed;
    let sign = if section.is_inlet { 1.0 } else { -1.0 };
    (sign * all * x, sign * all * y)
}

const BOTH: [Balance; 2] = [Balance::Forces(Axis::X), Balance::Forces(Axis::Y)];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Pressures and momentum are those of plain vectors, along axes and about a place; moments
    /// about two places differ by the balance of forces times the way between them.
    #[test]
    fn sections_count_as_their_vectors(
        cuts in prop::collection::vec(cut(), 1..4),
        poles in (place(), place()),
    ) {
        let mut places = vec![poles.0.0.clone(), poles.1.0.clone()];
        let mut sections = Vec::new();
        let (mut all, mut turning) = ((0.0, 0.0), 0.0);
        for (section, vector, (place, at)) in &cuts {
            let (x, y) = counted(section, *vector);
            all = (all.0 + x, all.1 + y);
            let arm = (at.0 - poles.0.1.0, at.1 - poles.0.1.1);
            turning += cross(arm, (x, y));
            places.push(place.clone());
            sections.push(Section { at: Some(places.len() - 1), ..section.clone() });
        }
        let (body, volume) = (body(places, Vec::new()), volume(sections, 0));
        let found = |balance| left_over(&body, &volume, balance, &value);
        close(found(BOTH[0]), all.0)?;
        close(found(BOTH[1]), all.1)?;
        close(found(Balance::Moments(0)), turning)?;
        let way = (poles.1.1.0 - poles.0.1.0, poles.1.1.1 - poles.0.1.1);
        close(found(Balance::Moments(0)), found(Balance::Moments(1)) + cross(way, all))?;
    }

    /// A control volume that is cut in two adds up to the whole: what leaves the one enters the
    /// other.
    #[test]
    fn two_halves_add_up_to_the_whole(ends in (cut(), cut()), between in cut(), about in place()) {
        let mut places = vec![about.0];
        let mut at = |(section, _, (place, _)): &Cut, is_inlet| {
            places.push(place.clone());
            Section { at: Some(places.len() - 1), is_inlet, ..section.clone() }
        };
        let (first, last) = (at(&ends.0, true), at(&ends.1, false));
        let (out, inward) = (at(&between, false), at(&between, true));
        let body = body(places, Vec::new());
        for balance in [BOTH[0], BOTH[1], Balance::Moments(0), Balance::Mass] {
            let of = |sections| left_over(&body, &volume(sections, 0), balance, &value);
            let whole = of(vec![first.clone(), last.clone()]);
            let halves = of(vec![first.clone(), out.clone()]) + of(vec![inward.clone(), last.clone()]);
            close(whole, halves)?;
        }
    }

    /// What stands is what moves with no speed; and who moves along sees the speeds less that.
    #[test]
    fn what_moves_sees_the_speeds_less_its_own(
        (along, vector) in direction(),
        goes_with in prop::collection::vec(any::<bool>(), 1..4),
        ids in prop::collection::vec((0usize..8, 0usize..8), 3),
        motion in 0usize..8,
        still in any::<bool>(),
    ) {
        let speed_of = if still { 0.0 } else { VALUES[motion] };
        // The speed of the motion has a number of its own, behind all others.
        let value = |id: Id| if id == VALUES.len() { speed_of } else { VALUES[id] };
        let (mut sections, mut all) = (Vec::new(), (0.0, 0.0));
        for (number, (with, (area, speed))) in goes_with.iter().zip(&ids).enumerate() {
            let flow = if *with { along.clone() } else { along.clone().opposite() };
            let one = section(number == 0, flow, Opening::Area(*area), *speed);
            let seen = VALUES[*speed] + if *with { -speed_of } else { speed_of };
            let sign = if number == 0 { 1.0 } else { -1.0 } * if *with { 1.0 } else { -1.0 };
            let size = sign * VALUES[DENSITY] * VALUES[*area] * seen * seen;
            all = (all.0 + size * vector.0, all.1 + size * vector.1);
            sections.push(one);
        }
        let mut moving = volume(sections, 0);
        moving.motion = Motion::Moves { speed: VALUES.len(), direction: along };
        let body = body(Vec::new(), Vec::new());
        close(left_over(&body, &moving, BOTH[0], &value), all.0)?;
        close(left_over(&body, &moving, BOTH[1], &value), all.1)?;
    }

    /// Turning the whole sketch with its axes changes no component.
    #[test]
    fn a_sketch_that_is_turned_with_its_axes_is_the_same(
        cuts in prop::collection::vec(cut(), 1..4),
        (force, _) in direction(),
        quarters in 0u8..4,
    ) {
        let turn = |direction: Direction| (0..quarters).fold(direction, |it, _| it.quarter());
        let act = |direction| Action::Force { magnitude: 3, direction, at: None };
        let own = body(Vec::new(), vec![act(force.clone())]);
        let mut turned = body(Vec::new(), vec![act(turn(force))]);
        turned.frame.x = turn(turned.frame.x);
        turned.frame.y = turn(turned.frame.y);
        let sections: Vec<Section> = cuts.iter().map(|(it, ..)| it.clone()).collect();
        let others = sections.iter().map(|it| Section { flow: turn(it.flow.clone()), ..it.clone() });
        let others = volume(others.collect(), 1);
        for balance in BOTH {
            let here = left_over(&own, &volume(sections.clone(), 1), balance, &value);
            close(here, left_over(&turned, &others, balance, &value))?;
        }
    }

    /// Where all sections are under what is all around, no pressure acts; and with nothing around,
    /// pressures are what they are.
    #[test]
    fn what_is_all_around_drops_out(cuts in prop::collection::vec(cut(), 1..4), around in 0usize..8) {
        let body = body(Vec::new(), Vec::new());
        let with = |pressure| {
            let sections = cuts.iter().map(|(it, ..)| Section { pressure, ..it.clone() });
            volume(sections.collect(), 0)
        };
        let open = with(Pressure::Open);
        let mut under = with(Pressure::Of(around));
        under.medium.surroundings = Some(around);
        for balance in BOTH {
            let here = left_over(&body, &open, balance, &value);
            close(here, left_over(&body, &under, balance, &value))?;
        }
    }

    /// A flow that is left open closes the balance of mass, and makes the speed over its area.
    #[test]
    fn an_open_flow_is_what_the_others_leave(
        cuts in prop::collection::vec(cut(), 2..4),
        gathers in prop::option::of(0usize..8),
    ) {
        let mut sections: Vec<Section> = cuts.iter().map(|(it, ..)| it.clone()).collect();
        sections[0].speed = None;
        let mut volume = volume(sections.clone(), 0);
        volume.gathered = gathers.map(Gathered::Mass).into_iter().collect();
        let Ok(open) = volume.flow(0) else {
            return Ok(());
        };
        let signed = |section: &Section, flow: f64| if section.is_inlet { flow } else { -flow };
        let others = (1..sections.len()).map(|at| {
            let flow = volume.flow(at).expect("area and speed are said").value(&value);
            signed(&sections[at], flow)
        });
        let gathered = gathers.map_or(0.0, value);
        close(signed(&sections[0], open.value(&value)) + others.sum::<f64>(), gathered)?;
        let speed = volume.speed(0).expect("it has an area").value(&value);
        close(speed * value(DENSITY) * area(&sections[0]), open.value(&value))?;
    }

    /// A depth presses as ten thousand strips do, under a bed at any angle.
    #[test]
    fn a_depth_is_the_sum_of_its_strips(
        is_inlet in any::<bool>(),
        angle in 0usize..8,
        (depth, width) in (0usize..8, 0usize..8),
        (bed, at) in place(),
        (about, pole) in place(),
    ) {
        let falls = VALUES[angle] / 3.0;
        let flow = Direction::turned(0, vec![(super::Sign::Minus, VALUES.len())]);
        let value = |id: Id| if id == VALUES.len() { falls } else { VALUES[id] };
        let mut one = section(is_inlet, flow, Opening::Depth(depth, Some(width)), 2);
        one.at = Some(1);
        let body = body(vec![about, bed], Vec::new());
        let terms = balance_of_volume(&body, &volume(vec![one], 0), Balance::Moments(0)).expect("all is said");
        let left = of_side(&terms, Side::Left, &value);
        let along = (falls.cos(), -falls.sin());
        let up = (falls.sin(), falls.cos());
        let strips = 10_000;
        let strip = |number: i32| {
            let above = (f64::from(number) + 0.5) / f64::from(strips) * VALUES[depth];
            // What stands over it is upright.
            let pressure = VALUES[DENSITY] * VALUES[GRAVITY] * (VALUES[depth] - above) * falls.cos();
            let force = pressure * VALUES[width] * VALUES[depth] / f64::from(strips);
            let arm = (at.0 + above * up.0 - pole.0, at.1 + above * up.1 - pole.1);
            cross(arm, (force * along.0, force * along.1))
        };
        let all: f64 = (0..strips).map(strip).sum();
        let signed = if is_inlet { all } else { -all };
        prop_assert!((left - signed).abs() < 1e-6 * (1.0 + signed.abs()), "{left} {signed}");
    }

    /// Energy that comes in is energy that goes out with the other sign.
    #[test]
    fn heat_out_is_heat_in_with_the_other_sign(of in 0usize..8, is_power in any::<bool>()) {
        let with = |is_in| {
            let mut volume = Volume::default();
            volume.exchanges.push(Exchange { of, is_power, is_in });
            volume.order.push(Part::Exchange(0));
            left_over(&body(Vec::new(), Vec::new()), &volume, Balance::Energy, &value)
        };
        close(with(true), -with(false))?;
    }
}

/// A wagon under a hopper has one force, seen from the ground with the momentum that gathers, and
/// moving along, where the sand comes aslant.
#[test]
fn a_wagon_has_one_force_from_both_sides() {
    let (flow, speed, angle, relative) = (2, 3, 4, 5);
    let motion: f64 = 1.4;
    let fall: f64 = 2.1;
    let value = |id: Id| match id {
        2 => 240.0,
        3 => motion,
        4 => fall.atan2(motion),
        5 => motion.hypot(fall),
        _ => 1.0,
    };
    let still = body(Vec::new(), Vec::new());
    let mut down = section(true, Direction::quarters(3), Opening::Area(0), speed);
    down.opening = None;
    down.rate = Some(Rate::Mass(flow));
    let mut ground = volume(vec![down.clone()], 0);
    // Momentum gathers at flow times speed: what there is of both together is a quantity here.
    ground
        .gathered
        .push(Gathered::Momentum(6, Direction::right()));
    ground.order.push(Part::Gathered(0));
    let with_product = |id: Id| {
        if id == 6 {
            value(flow) * value(speed)
        } else {
            value(id)
        }
    };
    let from_the_ground = left_over(&still, &ground, BOTH[0], &with_product);
    let aslant = Direction::turned(2, vec![(super::Sign::Plus, angle)]);
    let mut sand = Section {
        flow: aslant,
        ..down
    };
    sand.speed = Some(Speed {
        of: relative,
        is_relative: true,
    });
    let mut along = volume(vec![sand], 0);
    along.motion = Motion::Moves {
        speed,
        direction: Direction::right(),
    };
    let moving = left_over(&still, &along, BOTH[0], &value);
    assert!(
        (from_the_ground - moving).abs() < 1e-9,
        "{from_the_ground} {moving}"
    );
    assert!((from_the_ground + 336.0).abs() < 1e-9, "{from_the_ground}");
}
