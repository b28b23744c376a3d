//! What turns out against what was drawn: by the data as given, and in each what-if.

use super::super::super::build::Builder;
use super::reading::Reading;
use super::told::{Pulls, magnitudes};
use crate::diagnostic::{Code, Diagnostic, Severity};
use crate::evaluate::WhatIf;
use crate::mechanics::{self, Action, Device, Id, Sum};
use crate::resolve::statement::{Act, ActOf};
use crate::resolve::{Expr, Kind};
use crate::syntax::{ActKind, SupportKind};

impl Builder<'_> {
    /// Says what is against the sketch by the data as given, and in each what-if where it is not so
    /// by these.
    pub(super) fn judge(&mut self, read: &Reading<'_>) {
        let before = self.found_against(read);
        self.diagnostics.extend(before.iter().cloned());
        self.judge_what_ifs(read, &before);
    }

    /// The same in each what-if alone.
    pub(super) fn judge_in_what_ifs(&mut self, read: &Reading<'_>) {
        let before = self.found_against(read);
        self.judge_what_ifs(read, &before);
    }

    fn judge_what_ifs(&mut self, read: &Reading<'_>, before: &[Diagnostic]) {
        for what_if in &self.results.what_ifs {
            self.judge_what_if(what_if, read, before);
        }
    }

    fn judge_what_if(&mut self, what_if: &WhatIf, given: &Reading<'_>, before: &[Diagnostic]) {
        let own = (what_if.sketches.iter()).find(|(sketch, _)| {
            sketch.number == given.of.number && sketch.problem == given.of.problem
        });
        let Some((_, values)) = own else { return };
        let with = Reading {
            of: given.of,
            values,
            by: &what_if.by,
        };
        let written = what_if.place.of(self.text);
        for found in self.found_against(&with) {
            let by_the_data = match found.severity {
                // An error of the data is a warning of other data.
                Severity::Error => before.iter().any(|it| it.span == found.span),
                Severity::Warning => {
                    (before.iter()).any(|it| it.span == found.span && it.code == found.code)
                }
            };
            if by_the_data {
                continue;
            }
            let code = match found.code {
                Code::B14 => Code::B14,
                _ => Code::B11,
            };
            let help = found.help.clone().unwrap_or_default();
            self.diagnostics.push(
                Diagnostic::warning(
                    code,
                    what_if.place,
                    format!("with `{written}`: {}", found.message),
                )
                .with_note("the sketch has it here", found.span)
                .with_help(help),
            );
        }
    }

    fn found_against(&self, read: &Reading<'_>) -> Vec<Diagnostic> {
        let mut found = Vec::new();
        self.lines_turned(read, &mut found);
        self.ropes(read, &mut found);
        self.cannot(read, &mut found);
        self.frictions(read, &mut found);
        self.devices(read, &mut found);
        self.flows_against(read, &mut found);
        found
    }

    /// An error where the data say so, a warning where a result does.
    fn by_whom(
        &self,
        read: &Reading<'_>,
        ids: &[Id],
        error: (Code, crate::text::Span),
        message: String,
    ) -> Diagnostic {
        let is_of_data = ids.iter().all(|id| {
            let expr = read.of.quantities.get(*id);
            expr.is_some_and(|expr| self.is_of_data(expr))
        });
        match is_of_data {
            true => Diagnostic::error(error.0, error.1, message),
            false => Diagnostic::warning(Code::B11, error.1, message),
        }
    }

    /// A load counts as it is written, whatever way its line goes: where numbers turn that over, it
    /// would count the other way. Above its surface a fluid would pull.
    fn lines_turned(&self, read: &Reading<'_>, found: &mut Vec<Diagnostic>) {
        let of = read.of;
        for (action, act) in of.body.actions.iter().zip(&of.acts) {
            let Some(places) = on_line(action) else {
                continue;
            };
            let [from, to] = places.map(|at| of.places.get(at).map_or("", |it| &it.text));
            let taken = mechanics::taken_for_positive(&of.body, action);
            if let Some(taken) = taken.filter(|taken| read.sum(taken) < 0.0) {
                let (message, help) = turned_over(read, (from, to), action, act);
                let told = self.by_whom(read, &taken.ids(), (Code::G33, act.span), message);
                found.push(told.with_help(help));
            }
            let ends = mechanics::depths(&of.body, action).into_iter().flatten();
            for (depth, end) in ends.zip([from, to]) {
                if read.sum(&depth) < 0.0 {
                    found.push(self.dry(read, act, (&depth, end)));
                }
            }
        }
    }

    /// An end of a line that water is on lies above the surface.
    fn dry(&self, read: &Reading<'_>, act: &Act, (depth, end): (&Sum, &str)) -> Diagnostic {
        let message = format!("`{end}` lies above the surface: there the formula would pull");
        let told = self.by_whom(read, &depth.ids(), (Code::G23, act.span), message);
        told.with_help(
            "a point at the surface, as `W`, and the water from there: \
             `water … on W to …, surface at W`",
        )
    }

    /// A rope that leaves its wheel at an angle, by more than the last places of the data tell.
    fn ropes(&self, read: &Reading<'_>, found: &mut Vec<Diagnostic>) {
        for rope in read.of.ropes() {
            let off = rope.off();
            let less = |value: &dyn Fn(Id) -> f64| Some(off.value(value));
            let value = read.sum(&off);
            if !value.is_finite() || !self.apart(read, 1.0, &less) {
                continue;
            }
            let (message, help) = read.of.rope_told(&rope);
            let span = read
                .of
                .acts
                .get(rope.act)
                .map_or_else(Default::default, |it| it.span);
            let told = self.by_whom(read, &off.ids(), (Code::G36, span), message);
            found.push(told.with_help(help));
        }
    }

    /// Supports that would have to pull, cables that would have to push.
    fn cannot(&self, read: &Reading<'_>, found: &mut Vec<Diagnostic>) {
        for (action, act) in read.of.body.actions.iter().zip(&read.of.acts) {
            let Some(pulls) = read.pulls(act) else {
                continue;
            };
            let [Some(id), _] = magnitudes(action) else {
                continue;
            };
            let Some(outcome) = read.outcome(id).filter(|it| it.is_below) else {
                continue;
            };
            let why = match (pulls, act.kind) {
                (Pulls::Cable, _) => "a cable cannot push: it goes slack",
                (Pulls::Support, ActOf::Force(_)) => "a surface cannot pull: the body lifts off",
                (Pulls::Support, _) => "such a support cannot pull: the body lifts off",
            };
            let name = act.span.of(self.text);
            let uncertain = match outcome.is_uncertain {
                true => "; its sign is not certain",
                false => "",
            };
            let message = format!("`{name}` comes out below zero, and {why}{uncertain}");
            let told = Diagnostic::warning(Code::B11, act.span, message)
                .with_help("another support, or the sketch without this one");
            if !found.contains(&told) {
                found.push(told);
            }
        }
    }

    /// Friction that is tied to its normal force has the sense that was drawn, whatever comes out.
    fn frictions(&self, read: &Reading<'_>, found: &mut Vec<Diagnostic>) {
        let of = read.of;
        for (at, (action, act)) in of.body.actions.iter().zip(&of.acts).enumerate() {
            let Some(normals) = normals(read, at, act) else {
                continue;
            };
            let Action::Force {
                magnitude,
                direction,
                ..
            } = action
            else {
                continue;
            };
            let symbol = |id: Id| of.quantities.get(id).and_then(Expr::as_symbol);
            let Some(friction) = symbol(*magnitude) else {
                continue;
            };
            let normals = normals.into_iter().filter_map(symbol);
            let Some(normal) = normals.into_iter().find(|it| self.are_tied(friction, *it)) else {
                continue;
            };
            let named = |symbol| self.resolved.symbols.symbol(symbol).key.to_string();
            let (friction, normal) = (named(friction), named(normal));
            if read.outcome(*magnitude).is_some_and(|it| it.is_below) {
                let message = format!(
                    "`{friction}` comes out below zero, and is tied to `{normal}`, so that it keeps the sense that is drawn"
                );
                found.push(
                    Diagnostic::warning(Code::B11, act.span, message)
                        .with_help("the sketch with this force the other way"),
                );
                continue;
            }
            for (action, against) in of.body.actions.iter().zip(&of.acts) {
                let Action::Accelerates {
                    magnitude,
                    direction: along,
                    ..
                } = action
                else {
                    continue;
                };
                // Drawn against the friction, as a motion is.
                let is_motion = read.sum(&along.component(direction)) < -1e-9;
                if !is_motion || !read.outcome(*magnitude).is_some_and(|it| it.is_below) {
                    continue;
                }
                let name = against.span.of(self.text);
                let ways = [true, false].map(|is_back| {
                    read.direction(along, against.mark, false, is_back)
                        .map_or_else(|| "the other way".to_owned(), |it| it.plain(self.text))
                });
                let message = format!(
                    "`{name}` is {}, and friction is drawn for motion {}: right only while the body still moves so",
                    ways[0], ways[1]
                );
                found.push(
                    Diagnostic::warning(Code::B11, against.span, message)
                        .with_help("otherwise the friction the other way, or the body rests"),
                );
            }
        }
    }

    /// Whether an equation that is no balance says what friction comes of a normal force: nothing
    /// else in it has a dimension.
    fn are_tied(
        &self,
        friction: crate::resolve::SymbolId,
        normal: crate::resolve::SymbolId,
    ) -> bool {
        let ties = |members: &mut dyn Iterator<Item = &Expr>| {
            let mut symbols = Vec::new();
            members.for_each(|it| it.for_each_symbol(&mut |symbol, _| symbols.push(symbol)));
            let is_number = |symbol: &crate::resolve::SymbolId| {
                let found = self.checked.symbols.get(*symbol);
                found.is_some_and(|it| it.form.dimension().is_some_and(|it| it.is_none()))
            };
            symbols.contains(&friction)
                && symbols.contains(&normal)
                && symbols
                    .iter()
                    .all(|it| *it == friction || *it == normal || is_number(it))
        };
        self.resolved
            .blocks
            .iter()
            .flatten()
            .any(|line| match &line.kind {
                Some(Kind::Equation { members, by: None }) => ties(&mut members.iter()),
                Some(Kind::Work(work)) if work.conditions.is_empty() => {
                    ties(&mut std::iter::once(&work.lead).chain(&work.members))
                }
                _ => false,
            })
    }

    /// A loss that adds head.
    fn devices(&self, read: &Reading<'_>, found: &mut Vec<Diagnostic>) {
        let Some(flows) = &read.of.flows else { return };
        for ((device, head), span) in flows.volume.devices.iter().zip(&flows.devices) {
            let is_below = read.outcome(*head).is_some_and(|it| it.is_below);
            if *device != Device::Loss || !is_below {
                continue;
            }
            let written = span.of(self.text);
            let message = format!("`{written}` comes out below zero, and a loss cannot add head");
            found.push(
                Diagnostic::warning(Code::B11, *span, message)
                    .with_help("the sections in the order of the stream, or a `pump`"),
            );
        }
    }

    /// Whether all names of a formula are data.
    fn is_of_data(&self, expr: &Expr) -> bool {
        let statements = || self.resolved.blocks.iter().flatten();
        let is_datum = |symbol| {
            let given = statements().filter_map(|it| it.facts().datum());
            given.into_iter().any(|(datum, _)| datum == symbol)
        };
        let mut found = true;
        expr.for_each_symbol(&mut |symbol, _| found &= is_datum(symbol));
        found
    }
}

