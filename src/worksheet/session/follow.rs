//! What follows from an edit: values are computed again from the top to the bottom, as far as they
//! become others.

use std::collections::BTreeSet;

use rustc_hash::FxHashSet;

use super::edit::Edited;
use super::readers;
use super::state::State;
use crate::evaluate::{self, Again, Ground};
use crate::resolve::{Statement, SymbolId};
use crate::worksheet::compile::Passes;

/// What became another through an edit.
#[derive(Default)]
pub(super) struct Dirty {
    /// Symbols with other values.
    pub symbols: FxHashSet<SymbolId>,
    /// Symbols with other values, or whose values may have come to be in another way.
    pub ways: FxHashSet<SymbolId>,
    /// Blocks that were evaluated again.
    pub blocks: BTreeSet<usize>,
    /// Asks in the text that were evaluated again, by where they stand.
    pub asks: BTreeSet<u32>,
}

impl State {
    /// Evaluates the edited blocks and asks, and all that read what became another.
    pub fn evaluate(&mut self, text: &str, edited: &Edited) -> Dirty {
        let Passes {
            parsed,
            resolved,
            checked,
            proofs,
            results,
            found,
        } = &mut self.passes;
        let problems = parsed.problems_of_blocks();
        let ground = Ground {
            text,
            resolved,
            checked,
            problems: &problems,
            refuted: &proofs.refuted,
        };
        let mut again = Again::new(ground, std::mem::take(results));
        let mut dirty = Dirty::default();
        let mut open: BTreeSet<usize> = edited.blocks.iter().map(|block| block.at).collect();
        let edited_blocks = open.clone();
        open.extend(&self.readers.replaying);
        while let Some(at) = open.pop_first() {
            let is_edited = edited_blocks.contains(&at);
            let reads = || self.readers.symbols(at).iter().copied();
            let is_reached = reads().any(|symbol| dirty.symbols.contains(&symbol))
                || (self.readers.replaying.binary_search(&at).is_ok()
                    && again.leads_through(reads(), &dirty.ways));
            if !is_edited && !is_reached {
                continue;
            }
            let (changed, diagnostics) = again.block(at);
            found.evaluate[at] = diagnostics;
            dirty.blocks.insert(at);
            for symbol in changed {
                let below = self.readers.blocks(symbol).iter();
                open.extend(below.filter(|other| **other > at));
                dirty.symbols.insert(symbol);
                dirty.ways.insert(symbol);
            }
            if is_edited {
                dirty.ways.extend(defines(&resolved.blocks[at]));
            }
        }
        for inline in parsed.inlines.iter().filter(|inline| inline.ask.is_some()) {
            let at = inline.index;
            let Some(ask) = resolved.inlines.get(at).and_then(Option::as_ref) else {
                continue;
            };
            let found = &mut found.evaluate[parsed.blocks.len() + at];
            let is_new =
                edited.asks.contains(&at) || (edited.moved_asks.contains(&at) && !found.is_empty());
            if !is_new && dirty.ways.is_empty() {
                continue;
            }
            let reads = readers::of_inline(resolved, ask);
            let is_reached = reads.iter().any(|symbol| dirty.symbols.contains(symbol))
                || (evaluate::inline_replays(ask)
                    && again.leads_through(reads.iter().copied(), &dirty.ways));
            if is_new || is_reached {
                *found = again.inline(at);
                dirty.asks.insert(inline.span.start);
            }
        }
        *results = again.finish();
        dirty
    }
}

/// The symbols that statements define.
pub(super) fn defines(statements: &[Statement]) -> impl Iterator<Item = SymbolId> {
    let all = |statement: &Statement| {
        let symbols: Vec<SymbolId> = (statement.defines.iter())
            .chain(&statement.unknowns)
            .copied()
            .collect();
        symbols
    };
    statements.iter().flat_map(all)
}
