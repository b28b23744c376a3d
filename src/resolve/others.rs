//! What is taken from other worksheets: their formulas in symbols of this one.
//!
//! A value of another worksheet is a symbol here that no name leads to; what it is there is
//! recorded beside it. A function of another worksheet is copied with its formulas, in which such
//! symbols stand for all that is no number.

use rustc_hash::FxHashMap;

use super::symbols::UserFunction;
use super::tree::{Case, Condition, Expr, ExprKind, Factor, FunctionId, ReadOff, SymbolId, Term};
use super::{Resolved, Resolver};
use crate::diagnostic::Diagnostic;
use crate::text::Span;

/// The other worksheets that a problem takes from.
pub trait Others: Sync {
    /// A name of a problem of another worksheet. `file` and `under` are as they are written, with
    /// their places.
    ///
    /// # Errors
    /// What is wrong, as a diagnostic of the line that takes.
    fn find(&self, wanted: &Wanted<'_>) -> Result<Found<'_>, Box<Diagnostic>>;

    /// What is wrong with a worksheet that something was taken from, to be said at the line that
    /// takes from it first.
    fn fault(&self, at: usize, wanted: &Wanted<'_>) -> Option<Diagnostic>;
}

/// What a line takes.
#[derive(Debug, Clone, Copy)]
pub struct Wanted<'w> {
    /// The file, and where it stands.
    pub file: (&'w str, Span),
    /// The heading of a problem.
    pub under: Option<(&'w str, Span)>,
    /// The name there.
    pub key: (&'w str, Span),
}

/// A name that was found in another worksheet.
#[derive(Clone, Copy)]
pub struct Found<'o> {
    /// Which of the other problems it is in.
    pub at: usize,
    /// The problem, resolved.
    pub resolved: &'o Resolved,
    /// How names of it are scoped.
    pub scope: usize,
    /// What the name is.
    pub what: Named,
}

/// What a name is in another worksheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Named {
    /// A quantity.
    Symbol(SymbolId),
    /// A function.
    Function(FunctionId),
}

/// What a symbol of this worksheet is in another one.
#[derive(Debug, Clone, PartialEq)]
pub struct Elsewhere {
    /// Which of the other problems it is in.
    pub at: usize,
    /// What it is there.
    pub what: Theirs,
}

/// What a value is in another worksheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Theirs {
    /// The value of a name.
    Symbol(SymbolId),
    /// The value of a number with a unit, or of one that is uncertain.
    Quantity(Expr),
    /// A list of a table as a function, in the rows that are in it: the list, and where the lists
    /// of the table stand.
    Rows(SymbolId, Span),
    /// The value of a name with other values of some givens.
    WhatIf(SymbolId, Vec<(SymbolId, Expr)>),
}

/// What was copied from another problem up to now.
#[derive(Debug, Default)]
pub(super) struct Copies {
    symbols: FxHashMap<(usize, SymbolId), SymbolId>,
    functions: FxHashMap<(usize, FunctionId), FunctionId>,
}

/// What cannot be copied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Uncopied;

/// Formulas of another problem on their way here.
struct Copying<'r, 'a> {
    resolver: &'r mut Resolver<'a>,
    found: Found<'r>,
    /// Where the line stands that takes.
    place: Span,
}

impl Resolver<'_> {
    /// The symbol here for a name of another problem.
    pub(super) fn symbol_of_other(&mut self, found: Found<'_>, symbol: SymbolId) -> SymbolId {
        if let Some(known) = self.copies.symbols.get(&(found.at, symbol)) {
            return *known;
        }
        let own = self.new_elsewhere(found, symbol, Theirs::Symbol(symbol));
        self.copies.symbols.insert((found.at, symbol), own);
        own
    }

    /// A symbol here for a value of another problem.
    pub(super) fn new_elsewhere(
        &mut self,
        found: Found<'_>,
        called: SymbolId,
        what: Theirs,
    ) -> SymbolId {
        let there = &found.resolved.symbols;
        let key = there.symbol(called).key.clone();
        let own = self.symbols.add_unseen(self.problem, &key);
        if let Some(components) = there.components(called) {
            self.symbols.make_vector(own, components);
        }
        let at = found.at;
        self.elsewhere.push((own, Elsewhere { at, what }));
        own
    }

    /// The function here for one of another problem, with its formulas.
    pub(super) fn function_of_other(
        &mut self,
        found: Found<'_>,
        function: FunctionId,
        place: Span,
    ) -> Result<FunctionId, Uncopied> {
        if let Some(known) = self.copies.functions.get(&(found.at, function)) {
            return Ok(*known);
        }
        let mut bodies = found.resolved.functions();
        let body = bodies.find_map(|(_, own, body)| (own == function).then_some(body));
        let body = body.ok_or(Uncopied)?;
        let there = found.resolved.symbols.function(function);
        let mut copying = Copying {
            resolver: self,
            found,
            place,
        };
        let body = copying.expr(body)?;
        let own = self.symbols.add_unseen_function(UserFunction {
            key: there.key.clone(),
            parameters: there.parameters.clone(),
            defined: place,
        });
        if self.keeps_equations {
            self.bodies.insert(own, body.clone());
        }
        self.functions_elsewhere.push((own, body));
        self.copies.functions.insert((found.at, function), own);
        Ok(own)
    }
}

