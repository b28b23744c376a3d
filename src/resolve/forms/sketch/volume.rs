//! What a control volume does beside its sections, and what has to fit together of it.

use super::super::super::{Expr, ExprKind, Resolver};
use super::{Draft, Flows, SectionSaid};
use crate::diagnostic::Code;
use crate::mechanics::{
    Action, Exchange, Gathered, Id, Motion, Opening, Part, Pressure, Section, Turn,
};
use crate::syntax::{self, Attribute, GatheredOf, MediumKind, SketchKind, VolumeShape, Word};
use crate::text::Span;

impl<'a> Resolver<'a> {
    /// Heat or power.
    pub(super) fn exchange(
        &mut self,
        draft: &mut Draft,
        exchange: Exchange,
        span: Span,
    ) -> Option<()> {
        let flows = draft.sketch.flows.as_mut()?;
        let number = flows.volume.exchanges.len();
        flows.volume.order.push(Part::Exchange(number));
        flows.volume.exchanges.push(exchange);
        flows.exchanges.push(span);
        Some(())
    }

    /// `accumulation of mass mdot`
    pub(super) fn gathered(
        &mut self,
        draft: &mut Draft,
        line: Span,
        of: &syntax::GatheredOf,
        magnitude: &syntax::Expr,
    ) -> Option<()> {
        let id = self.signed(draft, magnitude)?;
        let gathered = match of {
            GatheredOf::Mass => Gathered::Mass(id),
            GatheredOf::Energy => Gathered::Energy(id),
            GatheredOf::Momentum(direction) => {
                Gathered::Momentum(id, self.direction(draft, direction, None)?.0)
            }
        };
        let is_same = |it: &Gathered| {
            matches!(
                (it, &gathered),
                (Gathered::Mass(_), Gathered::Mass(_)) | (Gathered::Energy(_), Gathered::Energy(_))
            )
        };
        let flows = draft.sketch.flows.as_mut()?;
        if flows.volume.gathered.iter().any(is_same) {
            self.said_twice(line, "what gathers of this is said twice");
            return None;
        }
        let number = flows.volume.gathered.len();
        flows.volume.order.push(Part::Gathered(number));
        flows.volume.gathered.push(gathered);
        flows.gathered.push(magnitude.span);
        Some(())
    }

    /// `moves U right`
    pub(super) fn moves(
        &mut self,
        draft: &mut Draft,
        line: Span,
        speed: &syntax::Expr,
        direction: &syntax::Direction,
    ) -> Option<()> {
        let id = self.magnitude(draft, speed)?;
        let (direction, mark) = self.direction(draft, direction, None)?;
        self.one_motion(draft, line, "moves")?;
        let flows = draft.sketch.flows.as_mut()?;
        flows.volume.motion = Motion::Moves {
            speed: id,
            direction,
        };
        flows.motion = Some((speed.span, mark));
        Some(())
    }

    /// `turns omega clockwise about O`
    pub(super) fn rotates(
        &mut self,
        draft: &mut Draft,
        line: Span,
        (speed, turn): (&syntax::Expr, Turn),
        about: &Word,
    ) -> Option<()> {
        let id = self.magnitude(draft, speed)?;
        self.one_motion(draft, line, "turns")?;
        // Its line may stand above that of the place.
        draft.about = Some(about.clone());
        let flows = draft.sketch.flows.as_mut()?;
        flows.volume.motion = Motion::Turns {
            speed: id,
            turn,
            about: usize::MAX,
        };
        flows.motion = Some((speed.span, super::Mark::Words));
        Some(())
    }

    fn one_motion(&mut self, draft: &Draft, line: Span, word: &str) -> Option<()> {
        let before = match draft.sketch.flows.as_ref()?.volume.motion {
            Motion::Still => return Some(()),
            Motion::Moves { .. } => "moves",
            Motion::Turns { .. } => "turns",
        };
        if before == word {
            self.said_twice(line, "how it moves is said twice");
        } else {
            self.refuse_sketch(
                Code::G31,
                line,
                "a control volume moves or turns, not both".to_owned(),
                "one of the two lines".to_owned(),
            );
        }
        None
    }

