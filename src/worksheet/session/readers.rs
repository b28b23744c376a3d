//! Which blocks and inline asks read which values.

use rustc_hash::{FxHashMap, FxHashSet};

use crate::evaluate;
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, ExprKind, Inline, Kind, Resolved, Statement, SymbolId};

/// Which blocks read which symbols.
#[derive(Debug, Default)]
pub(super) struct Readers {
    /// The symbols of each block.
    of_block: Vec<Vec<SymbolId>>,
    /// The blocks of each symbol.
    blocks: FxHashMap<SymbolId, Vec<usize>>,
    /// The blocks that are evaluated with other data too.
    pub replaying: Vec<usize>,
}

impl Readers {
    /// Of all blocks; `problems` are those of the blocks.
    pub fn of(resolved: &Resolved, problems: &[usize]) -> Self {
        let mut readers = Self::default();
        for at in 0..resolved.blocks.len() {
            readers.of_block.push(Vec::new());
            readers.note(resolved, at, problems.get(at).copied().unwrap_or(0));
        }
        readers
    }

    /// Notes what a block reads now.
    pub fn note(&mut self, resolved: &Resolved, at: usize, problem: usize) {
        for symbol in std::mem::take(&mut self.of_block[at]) {
            if let Some(blocks) = self.blocks.get_mut(&symbol) {
                blocks.retain(|other| *other != at);
            }
        }
        let statements = &resolved.blocks[at];
        let read = symbols(resolved, statements, problem);
        for symbol in &read {
            self.blocks.entry(*symbol).or_default().push(at);
        }
        self.of_block[at] = read;
        let kinds = || statements.iter().filter_map(|line| line.kind.as_ref());
        self.replaying.retain(|other| *other != at);
        if kinds().any(evaluate::replays) {
            let place = self.replaying.partition_point(|other| *other < at);
            self.replaying.insert(place, at);
        }
    }

    /// The blocks that read a symbol.
    pub fn blocks(&self, symbol: SymbolId) -> &[usize] {
        self.blocks.get(&symbol).map_or(&[], Vec::as_slice)
    }

    /// What a block reads.
    pub fn symbols(&self, at: usize) -> &[SymbolId] {
        &self.of_block[at]
    }
}

/// The symbols that statements read, directly, through the functions they call, or through the
/// equations that a formula was solved from.
fn symbols(resolved: &Resolved, statements: &[Statement], problem: usize) -> Vec<SymbolId> {
    let mut found = FxHashSet::default();
    let mut calls = false;
    for statement in statements {
        let Some(kind) = &statement.kind else {
            continue;
        };
        kind.for_each_symbol(&mut |symbol| {
            found.insert(symbol);
        });
        calls |= resolved.symbols.function_count() > 0;
        if let Kind::Work {
            origin: Some(origin),
            ..
        } = kind
        {
            solved_from(resolved, *origin, &mut found);
        }
    }
    if calls {
        through_functions(resolved, &mut found);
    }
    found.extend(resolved.symbols.find(problem, "p_atm"));
    let mut found: Vec<SymbolId> = found.into_iter().collect();
    found.sort_unstable();
    found
}

/// The symbols of the equations that a formula was solved from: the solution is held against them.
fn solved_from(resolved: &Resolved, origin: Origin, found: &mut FxHashSet<SymbolId>) {
    let line = |origin: Origin| {
        let block = resolved.blocks.get(origin.block)?;
        block.get(origin.statement)?.kind.as_ref()
    };
    if let Some(Kind::Solved(solved)) = line(origin) {
        for kind in solved.origins.iter().filter_map(|origin| line(*origin)) {
            kind.for_each_symbol(&mut |symbol| {
                found.insert(symbol);
            });
        }
    }
}

fn through_functions(resolved: &Resolved, found: &mut FxHashSet<SymbolId>) {
    for (.., body) in resolved.functions() {
        body.for_each_symbol(&mut |symbol, _| {
            found.insert(symbol);
        });
    }
}

/// The symbols that an inline ask reads.
pub(super) fn of_inline(resolved: &Resolved, inline: &Inline) -> FxHashSet<SymbolId> {
    let mut found = FxHashSet::default();
    inline.for_each_symbol(&mut |symbol| {
        found.insert(symbol);
    });
    if resolved.symbols.function_count() > 0 {
        through_functions(resolved, &mut found);
    }
    found.extend(resolved.symbols.find(inline.problem, "p_atm"));
    found
}

/// Whether a formula holds an uncertain literal, which is numbered in the order of the worksheet.
pub(super) fn is_uncertain(expr: &Expr) -> bool {
    let own = |expr: &Expr| matches!(&expr.kind, ExprKind::Quantity(quantity) if quantity.uncertainty.is_some());
    let mut found = own(expr);
    expr.for_each_part(|part| found = found || is_uncertain(part));
    found
}
