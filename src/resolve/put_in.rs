//! Definitions that hang on what is solved for, put into the equations by themselves.
//!
//! `V = 4 Q/(pi D^2)` has no value before `Q` is known. Where `V` stands in an equation that is
//! solved for `Q`, its definition takes its place.

use rustc_hash::FxHashSet;
use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};

use super::forms::Formula;
use super::labelled::Known;
use super::statement::Origin;
use super::tree::{Expr, ExprKind};
use super::{Resolver, SymbolId};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// Definitions are followed so deep.
const MOST_DEPTH: usize = 20;

/// So many names are looked into: definitions that hang on each other can be followed in many ways.
const MOST_NAMES: u32 = 2_000;

/// Equations with definitions put in.
pub(super) struct PutIn {
    /// The equations.
    pub equations: Vec<Known>,
    /// Where the definitions stand.
    pub origins: Vec<Origin>,
}

/// What is solved for, and what stays as it is.
#[derive(Clone, Copy)]
struct Question<'q> {
    unknowns: &'q [SymbolId],
    kept: &'q [SymbolId],
    /// Names from which definitions lead to an unknown.
    leading: &'q FxHashSet<SymbolId>,
    /// How many more names are looked into.
    left: &'q Cell<u32>,
}

/// Where each of the definitions stands that were put in.
type Used = BTreeSet<Origin>;

impl Resolver<'_> {
    /// The equations with every name that hangs on an unknown written out; `None`, after a diagnostic,
    /// where there are too many ways to do it.
    pub(super) fn with_definitions(
        &mut self,
        chosen: Vec<Known>,
        unknowns: &[SymbolId],
        place: Span,
    ) -> Option<PutIn> {
        let left = Cell::new(MOST_NAMES);
        let leading = self.leading_to(unknowns, &chosen);
        let put_in = self.put_in(chosen, unknowns, (&leading, &left));
        if left.get() == 0 {
            self.diagnostics.push(
                Diagnostic::error(
                    Code::A05,
                    place,
                    "the definitions above depend on each other in more ways than are followed",
                )
                .with_help("the definitions that are meant, put into the equations by hand"),
            );
            return None;
        }
        Some(put_in)
    }

    /// The names from which definitions lead to one of the unknowns.
    fn leading_to(&self, unknowns: &[SymbolId], chosen: &[Known]) -> FxHashSet<SymbolId> {
        let mut leading = FxHashSet::default();
        if unknowns.is_empty() {
            return leading;
        }
        let mut met: Vec<SymbolId> = Vec::new();
        let note = |formula: &Expr, met: &mut Vec<SymbolId>| {
            let mut symbols = Vec::new();
            formula.for_each_symbol(&mut |symbol, _| {
                symbols.push(symbol);
                if !met.contains(&symbol) {
                    met.push(symbol);
                }
            });
            symbols
        };
        for member in chosen.iter().flat_map(|known| &known.members) {
            note(member, &mut met);
        }
        let mut needs: Vec<(SymbolId, Vec<SymbolId>)> = Vec::new();
        let mut next = 0;
        while let Some(symbol) = met.get(next).copied() {
            next += 1;
            let key = &self.symbols.symbol(symbol).key;
            let is_chosen = |own: &Formula| chosen.iter().any(|known| known.origin == own.origin);
            let formulas = self.formulas_for(key).into_iter();
            let members = (formulas.filter(|own| !is_chosen(own))).flat_map(|own| own.members);
            let own = members.flat_map(|member| note(&member, &mut met)).collect();
            needs.push((symbol, own));
        }
        let mut before = usize::MAX;
        while before != leading.len() {
            before = leading.len();
            for (symbol, needed) in &needs {
                let leads = |it: &SymbolId| unknowns.contains(it) || leading.contains(it);
                if needed.iter().any(leads) {
                    leading.insert(*symbol);
                }
            }
        }
        leading
    }

    fn put_in(
        &self,
        chosen: Vec<Known>,
        unknowns: &[SymbolId],
        (leading, left): (&FxHashSet<SymbolId>, &Cell<u32>),
    ) -> PutIn {
        let origins: Vec<Origin> = chosen.iter().map(|known| known.origin).collect();
        let mut used = Used::new();
        // What an equation itself says a name to be is not what hangs on the unknowns.
        let alone = (chosen.iter().flat_map(|known| &known.members)).filter_map(Expr::as_symbol);
        let kept: Vec<SymbolId> = alone.chain(unknowns.iter().copied()).collect();
        let question = Question {
            unknowns,
            kept: &kept,
            leading,
            left,
        };
        let mut equations = chosen;
        for known in &mut equations {
            for member in &mut known.members {
                if let Some(written) = self.written_out(member, question, &origins, 0, &mut used) {
                    *member = written;
                }
            }
        }
        PutIn {
            equations,
            origins: used.into_iter().collect(),
        }
    }

    /// A formula with its names that hang on unknowns written out; `None` where there is none.
    fn written_out(
        &self,
        formula: &Expr,
        question: Question<'_>,
        but: &[Origin],
        depth: usize,
        used: &mut Used,
    ) -> Option<Expr> {
        let mut by: BTreeMap<SymbolId, Expr> = BTreeMap::new();
        let mut open = Vec::new();
        formula.for_each_symbol(&mut |symbol, _| open.push(symbol));
        for symbol in open {
            let is_open = question.leading.contains(&symbol)
                && !self.may_use(symbol)
                && !self.given.contains(&symbol)
                && !question.kept.contains(&symbol)
                && self.symbols.components(symbol).is_none();
            if is_open
                && !by.contains_key(&symbol)
                && depth < MOST_DEPTH
                && let Some(own) = self.hanging(symbol, question, but, depth, used)
            {
                by.insert(symbol, own);
            }
        }
        (!by.is_empty()).then(|| {
            let mut written = formula.clone();
            written.put_in(&|symbol| {
                let own = by.get(&symbol)?;
                Some(Expr {
                    span: own.span,
                    kind: ExprKind::Group(Box::new(own.clone())),
                })
            });
            written
        })
    }

    /// The nearest definition of a name that hangs on an unknown, perhaps through others.
    fn hanging(
        &self,
        symbol: SymbolId,
        question: Question<'_>,
        but: &[Origin],
        depth: usize,
        used: &mut Used,
    ) -> Option<Expr> {
        question.left.set(question.left.get().saturating_sub(1));
        if question.left.get() == 0 {
            return None;
        }
        let key = &self.symbols.symbol(symbol).key;
        self.formulas_for(key).into_iter().find_map(|own| {
            if but.contains(&own.origin) {
                return None;
            }
            let mut before: Vec<Origin> = but.to_vec();
            before.push(own.origin);
            own.members.iter().find_map(|member| {
                let mut within = used.clone();
                let written = self.written_out(member, question, &before, depth + 1, &mut within);
                let written = written.unwrap_or_else(|| member.clone());
                let mut hangs = false;
                written.for_each_symbol(&mut |it, _| hangs |= question.unknowns.contains(&it));
                let mut turns = false;
                written.for_each_symbol(&mut |it, _| turns |= it == symbol);
                (hangs && !turns).then(|| {
                    within.insert(own.origin);
                    *used = within;
                    written
                })
            })
        })
    }
}
