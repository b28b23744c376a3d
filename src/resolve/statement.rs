//! What `resolve` hands on: statements whose names and units are decided.

use super::{Expr, Kind, SymbolId};
use crate::quantity::Unit;
use crate::syntax::{Axis, Datum, Precision, Relation};
use crate::text::Span;

/// A statement of a block.
#[derive(Debug, Clone, PartialEq)]
pub struct Statement {
    /// Where it stands.
    pub span: Span,
    /// The index of its label in the problem's numbering, from 1.
    pub label: Option<(Box<str>, usize)>,
    /// The Markdown beside it.
    pub description: Option<Span>,
    /// The symbol whose only definition this is, also when the statement was refused.
    pub defines: Option<SymbolId>,
    /// The symbols that a system of equations defines, also when it was refused.
    pub unknowns: Vec<SymbolId>,
    /// What it says; `None` when it was refused.
    pub kind: Option<Kind>,
}

/// An unknown.
#[derive(Debug, Clone, PartialEq)]
pub struct Required {
    /// The symbol.
    pub symbol: SymbolId,
    /// How it is asked.
    pub ask: Ask,
    /// What a positive value means.
    pub positive: Option<Box<str>>,
    /// What a negative value means.
    pub negative: Option<Box<str>>,
}

/// A component of a vector equation, written out by the engine.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// Which component.
    pub axis: Axis,
    /// The number of the vector equation.
    pub of: usize,
    /// The vector equation.
    pub origin: Origin,
    /// Its sides.
    pub members: Vec<Expr>,
}

/// How a result goes with a given.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// What is looked at.
    pub subject: Expr,
    /// How it goes.
    pub way: Way,
    /// The given that changes.
    pub with: SymbolId,
    /// The tolerance of an exponent.
    pub within: Option<Expr>,
}

/// What a result tends to.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// What is looked at.
    pub subject: Expr,
    /// What it tends to.
    pub value: End,
    /// The given that changes.
    pub with: SymbolId,
    /// What the given tends to.
    pub at: End,
}

/// A chain of `work`.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// The first member.
    pub lead: Expr,
    /// The formulas, empty when the lead itself is asked again.
    pub members: Vec<Expr>,
    /// The number of the equation the formula was taken from, when it has one.
    pub from: Option<usize>,
    /// The equation the formula was taken from, an index into the problem's statements.
    pub origin: Option<Origin>,
    /// How the chain ends.
    pub tail: Tail,
    /// Replaced givens.
    pub conditions: Vec<Condition>,
}

/// A line of `check`.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// Two or three.
    pub members: Vec<Expr>,
    /// One fewer.
    pub relations: Vec<Relation>,
    /// The tolerance.
    pub within: Option<Expr>,
}

/// A line of `answer`.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What is answered.
    pub expr: Expr,
    /// How, as far as the line says.
    pub ask: Ask,
    /// The engine's own number from before.
    pub filled: Option<Literal>,
}

/// Equations solved in symbols.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// What they were solved for.
    pub unknowns: Vec<SymbolId>,
    /// The numbers of the equations that were solved, where they have one.
    pub from: Vec<usize>,
    /// The equations that were solved.
    pub origins: Vec<Origin>,
    /// At least one: for each unknown its formula.
    pub branches: Vec<Branch>,
    /// The steps between, where they are to be shown.
    pub steps: Vec<Step>,
    /// The range that was asked of each unknown, in coherent SI units.
    pub ranges: Vec<Option<(f64, f64)>>,
}

/// One way to satisfy the equations.
#[derive(Debug, Clone, PartialEq)]
pub struct Branch {
    /// The formula of each unknown.
    pub formulas: Vec<Expr>,
    /// What must not be zero for it to hold: what was divided by.
    pub not_zero: Vec<Expr>,
    /// Symbols whose given sign was used.
    pub leaned: Vec<SymbolId>,
    /// Whether stated conditions chose it among others.
    pub chosen: bool,
    /// Whether it is one angle of many, which whole turns would satisfy as well.
    pub is_principal: bool,
}

/// A step of a solution, as an equation with what was done.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The left side.
    pub left: Expr,
    /// The right side.
    pub right: Expr,
    /// What was done, in words.
    pub words: String,
    /// What it was done with.
    pub with: Option<Expr>,
}