impl Copying<'_, '_> {
    fn symbol(&mut self, symbol: SymbolId) -> SymbolId {
        self.resolver.symbol_of_other(self.found, symbol)
    }

    fn boxed(&mut self, expr: &Expr) -> Result<Box<Expr>, Uncopied> {
        self.expr(expr).map(Box::new)
    }

    fn all(&mut self, exprs: &[Expr]) -> Result<Vec<Expr>, Uncopied> {
        exprs.iter().map(|expr| self.expr(expr)).collect()
    }

    fn expr(&mut self, expr: &Expr) -> Result<Expr, Uncopied> {
        let kind = match &expr.kind {
            ExprKind::Number(value) | ExprKind::Numeral(value) => ExprKind::Numeral(*value),
            ExprKind::Quantity(_) => {
                let own = (self.resolver.symbols).add_unseen(self.resolver.problem, "number");
                let what = Theirs::Quantity(expr.clone());
                let at = self.found.at;
                self.resolver.elsewhere.push((own, Elsewhere { at, what }));
                ExprKind::Symbol(own)
            }
            ExprKind::Pi => ExprKind::Pi,
            ExprKind::Symbol(symbol) => ExprKind::Symbol(self.symbol(*symbol)),
            ExprKind::Parameter(at) => ExprKind::Parameter(*at),
            ExprKind::Constant(constant) => ExprKind::Constant(constant),
            ExprKind::Sum(terms) => {
                let term = |term: &Term| {
                    Ok(Term {
                        expr: self.expr(&term.expr)?,
                        ..term.clone()
                    })
                };
                ExprKind::Sum(terms.iter().map(term).collect::<Result<_, _>>()?)
            }
            ExprKind::Product(factors) => {
                let factor = |factor: &Factor| {
                    Ok(Factor {
                        expr: self.expr(&factor.expr)?,
                        ..factor.clone()
                    })
                };
                ExprKind::Product(factors.iter().map(factor).collect::<Result<_, _>>()?)
            }
            ExprKind::Power(base, exponent) => {
                ExprKind::Power(self.boxed(base)?, self.boxed(exponent)?)
            }
            ExprKind::Negative(inner) => ExprKind::Negative(self.boxed(inner)?),
            ExprKind::Group(inner) => ExprKind::Group(self.boxed(inner)?),
            ExprKind::Abs(inner) => ExprKind::Abs(self.boxed(inner)?),
            ExprKind::Call {
                function,
                arguments,
                bracketed,
            } => {
                // Its scatter is found where it stands, and the atmosphere is that of the other.
                let is_own = function.is_by_scatter()
                    || *function == crate::functions::Function::WeightedMean
                    || function.dimensions() == crate::functions::Dimensions::Pressure;
                if is_own {
                    return Err(Uncopied);
                }
                ExprKind::Call {
                    function: *function,
                    arguments: self.all(arguments)?,
                    bracketed: *bracketed,
                }
            }
            ExprKind::Apply {
                function,
                arguments,
            } => {
                let arguments = self.all(arguments)?;
                let own = (self.resolver).function_of_other(self.found, *function, self.place)?;
                ExprKind::Apply {
                    function: own,
                    arguments,
                }
            }
            ExprKind::List(items) => ExprKind::List(self.all(items)?),
            ExprKind::Vector(items) => ExprKind::Vector(self.all(items)?),
            ExprKind::Component(symbol, axis) => ExprKind::Component(self.symbol(*symbol), *axis),
            ExprKind::Cases(cases) => {
                let case = |case: &Case| {
                    let condition = match &case.condition {
                        Some(condition) => Some(Condition {
                            members: self.all(&condition.members)?,
                            relations: condition.relations.clone(),
                        }),
                        None => None,
                    };
                    let value = self.expr(&case.value)?;
                    Ok(Case { value, condition })
                };
                ExprKind::Cases(cases.iter().map(case).collect::<Result<_, _>>()?)
            }
            ExprKind::Where(..) => return Err(Uncopied),
            ExprKind::ReadOff(table) => ExprKind::ReadOff(Box::new(ReadOff {
                function: self
                    .resolver
                    .symbols
                    .add_unseen(self.resolver.problem, "table"),
                values: self.list(&table.values, table, expr.span)?,
                places: self.list(&table.places, table, expr.span)?,
                way: table.way,
                rows: None,
                at: self.expr(&table.at)?,
            })),
        };
        let span = self.place;
        Ok(Expr { span, kind })
    }

    /// A list of a table, in the rows that are in it.
    fn list(&mut self, list: &Expr, table: &ReadOff, place: Span) -> Result<Expr, Uncopied> {
        let symbol = list.as_symbol().ok_or(Uncopied)?;
        let own = match &table.rows {
            None => self.symbol(symbol),
            Some(_) => {
                let what = Theirs::Rows(symbol, place);
                self.resolver.new_elsewhere(self.found, symbol, what)
            }
        };
        Ok(Expr {
            span: self.place,
            kind: ExprKind::Symbol(own),
        })
    }
}