    /// `density rho`
    pub(super) fn medium(
        &mut self,
        draft: &mut Draft,
        line: Span,
        kind: MediumKind,
        expr: &syntax::Expr,
    ) -> Option<()> {
        let id = self.magnitude(draft, expr)?;
        let flows = draft.sketch.flows.as_mut()?;
        let medium = &mut flows.volume.medium;
        let own = match kind {
            MediumKind::Density => &mut medium.density,
            MediumKind::Gravity => &mut medium.gravity,
            MediumKind::HeatCapacity => &mut medium.heat_capacity,
            MediumKind::Surroundings => &mut medium.surroundings,
        };
        if own.is_some() {
            self.said_twice(line, &format!("the {} is said twice", kind.words()));
            return None;
        }
        *own = Some(id);
        flows.medium.push((kind, expr.span));
        Some(())
    }

    /// `liquid`
    pub(super) fn substance(
        &mut self,
        draft: &mut Draft,
        line: Span,
        is_liquid: bool,
    ) -> Option<()> {
        let flows = draft.sketch.flows.as_mut()?;
        if flows.volume.medium.is_liquid.is_some() {
            self.said_twice(line, "whether it is a liquid or a gas is said twice");
            return None;
        }
        flows.volume.medium.is_liquid = Some(is_liquid);
        Some(())
    }

    /// What all lines of a control volume together have to be; whether they are.
    pub(super) fn whole_volume(&mut self, draft: &mut Draft, head: Span) -> bool {
        if draft.sketch.flows.is_none() {
            return true;
        }
        let told = self.diagnostics.len();
        self.axis_of_turning(draft);
        self.usual_names(draft, head);
        Self::datum_of_stations(draft);
        let is_incomplete = draft.sketch.is_incomplete;
        let Some(flows) = &draft.sketch.flows else {
            return true;
        };
        let accelerates =
            (draft.sketch.body.actions.iter()).any(|it| matches!(it, Action::Accelerates { .. }));
        // A refused line may be what moves.
        let may_move = ["moves", "turns", "accelerates"]
            .iter()
            .any(|it| draft.lost.may_be(it));
        let sections = flows.volume.sections.iter().zip(&flows.sections);
        for (section, said) in sections.filter(|_| !may_move) {
            self.seen_speeds(flows, (section, said), accelerates);
        }
        // A refused line may be a section.
        if let (SketchKind::ControlVolume(shape), false) = (draft.sketch.kind, is_incomplete) {
            self.shape_fits(flows, shape, head);
        }
        self.diagnostics.len() == told
    }

    fn axis_of_turning(&mut self, draft: &mut Draft) {
        let Some(name) = draft.about.clone() else {
            return;
        };
        let place = self.place_of_sketch(draft, &name);
        let motion = draft.sketch.flows.as_mut().map(|it| &mut it.volume.motion);
        if let (Some(place), Some(Motion::Turns { about, .. })) = (place, motion) {
            *about = place;
        }
    }

    /// Density, gravity and heat capacity without a line are `rho`, `g` and `c` if the problem has
    /// these names.
    fn usual_names(&mut self, draft: &mut Draft, head: Span) {
        let mut named = |key: &str| -> Option<Id> {
            let symbol = self.symbols.find(self.problem, key)?;
            let kind = ExprKind::Symbol(symbol);
            Some(draft.quantity(key, Expr { span: head, kind }))
        };
        let (density, gravity, capacity) = (named("rho"), named("g"), named("c"));
        let from_above = draft.sketch.look.from_above;
        if let Some(flows) = &mut draft.sketch.flows {
            let medium = &mut flows.volume.medium;
            for (word, said, usual) in [
                ("density", &mut medium.density, density),
                ("gravity", &mut medium.gravity, gravity),
                ("heat capacity", &mut medium.heat_capacity, capacity),
            ] {
                if said.is_none() {
                    *said = usual;
                    draft.sketch.usual.extend(usual.map(|usual| (word, usual)));
                }
            }
            medium.is_from_above = from_above;
        }
    }

