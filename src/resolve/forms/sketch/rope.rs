//! Ropes on wheels: a rope leaves its wheel as a tangent.

use super::super::super::Resolver;
use super::{ActOf, Sketch, Told};
use crate::diagnostic::Code;
use crate::mechanics::{Action, Direction, Sum};
use crate::syntax::ActKind;

/// A cable at a place that is one radius off the middle of a wheel.
#[derive(Debug, Clone, PartialEq)]
pub struct Rope {
    /// The number of what acts.
    pub act: usize,
    /// The numbers of the middle of the wheel, and of the place on its rim.
    pub places: [usize; 2],
    /// Where the place lies from the middle.
    pub arm: Direction,
    /// Where the rope goes.
    pub direction: Direction,
}

impl Rope {
    /// What of its direction lies along the arm: nothing for a tangent.
    pub fn off(&self) -> Sum {
        self.direction.component(&self.arm)
    }
}

impl Sketch {
    /// Its ropes on wheels.
    pub fn ropes(&self) -> impl Iterator<Item = Rope> {
        let acts = self.body.actions.iter().zip(&self.acts).enumerate();
        acts.filter_map(|(number, (action, act))| {
            let Action::Force {
                direction,
                at: Some(at),
                ..
            } = action
            else {
                return None;
            };
            let Some(Told::Legs(middle, legs)) = self.told.get(*at) else {
                return None;
            };
            let [leg] = legs.as_slice() else {
                return None;
            };
            let is_rope = act.kind == ActOf::Force(ActKind::Cable);
            let is_rim = self.wheels.contains(&(*middle, leg.length));
            (is_rope && is_rim).then(|| Rope {
                act: number,
                places: [*middle, *at],
                arm: leg.direction.clone(),
                direction: direction.clone(),
            })
        })
    }

    /// How a rope would have to go, and what to write instead.
    pub fn rope_told(&self, rope: &Rope) -> (String, String) {
        let [middle, at] = rope
            .places
            .map(|it| self.places.get(it).map_or("", |it| &*it.text));
        let way = match rope.arm.quarters_from(&Direction::right()) {
            Some(0 | 2) => "upright".to_owned(),
            Some(1 | 3) => "level".to_owned(),
            _ => format!("square to {middle}{at}"),
        };
        (
            format!(
                "at `{at}` the rope would have to be {way}: it leaves the wheel as its tangent"
            ),
            format!("another place on the rim, whose leg from `{middle}` is square to the rope"),
        )
    }
}

impl Resolver<'_> {
    /// Whether no rope leaves its wheel along a radius, as far as algebra tells.
    pub(super) fn ropes_are_tangents(&mut self, sketch: &Sketch) -> bool {
        let is_radial =
            |rope: &super::Rope| matches!(rope.direction.quarters_from(&rope.arm), Some(0 | 2));
        let radial: Vec<super::Rope> = sketch.ropes().filter(is_radial).collect();
        for rope in &radial {
            let (message, help) = sketch.rope_told(rope);
            let span = sketch
                .acts
                .get(rope.act)
                .map(|it| it.span)
                .unwrap_or_default();
            self.refuse_sketch(Code::G36, span, message, help);
        }
        radial.is_empty()
    }
}
