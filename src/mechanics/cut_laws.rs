//! Cut members against plain vectors and many strips at random numbers.

use proptest::prelude::*;

use super::laws::{VALUES, Vector, close, cross, direction, place};
use super::{
    Acting, Action, Body, Crooked, Direction, Frame, Id, Inner, Leg, Load, Member, Place, Sum,
    Surface, Turn, Uncut, Water,
};

/// The number of the distance of the cut.
const X: Id = VALUES.len();

/// What acts, by the numbers of places on the member.
#[derive(Debug, Clone)]
enum Act {
    Force((Direction, Vector), Id, usize),
    Couple(bool, Id, usize),
    /// Its kind, its direction, its ends, its places.
    Load(u8, (Direction, Vector), [Option<Id>; 2], [usize; 2]),
    Water(Vec<Id>, Option<Id>, bool, [usize; 2]),
}

fn act() -> impl Strategy<Value = Act> {
    let id = || 0usize..8;
    let two = || (0usize..4, 1usize..4).prop_map(|(one, more)| [one, (one + more) % 4]);
    let end = || prop_oneof![3 => id().prop_map(Some), 1 => Just(None)];
    prop_oneof![
        3 => (direction(), id(), 0usize..4).prop_map(|(way, size, at)| Act::Force(way, size, at)),
        1 => (any::<bool>(), id(), 0usize..4).prop_map(|(turn, size, at)| Act::Couple(turn, size, at)),
        4 => (0u8..4, direction(), end(), end(), any::<bool>(), two()).prop_map(
            |(kind, way, one, other, is_even, places)| {
                Act::Load(kind, way, [one, if is_even { one } else { other }], places)
            }
        ),
        1 => (prop::collection::vec(id(), 1..3), prop::option::of(id()), any::<bool>(), two())
            .prop_map(|(sizes, height, left, places)| Act::Water(sizes, height, left, places)),
    ]
}

