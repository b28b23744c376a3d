//! What `resolve` hands on: statements whose names and units are decided.

use super::{Expr, Facts, Kind, Size, SymbolId};
use crate::quantity::Unit;
use crate::syntax::{self, Datum, Expanded, Precision};
use crate::text::Span;

pub use super::forms::{
    Act, ActOf, Another, Answer, Asked, BalanceLine, Bound, Branch, Check, Column, ColumnTold,
    Comparison, Component, Continuity, Counted, Cut, CutForm, Data, End, Fit, Fitted, Flows, Limit,
    Look, Mark, MayChange, Meant, Misread, MonteCarlo, Multiplied, Parameter, Plot, PlotSide,
    Reach, Readings, Required, Root, Rows, Scale, ScaleOf, Scatter, SectionSaid, Sketch, Solved,
    Start, Step, System, TakenAs, Told, Trend, Varied, WaterOn, Way, Weight, Work, WrittenTerm,
};

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
    /// The symbols that a system of equations or a table defines, also when it was refused.
    pub unknowns: Vec<SymbolId>,
    /// Whether it makes a table in `check`, and so asserts nothing, also where it is refused.
    pub makes_a_table: bool,
    /// Whether it stands in `versions`, so that it need not hold here.
    pub is_of_versions: bool,
    /// The refused line of a sketch that it needs, so that it is held against no balance.
    pub needs: Option<Span>,
    /// What it says; `None` when it was refused.
    pub kind: Option<Kind>,
}

impl Statement {
    /// What is asked of it whatever its form; nothing where it was refused.
    pub fn facts(&self) -> Facts<'_> {
        self.kind.as_ref().map(Kind::facts).unwrap_or_default()
    }
}

/// Where a formula was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Origin {
    /// Index of the block among the worksheet's blocks.
    pub block: usize,
    /// Index of the statement in the block.
    pub statement: usize,
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
    /// The interval, where it is not one standard uncertainty.
    pub expanded: Option<Expanded>,
}

/// How a chain ends.
pub type Tail = syntax::Tail<Ask, Literal>;

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
    /// All that stands before the unit: the number, or its brackets with the uncertainty.
    pub amount: Span,
    /// The power of ten behind those brackets.
    pub power: Option<i32>,
    /// Its value in `unit`.
    pub values: Vec<f64>,
    /// Its standard uncertainty in `unit`, and one unit in the last place of that.
    pub uncertainty: Option<(f64, f64)>,
    /// Its uncertainties as they were written.
    pub sizes: Vec<Size>,
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
