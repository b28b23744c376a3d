//! `opposite to F of wagon`: what acts on one body is the opposite of what acts on another.

use super::super::super::Resolver;
use super::{Draft, Mark, Sketch};
use crate::diagnostic::Code;
use crate::mechanics::{Action, Direction, Turn};
use crate::syntax::{self, Word};
use crate::text::Span;

impl Resolver<'_> {
    /// The force of another sketch has to be there, at the place of the same name, and opposite.
    pub(super) fn opposite_force(
        &mut self,
        draft: &Draft,
        (magnitude, label): (Span, &Word),
        direction: &Direction,
        at: Option<usize>,
    ) -> Option<()> {
        let other = self.sketch_labelled(label)?;
        if other.is_incomplete {
            // A refused line may be its counterpart.
            return Some(());
        }
        let here = at.and_then(|at| draft.sketch.places.get(at));
        let why = self.not_opposite(&other, magnitude, |action| match action {
            Action::Force {
                direction: there,
                at,
                ..
            } => {
                let there_at = at.and_then(|at| other.places.get(at));
                let is_same_place = here.map(|it| &it.text) == there_at.map(|it| &it.text);
                if !is_same_place {
                    return Some("acts at another place there");
                }
                (direction.quarters_from(there) != Some(2))
                    .then_some("does not act in the opposite direction there")
            }
            _ => Some("is no force there"),
        });
        self.told_opposite(magnitude, label, why)
    }

    /// The same of a moment.
    pub(super) fn opposite_moment(
        &mut self,
        (magnitude, label): &(syntax::Expr, Word),
        turn: Turn,
    ) -> Option<()> {
        let other = self.sketch_labelled(label)?;
        if other.is_incomplete {
            return Some(());
        }
        let why = self.not_opposite(&other, magnitude.span, |action| match action {
            Action::Couple { turn: there, .. } => {
                (turn == *there).then_some("turns the same way there")
            }
            _ => Some("is no moment there"),
        });
        self.told_opposite(magnitude.span, label, why)
    }

    /// Heat or power: what goes in here comes out there.
    pub(super) fn opposite_rate(
        &mut self,
        (magnitude, label): &(syntax::Expr, Word),
        is_power: bool,
        is_in: bool,
    ) -> Option<()> {
        let other = self.sketch_labelled(label)?;
        if other.is_incomplete {
            return Some(());
        }
        let wanted = self.words(magnitude.span);
        let mut why = Some("is nothing there");
        let flows = other.flows.iter();
        let all = flows.flat_map(|it| it.volume.exchanges.iter().zip(&it.exchanges));
        for (exchange, span) in all {
            if self.words(*span) == wanted && why.is_some() {
                why = if exchange.is_power != is_power {
                    Some("is not the same kind there: one is heat, one power")
                } else if exchange.is_in == is_in {
                    Some("goes the same way there: what comes in here has to go out there")
                } else {
                    None
                };
            }
        }
        self.told_opposite(magnitude.span, label, why)
    }

    /// A formula without its blanks.
    fn words(&self, span: Span) -> String {
        span.of(self.text).split_whitespace().collect()
    }

    /// All forces that a support carries.
    pub(super) fn opposite_support(
        &mut self,
        draft: &Draft,
        label: &Word,
        acts: &[(Action, Span, Mark)],
    ) -> Option<()> {
        for (action, span, _) in acts {
            if let Action::Force { direction, at, .. } = action {
                self.opposite_force(draft, (*span, label), direction, *at)?;
            }
        }
        Some(())
    }

    /// Why nothing of that magnitude is the opposite; nothing where something is.
    fn not_opposite(
        &self,
        other: &Sketch,
        magnitude: Span,
        lacks: impl Fn(&Action) -> Option<&'static str>,
    ) -> Option<&'static str> {
        let wanted = self.words(magnitude);
        let mut why = "is nothing there";
        for (action, act) in other.body.actions.iter().zip(&other.acts) {
            if self.words(act.span) == wanted {
                why = lacks(action)?;
            }
        }
        Some(why)
    }

    fn told_opposite(&mut self, span: Span, label: &Word, why: Option<&'static str>) -> Option<()> {
        let Some(why) = why else {
            return Some(());
        };
        let written = span.of(self.text);
        self.refuse_sketch(
            Code::G28,
            span,
            format!("of the sketch `{}`, `{written}` {why}", label.text),
            "the opposite direction, at the place of the same name".to_owned(),
        );
        None
    }
}
