//! The resolved tree: the author's form with every name looked up and every unit decided.
//!
//! This is the tree that is dimension-checked, evaluated and typeset. It keeps what the author
//! wrote (order, fractions, brackets, the text of numbers through spans) and knows, for each
//! part, which symbol, function, constant or quantity it is.

use std::hash::{Hash, Hasher};
use std::mem::discriminant;
use std::sync::Arc;

use super::which::Which;
use crate::functions::Function;
use crate::quantity::{Constant, Unit};
use crate::statistics::interpolate::Way;
use crate::syntax::{self, Axis, Distribution, Relation};
use crate::text::Span;

/// A symbol of the worksheet: an index into [`super::Symbols`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SymbolId(pub u32);

/// A user function of the worksheet: an index into the functions of [`super::Symbols`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FunctionId(pub u32);

/// A part of a formula.
#[derive(Debug, Clone, PartialEq)]
pub struct Expr {
    /// Where it stands.
    pub span: Span,
    /// What it is.
    pub kind: ExprKind,
}

/// What a part of a formula is.
#[derive(Debug, Clone, PartialEq)]
pub enum ExprKind {
    /// A plain number; its span is its text.
    Number(f64),
    /// A number that the engine wrote, which has no text of its own.
    Numeral(f64),
    /// A number with a unit, or an uncertain one.
    Quantity(Box<Quantity>),
    /// `pi`.
    Pi,
    /// A symbol of the problem.
    Symbol(SymbolId),
    /// The parameter of the user function in whose body it stands, by position.
    Parameter(u8),
    /// `constant(…)`.
    Constant(&'static Constant),
    /// Two or more terms.
    Sum(Arc<[Term]>),
    /// Two or more factors, in source order; operators go from left to right.
    Product(Arc<[Factor]>),
    /// Base and exponent.
    Power(Box<Expr>, Box<Expr>),
    /// `-x`.
    Negative(Box<Expr>),
    /// `(…)` as the author wrote it.
    Group(Box<Expr>),
    /// `|…|`.
    Abs(Box<Expr>),
    /// A built-in function.
    Call {
        /// Which.
        function: Function,
        /// As many as it takes.
        arguments: Vec<Expr>,
        /// Whether brackets were written: `sin theta` has none.
        bracketed: bool,
    },
    /// A user function.
    Apply {
        /// Which.
        function: FunctionId,
        /// As many as it takes.
        arguments: Vec<Expr>,
    },
    /// `[1, 2, 5]`.
    List(Vec<Expr>),
    /// `(a, b)`: a vector by its two or three components.
    Vector(Vec<Expr>),
    /// `V_2.x`: a component of a vector.
    Component(SymbolId, Axis),
    /// `cases(…)`.
    Cases(Vec<Case>),
    /// `p_i where t_i < 60 s`: those rows of a list.
    Where(Box<Expr>, Box<Which>),
    /// `rho_i against T_i`, at a place.
    ReadOff(Box<ReadOff>),
}

/// A value read off a table.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadOff {
    /// What stands for the function that it is where something needs it.
    pub function: SymbolId,
    /// The list of the values.
    pub values: Expr,
    /// The list of the places at which they are.
    pub places: Expr,
    /// How values between them are had.
    pub way: Way,
    /// Which rows are in it; `None` for all.
    pub rows: Option<Which>,
    /// The place at which it is read.
    pub at: Expr,
}

/// How many numbers a value has, and what they are to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Shape {
    /// One number.
    #[default]
    One,
    /// One a row.
    List,
    /// One a component.
    Vector,
}

/// A term of a sum.
pub type Term = syntax::Term<Expr>;

/// A factor of a product.
pub type Factor = syntax::Factor<Expr>;

/// A branch of a case distinction.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// Its value.
    pub value: Expr,
    /// When it holds; `None` is `otherwise`.
    pub condition: Option<Condition>,
}

/// `Re < 2300`, `a < x <= b`.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// Two or three.
    pub members: Vec<Expr>,
    /// One fewer.
    pub relations: Vec<Relation>,
}

