//! How each value of a worksheet came to be, so that it can be had again with other data.

use std::collections::BTreeMap;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::program::{Fault, Program};
use super::solve::{self, Seek, Sides, Unsolved};
use super::value::{self, Value, Values};
use super::walk::{Lack, Results, Walk};
use super::{fault, unsolved};
use crate::resolve::SymbolId;
use crate::resolve::statement::Condition;
use crate::text::Span;

/// How values came to be.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Definition {
    /// By a formula.
    Formula {
        /// The symbol.
        symbol: SymbolId,
        /// The formula.
        program: Program,
    },
    /// As the roots of equations: one, or several together.
    Roots {
        /// The symbols.
        symbols: Vec<SymbolId>,
        /// As many equations.
        equations: Vec<Sides>,
    },
}

impl Definition {
    fn symbols(&self) -> &[SymbolId] {
        match self {
            Self::Formula { symbol, .. } => std::slice::from_ref(symbol),
            Self::Roots { symbols, .. } => symbols,
        }
    }

    /// Whether it holds a source of uncertainty itself.
    fn holds(&self, source: u32) -> bool {
        let wanted = |own| own == source;
        match self {
            Self::Formula { program, .. } => program.holds(&wanted),
            Self::Roots { equations, .. } => {
                let mut programs = equations.iter().flatten();
                programs.any(|program| program.holds(&wanted))
            }
        }
    }

    /// What it reads.
    pub(super) fn reads(&self) -> Vec<SymbolId> {
        match self {
            Self::Formula { program, .. } => program.symbols().collect(),
            Self::Roots { equations, .. } => equations
                .iter()
                .flatten()
                .flat_map(Program::symbols)
                .collect(),
        }
    }
}

/// Values with some of them replaced.
pub(super) struct Replaced<'a> {
    pub by: FxHashMap<SymbolId, Value>,
    /// A source of uncertainty, and how far it is moved.
    pub moved: Option<(u32, f64)>,
    pub beneath: &'a Results<'a>,
}

impl Values for Replaced<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        self.by.get(&symbol).or_else(|| self.beneath.value(symbol))
    }

    fn shift(&self, source: u32) -> f64 {
        let moved = self.moved.filter(|(moved, _)| *moved == source);
        moved.map_or(0.0, |(_, by)| by)
    }
}

/// Why a value cannot be had with other data.
pub(super) enum Stop {
    /// A program stopped.
    Fault(Fault),
    /// An equation has no root.
    Unsolved(Unsolved, Vec<SymbolId>),
}

impl Stop {
    /// The fault of the program.
    pub fn fault(self) -> Option<Fault> {
        match self {
            Self::Fault(fault) => Some(fault),
            Self::Unsolved(..) => None,
        }
    }
}

impl<'a> Walk<'a> {
    /// Remembers values and how they came to be.
    pub(super) fn know(&mut self, definition: Definition, values: &[Value]) {
        let definition = Arc::new(definition);
        for (symbol, value) in definition.symbols().iter().zip(values) {
            let definitions = &mut self.results.definitions;
            definitions.insert(*symbol, Arc::clone(&definition));
            self.results.values.insert(*symbol, value.clone());
        }
    }

    /// Takes a value back that turned out to be none.
    pub(super) fn forget(&mut self, symbol: SymbolId) {
        self.results.values.remove(&symbol);
        self.results.definitions.remove(&symbol);
    }

    /// The definitions a program depends on, in the order of the worksheet.
    pub(super) fn definitions_behind(&self, program: &Program) -> Vec<Arc<Definition>> {
        let symbols = &self.resolved.symbols;
        let mut found: BTreeMap<(Option<u32>, SymbolId), Arc<Definition>> = BTreeMap::new();
        let mut open: Vec<SymbolId> = program.symbols().collect();
        while let Some(symbol) = open.pop() {
            let Some(definition) = self.results.definitions.get(&symbol) else {
                continue;
            };
            // Those that are solved together stand where the first of them does.
            let first = definition.symbols().first().copied().unwrap_or(symbol);
            let place = symbols.symbol(first).defined.map(|span| span.start);
            let known = found.insert((place, first), Arc::clone(definition));
            if known.is_none() {
                open.extend(definition.reads());
            }
        }
        found.into_values().collect()
    }

