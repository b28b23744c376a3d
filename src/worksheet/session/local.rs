//! An edit of prose, data and formulas: only what depends on it is computed again.

use std::sync::Arc;

use rustc_hash::FxHashSet;

use super::edit::{Edited, EditedBlock, within};
use super::follow::defines;
use super::readers::is_uncertain;
use super::state::State;
use super::{Change, Effort};
use crate::algebra::Sign;
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity::Unit;
use crate::resolve::{self, InlineAsk, Kind, Statement, SymbolId};
use crate::syntax::BlockKind;
use crate::text::Source;
use crate::worksheet::build::{self, Builder};
use crate::worksheet::compile::Passes;
use crate::{dimensions, proofs};

/// From as many mistakes on, what is said of one depends on how many stand above it.
const FEW_MISTAKES: usize = 100;

/// An edit matters to more than those who read the values that it changes.
pub(super) struct NotLocal;

impl State {
    /// Follows an edit that was read, where it is local.
    pub fn local(
        &mut self,
        source: &Arc<Source>,
        edited: &Edited,
        effort: &mut Effort,
    ) -> Result<Change, NotLocal> {
        if edited.blocks.iter().any(|block| !block.is_local) {
            return Err(NotLocal);
        }
        if !edited.blocks.is_empty() {
            self.stands_plain()?;
        }
        let text = source.text();
        for block in &edited.blocks {
            self.names_stand_alone(block)?;
        }
        let (mut gone, mut other_units) = (Vec::new(), false);
        for block in &edited.blocks {
            let units = self.units_of(block.at);
            gone.extend(self.look_up(text, block)?);
            self.measure(text, block.at, &gone)?;
            other_units |= units != self.units_of(block.at);
        }
        self.forget(&gone);
        if other_units {
            self.keeps_units(source)?;
        }
        for index in edited.asks.iter().chain(&edited.moved_asks) {
            self.look_up_ask(text, *index)?;
        }
        let dirty = self.evaluate(text, edited);
        let rebuilt = self.rebuild(source, edited, &dirty);
        let line = |at: &usize| {
            let statements = self.passes.resolved.blocks[*at].first();
            statements.map(|first| source.line_of(first.span.start))
        };
        effort.blocks = dirty.blocks.iter().filter_map(line).collect();
        effort.asks = (dirty.asks.iter())
            .map(|place| source.line_of(*place))
            .collect();
        Ok(self.put_in_place(source, edited, rebuilt))
    }

    /// Whether the worksheet is such that its blocks can be looked at one by one.
    fn stands_plain(&self) -> Result<(), NotLocal> {
        let found = &self.passes.found;
        let twice = |found: &Diagnostic| found.code == Code::N02;
        let is_plain =
            found.all().count() < FEW_MISTAKES && !found.resolve.iter().flatten().any(twice);
        is_plain.then_some(()).ok_or(NotLocal)
    }

    /// Whether the names that come and go with an edit stand nowhere else, and nobody wonders what
    /// names there are.
    fn names_stand_alone(&self, edited: &EditedBlock) -> Result<(), NotLocal> {
        let keys: Vec<&str> = (edited.gone.iter().chain(&edited.new))
            .map(String::as_str)
            .collect();
        if keys.is_empty() {
            return Ok(());
        }
        let Passes {
            parsed,
            resolved,
            found,
            ..
        } = &self.passes;
        let problem = parsed.blocks[edited.at].problem;
        let sees = |other: usize| problem == 0 || other == 0 || other == problem;
        let others = || (0..parsed.blocks.len()).filter(|at| *at != edited.at);
        let is_named = others()
            .map(|at| parsed.blocks[at].borrowed())
            .any(|block| sees(block.problem) && resolve::mentions_any(block, &keys));
        let is_asked = (parsed.inlines.iter())
            .filter(|inline| sees(inline.problem))
            .filter_map(|inline| inline.ask.as_ref())
            .any(|ask| resolve::ask_mentions_any(ask, &keys));
        let is_wondered = (found.resolve.iter().enumerate())
            .any(|(at, found)| at != edited.at && !found.is_empty());
        let takes_all = |line: &Statement| matches!(line.kind, Some(Kind::Sensitivity { .. }));
        let lists_data =
            (self.readers.replaying.iter()).any(|at| resolved.blocks[*at].iter().any(takes_all));
        let stand_alone = !is_named && !is_asked && !is_wondered && !lists_data;
        stand_alone.then_some(()).ok_or(NotLocal)
    }

