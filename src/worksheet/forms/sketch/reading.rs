//! A sketch with some values: those of the data, or those of a what-if.

use super::told::Role;
use crate::evaluate::Magnitude;
use crate::mechanics::{Id, Motion, Sum};
use crate::resolve::statement::{self, Condition};
use crate::worksheet::model::{Phrase, Sense};

/// Below this part of the largest of its kind a number is what is left of rounding.
const ROUNDING: f64 = 1e-12;

/// What an inlet says that moves away from its stream.
pub(super) const LEFT_BEHIND: &str = "is left behind by the motion: nothing arrives there";

/// A sketch with values of its quantities.
#[derive(Debug, Clone, Copy)]
pub struct Reading<'r> {
    pub of: &'r statement::Sketch,
    pub values: &'r [Option<Magnitude>],
    /// Data that stand for those that are given.
    pub by: &'r [Condition],
}

/// How a magnitude turned out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Outcome {
    pub is_below: bool,
    pub is_zero: bool,
    /// Whether its sign is not certain.
    pub is_uncertain: bool,
}

impl Reading<'_> {
    /// Whether the values are those of the data as given.
    pub(super) fn is_of_the_data(&self) -> bool {
        self.by.is_empty()
    }

    pub(super) fn magnitude(&self, id: Id) -> Option<Magnitude> {
        self.values.get(id).copied().flatten()
    }

    pub(super) fn value(&self, id: Id) -> Option<f64> {
        self.magnitude(id).map(|it| it.value)
    }

    /// The value of a sum; no number where something in it has none.
    pub(super) fn sum(&self, sum: &Sum) -> f64 {
        sum.value(&|id| self.value(id).unwrap_or(f64::NAN))
    }

    /// How the magnitude turned out that a role has.
    pub(super) fn outcome(&self, id: Id) -> Option<Outcome> {
        let found = self.magnitude(id)?;
        let is_zero = found.value == 0.0 || found.value.abs() < ROUNDING * self.largest(id);
        Some(Outcome {
            is_below: found.value < 0.0 && !is_zero,
            is_zero,
            is_uncertain: found.may_be_turned(),
        })
    }

    /// The largest magnitude of the same kind.
    fn largest(&self, id: Id) -> f64 {
        let kind = |role: &Role| match role {
            Role::Act(at) => {
                let action = self.of.body.actions.get(*at);
                (0, action.map(std::mem::discriminant))
            }
            Role::Exchange(_) => (1, None),
            Role::Motion => (2, None),
            Role::Device(_) => (3, None),
        };
        let own: Vec<_> = self.roles(id).iter().map(kind).collect();
        let all = (0..self.of.quantities.len()).filter(|other| {
            self.roles(*other)
                .iter()
                .any(|role| own.contains(&kind(role)))
        });
        let sizes = all.filter_map(|id| self.value(id)).map(f64::abs);
        sizes.fold(0.0, f64::max)
    }

    /// What a section says whose stream goes the other way, seen from its control volume.
    pub(super) fn flows_back(&self, at: usize) -> Option<&'static str> {
        let volume = &self.of.flows.as_ref()?.volume;
        let section = volume.sections.get(at)?;
        let turns = matches!(volume.motion, Motion::Turns { .. });
        let speed = volume.said_speed(section).filter(|_| !turns);
        let flow = volume.flow(at).ok();
        let is_back = |sum: &Option<Sum>| sum.as_ref().is_some_and(|sum| self.sum(sum) < 0.0);
        if !is_back(&speed) && !is_back(&flow) {
            return None;
        }
        // What it moves away from does not arrive.
        let is_of_the_ground = section.speed.is_some_and(|it| !it.is_relative);
        let is_left_behind = matches!(volume.motion, Motion::Moves { .. })
            && section.is_inlet
            && is_of_the_ground
            && section
                .speed
                .and_then(|it| self.value(it.of))
                .is_some_and(|it| it >= 0.0);
        Some(match section.is_inlet {
            true if is_left_behind => LEFT_BEHIND,
            true => "flows the other way: an outlet",
            false => "flows the other way: an inlet",
        })
    }

    /// What is to be said of a magnitude: that it is below zero, or nothing, or of no certain sign.
    pub(super) fn said(&self, id: Id) -> Option<Phrase> {
        let role = self.roles(id).first().copied()?;
        let outcome = self.outcome(id)?;
        let uncertain = "its direction is not certain";
        Some(match outcome {
            Outcome { is_zero: true, .. } => self.zero(role),
            Outcome {
                is_below: true,
                is_uncertain,
                ..
            } => {
                let words = self.below_zero(role);
                match is_uncertain {
                    true => words.between("", &format!("; {uncertain}")),
                    false => words,
                }
            }
            Outcome {
                is_uncertain: true, ..
            } => Phrase::words(uncertain),
            _ => return None,
        })
    }

    /// What is to be said of a magnitude whose arrow points as it turned out.
    pub(super) fn said_as_found(&self, id: Id) -> Option<Phrase> {
        let role = self.roles(id).first().copied()?;
        let outcome = self.outcome(id)?;
        if outcome.is_zero {
            return Some(self.zero(role));
        }
        match outcome.is_uncertain {
            true => Some(Phrase::words("its direction is not certain")),
            false if outcome.is_below => self.way(role, true),
            false => None,
        }
    }

    /// How each quantity turned out, and the stream of each section.
    pub(super) fn senses(&self) -> (Vec<Sense>, Vec<Sense>) {
        let sense = |id: Id| match self.outcome(id) {
            None => Sense::Unknown,
            Some(Outcome { is_zero: true, .. }) => Sense::Zero,
            Some(Outcome { is_below: true, .. }) => Sense::Back,
            Some(_) => Sense::Forward,
        };
        let sections = self
            .of
            .flows
            .iter()
            .flat_map(|it| 0..it.volume.sections.len());
        let stream = |at: usize| match self.flows_back(at) {
            Some(_) => Sense::Back,
            None => Sense::Forward,
        };
        (
            (0..self.of.quantities.len()).map(sense).collect(),
            sections.map(stream).collect(),
        )
    }

    /// The sections whose speed it is.
    pub(super) fn sections_of_speed(&self, id: Id) -> impl Iterator<Item = usize> {
        let flows = self.of.flows.iter();
        let sections = flows.flat_map(|it| it.volume.sections.iter().enumerate());
        let own = sections.filter(move |(_, it)| it.speed.is_some_and(|speed| speed.of == id));
        own.map(|(at, _)| at)
    }
}
