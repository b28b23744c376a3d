//! A sketch as it turned out, and what is drawn to a scale.

use super::{Direction, Drawing};
use crate::drawing::sketch::{ScaleBar, Towards};
use crate::mechanics::{self, Action};
use crate::page::tree::Text;
use crate::resolve::statement::{self, Scale, Told};
use crate::typeset::{self, Run};
use crate::worksheet::Sense;

/// How long the thin arrow of a force of 0 is beside others to a scale, in millimetres.
const ZERO: f64 = 7.0;

impl Drawing<'_> {
    /// Whether arrows point as they turned out.
    pub(super) fn is_found(&self) -> bool {
        self.of.found_of.is_some()
    }

    fn sense(&self, id: usize) -> Sense {
        self.sketch
            .senses
            .get(id)
            .copied()
            .unwrap_or(Sense::Unknown)
    }

    /// Whether a magnitude is drawn the other way than it was told.
    pub(super) fn is_back(&self, id: usize) -> bool {
        self.is_found() && self.sense(id) == Sense::Back
    }

    pub(super) fn turned(&self, action: &Action) -> bool {
        action.magnitude().is_some_and(|id| self.is_back(id))
    }

    pub(super) fn is_zero(&self, action: &Action) -> bool {
        let is_zero = |id| self.sense(id) == Sense::Zero;
        self.is_found() && action.magnitude().is_some_and(is_zero)
    }

    /// What acts or flows, as it is written, with its value where that is asked for. As found it has
    /// its value, and is a magnitude where its arrow was turned.
    pub(super) fn magnitude(&self, id: usize) -> Vec<Run> {
        let has_number = self.of.look.numbers.unwrap_or(self.is_found());
        let is_back = self.is_back(id);
        let symbols = self.symbols(id);
        let mut runs = if is_back { in_bars(symbols) } else { symbols };
        if has_number && let Some(shown) = self.sketch.shown.get(id).and_then(Option::as_deref) {
            runs.push(Run::words(" "));
            let result = match is_back {
                true => typeset::result("=", &shown.magnitude()),
                false => typeset::result("=", shown),
            };
            runs.extend(typeset::runs(&result));
        }
        runs
    }

    /// A direction, or the one against it.
    pub(super) fn direction_found(
        &self,
        direction: &mechanics::Direction,
        mark: statement::Mark,
        is_back: bool,
    ) -> Direction {
        let found = self.direction(direction, mark);
        let towards = match found.towards {
            _ if !is_back => found.towards,
            Towards::Angle(angle) => Towards::Angle(angle + std::f64::consts::PI),
            Towards::Place(place) => Towards::AwayFrom(place),
            Towards::AwayFrom(place) => Towards::Place(place),
        };
        Direction { towards, ..found }
    }

    /// How long the arrow of a force is, in millimetres.
    pub(super) fn force_length(&self, action: &Action) -> Option<f64> {
        let scale = self.of.scales.forces.as_ref()?;
        let value = self.value(action.magnitude()?)?;
        // What is nothing is seen all the same.
        Some(match self.is_zero(action) {
            true => ZERO,
            false => millimetres(scale, value),
        })
    }

    /// How long the arrow of a speed is.
    pub(super) fn speed_length(&self, speed: Option<f64>) -> Option<f64> {
        Some(millimetres(self.of.scales.speeds.as_ref()?, speed?))
    }

    /// Millimetres for one unit of length; nothing where a length has no value.
    pub(super) fn length_scale(&self) -> Option<f64> {
        let scale = self.of.scales.lengths.as_ref()?;
        let lacks = self
            .lengths()
            .into_iter()
            .any(|id| self.value(id).is_none());
        (!lacks).then(|| millimetres(scale, 1.0))
    }

    /// The lengths by which places are told.
    fn lengths(&self) -> Vec<usize> {
        let legs = self.of.told.iter().flat_map(|told| match told {
            Told::Legs(_, legs) => legs.iter().map(|leg| leg.length).collect(),
            Told::Beginning | Told::Middle(_) => Vec::new(),
        });
        let radii = self.of.wheels.iter().map(|(_, radius)| *radius);
        let surfaces = self
            .of
            .body
            .actions
            .iter()
            .filter_map(|action| match action {
                Action::Water(water) => water.surface.as_ref()?.height,
                _ => None,
            });
        legs.chain(radii).chain(surfaces).collect()
    }

    /// The bars of what is drawn to a scale.
    pub(super) fn scale_bars(&self) -> Vec<ScaleBar> {
        let scales = &self.of.scales;
        let forces = scales.forces.iter().filter(|_| {
            let mut acts = self.of.body.actions.iter();
            acts.any(|it| self.force_length(it).is_some())
        });
        let lengths = scales
            .lengths
            .iter()
            .filter(|_| self.length_scale().is_some());
        let all = forces.chain(lengths).chain(&scales.speeds);
        all.map(|scale| ScaleBar {
            length: 1e3 * scale.on_paper,
            label: typeset::runs(&typeset::math(&scale.written, &self.page.context)),
        })
        .collect()
    }

    /// Says what has no value, and so no scale or no sense that it turned out to have.
    pub(super) fn without_scale(&self, text: &mut Text) {
        let mut without: Vec<usize> = Vec::new();
        let mut add = |ids: &mut dyn Iterator<Item = usize>| {
            for id in ids {
                if self.value(id).is_none() && !without.contains(&id) {
                    without.push(id);
                }
            }
        };
        if self.is_found() || self.of.scales.forces.is_some() {
            add(&mut self.of.body.actions.iter().filter_map(Action::magnitude));
        }
        if self.of.scales.lengths.is_some() {
            add(&mut self.lengths().into_iter());
        }
        if without.is_empty() {
            return;
        }
        text.say(match self.is_found() {
            true => " Without a value, and drawn as in the sketch: ",
            false => " Without a value, and not to scale: ",
        });
        for (number, id) in without.iter().enumerate() {
            if number > 0 {
                text.say(", ");
            }
            if let Some(expr) = self.of.quantities.get(*id) {
                text.formula(typeset::math(expr, &self.page.context));
            }
        }
        text.say(".");
    }
}

/// `|R_x|`
pub(super) fn in_bars(runs: Vec<Run>) -> Vec<Run> {
    let bar = || Run::words("|");
    std::iter::once(bar()).chain(runs).chain([bar()]).collect()
}

fn millimetres(scale: &Scale, value: f64) -> f64 {
    1e3 * scale.on_paper * value.abs() / scale.of
}
