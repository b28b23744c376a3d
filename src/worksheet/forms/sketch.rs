//! A sketch with its numbers, and what turned out against what was drawn.

use std::sync::Arc;

use super::super::build::Builder;
use super::super::model::{Balanced, Body, Shown, Sketch, Statement, Turned};
use super::Line;
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate;
use crate::mechanics::{self, Action, Device, Direction, Sum, Turn};
use crate::resolve::statement::{self, Act, ActOf, Meant};
use crate::resolve::{Expr, Shape};
use crate::syntax::{ATMOSPHERE, ActKind, SupportKind};

impl Builder<'_> {
    /// A sketch with the values of its quantities, of which some stand below it.
    pub(super) fn sketch(&self, line: Line<'_>, sketch: &Arc<statement::Sketch>) -> Body {
        let value = |expr: &Expr| self.value_of(line.problem, expr);
        Body::Sketch(Box::new(Sketch {
            values: sketch.quantities.iter().map(value).collect(),
            sketch: Arc::clone(sketch),
            shown: Vec::new(),
            turned: Vec::new(),
            taken_for_true: self.taken_for_true(sketch),
        }))
    }

    /// An equation held against the balance that it is meant to be.
    pub(super) fn compared_with_balance(
        &self,
        line: Line<'_>,
        meant: Option<&Meant>,
    ) -> Option<Box<Balanced>> {
        let meant = meant?;
        let agreement = self.proofs.agreement(line.origin)?.clone();
        Some(Box::new(Balanced {
            words: meant.words.clone(),
            label: meant.sketch.label.clone(),
            of: meant.sketch.number,
            derived: meant.written.members(),
            agreement,
        }))
    }

    /// The one number that a formula comes to.
    fn value_of(&self, problem: usize, expr: &Expr) -> Option<f64> {
        let atmosphere = self.resolved.symbols.find(problem, ATMOSPHERE);
        let program = (self.results).compile(expr, &self.formulas, atmosphere);
        let found = evaluate::run(&program, self.results).ok()?;
        (found.shape == Shape::One && found.at(0).is_finite()).then(|| found.at(0))
    }

    /// Says of each sketch which of its magnitudes came out below zero, once all is known.
    pub(in super::super) fn read_back(&mut self, blocks: &mut [Vec<Statement>]) {
        for statement in blocks.iter_mut().flatten() {
            if let Body::Sketch(sketch) = &mut statement.body {
                self.judge_loads(sketch);
                sketch.shown = self.printed(sketch);
                self.judge_flows(sketch);
                sketch.turned = self.turned(sketch);
            }
        }
    }

    /// What is printed of each quantity that is one name.
    fn printed(&self, sketch: &Sketch) -> Vec<Option<Arc<Shown>>> {
        let shown = |expr: &Expr| self.tables.shown.get(expr.as_symbol()?).map(Arc::clone);
        sketch.sketch.quantities.iter().map(shown).collect()
    }

    /// A load counts as it is written, whatever way its line goes: where the data turn that over, it
    /// would count the other way.
    fn judge_loads(&mut self, sketch: &Sketch) {
        let of = &sketch.sketch;
        for (action, act) in of.body.actions.iter().zip(&of.acts) {
            let Some(places) = on_line(action) else {
                continue;
            };
            let [from, to] = places.map(|at| of.places.get(at).map_or("", |it| &it.text));
            let taken = mechanics::taken_for_positive(&of.body, action);
            if taken.is_some_and(|taken| is_negative(sketch, &taken)) {
                let (message, help) = turned_over((from, to), action, act);
                self.diagnostics
                    .push(Diagnostic::error(Code::G33, act.span, message).with_help(help));
            }
            let ends = mechanics::depths(&of.body, action).into_iter().flatten();
            for (depth, end) in ends.zip([from, to]) {
                if is_negative(sketch, &depth) {
                    self.dry(sketch, act, (&depth, end));
                }
            }
        }
    }

    /// An end of a line that water is on lies above the surface: an error where the data say so, a
    /// warning where a result does.
    fn dry(&mut self, sketch: &Sketch, act: &Act, (depth, end): (&Sum, &str)) {
        let is_of_data = depth.ids().into_iter().all(|id| {
            let expr = sketch.sketch.quantities.get(id);
            expr.is_some_and(|expr| self.is_of_data(expr))
        });
        let found = match is_of_data {
            true => Diagnostic::error(
                Code::G23,
                act.span,
                format!("`{end}` lies above the surface: there the formula would pull"),
            )
            .with_help(
                "a point at the surface, as `W`, and the water from there: \
                 `water … on W to …, surface at W`",
            ),
            false => Diagnostic::warning(
                Code::B11,
                act.span,
                format!("`{end}` comes out above the surface, and there the formula would pull"),
            )
            .with_help("a sketch with a point at the surface, and the water from there"),
        };
        self.diagnostics.push(found);
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

    fn turned(&mut self, sketch: &Sketch) -> Vec<Turned> {
        let mut found: Vec<Turned> = Vec::new();
        let acts = sketch.sketch.body.actions.iter().zip(&sketch.sketch.acts);
        for (action, act) in acts {
            let magnitude = match action {
                Action::Force { magnitude, .. }
                | Action::Couple { magnitude, .. }
                | Action::Accelerates { magnitude, .. }
                | Action::Turns { magnitude, .. } => *magnitude,
                Action::Load { .. } | Action::Water(_) => continue,
            };
            let value = sketch.values.get(magnitude).copied().flatten();
            let symbol = (sketch.sketch.quantities.get(magnitude)).and_then(Expr::as_symbol);
            let (Some(value), Some(symbol)) = (value, symbol) else {
                continue;
            };
            let Some(shown) = self.tables.shown.get(symbol) else {
                continue;
            };
            if value >= 0.0 || found.iter().any(|it| it.symbol == symbol) {
                continue;
            }
            let shown = Arc::clone(shown);
            if let Some(lifts) = cannot_pull(&sketch.sketch, act) {
                let name = act.span.of(self.text);
                self.diagnostics.push(
                    Diagnostic::warning(
                        Code::B11,
                        act.span,
                        format!("`{name}` comes out below zero, and {lifts}"),
                    )
                    .with_help("another support, or the sketch without this one"),
                );
            }
            found.push(Turned {
                symbol,
                shown,
                words: words(&sketch.sketch, action, act),
            });
        }
        self.devices_turned(sketch, &mut found);
        self.turned_flows(sketch, &mut found);
        found
    }

    /// A pump that takes head out, and a turbine that adds it; a loss cannot.
    fn devices_turned(&mut self, sketch: &Sketch, found: &mut Vec<Turned>) {
        let Some(flows) = &sketch.sketch.flows else {
            return;
        };
        for ((device, head), span) in flows.volume.devices.iter().zip(&flows.devices) {
            let value = sketch.values.get(*head).copied().flatten();
            if !value.is_some_and(|value| value < 0.0) {
                continue;
            }
            let words = match device {
                Device::Pump => "takes head out, as a turbine",
                Device::Turbine => "adds head, as a pump",
                Device::Loss => {
                    let written = span.of(self.text);
                    let message =
                        format!("`{written}` comes out below zero, and a loss cannot add head");
                    self.diagnostics.push(
                        Diagnostic::warning(Code::B11, *span, message)
                            .with_help("the sections in the order of the stream, or a `pump`"),
                    );
                    "adds head, which a loss cannot"
                }
            };
            let symbol = (sketch.sketch.quantities.get(*head)).and_then(Expr::as_symbol);
            let shown = symbol.and_then(|symbol| self.tables.shown.get(symbol).cloned());
            let (Some(symbol), Some(shown)) = (symbol, shown) else {
                continue;
            };
            if !found.iter().any(|it| it.symbol == symbol) {
                found.push(Turned {
                    symbol,
                    shown,
                    words: words.to_owned(),
                });
            }
        }
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

/// Whether it comes to less than nothing; not where something in it has no value.
fn is_negative(sketch: &Sketch, sum: &Sum) -> bool {
    let value = |id: mechanics::Id| sketch.values.get(id).copied().flatten().unwrap_or(f64::NAN);
    sum.value(&value) < 0.0
}

/// That the data turn a load over, and what to write instead.
fn turned_over((from, to): (&str, &str), action: &Action, act: &Act) -> (String, String) {
    if act.side.is_some() {
        let called = act.called;
        return (
            format!(
                "with these data {from}{to} faces the other side, and the {called} would push the other way"
            ),
            format!("the side that {from}{to} faces, or the places told the other way"),
        );
    }
    let is_even = matches!(action, Action::Load { ends, .. } if ends[0] == ends[1]);
    (
        format!(
            "with these data the way from `{from}` to `{to}` goes back, and the load would count with the other sign"
        ),
        match is_even {
            true => format!("`from {to} to {from}`"),
            false => format!("`from {to} to {from}`, with what it is at both ends exchanged"),
        },
    )
}

/// Why something that acts cannot come out below zero; nothing where it can.
fn cannot_pull(sketch: &statement::Sketch, act: &Act) -> Option<&'static str> {
    match act.kind {
        ActOf::Force(ActKind::Normal) => Some("a surface cannot pull: the body lifts off"),
        ActOf::Force(ActKind::Cable) => Some("a cable cannot push: it goes slack"),
        ActOf::Support(number) => match sketch.supports.get(number)?.0 {
            SupportKind::Roller | SupportKind::Smooth => {
                Some("such a support cannot pull: the body lifts off")
            }
            SupportKind::Rough => first_of_support(sketch, number, act)
                .then_some("such a support cannot pull: the body lifts off"),
            SupportKind::Pin | SupportKind::Fixed | SupportKind::Hinge | SupportKind::Link => None,
        },
        ActOf::Force(ActKind::Force | ActKind::Bar | ActKind::Friction | ActKind::Weight)
        | ActOf::Moment
        | ActOf::Load
        | ActOf::Water
        | ActOf::Acceleration => None,
    }
}

/// Whether it is the force that a support is told by first.
fn first_of_support(sketch: &statement::Sketch, number: usize, act: &Act) -> bool {
    let mut all = sketch.acts.iter();
    all.find(|it| it.kind == ActOf::Support(number)) == Some(act)
}

/// What a magnitude below zero means on the page.
fn words(sketch: &statement::Sketch, action: &Action, act: &Act) -> String {
    if act.kind == ActOf::Force(ActKind::Bar) {
        let on = match sketch.kind {
            crate::syntax::SketchKind::Body => "body",
            crate::syntax::SketchKind::Particle => "joint",
            crate::syntax::SketchKind::ControlVolume(_) => "control volume",
            crate::syntax::SketchKind::AtRest => "fluid",
        };
        return format!("pushes on the {on}; the bar is in compression");
    }
    match action {
        Action::Force { direction, .. } | Action::Accelerates { direction, .. } => {
            let verb = match action {
                Action::Accelerates { .. } => "points",
                _ => "acts",
            };
            match opposite_words(direction) {
                Some(words) => format!("{verb} {words}, opposite to the sketch"),
                None => format!("{verb} opposite to the sketch"),
            }
        }
        Action::Couple { turn, .. } | Action::Turns { turn, .. } => match turn {
            Turn::Clockwise => "turns anticlockwise, opposite to the sketch".to_owned(),
            Turn::Anticlockwise => "turns clockwise, opposite to the sketch".to_owned(),
        },
        Action::Load { .. } | Action::Water(_) => "acts opposite to the sketch".to_owned(),
    }
}

pub(super) fn opposite_words(direction: &Direction) -> Option<&'static str> {
    Some(match direction.quarters_from(&Direction::right())? {
        0 => "to the left",
        1 => "down",
        2 => "to the right",
        _ => "up",
    })
}