    fn units_of(&self, at: usize) -> Vec<Unit> {
        let statements = &self.passes.resolved.blocks[at];
        build::units(statements).cloned().collect()
    }

    /// Whether the author's units are those that they were, in which results without an asked unit
    /// are printed.
    fn keeps_units(&mut self, source: &Arc<Source>) -> Result<(), NotLocal> {
        let compiled = self.passes.compiled(source, &self.document);
        let builder = Builder::new(compiled, std::mem::take(&mut self.tables));
        let keeps = builder.keeps_hints();
        self.tables = builder.tables;
        keeps.then_some(()).ok_or(NotLocal)
    }

    /// Forgets symbols that stand nowhere any more.
    fn forget(&mut self, gone: &[SymbolId]) {
        for symbol in gone {
            self.passes.results.forget(*symbol);
            self.tables.shown.remove(symbol);
        }
    }

    /// Resolves an edited block, and returns the symbols that are gone with it.
    fn look_up(&mut self, text: &str, edited: &EditedBlock) -> Result<Vec<SymbolId>, NotLocal> {
        let at = edited.at;
        let Some(layout) = &self.layout else {
            return Err(NotLocal);
        };
        let room = layout.room(self.stretch_of_block[at]);
        let points_here = |found: &Diagnostic| {
            let notes = found.notes.iter().filter_map(|note| note.span);
            let fixes = found.fixes.iter().flat_map(|fix| &fix.edits);
            let mut others = notes.chain(fixes.map(|edit| edit.span));
            !within(room, found.span.start) && others.any(|span| within(room, span.start))
        };
        if self.passes.found.all().any(points_here) {
            return Err(NotLocal);
        }
        let Passes {
            parsed,
            resolved,
            found,
            proofs,
            ..
        } = &mut self.passes;
        let before = resolved.blocks[at].clone();
        let signs = signs(resolved, &before);
        let problem = parsed.blocks[at].problem;
        let gone: Vec<&str> = edited.gone.iter().map(String::as_str).collect();
        let symbols = (gone.iter())
            .filter_map(|key| resolved.symbols.find(problem, key))
            .collect();
        let named = resolve::again(text, resolved, &parsed.blocks(), at, room, &gone);
        found.resolve[at] = named.ok_or(NotLocal)?;
        let after = &resolved.blocks[at];
        let block = parsed.blocks[at].borrowed();
        let counts_on = (parsed.blocks.iter().skip(at + 1))
            .any(|below| below.kind == block.kind && below.problem == block.problem);
        let is_reasoned = match block.problem {
            0 => self.reasoned.contains(&true),
            problem => self.reasoned[0] || self.reasoned[problem],
        };
        let is_local = (!counts_on || unnamed(&before) == unnamed(after))
            && !before.iter().chain(after).any(is_odd)
            && !defines_atmosphere(resolved, after)
            && (!is_reasoned
                || block.kind == BlockKind::Check
                || block.kind == BlockKind::Answer
                || (block.kind == BlockKind::Given
                    && proofs.stand_for_any_data()
                    && edited.gone.is_empty()
                    && edited.new.is_empty()
                    && signs == self::signs(resolved, after)
                    && same_for_proofs(&before, after)));
        if !is_local {
            return Err(NotLocal);
        }
        self.readers.note(&self.passes.resolved, at, problem);
        Ok(symbols)
    }

