//! `water rho on A to B from left, surface h above A`: fluids at rest on lines of a body.

use super::super::super::{Expr, ExprKind, Resolver};
use super::acts::act_of;
use super::{Act, ActOf, Draft, WaterOn};
use crate::diagnostic::Code;
use crate::mechanics::{self, Action, Direction, Id, Surface};
use crate::syntax;
use crate::text::Span;

/// The name of gravity where no line says another.
const GRAVITY: &str = "g";

impl Resolver<'_> {
    pub(super) fn water(
        &mut self,
        draft: &mut Draft,
        line: Span,
        water: &syntax::Water,
    ) -> Option<()> {
        if draft.sketch.look.from_above {
            self.refuse_sketch(
                Code::G08,
                line,
                "seen from above, no depth is on the page".to_owned(),
                "the sketch without `water`, or without `view from above`".to_owned(),
            );
            return None;
        }
        let [from, to] = &water.places;
        let places = [
            self.place_of_sketch(draft, from)?,
            self.place_of_sketch(draft, to)?,
        ];
        let surface = Surface {
            place: self.place_of_sketch(draft, &water.surface.place)?,
            height: match &water.surface.height {
                Some(height) => Some(self.magnitude(draft, height)?),
                None => None,
            },
        };
        let side = water.edge.0;
        let from_the_left = self.side_of_sketch(draft, places, side, &water.places)?;
        let density = self.magnitude(draft, &water.density)?;
        let gravity = self.gravity(draft, line)?;
        let pressure = match &water.pressure {
            Some(pressure) => Some(self.signed(draft, pressure)?),
            None => None,
        };
        let width = match &water.width {
            Some(width) => Some(self.magnitude(draft, width)?),
            None => None,
        };
        self.once_on_its_line(draft, line, (places, from_the_left))?;
        self.widths_alike(draft, line, width)?;
        let on_line = |magnitudes: Vec<Id>, surface| {
            Action::Water(mechanics::Water {
                magnitudes: magnitudes.into_iter().chain(width).collect(),
                surface,
                from_the_left,
                side: Direction::quarters(side.quarters()),
                places,
            })
        };
        let act = |called, span| Act {
            side: Some(side),
            ..act_of(called, ActOf::Water, span)
        };
        draft.sketch.water.push(WaterOn {
            act: draft.sketch.acts.len(),
            density,
            gravity,
            pressure,
            width,
        });
        draft.act(
            on_line(vec![density, gravity], Some(surface)),
            act("water", water.density.span),
        );
        if let (Some(id), Some(written)) = (pressure, &water.pressure) {
            draft.sketch.gauge.push(id);
            draft.act(on_line(vec![id], None), act("pressure", written.span));
        }
        Some(())
    }

    /// What things weigh for their mass: what a line says, else `g`.
    pub(super) fn gravity(&mut self, draft: &mut Draft, line: Span) -> Option<Id> {
        if let Some(gravity) = draft.gravity {
            return Some(gravity);
        }
        let Some(symbol) = self.symbols.find(self.problem, GRAVITY) else {
            self.refuse_sketch(
                Code::G10,
                line,
                "how strong gravity is, is not said, and what a fluid weighs needs it".to_owned(),
                "`g = 9.81 m/s^2` in `given`, or a line `gravity` with another name".to_owned(),
            );
            return None;
        };
        let expr = Expr {
            span: line,
            kind: ExprKind::Symbol(symbol),
        };
        let id = draft.quantity(GRAVITY, expr);
        draft.sketch.usual.push(("gravity", id));
        Some(id)
    }

    /// `gravity g_m` of what is no control volume: it was noted before all other lines, which may
    /// need it.
    pub(super) fn own_gravity(
        &mut self,
        draft: &mut Draft,
        line: Span,
        value: &syntax::Expr,
    ) -> Option<()> {
        if draft.has_gravity {
            self.said_twice(line, "gravity is said twice");
            return None;
        }
        draft.has_gravity = true;
        self.magnitude(draft, value).map(|_| ())
    }

    /// One fluid on one side of a line.
    fn once_on_its_line(
        &mut self,
        draft: &Draft,
        line: Span,
        (places, from_the_left): ([usize; 2], bool),
    ) -> Option<()> {
        let [from, to] = places;
        let is_same = |action: &Action| match action {
            Action::Water(other) => {
                other.places == places && other.from_the_left == from_the_left
                    || other.places == [to, from] && other.from_the_left != from_the_left
            }
            Action::Force { .. }
            | Action::Couple { .. }
            | Action::Load { .. }
            | Action::Accelerates { .. }
            | Action::Turns { .. } => false,
        };
        if draft.sketch.body.actions.iter().any(is_same) {
            self.said_twice(line, "there is water on this side of the line already");
            return None;
        }
        Some(())
    }

    /// Without a width everything is for a unit of it.
    fn widths_alike(&mut self, draft: &Draft, line: Span, width: Option<Id>) -> Option<()> {
        let first = draft.sketch.water.first();
        if first.is_none_or(|first| first.width.is_some() == width.is_some()) {
            return Some(());
        }
        let message = match width {
            Some(_) => "this water has a width, and that above is for a unit of width",
            None => "this water is for a unit of width, and that above has a width",
        };
        self.refuse_sketch(
            Code::G35,
            line,
            message.to_owned(),
            "`, width b` after both, or after neither".to_owned(),
        );
        None
    }
}
