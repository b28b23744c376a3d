//! Balances against plain vectors at random numbers.

use proptest::prelude::*;

use super::{
    Action, Angles, Axis, Balance, Body, Direction, Factor, Frame, Id, Lack, Leg, Load, Place,
    Side, Sign, Sum, Surface, Term, Turn, Water, balance,
};

/// Numbers of the caller: each is angle, length and magnitude alike.
pub(super) const VALUES: [f64; 8] = [0.31, 1.7, 0.83, 2.9, 0.57, 1.13, 0.47, 2.3];

pub(super) type Vector = (f64, f64);

fn angle(angles: &Angles) -> f64 {
    let signed = angles.iter();
    signed
        .map(|(sign, id)| sign.number() as f64 * VALUES[*id])
        .sum()
}

fn number(sum: &Sum) -> f64 {
    sum.value(&|id| VALUES[id])
}

fn all(terms: &[Term], side: Side) -> f64 {
    let of_side = terms.iter().filter(|term| term.side == side);
    of_side
        .map(|term| {
            let magnitudes: f64 = term.magnitudes.iter().map(|id| VALUES[*id]).product();
            magnitudes * number(&term.by)
        })
        .sum()
}

/// A direction in words and as a vector.
pub(super) fn direction() -> impl Strategy<Value = (Direction, Vector)> {
    let turned = (
        0u8..4,
        prop::collection::vec((any::<bool>(), 0usize..8), 0..3),
    )
        .prop_map(|(quarters, angles)| {
            let angles: Angles = angles
                .into_iter()
                .map(|(plus, id)| (if plus { Sign::Plus } else { Sign::Minus }, id))
                .collect();
            let all = f64::from(quarters) * std::f64::consts::FRAC_PI_2 + angle(&angles);
            (Direction::turned(quarters, angles), (all.cos(), all.sin()))
        });
    let slope = (any::<bool>(), any::<bool>(), 0usize..8, 0usize..8).prop_map(
        |(rises, to_the_right, rise, run)| {
            let side = |is_plus| if is_plus { 1.0 } else { -1.0 };
            let (x, y) = (side(to_the_right) * VALUES[run], side(rises) * VALUES[rise]);
            let long = x.hypot(y);
            (
                Direction::slope(rises, to_the_right, rise, run),
                (x / long, y / long),
            )
        },
    );
    let plain = prop_oneof![3 => turned, 1 => slope];
    (plain, 0u8..2).prop_map(|((direction, (x, y)), quarter)| match quarter {
        0 => (direction, (x, y)),
        _ => (direction.quarter(), (-y, x)),
    })
}

pub(super) fn place() -> impl Strategy<Value = (Place, Vector)> {
    prop::collection::vec((direction(), 0usize..8), 0..3).prop_map(|legs| {
        let end = legs
            .iter()
            .fold((0.0, 0.0), |(x, y), ((_, (right, up)), id)| {
                (x + right * VALUES[*id], y + up * VALUES[*id])
            });
        let legs = legs
            .into_iter()
            .map(|((direction, _), length)| Leg { length, direction });
        (Place::default().by(legs), end)
    })
}

pub(super) fn close(left: f64, right: f64) -> Result<(), TestCaseError> {
    prop_assert!(
        (left - right).abs() <= 1e-9 * (1.0 + left.abs() + right.abs()),
        "{left} and {right}"
    );
    Ok(())
}

pub(super) fn cross((x, y): Vector, (right, up): Vector) -> f64 {
    x * up - y * right
}

fn square(from_the_left: bool) -> Load {
    Load::Square {
        from_the_left,
        side: Direction::up(),
    }
}

