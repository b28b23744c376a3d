//! What the quantities of sketches come to in each what-if.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::definitions::Care;
use super::magnitude::{Magnitude, WhatIf};
use super::program::Program;
use super::value::{self, Values};
use super::walk::{Ground, Walk};
use crate::resolve::statement::{Condition, Sketch};
use crate::resolve::{Expr, Kind};
use crate::text::Span;

impl<'a> Walk<'a> {
    /// Works out what sketches come to in each what-if that has a value.
    pub(super) fn sketches_in_what_ifs(&mut self, ground: Ground<'a>) {
        let resolved = ground.resolved;
        let of = |kind: &Option<Kind>| match kind {
            Some(Kind::Sketch(sketch)) => Some(Arc::clone(sketch)),
            _ => None,
        };
        let lines = resolved.blocks.iter().flatten();
        let sketches: Vec<Arc<Sketch>> = lines.filter_map(|line| of(&line.kind)).collect();
        if sketches.is_empty() {
            return;
        }
        let mut asked: Vec<(usize, &'a [Condition])> = Vec::new();
        for (at, block) in resolved.blocks.iter().enumerate() {
            for (index, line) in block.iter().enumerate() {
                let conditions = match &line.kind {
                    Some(Kind::Work(work)) => &work.conditions,
                    Some(Kind::Answer(answer)) => &answer.conditions,
                    _ => continue,
                };
                if self.results.statements[at][index].is_ok() {
                    let problem = ground.problems.get(at).copied().unwrap_or(0);
                    asked.push((problem, conditions));
                }
            }
        }
        for (at, inline) in resolved.inlines.iter().enumerate() {
            if let Some(inline) = inline
                && self.results.inlines.get(at).is_some_and(Result::is_ok)
            {
                asked.push((inline.problem, &inline.conditions));
            }
        }
        for (problem, conditions) in asked {
            let Some(place) = conditions.iter().map(|it| it.span).reduce(Span::cover) else {
                continue;
            };
            self.problem(problem);
            // What all problems share is of each of them.
            let own = sketches
                .iter()
                .filter(|sketch| sketch.problem == problem || sketch.problem == 0);
            let sketches = own
                .filter_map(|sketch| {
                    Some((Arc::clone(sketch), self.sketch_with(sketch, conditions)?))
                })
                .collect();
            self.results.what_ifs.push(WhatIf {
                place,
                by: conditions.to_vec(),
                sketches,
            });
        }
    }

    /// The quantities of a sketch with other data; nothing where these have no value.
    fn sketch_with(
        &self,
        sketch: &Sketch,
        conditions: &'a [Condition],
    ) -> Option<Vec<Option<Magnitude>>> {
        let mut by = FxHashMap::default();
        for condition in conditions {
            let own = self.compile_compared(&condition.value);
            by.insert(condition.symbol, value::run(&own, &self.results).ok()?);
        }
        let programs: Vec<Program> = (sketch.quantities.iter())
            .map(|expr: &Expr| self.compile(expr))
            .collect();
        let found = |programs: &[Program]| -> Option<Vec<Option<Magnitude>>> {
            let behind = self.definitions_behind(programs);
            let replaced = self.replay(&behind, by.clone(), Care::All).ok()?;
            let run = |program: &Program| {
                let mut symbols = program.symbols();
                if symbols.any(|symbol| replaced.value(symbol).is_none()) {
                    return None;
                }
                Magnitude::of(&value::run(program, &replaced).ok()?, &self.results.sources)
            };
            Some(programs.iter().map(run).collect())
        };
        // What has no value then takes none from the others.
        Some(found(&programs).unwrap_or_else(|| {
            let alone = |program: &Program| found(std::slice::from_ref(program))?.pop()?;
            programs.iter().map(alone).collect()
        }))
    }
}