/// A name that is the root of an equation.
#[derive(Debug, Clone, PartialEq)]
pub struct Root {
    /// The name, as an expression.
    pub lead: Expr,
    /// The unknown.
    pub symbol: SymbolId,
    /// The two sides of the equation.
    pub sides: [Expr; 2],
    /// The number of the equation.
    pub number: usize,
    /// The equation.
    pub origin: Origin,
    /// The label, where it stands in the line.
    pub label: Span,
    /// Where the root is sought.
    pub start: Start,
    /// How the value is shown.
    pub tail: Tail,
}

/// Names that together satisfy equations.
#[derive(Debug, Clone, PartialEq)]
pub struct System {
    /// As many equations as unknowns, each with its two sides.
    pub equations: Vec<[Expr; 2]>,
    /// The number of each equation.
    pub numbers: Vec<usize>,
    /// The equations.
    pub origins: Vec<Origin>,
    /// The unknowns, where each is written, and the value near which it is sought.
    pub unknowns: Vec<(SymbolId, Span, Option<Expr>)>,
}

/// Where a root is sought.
#[derive(Debug, Clone, PartialEq)]
pub enum Start {
    /// The line does not say, which is enough where the equation is linear.
    Anywhere,
    /// Near a value.
    Near(Expr),
    /// Between two values.
    Between(Expr, Expr),
}

/// The way of a trend.
#[derive(Debug, Clone, PartialEq)]
pub enum Way {
    /// It rises.
    Rises,
    /// It falls.
    Falls,
    /// It does not depend on it.
    Independent,
    /// It varies as a power with this exponent.
    Power(Expr),
}

/// What something tends to.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// A value.
    Value(Expr),
    /// Beyond every bound, upwards or downwards.
    Infinite {
        /// Where it is written.
        span: Span,
        /// Whether it is `-inf`.
        negative: bool,
    },
}

/// Where a formula was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Origin {
    /// Index of the block among the worksheet's blocks.
    pub block: usize,
    /// Index of the statement in the block.
    pub statement: usize,
}

/// An inline ask.
#[derive(Debug, Clone, PartialEq)]
pub struct Inline {
    /// The problem it belongs to.
    pub problem: usize,
    /// Where it stands.
    pub span: Span,
    /// The expression.
    pub expr: Expr,
    /// Whether the expression is printed too.
    pub names_it: bool,
    /// How to show it.
    pub ask: Ask,
    /// The engine's own number from before.
    pub filled: Option<Literal>,
    /// Replaced givens.
    pub conditions: Vec<Condition>,
}

/// How a value is asked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ask {
    /// Where the ask stands.
    pub span: Span,
    /// The unit, when one is asked.
    pub unit: Option<Unit>,
    /// The datum word.
    pub datum: Option<Datum>,
    /// The digits.
    pub precision: Option<Precision>,
}

/// How a chain ends.
#[derive(Debug, Clone, PartialEq)]
pub enum Tail {
    /// With its last member: an automatic unit.
    None,
    /// With an ask.
    Ask(Ask),
    /// With a filled ask.
    Filled(Literal, Ask),
    /// With a claim.
    Claim(Literal),
}

/// A replaced given.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// Where it stands.
    pub span: Span,
    /// The given.
    pub symbol: SymbolId,
    /// The value it takes.
    pub value: Expr,
}

/// A number that is compared with a result: a claim or a filled ask.
#[derive(Debug, Clone, PartialEq)]
pub struct Literal {
    /// Where it stands.
    pub span: Span,
    /// The number's text.
    pub number: Span,
    /// Its value in `unit`.
    pub values: Vec<f64>,
    /// Its unit.
    pub unit: Unit,
    /// Whether a unit was written.
    pub has_unit: bool,
    /// Its datum word.
    pub datum: Option<Datum>,
}

impl Tail {
    /// The ask, and the engine's own number from before.
    pub fn ask(&self) -> Option<(&Ask, Option<&Literal>)> {
        match self {
            Self::Ask(ask) => Some((ask, None)),
            Self::Filled(literal, ask) => Some((ask, Some(literal))),
            Self::None | Self::Claim(_) => None,
        }
    }

    /// The unit that is asked or claimed.
    pub fn unit(&self) -> Option<&Unit> {
        match self {
            Self::Ask(ask) | Self::Filled(_, ask) => ask.unit.as_ref(),
            Self::Claim(literal) => Some(&literal.unit),
            Self::None => None,
        }
    }
}

impl End {
    /// The value, where it is one.
    pub fn value(&self) -> Option<&Expr> {
        match self {
            Self::Value(value) => Some(value),
            Self::Infinite { .. } => None,
        }
    }
}