fn frame(x: Direction, y: Direction) -> Frame {
    Frame {
        x,
        y,
        turn: Turn::Anticlockwise,
        only: None,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Components and moments are those of plain vectors, also along oblique axes.
    #[test]
    fn a_force_counts_as_its_vector(
        (direction, vector) in direction(),
        (axis, unit) in direction(),
        (place, at) in place(),
        (about, pole) in place(),
        magnitude in 0usize..8,
    ) {
        let body = Body {
            frame: frame(axis.clone(), axis.quarter()),
            places: vec![about, place],
            actions: vec![Action::Force { magnitude, direction, at: Some(1) }],
        };
        let size = VALUES[magnitude];
        let along = |(x, y): Vector| size * (vector.0 * x + vector.1 * y);
        let terms = balance(&body, Balance::Forces(Axis::X)).expect("forces need no place");
        close(all(&terms, Side::Left), along(unit))?;
        let terms = balance(&body, Balance::Forces(Axis::Y)).expect("forces need no place");
        close(all(&terms, Side::Left), along((-unit.1, unit.0)))?;
        let terms = balance(&body, Balance::Moments(0)).expect("it has a place");
        let arm = (at.0 - pole.0, at.1 - pole.1);
        close(all(&terms, Side::Left), size * cross(arm, vector))?;
    }

    /// Forces and loads count as what is to the right of them and what is up count together.
    #[test]
    fn all_counts_as_its_components(
        (direction, _) in direction(),
        (axis, _) in direction(),
        places in prop::collection::vec(place(), 3),
        kind in 0u8..3,
    ) {
        let lies = match kind {
            0 => Load::PerLength(direction.clone()),
            1 => square(true),
            _ => square(false),
        };
        let mut body = Body {
            frame: frame(axis.clone(), axis.quarter()),
            places: places.into_iter().map(|(place, _)| place).collect(),
            actions: vec![
                Action::Force { magnitude: 1, direction, at: Some(1) },
                Action::Load { ends: [Some(2), Some(3)], lies, places: [1, 2] },
            ],
        };
        for which in [Balance::Forces(Axis::X), Balance::Forces(Axis::Y), Balance::Moments(0)] {
            let [whole, right, up] = [None, Some(Axis::X), Some(Axis::Y)].map(|only| {
                body.frame.only = only;
                all(&balance(&body, which).expect("all have places"), Side::Left)
            });
            close(whole, right + up)?;
        }
    }

    /// A load is the sum of ten thousand strips, whatever way its line goes.
    #[test]
    fn a_load_is_the_sum_of_its_strips(
        (first, from) in place(),
        (last, to) in place(),
        (about, pole) in place(),
        (direction, vector) in direction(),
        ends in (0usize..8, 0usize..8),
        kind in 0u8..3,
        has_a_first in any::<bool>(),
    ) {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        prop_assume!(dx.hypot(dy) > 1e-3);
        let (lies, unit) = match kind {
            0 => {
                let long = dx.hypot(dy);
                (Load::PerLength(direction), (vector.0 * long, vector.1 * long))
            }
            1 => (square(true), (dy, -dx)),
            _ => (square(false), (-dy, dx)),
        };
        let body = Body {
            frame: frame(Direction::right(), Direction::up()),
            places: vec![about, first, last],
            actions: vec![Action::Load {
                ends: [has_a_first.then_some(ends.0), Some(ends.1)],
                lies: lies.clone(),
                places: [1, 2],
            }],
        };
        // A length that is a difference has a sign that only the data tell.
        let way = body.places[1].to(&body.places[2]);
        let sign = if kind == 0 { number(&way.length()).signum() } else { 1.0 };
        let strips = 10_000;
        let mut found = (0.0, 0.0, 0.0);
        for strip in 0..strips {
            let share = (f64::from(strip) + 0.5) / f64::from(strips);
            let first = if has_a_first { VALUES[ends.0] } else { 0.0 };
            let load = sign * (first + share * (VALUES[ends.1] - first)) / f64::from(strips);
            let force = (load * unit.0, load * unit.1);
            let arm = (from.0 + share * dx - pole.0, from.1 + share * dy - pole.1);
            found = (found.0 + force.0, found.1 + force.1, found.2 + cross(arm, force));
        }
        let counted = [Balance::Forces(Axis::X), Balance::Forces(Axis::Y), Balance::Moments(0)]
            .map(|which| all(&balance(&body, which).expect("it has places"), Side::Left));
        for (counted, strips) in counted.into_iter().zip([found.0, found.1, found.2]) {
            prop_assert!((counted - strips).abs() < 1e-6 * (1.0 + strips.abs()), "{counted} {strips}");
        }
    }

    /// A fluid at rest is the sum of ten thousand strips, each pressed square by its own depth, whatever
    /// way its line goes and wherever its surface is.
    #[test]
    fn water_is_the_sum_of_its_strips(
        (first, from) in place(),
        (last, to) in place(),
        (about, pole) in place(),
        (level, over) in place(),
        height in prop::option::of(0usize..8),
        from_the_left in any::<bool>(),
        magnitudes in prop::collection::vec(0usize..8, 1..4),
        is_even in any::<bool>(),
    ) {
        let surface = Surface { place: 3, height };
        let body = Body {
            frame: frame(Direction::right(), Direction::up()),
            places: vec![about, first, last, level],
            actions: vec![Action::Water(Water {
                magnitudes: magnitudes.clone(),
                surface: (!is_even).then_some(surface),
                from_the_left,
                side: Direction::up(),
                places: [1, 2],
            })],
        };
        let size: f64 = magnitudes.iter().map(|id| VALUES[*id]).product();
        let surface = over.1 + height.map_or(0.0, |id| VALUES[id]);
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        // To the right of the way, where the water is on the left of it.
        let square = if from_the_left { (dy, -dx) } else { (-dy, dx) };
        let strips = 10_000;
        let mut found = (0.0, 0.0, 0.0);
        for strip in 0..strips {
            let share = (f64::from(strip) + 0.5) / f64::from(strips);
            let at = (from.0 + share * dx, from.1 + share * dy);
            let depth = if is_even { 1.0 } else { surface - at.1 };
            let push = size * depth / f64::from(strips);
            let force = (push * square.0, push * square.1);
            let arm = (at.0 - pole.0, at.1 - pole.1);
            found = (found.0 + force.0, found.1 + force.1, found.2 + cross(arm, force));
        }
        let counted = [Balance::Forces(Axis::X), Balance::Forces(Axis::Y), Balance::Moments(0)]
            .map(|which| all(&balance(&body, which).expect("it has places"), Side::Left));
        for (counted, strips) in counted.into_iter().zip([found.0, found.1, found.2]) {
            prop_assert!((counted - strips).abs() < 1e-6 * (1.0 + strips.abs()), "{counted} {strips}");
        }
    }

    /// Moments about two places differ by the forces times the way between them, accelerating
    /// masses included.
    #[test]
    fn moments_about_two_places_differ_by_the_forces(
        forces in prop::collection::vec((direction(), place(), 0usize..8), 1..4),
        mass in (direction(), place(), 0usize..8),
        poles in (place(), place()),
    ) {
        let mut places = vec![poles.0.0, poles.1.0];
        let mut actions = Vec::new();
        for ((direction, _), (place, _), magnitude) in forces {
            places.push(place);
            actions.push(Action::Force { magnitude, direction, at: Some(places.len() - 1) });
        }
        places.push(mass.1.0);
        actions.push(Action::Accelerates {
            magnitude: mass.2,
            direction: mass.0.0,
            mass: 3,
            at: Some(places.len() - 1),
        });
        let body = Body { frame: frame(Direction::right(), Direction::up()), places, actions };
        let of = |which| balance(&body, which).expect("all have places");
        let way = (poles.1.1.0 - poles.0.1.0, poles.1.1.1 - poles.0.1.1);
        for side in [Side::Left, Side::Right] {
            let resultant = (
                all(&of(Balance::Forces(Axis::X)), side),
                all(&of(Balance::Forces(Axis::Y)), side),
            );
            let moments = [0, 1].map(|about| all(&of(Balance::Moments(about)), side));
            close(moments[0], moments[1] + cross(way, resultant))?;
        }
    }

    /// The opposite force in the opposite direction is the same force.
    #[test]
    fn the_opposite_of_the_opposite_is_the_same((direction, _) in direction(), (axis, _) in direction()) {
        let here = direction.component(&axis);
        prop_assert_eq!(direction.clone().opposite().component(&axis).reversed(), here.clone());
        prop_assert_eq!(direction.opposite().component(&axis.opposite()), here);
    }
}

fn written(terms: &[Term], names: &[&str]) -> String {
    let product = |factors: &[Factor]| {
        let part = |factor: &Factor| match factor {
            Factor::Of(id) => names[*id].to_owned(),
            Factor::Sine(angles) => format!("sin({})", angle_written(angles, names)),
            Factor::Cosine(angles) => format!("cos({})", angle_written(angles, names)),
            other => format!("{other:?}"),
        };
        factors.iter().map(part).collect::<Vec<_>>().join(" ")
    };
    let term = |term: &Term| {
        let magnitudes: Vec<&str> = term.magnitudes.iter().map(|id| names[*id]).collect();
        let by: Vec<String> = (term.by.0.iter())
            .map(|it| {
                format!("{} {}", it.number, product(&it.factors))
                    .trim()
                    .to_owned()
            })
            .collect();
        format!("{} ({})", magnitudes.join(" "), by.join("; "))
    };
    terms.iter().map(term).collect::<Vec<_>>().join(", ")
}

fn angle_written(angles: &Angles, names: &[&str]) -> String {
    let one = |(sign, id): &(Sign, Id)| {
        let sign = if *sign == Sign::Plus { "+" } else { "-" };
        format!("{sign}{}", names[*id])
    };
    angles.iter().map(one).collect()
}

/// Only the author's angle stands in a component, and no quarter turn.
#[test]
fn components_are_written_with_the_angles_of_the_author() {
    let names = ["F", "alpha", "theta"];
    let above_left = Direction::turned(2, vec![(Sign::Minus, 1)]);
    let body = |direction, x: Direction| Body {
        frame: frame(x.clone(), x.quarter()),
        places: Vec::new(),
        actions: vec![Action::Force {
            magnitude: 0,
            direction,
            at: None,
        }],
    };
    let both = |body: &Body| {
        [Axis::X, Axis::Y].map(|axis| {
            written(
                &balance(body, Balance::Forces(axis)).expect("no moments"),
                &names,
            )
        })
    };
    assert_eq!(
        both(&body(above_left.clone(), Direction::right())),
        ["F (-1 cos(+alpha))", "F (1 sin(+alpha))"]
    );
    let incline = Direction::turned(0, vec![(Sign::Plus, 2)]);
    assert_eq!(
        both(&body(Direction::quarters(3), incline.clone())),
        ["F (-1 sin(+theta))", "F (-1 cos(+theta))"]
    );
    assert_eq!(both(&body(incline.clone(), incline)), ["F (1)", ""]);
}

/// What has no place has no moment to be counted.
#[test]
fn a_force_without_a_place_is_told() {
    let body = Body {
        frame: frame(Direction::right(), Direction::up()),
        places: vec![Place::default()],
        actions: vec![Action::Force {
            magnitude: 0,
            direction: Direction::up(),
            at: None,
        }],
    };
    assert_eq!(balance(&body, Balance::Moments(0)), Err(Lack::Place(0)));
}