    /// A speed is seen from the control volume or from the ground, and has the direction of the
    /// flow in both.
    fn seen_speeds(
        &mut self,
        flows: &Flows,
        (section, said): (&Section, &SectionSaid),
        accelerates: bool,
    ) {
        let moves = matches!(flows.volume.motion, Motion::Moves { .. });
        let turns = matches!(flows.volume.motion, Motion::Turns { .. });
        for (what, span) in &said.said {
            let (message, help) = match *what {
                Attribute::Speed { is_relative: true }
                | Attribute::MassFlow { is_relative: true }
                | Attribute::VolumeFlow { is_relative: true }
                    if !(moves || accelerates && !turns) =>
                {
                    let why = match turns {
                        true => {
                            "speeds and flows of a control volume that turns are seen from the ground"
                        }
                        false => "nothing moves here that a flow could be relative to",
                    };
                    let help = what.words().trim_start_matches("relative ").to_owned();
                    (why.to_owned(), format!("`{help}`; or `moves U right`"))
                }
                Attribute::MassFlow { is_relative: false }
                | Attribute::VolumeFlow { is_relative: false }
                    if moves =>
                {
                    let written = span.of(self.text);
                    let message = format!(
                        "`{written}` could be the flow seen from the ground, or that through the moving cut"
                    );
                    (
                        message,
                        format!(
                            "`relative {} …`, which is the one through the cut",
                            what.words()
                        ),
                    )
                }
                Attribute::Speed { is_relative: false }
                    if flows.volume.is_across_the_motion(section) =>
                {
                    let message = format!(
                        "seen from what moves, the stream at {} goes another way than on the ground",
                        said.called(section)
                    );
                    (message, "`relative speed`".to_owned())
                }
                Attribute::Speed { is_relative: false } if accelerates => (
                    "a control volume that accelerates sees its streams by their relative speeds"
                        .to_owned(),
                    "`relative speed`".to_owned(),
                ),
                _ => continue,
            };
            self.refuse_sketch(Code::G09, *span, message, help);
        }
    }

    /// A shape is drawn with the sections that it has.
    fn shape_fits(&mut self, flows: &Flows, shape: VolumeShape, head: Span) {
        let sections = &flows.volume.sections;
        let cuts = || sections.iter().filter(|it| it.station.is_none());
        let inlets = cuts().filter(|it| it.is_inlet).count();
        let outlets = cuts().count() - inlets;
        let one_way = (inlets, outlets) == (1, 1);
        let quarters = || match sections.as_slice() {
            [one, other] => other.flow.quarters_from(&one.flow),
            _ => None,
        };
        let all = |is: &dyn Fn(&Section) -> bool| sections.iter().all(is);
        let is_depth = |it: &Section| matches!(it.opening, Some(Opening::Depth(..)));
        let is_open = |it: &Section| !matches!(it.pressure, Pressure::Of(_));
        let turns = matches!(flows.volume.motion, Motion::Turns { .. });
        let needs = match shape {
            VolumeShape::Bend => (one_way && quarters() != Some(0))
                .then_some("")
                .ok_or("one inlet and one outlet, which go different ways"),
            VolumeShape::Nozzle => (one_way && matches!(quarters(), Some(0) | None))
                .then_some("")
                .ok_or("one inlet and one outlet, which go the same way"),
            VolumeShape::Vane => (one_way && all(&is_open))
                .then_some("")
                .ok_or("one inlet and one outlet, both open"),
            VolumeShape::Pipe => (cuts().next().is_none() || one_way)
                .then_some("")
                .ok_or("one inlet and one outlet, or the stations along it"),
            VolumeShape::Branch => ((inlets == 1 && outlets > 1) || (inlets > 1 && outlets == 1))
                .then_some("")
                .ok_or("one inlet and several outlets, or several inlets and one outlet"),
            VolumeShape::Plate => (inlets == 1 && outlets > 0 && all(&is_open))
                .then_some("")
                .ok_or("one inlet, and outlets along it, all open"),
            VolumeShape::Gate | VolumeShape::Channel => (one_way && all(&is_depth))
                .then_some("")
                .ok_or("an inlet and an outlet with depths"),
            VolumeShape::Impeller | VolumeShape::Sprinkler => turns.then_some("").ok_or(
                "a line `turns omega clockwise about O`; one that is held still is a branch",
            ),
            VolumeShape::Box | VolumeShape::Heater | VolumeShape::Tank => Ok(""),
        };
        if let Err(needs) = needs {
            let article = if shape == VolumeShape::Impeller {
                "an"
            } else {
                "a"
            };
            self.refuse_sketch(
                Code::G21,
                head,
                format!("{article} {} has {needs}", shape.word()),
                "another shape, as `around a box`, or other sections".to_owned(),
            );
        }
    }
}
