//! A sketch with its numbers, and what turned out against what was drawn.

mod indeterminate;
mod judged;
mod reading;
mod scale;
mod told;
mod volume;

use std::sync::Arc;

pub(super) use self::reading::Reading;
use super::super::build::Builder;
use super::super::model::{Balanced, Body, Phrase, Shown, Sketch, Statement, Turned};
use super::Line;
use crate::dimensions::{Form, Type};
use crate::evaluate::{self, Magnitude, Value};
use crate::mechanics::{Action, Id};
use crate::quantity::Dimension;
use crate::resolve::statement::{self, Ask, Condition, Meant};
use crate::resolve::{Expr, ExprKind, Kind, Shape, SymbolId};
use crate::syntax::ATMOSPHERE;
use crate::text::Span;

impl Builder<'_> {
    /// A sketch with the values of its quantities, of which some stand below it.
    pub(super) fn sketch(&self, line: Line<'_>, sketch: &Arc<statement::Sketch>) -> Body {
        Body::Sketch(Box::new(Sketch {
            values: self.values_of_sketch(line.problem, sketch),
            sketch: Arc::clone(sketch),
            senses: Vec::new(),
            streams: Vec::new(),
            shown: Vec::new(),
            turned: Vec::new(),
            taken_for_true: match sketch.found_of {
                None => self.taken_for_true(sketch),
                Some(_) => Vec::new(),
            },
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

    fn values_of_sketch(
        &self,
        problem: usize,
        sketch: &statement::Sketch,
    ) -> Vec<Option<Magnitude>> {
        let value = |expr: &Expr| {
            let found = self.value_of(problem, expr)?;
            Magnitude::of(&found, &self.results.sources)
        };
        sketch.quantities.iter().map(value).collect()
    }

    pub(super) fn value_of(&self, problem: usize, expr: &Expr) -> Option<Value> {
        let atmosphere = self.resolved.symbols.find(problem, ATMOSPHERE);
        let program = (self.results).compile(expr, &self.formulas, atmosphere);
        evaluate::run(&program, self.results).ok()
    }

    /// Says of each sketch which of its magnitudes came out below zero, once all is known.
    pub(in super::super) fn read_back(&mut self, blocks: &mut [Vec<Statement>]) {
        for statement in blocks.iter_mut().flatten() {
            if let Body::Sketch(sketch) = &mut statement.body {
                sketch.shown = self.printed(sketch);
                sketch.turned = self.turned(sketch);
                let read = Reading {
                    of: &sketch.sketch,
                    values: &sketch.values,
                    by: &[],
                };
                (sketch.senses, sketch.streams) = read.senses();
                self.judge_scales(&read);
                if sketch.sketch.found_of.is_some() {
                    continue;
                }
                self.judge(&read);
            }
        }
        self.judge_solves();
    }

    /// Says what the what-ifs of a problem come to in the sketches that all problems share.
    pub(in super::super) fn judge_shared(&mut self, blocks: &[Vec<Statement>]) {
        for statement in blocks.iter().flatten() {
            if let Body::Sketch(sketch) = &statement.body
                && sketch.sketch.found_of.is_none()
            {
                self.judge_in_what_ifs(&Reading {
                    of: &sketch.sketch,
                    values: &sketch.values,
                    by: &[],
                });
            }
        }
    }

    /// What is printed of each quantity: of a name as elsewhere, of a formula that is the magnitude
    /// of something that acts in an automatic unit.
    fn printed(&self, sketch: &Sketch) -> Vec<Option<Arc<Shown>>> {
        let of = &sketch.sketch;
        let read = Reading {
            of,
            values: &sketch.values,
            by: &[],
        };
        let shown = |(id, expr): (Id, &Expr)| match (expr.as_symbol(), &expr.inside().kind) {
            (Some(symbol), _) => self.tables.shown.get(symbol).map(Arc::clone),
            (None, ExprKind::Component(symbol, axis)) => {
                let whole = self.tables.shown.get(*symbol)?;
                Some(Arc::new(whole.component(*axis as usize)))
            }
            (None, _) => {
                let exponents = match read.action(*read.roles(id).first()?)? {
                    Action::Force { .. } => [1, 1, -2],
                    Action::Couple { .. } => [2, 1, -2],
                    Action::Accelerates { .. } => [1, 0, -2],
                    Action::Turns { .. } | Action::Load { .. } | Action::Water(_) => return None,
                };
                let [length, mass, time] = exponents;
                let dimension = Dimension::from_integers([length, mass, time, 0, 0, 0, 0]);
                let found = Type::plain(Form::known(dimension));
                let value = Arc::new(self.value_of(of.problem, expr)?);
                (value.shape == Shape::One)
                    .then(|| Arc::new(self.result(of.problem, &value, &found, &Ask::default())))
            }
        };
        // Where all is for a unit of width, a force has another dimension.
        let is_per_width = of.water.iter().any(|it| it.width.is_none());
        let all = of.quantities.iter().enumerate();
        all.map(|it| shown(it).filter(|_| !is_per_width || it.1.as_symbol().is_some()))
            .collect()
    }

    /// The magnitudes of which something is to be said below the figure. Arrows of a sketch as found
    /// say themselves which way they point.
    fn turned(&self, sketch: &Sketch) -> Vec<Turned> {
        let read = Reading {
            of: &sketch.sketch,
            values: &sketch.values,
            by: &[],
        };
        let is_found = sketch.sketch.found_of.is_some();
        let mut found: Vec<Turned> = Vec::new();
        for id in in_order(&sketch.sketch) {
            let symbol = sketch.sketch.quantities.get(id).and_then(Expr::as_symbol);
            let Some(symbol) = symbol else { continue };
            let shown = self.tables.shown.get(symbol);
            let (Some(shown), false) = (shown, found.iter().any(|it| it.symbol == symbol)) else {
                continue;
            };
            let back = read
                .sections_of_speed(id)
                .find_map(|at| read.flows_back(at));
            let outcome = read.outcome(id);
            let is_turned = outcome.is_some_and(|it| it.is_below);
            let words = match back.filter(|_| is_turned) {
                Some(words) => Some(Phrase::words(words)),
                None if is_found => read.said_as_found(id),
                None => read.said(id),
            };
            if let Some(words) = words {
                found.push(Turned {
                    symbol,
                    shown: Arc::clone(shown),
                    words,
                    is_turned,
                });
            }
        }
        found
    }

    /// What the sign of a what-if means in the sketches that its name is a magnitude of.
    pub(super) fn reads(
        &self,
        problem: usize,
        (symbol, value): (SymbolId, Magnitude),
        conditions: &[Condition],
    ) -> Option<Phrase> {
        let place = conditions.iter().map(|it| it.span).reduce(Span::cover)?;
        let what_if = self.results.what_ifs.iter().find(|it| it.place == place)?;
        let mut said: Option<Phrase> = None;
        for (sketch, values) in &what_if.sketches {
            let id = quantity_of(sketch, symbol);
            let (Some(id), true) = (id, sketch.problem == problem) else {
                continue;
            };
            let mut values = values.clone();
            *values.get_mut(id)? = Some(value);
            let read = Reading {
                of: sketch,
                values: &values,
                by: &[],
            };
            let words = read.said(id);
            if said.is_some() && said != words {
                // On two bodies it points two ways.
                return None;
            }
            said = words;
        }
        said
    }

    /// Which way a quantity is that has this value, where all sketches of it say the same.
    pub(super) fn way_in_sketches(
        &self,
        problem: usize,
        symbol: SymbolId,
        value: Magnitude,
    ) -> Option<Phrase> {
        let mut found: Option<Phrase> = None;
        let lines = self.resolved.blocks.iter().flatten();
        let sketches = lines.filter_map(|line| match &line.kind {
            Some(Kind::Sketch(sketch)) => Some(sketch),
            _ => None,
        });
        for sketch in sketches.filter(|it| it.problem == problem || it.problem == 0) {
            let Some(id) = quantity_of(sketch, symbol) else {
                continue;
            };
            let mut values = self.values_of_sketch(problem, sketch);
            *values.get_mut(id)? = Some(value);
            let read = Reading {
                of: sketch,
                values: &values,
                by: &[],
            };
            let roles = read.roles(id);
            if roles.is_empty() {
                continue;
            }
            let outcome = read.outcome(id)?;
            if outcome.is_zero || outcome.is_uncertain {
                return None;
            }
            for role in roles {
                let way = read.way(role, outcome.is_below)?;
                if found.as_ref().is_some_and(|before| *before != way) {
                    return None;
                }
                found = Some(way);
            }
        }
        found
    }
}

/// The number of the quantity that is one name.
fn quantity_of(sketch: &statement::Sketch, symbol: SymbolId) -> Option<Id> {
    let mut all = sketch.quantities.iter();
    all.position(|expr| expr.as_symbol() == Some(symbol))
}

/// The magnitudes in the order of their lines.
fn in_order(sketch: &statement::Sketch) -> Vec<Id> {
    let mut found: Vec<(Option<u32>, Id)> = (0..sketch.quantities.len())
        .map(|id| (sketch.quantities.get(id).map(|it| it.span.start), id))
        .collect();
    found.sort_unstable();
    found.into_iter().map(|(_, id)| id).collect()
}