/// A quantity literal with its unit looked up.
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity {
    /// The number as written (sign, digits, fraction or list, without unit and uncertainty).
    pub number: Span,
    /// Its values in `unit`; more than one for a list or a vector.
    pub values: Vec<f64>,
    /// What the values are to each other.
    pub shape: Shape,
    /// The unit; [`Unit::one`] for none. With `difference` it is the interval form.
    pub unit: Unit,
    /// The datum word, where one was written or the unit carries it.
    pub datum: Option<crate::syntax::Datum>,
    /// What it is uncertain by: one source of error each, or one each of several numbers.
    pub sizes: Vec<Size>,
    /// The power of ten behind the brackets of number and uncertainty; `values` have it.
    pub power: Option<i32>,
}

impl Quantity {
    /// Whether it is nothing but `0`, without a unit, a datum or an uncertainty.
    pub fn is_plain_zero(&self) -> bool {
        let is_bare = self.unit.source().is_empty() && self.datum.is_none();
        is_bare && self.sizes.is_empty() && self.values.iter().all(|value| *value == 0.0)
    }
}

/// What a quantity, or each number of it, is uncertain by.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// The standard uncertainty of each number, in coherent SI units.
    pub standard: Vec<f64>,
    /// How errors are distributed, where their degrees of freedom are infinite.
    pub distribution: Distribution,
    /// Their degrees of freedom.
    pub degrees: f64,
    /// Whether all numbers have one error in common.
    pub is_common: bool,
    /// The share of the value that it is, where it is nothing else.
    pub share: Option<f64>,
    /// As it is written.
    pub written: SizeWritten,
}

/// An uncertainty as it is written, for printing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SizeWritten {
    /// Where all of it stands.
    pub span: Span,
    /// Its terms.
    pub terms: Vec<TermWritten>,
    /// Whether it is the step of a resolution, or the digits in brackets of the concise form.
    pub form: SizeForm,
    /// The words behind it: `k = 2`, `rectangular`, `common`.
    pub words: Vec<String>,
}

/// A term of an uncertainty as it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct TermWritten {
    /// Where its number stands.
    pub span: Span,
    /// Its unit, where it has one of its own.
    pub unit: Option<Unit>,
    /// What it is a share of, with the unit, where that is not the value.
    pub of: Option<Box<(Span, Unit)>>,
}

/// How an uncertainty is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SizeForm {
    /// `± 0.04`
    #[default]
    PlusMinus,
    /// `(4)`
    Concise,
    /// `(resolution 0.1 mm)`
    Resolution,
    /// `(Poisson)`
    Counts,
}

/// By its kinds and symbols: what else two expressions differ in is left to comparing them.
impl Hash for Expr {
    fn hash<H: Hasher>(&self, state: &mut H) {
        discriminant(&self.kind).hash(state);
        if let ExprKind::Symbol(symbol) | ExprKind::Component(symbol, _) = self.kind {
            symbol.hash(state);
        }
        self.for_each_part(|part| part.hash(state));
    }
}

impl Expr {
    /// The expression inside any number of brackets.
    pub fn inside(&self) -> &Expr {
        match &self.kind {
            ExprKind::Group(inner) => inner.inside(),
            _ => self,
        }
    }

    /// The symbol, when the expression is one alone.
    pub fn as_symbol(&self) -> Option<SymbolId> {
        match self.kind {
            ExprKind::Symbol(symbol) => Some(symbol),
            _ => None,
        }
    }

    /// The function of it.
    pub fn called(self, function: Function) -> Expr {
        Expr {
            span: self.span,
            kind: ExprKind::Call {
                function,
                arguments: vec![self],
                bracketed: true,
            },
        }
    }

    /// Calls `visit` for each direct part.
    pub fn for_each_part<'a>(&'a self, mut visit: impl FnMut(&'a Expr)) {
        match &self.kind {
            ExprKind::Number(_)
            | ExprKind::Numeral(_)
            | ExprKind::Quantity(_)
            | ExprKind::Pi
            | ExprKind::Symbol(_)
            | ExprKind::Component(..)
            | ExprKind::Parameter(_)
            | ExprKind::Constant(_) => {}
            ExprKind::Sum(terms) => terms.iter().for_each(|term| visit(&term.expr)),
            ExprKind::Product(factors) => factors.iter().for_each(|factor| visit(&factor.expr)),
            ExprKind::Power(base, exponent) => {
                visit(base);
                visit(exponent);
            }
            ExprKind::Negative(inner) | ExprKind::Group(inner) | ExprKind::Abs(inner) => {
                visit(inner);
            }
            ExprKind::Call { arguments, .. } | ExprKind::Apply { arguments, .. } => {
                arguments.iter().for_each(visit);
            }
            ExprKind::List(items) | ExprKind::Vector(items) => items.iter().for_each(visit),
            ExprKind::Cases(cases) => {
                for case in cases {
                    visit(&case.value);
                    if let Some(condition) = &case.condition {
                        condition.members.iter().for_each(&mut visit);
                    }
                }
            }
            ExprKind::Where(list, which) => {
                visit(list);
                which.for_each_comparison(&mut |condition| {
                    condition.members.iter().for_each(&mut visit);
                });
            }
            ExprKind::ReadOff(table) => {
                visit(&table.values);
                visit(&table.places);
                visit(&table.at);
                if let Some(rows) = &table.rows {
                    rows.for_each_comparison(&mut |condition| {
                        condition.members.iter().for_each(&mut visit);
                    });
                }
            }
        }
    }