    /// Checks an edited block. Where a name that others read gets another dimension, they would
    /// have to be checked as well.
    fn measure(&mut self, text: &str, at: usize, gone: &[SymbolId]) -> Result<(), NotLocal> {
        let Passes {
            resolved,
            checked,
            found,
            ..
        } = &mut self.passes;
        if !found.dimensions[at].is_empty() && self.reasoned.contains(&true) {
            return Err(NotLocal);
        }
        let symbols: Vec<SymbolId> = defines(&resolved.blocks[at]).collect();
        let before: Vec<_> = (symbols.iter())
            .map(|symbol| checked.facts(*symbol))
            .collect();
        let was_clean = found.dimensions[at].is_empty();
        found.dimensions[at] =
            dimensions::again(text, resolved, checked, at, gone).ok_or(NotLocal)?;
        let is_same = |symbol: SymbolId, before| {
            was_clean && dimensions::is_settled(checked, symbol) && checked.facts(symbol) == before
        };
        let others: FxHashSet<SymbolId> = (symbols.into_iter().zip(before))
            .filter(|(symbol, before)| !is_same(*symbol, before.clone()))
            .map(|(symbol, _)| symbol)
            .collect();
        let is_read = (others.iter()).any(|symbol| {
            self.readers
                .blocks(*symbol)
                .iter()
                .any(|other| *other != at)
        });
        if is_read || !self.asks_that_read(&others).is_empty() {
            return Err(NotLocal);
        }
        Ok(())
    }

    fn look_up_ask(&mut self, text: &str, index: usize) -> Result<(), NotLocal> {
        let Passes {
            parsed,
            resolved,
            checked,
            found,
            ..
        } = &mut self.passes;
        let inline = (parsed.inlines.iter())
            .find(|inline| inline.index == index && inline.ask.is_some())
            .ok_or(NotLocal)?;
        let Some(ask) = &inline.ask else {
            return Err(NotLocal);
        };
        let ask = InlineAsk {
            problem: inline.problem,
            span: inline.span,
            ask,
        };
        let (inline, named) = resolve::inline_again(text, resolved, &ask);
        let (of, measured) = match &inline {
            Some(inline) if is_uncertain(&inline.expr) => return Err(NotLocal),
            Some(inline) => {
                dimensions::inline_again(text, resolved, checked, inline).ok_or(NotLocal)?
            }
            None => (None, Vec::new()),
        };
        resolved.inlines[index] = inline;
        let blocks = parsed.blocks.len();
        put(&mut found.resolve, blocks + index, named);
        put(&mut found.dimensions, blocks + index, measured);
        if found.evaluate.len() <= blocks + index {
            put(&mut found.evaluate, blocks + index, Vec::new());
        }
        put(&mut checked.inlines, index, of);
        Ok(())
    }
}

fn put<T: Default>(list: &mut Vec<T>, at: usize, value: T) {
    if list.len() <= at {
        list.resize_with(at + 1, T::default);
    }
    list[at] = value;
}

/// The signs of the data of a block.
fn signs(resolved: &resolve::Resolved, statements: &[Statement]) -> Vec<Option<Sign>> {
    defines(statements)
        .map(|symbol| resolved.signs.get(&symbol).copied())
        .collect()
}

/// How many statements are counted, for want of a name.
fn unnamed(statements: &[Statement]) -> usize {
    let without = |statement: &&Statement| statement.defines.is_none() && statement.label.is_none();
    statements.iter().filter(without).count()
}

/// Whether a statement matters to others in more ways than by its value.
fn is_odd(statement: &Statement) -> bool {
    let exprs = statement.kind.as_ref().map(Kind::exprs);
    exprs.unwrap_or_default().into_iter().any(is_uncertain)
}

fn defines_atmosphere(resolved: &resolve::Resolved, statements: &[Statement]) -> bool {
    defines(statements).any(|symbol| &*resolved.symbols.symbol(symbol).key == "p_atm")
}

/// Whether proofs see no difference between data: numbers may be others, but not special ones.
fn same_for_proofs(before: &[Statement], after: &[Statement]) -> bool {
    let is_ordinary = |statement: &Statement| match &statement.kind {
        Some(Kind::Given { value }) => proofs::is_ordinary(value),
        _ => false,
    };
    before.len() == after.len()
        && (before.iter().zip(after)).all(|(before, after)| {
            (is_ordinary(before) && is_ordinary(after)) || before.kind == after.kind
        })
}
