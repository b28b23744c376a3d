//! The derivative that a line of `check` looks at, in symbols.

use std::borrow::Cow;
use std::collections::BTreeMap;

use rustc_hash::{FxHashMap, FxHashSet};

use super::premises::Book;
use crate::algebra::{Id, Symbol};
use crate::questions::{Asker, Question};
use crate::resolve::algebraic::{self, Algebraic};
use crate::resolve::setting::{self, Lines, Setting, Taking};
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, FunctionId, SymbolId, written};
use crate::text::Span;

/// A derivative with more leaves and operators than this says little.
const SHORT: usize = 34;
/// Definitions are followed so deep.
const MOST_DEPTH: usize = 60;

/// A derivative that is looked for, with everything that it hangs on.
#[derive(Debug, PartialEq, Hash)]
struct Derivative {
    setting: Setting,
    subject: Expr,
    with: SymbolId,
    /// The symbols that are defined by formulas, of those that are met.
    definitions: Vec<(SymbolId, Expr)>,
    /// How many steps of algebra it may take.
    effort: u32,
}

impl Question for Derivative {
    /// `None` where it is not short, or holds what the algebra does not look into.
    type Answer = Option<Expr>;

    fn answer(&self) -> Self::Answer {
        let mut algebraic = Algebraic::new(&self.setting, &self.setting.signs);
        algebraic.algebra.allow(self.effort);
        let definitions = self.definitions.iter();
        let definitions = definitions.map(|(symbol, formula)| (*symbol, formula));
        let definitions: FxHashMap<SymbolId, &Expr> = definitions.collect();
        let whole = algebraic.canonical(&self.subject).ok()?;
        let mut known = FxHashMap::default();
        let whole = composed(
            &mut algebraic,
            whole,
            self.with,
            &definitions,
            &mut known,
            0,
        )?;
        let by = algebraic::symbol(self.with, None);
        let derivative = algebraic.algebra.differentiate(whole, by)?;
        let derivative = algebraic.algebra.simplify(derivative);
        let written = algebraic.algebra.written(derivative)?;
        (written.size() <= SHORT)
            .then(|| written::expr(&mut algebraic, derivative, Span::default()))
            .flatten()
    }

    fn size(&self) -> usize {
        let definitions = self.definitions.iter().map(|(_, formula)| formula.size());
        self.setting.size() + self.subject.size() + definitions.sum::<usize>()
    }
}

/// The derivative of `subject` by a given, through the definitions between; `None` where it is not
/// short, or holds what the algebra does not look into.
pub(super) fn formula(
    book: &Book<'_>,
    asker: &Asker<'_>,
    origin: Origin,
    subject: &Expr,
    with: SymbolId,
) -> Option<Expr> {
    let place = book.statement(origin)?.span;
    let definitions = book.definitions(origin);
    if goes_through_a_root(book, &definitions, subject, with) {
        return None;
    }
    let bodies = |function: FunctionId| book.body(function);
    let lines = book.lines(origin, &bodies);
    let met = definitions_met(lines, &definitions, subject);
    let formulas = met.iter().map(|(_, formula)| *formula);
    let symbols = met.iter().map(|(symbol, _)| *symbol).chain([with]);
    let mut taking = Taking::new(lines, formulas.chain([subject]), symbols);
    let subject = taking.formula(subject);
    let definitions = (met.iter())
        .map(|(symbol, formula)| (taking.symbol(*symbol), taking.formula(formula)))
        .collect();
    let with = taking.symbol(with);
    let (setting, names) = taking.setting();
    let answer = asker.ask(Derivative {
        setting,
        subject,
        with,
        definitions,
        effort: book.efforts(origin).derivative,
    });
    let found: Option<&Expr> = (**answer).as_ref();
    found.map(|found| names.formula(found, place))
}

/// The definitions that a subject leads to.
fn definitions_met<'a>(
    lines: Lines<'_>,
    definitions: &'a FxHashMap<SymbolId, Cow<'_, Expr>>,
    subject: &Expr,
) -> Vec<(SymbolId, &'a Expr)> {
    let mut met: BTreeMap<SymbolId, &'a Expr> = BTreeMap::new();
    let mut open: Vec<SymbolId> = setting::symbols_met(subject, lines).collect();
    while let Some(symbol) = open.pop() {
        if let Some(definition) = definitions.get(&symbol)
            && met.insert(symbol, definition).is_none()
        {
            open.extend(setting::symbols_met(definition, lines));
        }
    }
    met.into_iter().collect()
}

/// Whether the subject depends on the given through the root of an equation, whose derivative is
/// no short formula.
fn goes_through_a_root(
    book: &Book<'_>,
    definitions: &FxHashMap<SymbolId, Cow<'_, Expr>>,
    subject: &Expr,
    with: SymbolId,
) -> bool {
    let roots = book.roots();
    let reads = |symbol: SymbolId| {
        let mut found = roots.get(&symbol).cloned().unwrap_or_default();
        if let Some(definition) = definitions.get(&symbol) {
            definition.for_each_symbol(&mut |symbol, _| found.push(symbol));
        }
        found
    };
    let reached = |from: Vec<SymbolId>| {
        let mut found: FxHashSet<SymbolId> = FxHashSet::default();
        let mut open = from;
        while let Some(symbol) = open.pop() {
            if found.insert(symbol) {
                open.extend(reads(symbol));
            }
        }
        found
    };
    let mut own = Vec::new();
    subject.for_each_symbol(&mut |symbol, _| own.push(symbol));
    let all = reached(own);
    all.iter()
        .filter(|symbol| roots.contains_key(symbol))
        .any(|root| reached(vec![*root]).contains(&with))
}

/// The expression with every symbol that depends on `with` written out by its definition.
fn composed(
    algebraic: &mut Algebraic<'_>,
    id: Id,
    with: SymbolId,
    definitions: &FxHashMap<SymbolId, &Expr>,
    known: &mut FxHashMap<Symbol, Option<Id>>,
    depth: usize,
) -> Option<Id> {
    if depth > MOST_DEPTH {
        return None;
    }
    let mut by = FxHashMap::default();
    for symbol in algebraic.algebra.symbols(id).to_vec() {
        let Some((own, None)) = algebraic::of_symbol(symbol) else {
            continue;
        };
        let Some(definition) = definitions.get(&own) else {
            continue;
        };
        let found = match known.get(&symbol) {
            Some(found) => *found,
            None => {
                let inner = algebraic.canonical(definition).ok()?;
                let inner = composed(algebraic, inner, with, definitions, known, depth + 1)?;
                let depends = algebraic
                    .algebra
                    .contains(inner, algebraic::symbol(with, None));
                let found = depends.then_some(inner);
                known.insert(symbol, found);
                found
            }
        };
        if let Some(inner) = found {
            by.insert(algebraic.algebra.symbol(symbol), inner);
        }
    }
    Some(algebraic.algebra.substitute(id, &by))
}
