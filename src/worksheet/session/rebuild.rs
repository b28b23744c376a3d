//! What is printed otherwise after an edit is built again and put in its place.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rustc_hash::FxHashSet;

use super::Change;
use super::edit::Edited;
use super::follow::{Dirty, defines};
use super::readers;
use super::state::{State, place};
use crate::document::StretchKind;
use crate::evaluate::Outcome;
use crate::resolve::SymbolId;
use crate::text::Source;
use crate::worksheet::build::{Builder, Noted};
use crate::worksheet::model::{Body, Part, PartKind, Shown};
use crate::worksheet::place as placing;

impl State {
    /// Builds the parts again that may print otherwise.
    pub fn rebuild(
        &mut self,
        source: &Arc<Source>,
        edited: &Edited,
        dirty: &Dirty,
    ) -> BTreeMap<usize, (Part, Noted)> {
        let mut blocks = dirty.blocks.clone();
        let mut parts: BTreeSet<usize> = (edited.prose.iter())
            .flat_map(|stretch| self.parts_of(*stretch))
            .collect();
        if edited.moves_lines {
            self.add_waiting(&mut blocks, &mut parts);
        }
        for place in &dirty.asks {
            self.add_place(*place, &mut blocks, &mut parts);
        }
        let compiled = self.passes.compiled(source, &self.document);
        let mut builder = Builder::new(compiled, std::mem::take(&mut self.tables));
        let mut rebuilt = BTreeMap::new();
        let mut printed = FxHashSet::default();
        while let Some(at) = blocks.pop_first() {
            let (part, others) = self.rebuild_block(&mut builder, at);
            rebuilt.insert(self.first_part[self.stretch_of_block[at]], part);
            for symbol in others {
                let below = self.readers.blocks(symbol).iter();
                blocks.extend(below.filter(|other| **other > at));
                printed.insert(symbol);
            }
        }
        for place in self.asks_that_read(&printed) {
            let mut blocks = BTreeSet::new();
            self.add_place(place, &mut blocks, &mut parts);
            for at in blocks {
                let part = self.first_part[self.stretch_of_block[at]];
                rebuilt.insert(part, self.rebuild_block(&mut builder, at).0);
            }
        }
        for at in parts {
            let problem = self.passes.parsed.problem_of[at];
            let piece = self.document.pieces[at].clone();
            let part = builder.part(piece, problem, None);
            rebuilt.insert(at, (part, builder.take_noted()));
        }
        self.tables = builder.tables;
        rebuilt
    }

    /// Builds a block again, and says which symbols are printed otherwise than before.
    fn rebuild_block(
        &self,
        builder: &mut Builder<'_>,
        at: usize,
    ) -> ((Part, Noted), Vec<SymbolId>) {
        let symbols = defines(&self.passes.resolved.blocks[at]);
        let before: Vec<(SymbolId, Option<Arc<Shown>>)> = symbols
            .map(|symbol| (symbol, builder.tables.shown.remove(&symbol)))
            .collect();
        let part = self.first_part[self.stretch_of_block[at]];
        let mut statements = builder.block(at);
        builder.put_in_numbers_of(at, &mut statements);
        let descriptions = self.passes.parsed.descriptions[at].clone();
        builder.describe(at, &mut statements, descriptions);
        let problem = self.passes.parsed.problem_of[part];
        let piece = self.document.pieces[part].clone();
        let built = builder.part(piece, problem, Some((at, statements)));
        let others = (before.into_iter())
            .filter(|(symbol, before)| builder.tables.shown.get(symbol) != before.as_ref())
            .map(|(symbol, _)| symbol)
            .collect();
        ((built, builder.take_noted()), others)
    }

    /// Adds the blocks and parts that name the lines they wait for.
    fn add_waiting(&self, blocks: &mut BTreeSet<usize>, parts: &mut BTreeSet<usize>) {
        let waits = |outcome: &Outcome| matches!(outcome, Outcome::Needs(_));
        let results = &self.passes.results;
        let waiting = results.statements.iter().enumerate();
        blocks.extend(
            waiting
                .filter(|(_, outcomes)| outcomes.iter().any(waits))
                .map(|(at, _)| at),
        );
        for inline in &self.passes.parsed.inlines {
            if inline.ask.is_some() && results.inlines.get(inline.index).is_some_and(waits) {
                self.add_place(inline.span.start, blocks, parts);
            }
        }
    }