/// The magnitudes of what presses where a friction acts; nothing for what is no friction.
fn normals(read: &Reading<'_>, at: usize, act: &Act) -> Option<Vec<Id>> {
    let of = read.of;
    let all = || of.body.actions.iter().zip(&of.acts).enumerate();
    let magnitude = |action: &Action| magnitudes(action)[0];
    match act.kind {
        ActOf::Force(ActKind::Friction) => Some(
            all()
                .filter(|(_, (_, it))| it.kind == ActOf::Force(ActKind::Normal))
                .filter_map(|(_, (action, _))| magnitude(action))
                .collect(),
        ),
        ActOf::Support(number) if of.supports.get(number)?.0 == SupportKind::Rough => {
            let mut own = all().filter(|(_, (_, it))| it.kind == act.kind);
            let (first, (action, _)) = own.next()?;
            (first != at).then(|| magnitude(action).into_iter().collect())
        }
        _ => None,
    }
}

/// The ends of the line that something is spread over.
fn on_line(action: &Action) -> Option<[usize; 2]> {
    match action {
        Action::Load { places, .. } => Some(*places),
        Action::Water(water) => Some(water.places),
        Action::Force { .. }
        | Action::Couple { .. }
        | Action::Accelerates { .. }
        | Action::Turns { .. } => None,
    }
}

/// That numbers turn a load over, and what to write instead.
fn turned_over(
    read: &Reading<'_>,
    (from, to): (&str, &str),
    action: &Action,
    act: &Act,
) -> (String, String) {
    let with = match read.is_of_the_data() {
        true => "with these data ",
        false => "",
    };
    if act.side.is_some() {
        let called = act.called;
        return (
            format!(
                "{with}{from}{to} faces the other side, and the {called} would push the other way"
            ),
            format!("the side that {from}{to} faces, or the places told the other way"),
        );
    }
    let is_even = matches!(action, Action::Load { ends, .. } if ends[0] == ends[1]);
    (
        format!(
            "{with}the way from `{from}` to `{to}` goes back, and the load would count with the other sign"
        ),
        match is_even {
            true => format!("`from {to} to {from}`"),
            false => format!("`from {to} to {from}`, with what it is at both ends exchanged"),
        },
    )
}
