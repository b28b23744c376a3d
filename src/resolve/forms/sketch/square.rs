//! What is written for two forces that are to be square to each other.

use crate::mechanics::{Action, Direction, Id};
use crate::syntax::{Bearing, Course, ReactionWay, Support, Turned};

/// An angle that tells both, where nothing is square to a direction by its own words.
const ANGLE: &str = "gamma";

/// The forces of a support, square to each other: the first as it is, and the second along what is
/// square to it and nearest to where it points.
pub(super) fn square(support: &Support, acts: [&Action; 2], text: &str) -> Option<String> {
    let forces = support.reactions.iter().filter_map(|it| match &it.way {
        ReactionWay::Force(direction) => Some((it.magnitude.span.of(text), direction)),
        ReactionWay::Moment { .. } => None,
    });
    let [(first, way), (second, _)] = forces.collect::<Vec<_>>().try_into().ok()?;
    let [one, other] = acts.map(|action| match action {
        Action::Force { direction, .. } => angle(direction),
        _ => None,
    });
    let is_left = (other? - one?).sin() >= 0.0;
    let quarters = if is_left { 1 } else { 3 };
    let written = way.span.of(text);
    let told = match &way.course {
        Course::Bearing(bearing) => Some(word(bearing.quarters() + quarters).to_owned()),
        Course::Angle(by, Turned::From(from, toward)) => {
            Some(turned(by.span.of(text), [*from, *toward], quarters))
        }
        Course::Incline(first) => along_the_incline(*first + quarters).map(str::to_owned),
        Course::Angle(_, Turned::FromX)
        | Course::Slope(_)
        | Course::Place { .. }
        | Course::Reader { .. } => None,
    };
    if let Some(told) = told {
        return Some(format!("`{first} {written}, {second} {told}`"));
    }
    let (x, y) = (one?.cos(), one?.sin());
    let level = if x < 0.0 {
        Bearing::Left
    } else {
        Bearing::Right
    };
    let upright = if y < 0.0 { Bearing::Down } else { Bearing::Up };
    let both = [level, upright];
    Some(format!(
        "an angle for both: `{first} {}, {second} {}`, with `{ANGLE}` given or derived",
        turned(ANGLE, both, 0),
        turned(ANGLE, both, quarters)
    ))
}

/// Where a direction points where nothing has a value.
fn angle(direction: &Direction) -> Option<f64> {
    // No two ways are in line by chance.
    direction.radians(&|id: Id| 0.6 + 0.1 / (id as f64 + 1.0))
}

/// A direction that is told by an angle, so many quarter turns on.
fn turned(by: &str, [from, toward]: [Bearing; 2], quarters: u8) -> String {
    let [from, toward] = [from, toward].map(|it| it.quarters() + quarters);
    let (from, toward) = (word(from), word(toward));
    match from {
        "right" | "left" => {
            let side = if toward == "up" { "above" } else { "below" };
            format!("at {by} {side} {from}")
        }
        _ => format!("at {by} {toward} of {from}"),
    }
}

fn word(quarters: u8) -> &'static str {
    ["right", "up", "left", "down"][usize::from(quarters % 4)]
}

fn along_the_incline(quarters: u8) -> Option<&'static str> {
    match quarters % 4 {
        0 => Some("up the incline"),
        1 => Some("away from the incline"),
        2 => Some("down the incline"),
        _ => None,
    }
}