    /// Adds the block or part in which a place of the text lies.
    fn add_place(&self, at: u32, blocks: &mut BTreeSet<usize>, parts: &mut BTreeSet<usize>) {
        let Some(layout) = &self.layout else {
            return;
        };
        let stretch = layout.stretch_of(at);
        match layout.kind(stretch) {
            StretchKind::Block(_) => {
                let found = self.stretch_of_block.binary_search(&stretch);
                blocks.extend(found.ok());
            }
            StretchKind::Prose => {
                let range = self.parts_of(stretch);
                let pieces = &self.document.pieces[range.clone()];
                let after = pieces.partition_point(|piece| place(piece) <= at);
                parts.extend((after > 0).then(|| range.start + after - 1));
            }
        }
    }

    /// Where the asks in the text stand that read one of some symbols.
    pub fn asks_that_read(&self, symbols: &FxHashSet<SymbolId>) -> Vec<u32> {
        if symbols.is_empty() {
            return Vec::new();
        }
        let resolved = &self.passes.resolved;
        let reads = |index: usize| {
            let ask = resolved.inlines.get(index).and_then(Option::as_ref);
            ask.is_some_and(|ask| !readers::of_inline(resolved, ask).is_disjoint(symbols))
        };
        (self.passes.parsed.inlines.iter())
            .filter(|inline| inline.ask.is_some() && reads(inline.index))
            .map(|inline| inline.span.start)
            .collect()
    }

    /// Puts what was built into the worksheet.
    pub fn put_in_place(
        &mut self,
        source: &Arc<Source>,
        edited: &Edited,
        mut rebuilt: BTreeMap<usize, (Part, Noted)>,
    ) -> Change {
        let mut changed: BTreeSet<usize> = rebuilt.keys().copied().collect();
        if edited.moves_lines {
            changed.extend(self.telling_parts());
        }
        let asks = std::mem::take(&mut self.worksheet.asks);
        let mut kept = Vec::with_capacity(asks.len());
        let mut old = asks.into_iter();
        for at in 0..self.worksheet.parts.len() {
            let count = std::mem::take(&mut self.asks[at]);
            let known = old.by_ref().take(count);
            self.asks[at] = match rebuilt.remove(&at) {
                Some((part, noted)) => {
                    known.for_each(drop);
                    self.worksheet.parts[at] = part;
                    self.noted[at] = noted.diagnostics;
                    let count = noted.asks.len();
                    kept.extend(noted.asks);
                    count
                }
                None => {
                    kept.extend(known);
                    count
                }
            };
        }
        self.worksheet.asks = kept;
        self.worksheet.source = Arc::clone(source);
        if edited.moves_lines {
            self.count_lines();
        }
        let had = !self.worksheet.diagnostics.is_empty();
        self.worksheet.diagnostics = (self.passes.found.all())
            .chain(self.noted.iter().flatten())
            .cloned()
            .collect();
        if had || !self.worksheet.diagnostics.is_empty() {
            placing::place(&mut self.worksheet);
        }
        if edited.moves_lines {
            changed.extend(self.telling_parts());
        }
        if edited.moves_parts {
            Change::Everything
        } else {
            Change::Parts(changed.into_iter().collect())
        }
    }

    /// The parts that name lines: those with diagnostics, and with steps that follow from lines
    /// without a number.
    fn telling_parts(&self) -> Vec<usize> {
        let Some(layout) = &self.layout else {
            return Vec::new();
        };
        let mut blocks = BTreeSet::new();
        let mut parts = BTreeSet::new();
        if self.reasoned.contains(&true) {
            let proves = |part: &Part| match &part.kind {
                PartKind::Block { statements, .. } => (statements.iter())
                    .any(|statement| matches!(statement.body, Body::Therefore { .. })),
                _ => false,
            };
            let all = self.worksheet.parts.iter().enumerate();
            parts.extend(all.filter(|(_, part)| proves(part)).map(|(at, _)| at));
        }
        for found in &self.worksheet.diagnostics {
            self.add_place(found.span.start, &mut blocks, &mut parts);
            let stretch = layout.stretch_of(found.span.start);
            if *layout.kind(stretch) != StretchKind::Prose {
                parts.insert(self.first_part[stretch]);
            }
        }
        parts.into_iter().collect()
    }

    /// Gives every statement its line again.
    fn count_lines(&mut self) {
        let source = &self.worksheet.source;
        for part in &mut self.worksheet.parts {
            if let PartKind::Block { statements, .. } = &mut part.kind {
                for statement in statements {
                    statement.line = source.line_of(statement.span.start);
                }
            }
        }
    }
}