    /// The value of a program when some values are replaced: every definition between is
    /// evaluated again. Roots stay on the branch they are on.
    pub(super) fn replay(
        &self,
        program: &Program,
        behind: &[Arc<Definition>],
        by: FxHashMap<SymbolId, Value>,
    ) -> Result<Value, Stop> {
        self.replay_moved(program, behind, by, None)
    }

    /// The same with a source of uncertainty moved besides.
    pub(super) fn replay_moved(
        &self,
        program: &Program,
        behind: &[Arc<Definition>],
        by: FxHashMap<SymbolId, Value>,
        moved: Option<(u32, f64)>,
    ) -> Result<Value, Stop> {
        let mut replaced = Replaced {
            by,
            moved,
            beneath: &self.results,
        };
        for definition in behind {
            let reads = definition.reads();
            let touched = reads.iter().any(|symbol| replaced.by.contains_key(symbol))
                || moved.is_some_and(|(source, _)| definition.holds(source));
            let is_replaced = definition
                .symbols()
                .iter()
                .any(|symbol| replaced.by.contains_key(symbol));
            if !touched || is_replaced {
                continue;
            }
            let values = again(definition, &replaced, &self.results)?;
            for (symbol, value) in definition.symbols().iter().zip(values) {
                replaced.by.insert(*symbol, value);
            }
        }
        value::run(program, &replaced).map_err(Stop::Fault)
    }

    /// Evaluates the chain of definitions that leads to `program` with some givens replaced.
    pub(super) fn what_if(
        &mut self,
        program: &Program,
        conditions: &[Condition],
    ) -> Result<Value, Lack> {
        let mut by = FxHashMap::default();
        for condition in conditions {
            let own = self.compile(&condition.value);
            by.insert(condition.symbol, self.run(&own)?);
        }
        let behind = self.definitions_behind(program);
        match self.replay(program, &behind, by.clone()) {
            Ok(value) => Ok(self.with_second_order(program, &by, value)),
            Err(stop) => {
                let place = conditions.first().map(|condition| condition.span);
                self.report_stop(stop, place.unwrap_or_default());
                Err(Lack::Refused)
            }
        }
    }

    /// Reports why a value could not be had with other data.
    pub(super) fn report_stop(&mut self, stop: Stop, place: Span) {
        let diagnostic = match stop {
            Stop::Fault(fault) => fault::diagnostic(self.text, fault, Some(place)),
            Stop::Unsolved(unsolved, symbols) => {
                let names: Vec<String> = symbols
                    .iter()
                    .map(|symbol| self.resolved.symbols.symbol(*symbol).key.to_string())
                    .collect();
                let shown = |at: usize, value: f64| {
                    symbols
                        .get(at)
                        .map_or_else(String::new, |symbol| self.shown_as(*symbol, value))
                };
                unsolved::diagnostic(
                    &unsolved,
                    &unsolved::Line {
                        place,
                        unknowns: &names,
                        shown: &shown,
                    },
                )
            }
        };
        self.diagnostics.push(diagnostic);
    }
}

/// Evaluates a definition again, on other values.
fn again(
    definition: &Definition,
    values: &dyn Values,
    before: &Results<'_>,
) -> Result<Vec<Value>, Stop> {
    match definition {
        Definition::Formula { program, .. } => {
            let value = value::run(program, values).map_err(Stop::Fault)?;
            Ok(vec![value])
        }
        Definition::Roots { symbols, equations } => {
            let starts: Vec<Option<f64>> = symbols
                .iter()
                .map(|symbol| before.value(*symbol).map(|value| value.at(0)))
                .collect();
            let unsolved = |found| Stop::Unsolved(found, symbols.clone());
            match (equations.as_slice(), starts.as_slice()) {
                ([only], [start]) => {
                    let seek = start.map_or(Seek::Anywhere, Seek::Near);
                    let (value, _) =
                        solve::root(only, symbols[0], seek, values).map_err(unsolved)?;
                    Ok(vec![value])
                }
                _ => {
                    let (values, _) =
                        solve::system(equations, symbols, &starts, values).map_err(unsolved)?;
                    Ok(values)
                }
            }
        }
    }
}
