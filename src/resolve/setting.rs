//! Formulas as they are put to the algebra: by themselves.
//!
//! In go formulas of a worksheet, out come the same ones with nothing in them of where they stand:
//! symbols and functions are numbered among those that are met, and numbers stand in a text of
//! their own. With them go a [`Setting`], which is all that the algebra is told beside them, and
//! [`Names`], by which its answers are told again in the worksheet.

use std::collections::BTreeSet;
use std::hash::{Hash, Hasher};

use rustc_hash::FxHashMap;

use super::symbols::{Symbols, Vectors};
use super::tree::{Expr, ExprKind, FunctionId, SizeWritten, SymbolId};
use crate::algebra::Sign;
use crate::functions::Function;
use crate::syntax::ATMOSPHERE;
use crate::text::Span;

/// What is known of symbols.
pub type Signs = FxHashMap<SymbolId, Sign>;

/// The lines that formulas are taken from.
#[derive(Clone, Copy)]
pub struct Lines<'a> {
    /// Their text.
    pub text: &'a str,
    /// What their names mean.
    pub symbols: &'a Symbols,
    /// The problem that they stand in.
    pub problem: usize,
    /// The bodies of user functions.
    pub bodies: &'a dyn Fn(FunctionId) -> Option<&'a Expr>,
    /// The known signs.
    pub signs: &'a Signs,
}

/// What the algebra is told beside the formulas.
#[derive(Debug, PartialEq)]
pub struct Setting {
    /// The numbers of all formulas as they were written.
    pub(super) numbers: Box<str>,
    /// The symbols that are vectors.
    pub vectors: Vectors,
    /// The known signs.
    pub signs: Signs,
    /// How many symbols there are; they are numbered from 0.
    count: u32,
    /// The bodies of the user functions that are met.
    bodies: Vec<Option<Expr>>,
    /// `p_atm`, by which gauge and absolute pressures differ, where they are met.
    pub(super) atmosphere: Option<SymbolId>,
}

/// By the numbers alone: what else two settings differ in is left to comparing them.
impl Hash for Setting {
    fn hash<H: Hasher>(&self, state: &mut H) {
        (&self.numbers, self.count).hash(state);
    }
}

impl Setting {
    /// Of a whole problem: symbols and numbers are those of its lines.
    pub fn of_lines<'a>(
        lines: Lines<'a>,
        bodies: impl Iterator<Item = (FunctionId, &'a Expr)>,
    ) -> Self {
        let count = lines.symbols.len() as u32;
        let mut all: Vec<Option<Expr>> = Vec::new();
        for (function, body) in bodies {
            let at = function.0 as usize;
            all.resize(all.len().max(at + 1), None);
            all[at] = Some(body.clone());
        }
        Self {
            numbers: lines.text.into(),
            vectors: lines.symbols.vectors().clone(),
            signs: lines.signs.clone(),
            count,
            bodies: all,
            atmosphere: lines.symbols.find(lines.problem, ATMOSPHERE),
        }
    }

    /// All symbols.
    pub fn symbols(&self) -> impl Iterator<Item = SymbolId> {
        (0..self.count).map(SymbolId)
    }

    /// How many parts the formulas have that are kept here.
    pub fn size(&self) -> usize {
        self.bodies.iter().flatten().map(Expr::size).sum()
    }

    /// The body of a user function.
    pub(super) fn body(&self, function: FunctionId) -> Option<&Expr> {
        self.bodies.get(function.0 as usize)?.as_ref()
    }
}

/// The symbols of a worksheet by their numbers in a setting.
#[derive(Debug)]
pub struct Names(Vec<SymbolId>);

impl Names {
    /// A symbol of the worksheet.
    pub fn symbol(&self, numbered: SymbolId) -> SymbolId {
        self.0.get(numbered.0 as usize).copied().unwrap_or(numbered)
    }

    /// The number of a symbol of the worksheet.
    pub fn number(&self, symbol: SymbolId) -> Option<SymbolId> {
        let at = self.0.binary_search(&symbol).ok()?;
        Some(SymbolId(at as u32))
    }

    /// What the algebra wrote, at a place of the worksheet.
    pub fn formula(&self, written: &Expr, place: Span) -> Expr {
        let mut own = written.with_symbols(&|symbol| self.symbol(symbol));
        own.change(&mut |part| part.span = place);
        own
    }
}

/// Takes formulas out of their worksheet.
pub struct Taking<'a> {
    lines: Lines<'a>,
    symbols: Names,
    functions: Vec<FunctionId>,
    atmosphere: Option<SymbolId>,
    numbers: String,
}

