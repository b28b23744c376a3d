//! What `resolve` hands on: statements whose names and units are decided.

use super::{Expr, FunctionId, SymbolId};
use crate::quantity::Unit;
use crate::syntax::{Datum, Precision, Relation};
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
    /// What it says; `None` when it was refused.
    pub kind: Option<Kind>,
}

/// What a statement says.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A datum: a literal or a constant expression.
    Given {
        /// Its value.
        value: Expr,
    },
    /// An unknown.
    Required {
        /// The symbol.
        symbol: SymbolId,
        /// How it is asked.
        ask: Ask,
        /// What a positive value means.
        positive: Option<Box<str>>,
        /// What a negative value means.
        negative: Option<Box<str>>,
    },
    /// An equation of `derive`.
    Equation {
        /// Two or more sides.
        members: Vec<Expr>,
    },
    /// A user function's definition.
    Function {
        /// The function.
        function: FunctionId,
        /// Its body.
        body: Expr,
    },
    /// A chain of `work`.
    Work {
        /// The first member.
        lead: Expr,
        /// The formulas, empty when the lead itself is asked again.
        members: Vec<Expr>,
        /// The number of the equation the formula was taken from, when it has one.
        from: Option<usize>,
        /// The equation the formula was taken from, an index into the problem's statements.
        origin: Option<Origin>,
        /// How the chain ends.
        tail: Tail,
        /// Replaced givens.
        conditions: Vec<Condition>,
    },
    /// A line of `check`.
    Check {
        /// Two or three.
        members: Vec<Expr>,
        /// One fewer.
        relations: Vec<Relation>,
        /// The tolerance.
        within: Option<Expr>,
    },
    /// A line of `answer`.
    Answer {
        /// What is answered.
        expr: Expr,
        /// How, as far as the line says.
        ask: Ask,
        /// The engine's own number from before.
        filled: Option<Literal>,
    },
}

/// Where a formula was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
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
