//! A sketch with its numbers, and what turned out against what was drawn.

use std::sync::Arc;

use super::super::build::Builder;
use super::super::model::{Balanced, Body, Sketch, Statement, Turned};
use super::Line;
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate;
use crate::mechanics::{self, Action, Direction, Turn};
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
                self.judge_flows(sketch);
                sketch.turned = self.turned(sketch);
            }
        }
    }

    /// A load counts as it is written, whatever way its line goes: where the data turn that over, it
    /// would count the other way.
    fn judge_loads(&mut self, sketch: &Sketch) {
        let of = &sketch.sketch;
        for (action, act) in of.body.actions.iter().zip(&of.acts) {
            let Some(taken) = mechanics::taken_for_positive(&of.body, action) else {
                continue;
            };
            // Not a number where something has no value.
            let value =
                taken.value(&|id| sketch.values.get(id).copied().flatten().unwrap_or(f64::NAN));
            let Action::Load { ends, places, .. } = action else {
                continue;
            };
            let [from, to] = places.map(|at| of.places.get(at).map_or("", |it| &it.text));
            if value >= 0.0 || value.is_nan() {
                continue;
            }
            let (message, help) = match act.side {
                Some(_) => (
                    format!(
                        "with these data {from}{to} faces the other side, and the load would push the other way"
                    ),
                    format!("the side that {from}{to} faces, or the places told the other way"),
                ),
                None => (
                    format!(
                        "with these data the way from `{from}` to `{to}` goes back, and the load would count with the other sign"
                    ),
                    match ends[0] == ends[1] {
                        true => format!("`from {to} to {from}`"),
                        false => {
                            format!("`from {to} to {from}`, with what it is at both ends exchanged")
                        }
                    },
                ),
            };
            self.diagnostics
                .push(Diagnostic::error(Code::G33, act.span, message).with_help(help));
        }
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
                Action::Load { .. } => continue,
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
        self.turned_flows(sketch, &mut found);
        found
    }
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
        Action::Load { .. } => "acts opposite to the sketch".to_owned(),
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
