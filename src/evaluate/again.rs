//! Blocks and inline asks evaluated again while the rest of the worksheet stays.

use rustc_hash::FxHashSet;

use super::value::Value;
use super::walk::{Ground, Outcome, Results, Walk};
use crate::diagnostic::Diagnostic;
use crate::resolve::{Inline, Kind, Statement, SymbolId};
use crate::text::Span;

/// An evaluation that goes on where an earlier one ended: its results are lent to it.
pub struct Again<'a> {
    walk: Walk<'a>,
    ground: Ground<'a>,
}

impl<'a> Again<'a> {
    /// Goes on with the results of the same worksheet.
    pub fn new(ground: Ground<'a>, results: Results) -> Self {
        Self {
            walk: Walk::new(ground, results),
            ground,
        }
    }

    /// Evaluates the statements of a block again. Returns the symbols whose values changed, and
    /// what was found.
    pub fn block(&mut self, at: usize) -> (Vec<SymbolId>, Vec<Diagnostic>) {
        let lines = (self.ground.resolved.blocks.get(at)).map_or(&[][..], Vec::as_slice);
        let symbols: Vec<SymbolId> = lines.iter().flat_map(defines).collect();
        let before: Vec<Known> = symbols.iter().map(|symbol| self.forget(*symbol)).collect();
        let problem = self.ground.problems.get(at).copied().unwrap_or(0);
        self.walk.problem(problem);
        let outcomes = (0..lines.len())
            .map(|index| self.walk.statement_at(at, index))
            .collect();
        if let Some(known) = self.walk.results.statements.get_mut(at) {
            *known = outcomes;
        }
        let changed = (symbols.iter().zip(before))
            .filter(|(symbol, before)| *before != self.known(**symbol))
            .map(|(symbol, _)| *symbol)
            .collect();
        (changed, std::mem::take(&mut self.walk.diagnostics))
    }

    /// Evaluates an inline ask again, and says what was found.
    pub fn inline(&mut self, at: usize) -> Vec<Diagnostic> {
        let outcome = self.walk.inline_at(at);
        let outcomes = &mut self.walk.results.inlines;
        if outcomes.len() <= at {
            outcomes.resize(at + 1, Outcome::Nothing);
        }
        outcomes[at] = outcome;
        std::mem::take(&mut self.walk.diagnostics)
    }

    /// Whether the way in which the values of some symbols came to be leads through one of
    /// `changed`.
    pub fn leads_through(
        &self,
        symbols: impl IntoIterator<Item = SymbolId>,
        changed: &FxHashSet<SymbolId>,
    ) -> bool {
        let mut seen = FxHashSet::default();
        let mut open: Vec<SymbolId> = symbols.into_iter().collect();
        while let Some(symbol) = open.pop() {
            if changed.contains(&symbol) {
                return true;
            }
            if seen.insert(symbol)
                && let Some(definition) = self.walk.results.definitions.get(&symbol)
            {
                open.extend(definition.reads());
            }
        }
        false
    }

    /// The results, for whoever looks at them next.
    pub fn finish(self) -> Results {
        self.walk.results
    }

    fn known(&self, symbol: SymbolId) -> Known {
        let results = &self.walk.results;
        Known {
            value: results.values.get(&symbol).cloned(),
            failed: results.failed.get(&symbol).copied(),
        }
    }

    fn forget(&mut self, symbol: SymbolId) -> Known {
        let known = self.known(symbol);
        self.walk.forget(symbol);
        self.walk.results.failed.remove(&symbol);
        known
    }
}

impl Results {
    /// Forgets a symbol that stands nowhere any more.
    pub fn forget(&mut self, symbol: SymbolId) {
        self.values.remove(&symbol);
        self.definitions.remove(&symbol);
        self.failed.remove(&symbol);
    }
}

/// What others see of a symbol.
#[derive(PartialEq)]
struct Known {
    value: Option<Value>,
    failed: Option<Span>,
}

fn defines(statement: &Statement) -> impl Iterator<Item = SymbolId> {
    (statement.defines.iter().chain(&statement.unknowns)).copied()
}

/// Whether a statement is evaluated with other values of some data, so that it depends on how the
/// values that it reads came to be.
pub fn replays(kind: &Kind) -> bool {
    match kind {
        Kind::Trend { .. } | Kind::Limit { .. } | Kind::Sensitivity { .. } => true,
        Kind::Work { conditions, .. } => !conditions.is_empty(),
        _ => false,
    }
}

/// The same for an inline ask.
pub fn inline_replays(inline: &Inline) -> bool {
    !inline.conditions.is_empty()
}