fn nothing(sum: &Sum) -> bool {
    sum.value(&|id| VALUES[id]).abs() < 1e-9
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// What holds both sides of a cut together is what acts between the first place and it, strip
    /// by strip; and M changes along the member at the rate V.
    #[test]
    fn a_cut_holds_what_acts_before_it(
        (along, unit) in direction(),
        (first, from) in place(),
        legs in prop::collection::vec(0usize..8, 3),
        acts in prop::collection::vec(act(), 1..5),
        share in 0.01..0.99_f64,
    ) {
        let leg = |length: &Id| Leg { length: *length, direction: along.clone() };
        let mut places = vec![first.clone()];
        let mut far = vec![0.0];
        for (at, length) in legs.iter().enumerate() {
            places.push(first.by(legs[..=at].iter().map(leg)));
            far.push(far[at] + VALUES[*length]);
        }
        // The surface of water is as high as the first place, or higher.
        let body = Body {
            frame: Frame { x: Direction::right(), y: Direction::up(), turn: Turn::Anticlockwise, only: None },
            places,
            actions: acts.iter().map(action).collect(),
        };
        let couple_at = |of: usize| match &acts[of] {
            Act::Couple(_, _, at) => Some(*at),
            _ => None,
        };
        let member = Member::new(&body, &[[0, 2], [2, 3]], &nothing).expect("one line");
        let level = member.along.on_the_page()[0].clone().without_sign();
        let has_level = acts.iter().any(|act| matches!(act, Act::Load(1, ..)));
        prop_assume!(!has_level || level.value(&|id| VALUES[id]) > 0.0);
        let acting = member.cut(&body, X, &couple_at).expect("all is on it");
        let x = share * far[3];
        let left = (-unit.1, unit.0);
        let mut wanted = [0.0; 3];
        let mut size = 1.0;
        let mut count = |force: Vector, at: f64| {
            if at < x {
                let (forward, aside) = (dot(force, unit), dot(force, left));
                wanted[0] -= forward;
                wanted[1] += aside;
                wanted[2] += aside * (x - at);
                size += force.0.abs() + force.1.abs();
            }
        };
        let mut turned = 0.0;
        for act in &acts {
            match act {
                Act::Force((_, way), id, at) => count(scaled(*way, VALUES[*id]), far[*at]),
                Act::Couple(is_clockwise, id, at) => {
                    let sign = if *is_clockwise { 1.0 } else { -1.0 };
                    turned += if far[*at] < x { sign * VALUES[*id] } else { 0.0 };
                }
                Act::Load(..) | Act::Water(..) => {
                    for (force, at) in strips(act, &far, unit, from) {
                        count(force, at);
                    }
                }
            }
        }
        wanted[2] += turned;
        for (inner, wanted) in Inner::ALL.into_iter().zip(wanted) {
            let found = all(&acting, inner, x, &far);
            prop_assert!((found - wanted).abs() < 4e-3 * size, "{inner:?}: {found} and {wanted}");
        }
        // Between places the moment is a polynomial whose slope the shear is.
        let step = 1e-5;
        let is_smooth = far.iter().all(|at| (at - x).abs() > 2.0 * step);
        if is_smooth {
            let moment = |x: f64| all(&acting, Inner::Moment, x, &far);
            let slope = (moment(x + step) - moment(x - step)) / (2.0 * step);
            let shear = all(&acting, Inner::Shear, x, &far);
            prop_assert!((slope - shear).abs() < 1e-4 * size, "{slope} and {shear}");
        }
    }

    /// Behind everything the cut holds what the balances of the body count.
    #[test]
    fn behind_the_end_the_balances_are_left(
        (along, _) in direction(),
        (first, from) in place(),
        legs in prop::collection::vec(0usize..8, 3),
        forces in prop::collection::vec((direction(), 0usize..8, 0usize..4), 1..5),
    ) {
        let leg = |length: &Id| Leg { length: *length, direction: along.clone() };
        let places: Vec<Place> = std::iter::once(first.clone())
            .chain((1..4).map(|many| first.by(legs[..many].iter().map(leg))))
            .collect();
        let far: Vec<f64> = (0..4).map(|many| legs[..many].iter().map(|it| VALUES[*it]).sum()).collect();
        let body = Body {
            frame: Frame { x: Direction::right(), y: Direction::up(), turn: Turn::Anticlockwise, only: None },
            places,
            actions: (forces.iter())
                .map(|((direction, _), magnitude, at)| Action::Force {
                    magnitude: *magnitude,
                    direction: direction.clone(),
                    at: Some(*at),
                })
                .collect(),
        };
        let member = Member::new(&body, &[[0, 3]], &nothing).expect("one line");
        let acting = member.cut(&body, X, &|_| None).expect("all is on it");
        let unit = {
            let [x, y] = member.along.on_the_page().map(|part| part.value(&|id| VALUES[id]));
            (x, y)
        };
        let end = (from.0 + far[3] * unit.0, from.1 + far[3] * unit.1);
        let mut moment = 0.0;
        for ((_, way), magnitude, at) in &forces {
            let at = (from.0 + far[*at] * unit.0, from.1 + far[*at] * unit.1);
            moment += VALUES[*magnitude] * cross((at.0 - end.0, at.1 - end.1), *way);
        }
        let value = |id: Id| if id == X { far[3] } else { VALUES[id] };
        let left: f64 = acting.iter().map(|it| it.value(Inner::Moment, false, &value)).sum();
        close(left, -moment)?;
    }
}

fn action(act: &Act) -> Action {
    match act.clone() {
        Act::Force((direction, _), magnitude, at) => Action::Force {
            magnitude,
            direction,
            at: Some(at),
        },
        Act::Couple(is_clockwise, magnitude, _) => Action::Couple {
            magnitude,
            turn: match is_clockwise {
                true => Turn::Clockwise,
                false => Turn::Anticlockwise,
            },
        },
        Act::Load(kind, (direction, _), ends, places) => Action::Load {
            ends,
            lies: match kind {
                0 => Load::PerLength(direction),
                1 => Load::PerLevelLength(direction),
                kind => Load::Square {
                    from_the_left: kind == 2,
                    side: Direction::up(),
                },
            },
            places,
        },
        Act::Water(magnitudes, height, from_the_left, places) => Action::Water(Water {
            magnitudes,
            surface: height.map(|height| Surface {
                place: 0,
                height: Some(height),
            }),
            from_the_left,
            side: Direction::up(),
            places,
        }),
    }
}