impl<'a> Taking<'a> {
    /// For these formulas, and symbols beside them.
    pub fn new<'e>(
        lines: Lines<'a>,
        formulas: impl Iterator<Item = &'e Expr>,
        symbols: impl Iterator<Item = SymbolId>,
    ) -> Self {
        let mut met = Met::default();
        met.symbols.extend(symbols);
        formulas.for_each(|formula| met.meet(formula, lines));
        let atmosphere = met
            .datum
            .then(|| lines.symbols.find(lines.problem, ATMOSPHERE));
        let atmosphere = atmosphere.flatten();
        met.symbols.extend(atmosphere);
        Self {
            lines,
            symbols: Names(met.symbols.into_iter().collect()),
            functions: met.functions.into_iter().collect(),
            atmosphere,
            numbers: String::new(),
        }
    }

    /// A symbol, which was among those that this was made for.
    pub fn symbol(&self, symbol: SymbolId) -> SymbolId {
        let number = self.symbols.number(symbol);
        debug_assert!(number.is_some(), "a symbol that was not met");
        number.unwrap_or(SymbolId(self.symbols.0.len() as u32))
    }

    /// A formula, which was among those that this was made for.
    pub fn formula(&mut self, formula: &Expr) -> Expr {
        let mut own = formula.clone();
        own.change(&mut |part| {
            let number = matches!(part.kind, ExprKind::Number(_)).then_some(part.span);
            part.span = number.map_or(Span::default(), |number| self.number(number));
            if let ExprKind::Symbol(symbol) | ExprKind::Component(symbol, _) = &mut part.kind {
                *symbol = self.symbol(*symbol);
            }
            if let ExprKind::Quantity(quantity) = &mut part.kind {
                quantity.number = self.number(quantity.number);
                for size in &mut quantity.sizes {
                    size.written = SizeWritten::default();
                }
            }
            if let ExprKind::Apply { function, .. } = &mut part.kind {
                let at = self.functions.binary_search(function);
                *function = FunctionId(at.unwrap_or(self.functions.len()) as u32);
            }
        });
        own
    }

    /// The place of a number among those that were taken.
    fn number(&mut self, place: Span) -> Span {
        let start = self.numbers.len();
        self.numbers.push_str(place.of(self.lines.text));
        Span::new(start, self.numbers.len())
    }

    /// What the algebra is told beside the formulas, and what their symbols are called.
    pub fn setting(mut self) -> (Setting, Names) {
        let functions = self.functions.clone();
        let bodies = (functions.into_iter())
            .map(|function| (self.lines.bodies)(function).map(|body| self.formula(body)))
            .collect();
        let numbered = |symbol: &SymbolId| (self.symbol(*symbol), *symbol);
        let symbols = || self.symbols.0.iter().map(numbered);
        let setting = Setting {
            vectors: symbols()
                .filter_map(|(own, symbol)| Some((own, self.lines.symbols.components(symbol)?)))
                .collect(),
            signs: symbols()
                .filter_map(|(own, symbol)| Some((own, *self.lines.signs.get(&symbol)?)))
                .collect(),
            count: self.symbols.0.len() as u32,
            bodies,
            atmosphere: self.atmosphere.map(|symbol| self.symbol(symbol)),
            numbers: self.numbers.into(),
        };
        (setting, self.symbols)
    }
}

/// The symbols of a formula, and of the functions that are used in it.
pub fn symbols_met(formula: &Expr, lines: Lines<'_>) -> impl Iterator<Item = SymbolId> + use<> {
    let mut met = Met::default();
    met.meet(formula, lines);
    met.symbols.into_iter()
}

/// What is met in formulas.
#[derive(Default)]
struct Met {
    symbols: BTreeSet<SymbolId>,
    functions: BTreeSet<FunctionId>,
    /// Whether a pressure is counted from elsewhere.
    datum: bool,
}

impl Met {
    fn meet(&mut self, formula: &Expr, lines: Lines<'_>) {
        if let ExprKind::Symbol(symbol) | ExprKind::Component(symbol, _) = formula.kind {
            self.symbols.insert(symbol);
        }
        if let ExprKind::Call { function, .. } = formula.kind {
            self.datum |= matches!(function, Function::Absolute | Function::Gauge);
        }
        if let ExprKind::Apply { function, .. } = formula.kind
            && self.functions.insert(function)
            && let Some(body) = (lines.bodies)(function)
        {
            self.meet(body, lines);
        }
        formula.for_each_part(|part| self.meet(part, lines));
    }
}
