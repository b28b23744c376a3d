//! The values of a problem when names have other values, or other formulas.
//!
//! A [`Replay`] is a problem that was evaluated once; an [`Instead`] says what is other than in it.
//! A definition whose name has another value is not asked, what reads it is evaluated again, and
//! roots are sought again near the present one: as in a what-if, but for names of any kind, and as
//! it is written, since the values may be somebody else's. Dimensions are not looked at. Values
//! are in coherent SI units.

use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::definitions::{Care, Changed, Definition, Replaced, Stop};
use super::program::{Fault, Program};
use super::solve::Sides;
use super::value::{Value, Values};
use super::walk::{Ground, Walk, walked};
use crate::dimensions::Type;
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, Kind, Shape, Statement, SymbolId, Symbols};

/// A problem that was evaluated, whose values can be had again.
pub struct Replay<'a> {
    pub(super) walk: Walk<'a>,
    /// The lines that define names.
    lines: FxHashMap<SymbolId, &'a Statement>,
    /// For each name the formulas that a line shows to give it, without defining it.
    shown: FxHashMap<SymbolId, Vec<(&'a Expr, Origin)>>,
}

/// What is other than in the worksheet.
#[derive(Debug, Clone, Default)]
pub struct Instead {
    changed: Changed,
}

/// Why there is no value.
#[derive(Debug, Clone, PartialEq)]
pub enum Refusal {
    /// This name has none in the worksheet.
    NoValue(SymbolId),
    /// This name would be had from itself.
    Circle(SymbolId),
    /// A formula has none there, and where.
    Fault(Fault),
    /// No root was found for these names.
    NoRoot(Vec<SymbolId>),
    /// It is no finite number.
    NotFinite,
}

/// Where a formula of a name stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// In the line that defines it: the one that gives its value.
    First,
    /// In the same line, behind that.
    Behind,
    /// In another equation of `derive`.
    Derived,
    /// In a line of `work` that shows it to be so, `formula = x = ?`.
    Shown,
}

/// A formula for a name.
#[derive(Debug, Clone)]
pub struct FormulaOf<'r> {
    /// As it is written.
    pub expr: &'r Expr,
    /// As it is evaluated.
    pub program: Program,
    /// Where it stands.
    pub stands: Stands,
    /// The line that it was taken from, where that is not the one of its name.
    pub origin: Option<Origin>,
}

impl FormulaOf<'_> {
    /// What it reads, each once.
    pub fn reads(&self) -> Vec<SymbolId> {
        once(self.program.symbols())
    }
}

impl Instead {
    /// The same with a value for a name.
    #[must_use]
    pub fn with(mut self, symbol: SymbolId, value: Value) -> Self {
        self.changed.by.insert(symbol, value);
        self
    }

    /// The same with a formula in the place of the one that gives a name. Of several names that are
    /// found together, no single one has a formula.
    #[must_use]
    pub fn with_formula(mut self, symbol: SymbolId, formula: Program) -> Self {
        self.changed.formulas.insert(symbol, formula);
        self
    }

    /// The same with other equations for names that are roots, of which this is the first.
    #[must_use]
    pub fn with_equations(mut self, first: SymbolId, equations: Vec<[Program; 2]>) -> Self {
        self.changed.equations.insert(first, equations);
        self
    }

    /// The value that stands for that of a name.
    pub fn value(&self, symbol: SymbolId) -> Option<&Value> {
        self.changed.by.get(&symbol)
    }

    /// What a definition reads now.
    fn reads(&self, definition: &Definition<'_>) -> Vec<SymbolId> {
        let symbols = definition.symbols();
        if let [symbol] = symbols
            && let Some(formula) = self.changed.formulas.get(symbol)
        {
            return formula.symbols().collect();
        }
        let equations = symbols
            .first()
            .and_then(|first| self.changed.equations.get(first));
        let mut reads = match equations {
            Some(sides) => (sides.iter().flatten())
                .flat_map(Program::symbols)
                .collect(),
            None => definition.reads(),
        };
        if !definition.is_formula() {
            reads.retain(|symbol| !symbols.contains(symbol));
        }
        reads
    }
}

impl<'a> Replay<'a> {
    /// Evaluates a problem.
    pub fn of(ground: Ground<'a>) -> Self {
        let walk = walked(ground);
        let mut lines = FxHashMap::default();
        let mut shown: FxHashMap<SymbolId, Vec<(&Expr, Origin)>> = FxHashMap::default();
        for (block, statements) in ground.resolved.blocks.iter().enumerate() {
            for (at, line) in statements.iter().enumerate() {
                for symbol in line.defines.iter().chain(&line.unknowns) {
                    lines.insert(*symbol, line);
                }
                let is_evaluated = walk.results.statements[block][at].is_ok();
                if let (Some(Kind::Work(work)), true) = (&line.kind, is_evaluated)
                    && line.defines.is_none()
                    && work.conditions.is_empty()
                    && work.lead.as_symbol().is_none()
                {
                    let origin = Origin {
                        block,
                        statement: at,
                    };
                    for symbol in work.members.iter().filter_map(Expr::as_symbol) {
                        let members = std::iter::once(&work.lead).chain(&work.members);
                        let others = members.filter(|member| member.as_symbol().is_none());
                        let own = shown.entry(symbol).or_default();
                        own.extend(others.map(|member| (member, origin)));
                    }
                }
            }
        }
        Self { walk, lines, shown }
    }