/// What is spread as forces on many strips, each with its distance from the first place.
fn strips(act: &Act, far: &[f64], unit: Vector, _: Vector) -> Vec<(Vector, f64)> {
    const STRIPS: usize = 4000;
    let places = match act {
        Act::Load(_, _, _, places) | Act::Water(_, _, _, places) => *places,
        Act::Force(..) | Act::Couple(..) => return Vec::new(),
    };
    let [begin, end] = places.map(|at| far[at]);
    let long = (end - begin).abs();
    // Where its own way goes, and the left of that.
    let way = scaled(unit, (end - begin).signum());
    let right = (way.1, -way.0);
    let strip = |number: usize| {
        let share = (number as f64 + 0.5) / STRIPS as f64;
        let at = begin + share * (end - begin);
        let width = long / STRIPS as f64;
        let force = match act {
            Act::Load(kind, (_, vector), ends, _) => {
                let [one, other] = ends.map(|end| end.map_or(0.0, |id| VALUES[id]));
                let size = (one + share * (other - one)) * width;
                match kind {
                    0 => scaled(*vector, size),
                    1 => scaled(*vector, size * unit.0.abs()),
                    2 => scaled(right, size),
                    _ => scaled(right, -size),
                }
            }
            Act::Water(sizes, height, from_the_left, _) => {
                let size: f64 = sizes.iter().map(|id| VALUES[*id]).product();
                let depth = height.map_or(1.0, |id| VALUES[id] - at * unit.1);
                let sign = if *from_the_left { 1.0 } else { -1.0 };
                scaled(right, sign * size * depth * width)
            }
            Act::Force(..) | Act::Couple(..) => (0.0, 0.0),
        };
        (force, at)
    };
    (0..STRIPS).map(strip).collect()
}

fn all(acting: &[Acting], inner: Inner, x: f64, far: &[f64]) -> f64 {
    let value = |id: Id| if id == X { x } else { VALUES[id] };
    let one = |it: &Acting| match it.places.map(|at| far[at] < x) {
        [false, _] => 0.0,
        [true, is_behind] => it.value(inner, !is_behind, &value),
    };
    acting.iter().map(one).sum()
}

fn dot(one: Vector, other: Vector) -> f64 {
    one.0 * other.0 + one.1 * other.1
}

fn scaled((x, y): Vector, by: f64) -> Vector {
    (by * x, by * y)
}

fn level(length: Id) -> Leg {
    Leg {
        length,
        direction: Direction::right(),
    }
}

fn upright(length: Id) -> Leg {
    Leg {
        length,
        direction: Direction::up(),
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

#[test]
fn members_in_one_line_are_one_and_others_are_refused() {
    let start = Place::default();
    let places = vec![
        start.clone(),
        start.by([level(0)]),
        start.by([level(0), level(1)]),
        start.by([level(0), upright(1)]),
    ];
    let body = body(places, Vec::new());
    let member = |parts: &[[usize; 2]]| Member::new(&body, parts, &nothing);
    let chain = |parts: &[[usize; 2]]| member(parts).map(|it| it.chain);
    assert_eq!(chain(&[[0, 1], [1, 2]]), Ok(vec![0, 1, 2]));
    // The first part says which way it goes.
    assert_eq!(chain(&[[1, 2], [0, 1]]), Ok(vec![0, 1, 2]));
    assert_eq!(chain(&[[2, 1], [0, 1]]), Ok(vec![2, 1, 0]));
    assert_eq!(chain(&[]), Err(Crooked::None));
    assert_eq!(chain(&[[0, 1], [2, 3]]), Err(Crooked::Parted));
    assert_eq!(chain(&[[0, 1], [1, 2], [1, 3]]), Err(Crooked::Parted));
    assert_eq!(chain(&[[0, 1], [1, 3]]), Err(Crooked::Bent(1)));
    assert_eq!(chain(&[[0, 0]]), Err(Crooked::Parted));
}

#[test]
fn a_place_on_an_oblique_member_is_a_part_of_it() {
    let start = Place::default();
    let end = start.by([level(0), upright(1)]);
    let middle = Place::middle(&start, &end);
    let aside = start.by([level(0)]);
    let force = |at: usize| Action::Force {
        magnitude: 2,
        direction: Direction::up(),
        at: Some(at),
    };
    let on = body(
        vec![start.clone(), end.clone(), middle.clone()],
        vec![force(2)],
    );
    let member = Member::new(&on, &[[0, 1]], &nothing).expect("one line");
    let far = member.far(2).expect("it is on the member");
    let half = VALUES[0].hypot(VALUES[1]) / 2.0;
    assert!((far.value(&|id| VALUES[id]) - half).abs() < 1e-12);
    let off = body(vec![start, end, middle, aside], vec![force(3)]);
    let member = Member::new(&off, &[[0, 1]], &nothing).expect("one line");
    assert_eq!(member.cut(&off, X, &|_| None), Err(Uncut::Off(0, 3)));
}