    /// Calls `visit` for each direct part, in the order of [`Self::for_each_part`].
    pub fn for_each_part_mut(&mut self, mut visit: impl FnMut(&mut Expr)) {
        match &mut self.kind {
            ExprKind::Number(_)
            | ExprKind::Numeral(_)
            | ExprKind::Quantity(_)
            | ExprKind::Pi
            | ExprKind::Symbol(_)
            | ExprKind::Component(..)
            | ExprKind::Parameter(_)
            | ExprKind::Constant(_) => {}
            ExprKind::Sum(terms) => {
                (Arc::make_mut(terms).iter_mut()).for_each(|term| visit(&mut term.expr))
            }
            ExprKind::Product(factors) => {
                (Arc::make_mut(factors).iter_mut()).for_each(|factor| visit(&mut factor.expr));
            }
            ExprKind::Power(base, exponent) => {
                visit(base);
                visit(exponent);
            }
            ExprKind::Negative(inner) | ExprKind::Group(inner) | ExprKind::Abs(inner) => {
                visit(inner);
            }
            ExprKind::Call { arguments, .. } | ExprKind::Apply { arguments, .. } => {
                arguments.iter_mut().for_each(visit);
            }
            ExprKind::List(items) | ExprKind::Vector(items) => items.iter_mut().for_each(visit),
            ExprKind::Cases(cases) => {
                for case in cases {
                    visit(&mut case.value);
                    if let Some(condition) = &mut case.condition {
                        condition.members.iter_mut().for_each(&mut visit);
                    }
                }
            }
            ExprKind::Where(list, which) => {
                visit(list);
                which.for_each_comparison_mut(&mut |condition| {
                    condition.members.iter_mut().for_each(&mut visit);
                });
            }
            ExprKind::ReadOff(table) => {
                visit(&mut table.values);
                visit(&mut table.places);
                visit(&mut table.at);
                if let Some(rows) = &mut table.rows {
                    rows.for_each_comparison_mut(&mut |condition| {
                        condition.members.iter_mut().for_each(&mut visit);
                    });
                }
            }
        }
    }

    /// How many parts it has, itself among them.
    pub fn size(&self) -> usize {
        let mut size = 1;
        self.for_each_part(|part| size += part.size());
        size
    }

    /// Changes the expression and every part of it.
    pub fn change(&mut self, change: &mut dyn FnMut(&mut Expr)) {
        change(self);
        self.for_each_part_mut(|part| part.change(change));
    }

    /// The same expression with other symbols.
    #[must_use]
    pub fn with_symbols(&self, by: &dyn Fn(SymbolId) -> SymbolId) -> Expr {
        let mut own = self.clone();
        own.change(&mut |part| {
            if let ExprKind::Symbol(symbol) | ExprKind::Component(symbol, _) = &mut part.kind {
                *symbol = by(*symbol);
            }
        });
        own
    }

    /// Puts formulas in the place of some symbols.
    pub fn put_in(&mut self, by: &dyn Fn(SymbolId) -> Option<Expr>) {
        match self.as_symbol().and_then(by) {
            Some(formula) => *self = formula,
            None => self.for_each_part_mut(|part| part.put_in(by)),
        }
    }

    /// Calls `visit` for every symbol, in source order, as often as it stands.
    pub fn for_each_symbol(&self, visit: &mut impl FnMut(SymbolId, Span)) {
        if let ExprKind::Symbol(symbol) | ExprKind::Component(symbol, _) = self.kind {
            visit(symbol, self.span);
        }
        self.for_each_part(|part| part.for_each_symbol(visit));
    }
}