    /// The names of the problem.
    pub fn symbols(&self) -> &'a Symbols {
        &self.walk.resolved.symbols
    }

    /// The text of the problem.
    pub fn text(&self) -> &'a str {
        self.walk.text
    }

    /// The names that lines of the problem define and that have a value, in the order of the lines.
    pub fn names(&self) -> Vec<SymbolId> {
        let lines = self.walk.resolved.blocks.iter().flatten();
        let names = lines.flat_map(|line| line.defines.iter().chain(&line.unknowns));
        once(names.copied().filter(|it| self.present(*it).is_some()))
    }

    /// The value of a name in the worksheet.
    pub fn present(&self, symbol: SymbolId) -> Option<&Value> {
        self.walk.results.value(symbol)
    }

    /// Numbers as the value of a name, in coherent SI units: as many as it has. What is not a number
    /// is missing from a list. Readings are as uncertain as those of the worksheet.
    pub fn numbers(&self, symbol: SymbolId, numbers: &[f64]) -> Option<Value> {
        let present = self.present(symbol)?;
        (present.rows.len() == numbers.len()).then(|| Value {
            rows: numbers.to_vec(),
            shape: present.shape,
            of: present.of.clone(),
            gradients: match present.shape {
                Shape::List => present.gradients.clone(),
                Shape::One | Shape::Vector => Vec::new(),
            },
            ..Value::default()
        })
    }

    /// The value of a name with what is other.
    ///
    /// # Errors
    /// Why there is none.
    pub fn value(&self, symbol: SymbolId, instead: &Instead) -> Result<Value, Refusal> {
        let replaced = self.replayed(&[symbol], instead)?;
        let value = replaced.value(symbol).cloned();
        finite(value.ok_or(Refusal::NoValue(symbol))?)
    }

    /// The value of a formula with what is other.
    ///
    /// # Errors
    /// Why there is none.
    pub fn value_of(&self, formula: &Program, instead: &Instead) -> Result<Value, Refusal> {
        let reads: Vec<SymbolId> = formula.symbols().collect();
        let replaced = self.replayed(&reads, instead)?;
        finite(replaced.run(formula).map_err(Refusal::Fault)?)
    }

    fn replayed(&self, wanted: &[SymbolId], instead: &Instead) -> Result<Replaced<'_>, Refusal> {
        let behind = self.order(wanted, instead)?;
        let replaced = (self.walk).replay_changed(&behind, &instead.changed, Care::AsWritten);
        replaced.map_err(refusal)
    }

    /// The definitions behind names, each after what it reads.
    fn order(
        &self,
        wanted: &[SymbolId],
        instead: &Instead,
    ) -> Result<Vec<Arc<Definition<'a>>>, Refusal> {
        let mut found = Vec::new();
        // Whether all that is behind the definition of a name is found, by the first of its names.
        let mut is_found: FxHashMap<SymbolId, bool> = FxHashMap::default();
        let mut open: Vec<(SymbolId, bool)> = wanted.iter().rev().map(|it| (*it, false)).collect();
        while let Some((symbol, is_over)) = open.pop() {
            if instead.changed.by.contains_key(&symbol) {
                continue;
            }
            let Some(definition) = self.walk.results.definitions.get(symbol) else {
                match self.present(symbol) {
                    Some(_) => continue,
                    None => return Err(Refusal::NoValue(symbol)),
                }
            };
            let first = definition.symbols().first().copied().unwrap_or(symbol);
            match (is_found.get(&first), is_over) {
                (_, true) => {
                    is_found.insert(first, true);
                    found.push(Arc::clone(definition));
                }
                (Some(true), _) => {}
                (Some(false), _) => return Err(Refusal::Circle(symbol)),
                (None, _) => {
                    is_found.insert(first, false);
                    open.push((symbol, true));
                    let reads = instead.reads(definition);
                    open.extend(reads.into_iter().rev().map(|it| (it, false)));
                }
            }
        }
        Ok(found)
    }

    /// The formulas for a name, the one that gives its value first; none where it is the root of
    /// equations, or a parameter.
    pub fn formulas(&self, symbol: SymbolId) -> Vec<FormulaOf<'_>> {
        let mut found = Vec::new();
        if let Some(definition) = self.walk.results.definitions.get(symbol)
            && let Definition::Formula { ways, .. } = &**definition
        {
            for (line, way) in ways.iter().enumerate() {
                for (at, (expr, program)) in way.formulas.iter().enumerate() {
                    found.push(FormulaOf {
                        expr,
                        program: program.clone(),
                        stands: match (line, at) {
                            (0, 0) => Stands::First,
                            (0, _) => Stands::Behind,
                            _ => Stands::Derived,
                        },
                        origin: way.origin,
                    });
                }
            }
        }
        for (expr, origin) in self.shown.get(&symbol).into_iter().flatten() {
            found.push(FormulaOf {
                expr,
                program: self.compile(symbol, expr),
                stands: Stands::Shown,
                origin: Some(*origin),
            });
        }
        found
    }

    /// A formula for a name, as it is evaluated.
    pub fn compile(&self, symbol: SymbolId, formula: &Expr) -> Program {
        let turns = self.walk.checked.turning_power(symbol);
        self.walk.compile(formula).turned(turns, formula.span)
    }

    /// The equations of which names are the roots, with these names.
    pub(super) fn equations(
        &self,
        symbol: SymbolId,
    ) -> Option<(Vec<SymbolId>, Vec<[&'a Expr; 2]>)> {
        let (symbols, sides) = self.lines.get(&symbol)?.facts().roots?;
        let pairs = sides.chunks_exact(2).map(|pair| [pair[0], pair[1]]);
        Some((symbols, pairs.collect()))
    }

    /// The sides of equations, as they are evaluated.
    pub(super) fn compiled(&self, equations: &[[&Expr; 2]]) -> Vec<Sides> {
        let side = |side: &Expr| self.walk.compile(side);
        (equations.iter())
            .map(|[left, right]| [side(left), side(right)])
            .collect()
    }

    /// The line that defines a name.
    pub fn line(&self, symbol: SymbolId) -> Option<&'a Statement> {
        self.lines.get(&symbol).copied()
    }

    /// The datum that a name is.
    pub fn datum(&self, symbol: SymbolId) -> Option<&'a Expr> {
        let (_, value) = self.line(symbol)?.facts().datum()?;
        Some(value)
    }

    /// What the definition of a name reads, each name once; nothing of a datum.
    pub fn reads(&self, symbol: SymbolId) -> Vec<SymbolId> {
        let definition = self.walk.results.definitions.get(symbol);
        let reads = definition.map(|definition| {
            let own = definition.symbols();
            let reads = definition.reads().into_iter();
            reads.filter(|it| !own.contains(it)).collect::<Vec<_>>()
        });
        once(reads.into_iter().flatten())
    }

    /// All that a name depends on, itself last: each after what it reads.
    ///
    /// # Errors
    /// Where one of them has no value.
    pub fn behind(&self, symbol: SymbolId) -> Result<Vec<SymbolId>, Refusal> {
        self.behind_with(symbol, &Instead::default())
    }

    /// The same with what is other: what `instead` has is not asked.
    pub(super) fn behind_with(
        &self,
        symbol: SymbolId,
        instead: &Instead,
    ) -> Result<Vec<SymbolId>, Refusal> {
        let order = self.order(&[symbol], instead)?;
        let symbols = order.iter().flat_map(|definition| definition.symbols());
        Ok(symbols.copied().collect())
    }

    /// What a name counts, and from where.
    pub fn found(&self, symbol: SymbolId) -> Option<&'a Type> {
        self.walk.checked.symbols.get(symbol)
    }

    /// What the numbers of a name are to each other.
    pub fn shape(&self, symbol: SymbolId) -> Option<Shape> {
        self.present(symbol).map(|value| value.shape)
    }
}

fn once(symbols: impl IntoIterator<Item = SymbolId>) -> Vec<SymbolId> {
    let mut seen = FxHashSet::default();
    symbols.into_iter().filter(|it| seen.insert(*it)).collect()
}

fn refusal(stop: Stop) -> Refusal {
    match stop {
        Stop::Fault(fault) => Refusal::Fault(fault),
        Stop::Unsolved(_, symbols) => Refusal::NoRoot(symbols),
        Stop::NoSolution(symbol, _) => Refusal::NoRoot(vec![symbol]),
        // Nothing is held against anything.
        Stop::Disagree(_) | Stop::Barred(_) => Refusal::NotFinite,
    }
}

/// A value of which each number is one; in a list some may be missing.
fn finite(value: Value) -> Result<Value, Refusal> {
    let is_list = value.shape == Shape::List;
    let is_one = |number: &f64| number.is_finite() || is_list && number.is_nan();
    match value.rows.iter().all(is_one) {
        true => Ok(value),
        false => Err(Refusal::NotFinite),
    }
}
