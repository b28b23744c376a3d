//! The finished worksheet: everything that is known about it, ready to be typeset.
//!
//! Nothing here is rendered yet, and nothing needs to be computed any more.

use std::sync::Arc;

use crate::diagnostic::Diagnostic;
use crate::document::{Block, FrontMatter, Inline};
use crate::evaluate::Convergence;
use crate::proofs::Verdict;
use crate::quantity::{Decimal, Dimension, Unit};
use crate::resolve::statement::{End, Solved, Way};
use crate::resolve::{Expr, FunctionId, Shape, SymbolId, Symbols};
use crate::syntax::{Axis, BlockKind, Relation};
use crate::text::{Source, Span};

/// A compiled worksheet.
#[derive(Debug)]
pub struct Worksheet {
    /// Its text.
    pub source: Arc<Source>,
    /// Its front matter.
    pub front: FrontMatter,
    /// Its symbols and functions.
    pub symbols: Symbols,
    /// Its problems; the first is what all problems share and may be empty.
    pub problems: Vec<Problem>,
    /// Its parts in the order of the page.
    pub parts: Vec<Part>,
    /// Everything there is to say about it, in source order.
    pub diagnostics: Vec<Diagnostic>,
    /// The asks that can be filled.
    pub asks: Vec<super::AskSite>,
}

/// A problem: what stands under one level-1 heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// The heading's text; `None` for what all problems share.
    pub title: Option<String>,
}

/// A part of the page.
#[derive(Debug)]
pub struct Part {
    /// The problem it belongs to, an index into [`Worksheet::problems`].
    pub problem: usize,
    /// Where it stands.
    pub span: Span,
    /// What it is.
    pub kind: PartKind,
}

/// What a part is.
#[derive(Debug)]
pub enum PartKind {
    /// A heading.
    Heading {
        /// 1 to 6.
        level: u8,
        /// Stable anchor.
        id: String,
        /// Its plain text.
        text: String,
        /// Its content.
        content: Text,
    },
    /// Markdown.
    Prose(Vec<Block<Filled>>),
    /// A block of statements.
    Block {
        /// Which block.
        kind: BlockKind,
        /// Its statements.
        statements: Vec<Statement>,
    },
    /// A block whose word is not understood yet; it is shown as its source with the diagnostic.
    LaterBlock {
        /// Index into [`Worksheet::diagnostics`].
        diagnostic: usize,
    },
}

/// What stands in a text at the places that Markdown left open.
#[derive(Debug, Clone)]
pub enum Filled {
    /// A reference to a labelled equation: printed "(3)".
    Reference {
        /// The label.
        label: String,
        /// Its number.
        number: usize,
        /// Anchor of the equation.
        target: String,
        /// The author's own link text.
        text: Option<String>,
    },
    /// An ask in the text.
    Value(Box<Value>),
    /// An ask that failed; the diagnostics within its place say why.
    Failed {
        /// Where it stands.
        span: Span,
        /// What it needs that failed above: name and line.
        needs: Vec<(SymbolId, usize)>,
    },
}

/// Words in a line, with what they ask for.
pub type Text = Vec<Inline<Filled>>;

/// A value asked for in the text.
#[derive(Debug, Clone)]
pub struct Value {
    /// Where it stands.
    pub span: Span,
    /// What is printed before the equals sign; `None` for the value alone.
    pub lead: Option<Expr>,
    /// Replaced givens: `at Q = 40 L/s`.
    pub conditions: Vec<(SymbolId, Shown)>,
    /// The value.
    pub shown: Shown,
}

/// A statement of a block with its results.
#[derive(Debug)]
pub struct Statement {
    /// Stable anchor, unique in the worksheet: `q1-V_2` for the definition of `V_2` in problem 1,
    /// `q1-check-3` where no name serves.
    pub id: String,
    /// Where it stands.
    pub span: Span,
    /// 1-based line of its start.
    pub line: usize,
    /// Its label and number.
    pub label: Option<(String, usize)>,
    /// What it says, and what came of it.
    pub body: Body,
    /// The description beside it.
    pub description: Text,
    /// Its diagnostics: indices into [`Worksheet::diagnostics`].
    pub diagnostics: Vec<usize>,
}

/// What a statement says, and what came of it.
#[derive(Debug)]
pub enum Body {
    /// A line of `given`.
    Given {
        /// The name.
        symbol: SymbolId,
        /// The constant expression, where the value is not a literal.
        formula: Option<Expr>,
        /// The value, as the author wrote it where it is a literal.
        shown: Arc<Shown>,
    },
    /// A line of `required`.
    Required {
        /// The unknown.
        symbol: SymbolId,
        /// The unit it is asked in; printed after the symbol.
        unit: Option<Unit>,
        /// What a positive value means.
        positive: Option<String>,
        /// What a negative value means.
        negative: Option<String>,
    },
    /// A line of `derive`.
    Equation {
        /// Two or more sides.
        members: Vec<Expr>,
        /// "pressures read as gauge", where that is how the equation is read.
        note: Option<&'static str>,
    },
    /// A step of the author.
    Therefore {
        /// Two or more sides.
        members: Vec<Expr>,
        /// Whether it follows.
        verdict: Box<Verdict>,
    },
    /// A step of the engine.
    Solved(Box<Solved>),
    /// A component of a vector equation.
    Component {
        /// Which.
        axis: Axis,
        /// The number of the vector equation.
        of: usize,
        /// Its sides.
        members: Vec<Expr>,
    },
    /// The dimensions of the symbols that have no value of their own; `None` where the equations
    /// leave it open.
    Dimensions(Vec<(SymbolId, Option<Dimension>)>),
    /// Names that together satisfy equations.
    System(Box<System>),
    /// How a result goes with a given.
    Trend(Box<Trend>),
    /// What a result tends to.
    Limit(Box<Limit>),
    /// How much each given matters.
    Sensitivity(Box<Sensitivity>),
    /// The definition of a user function.
    Function {
        /// The function; its parameters are in [`Symbols`].
        function: FunctionId,
        /// Its body.
        body: Expr,
    },
    /// A chain of `work`.
    Work(Box<Work>),
    /// A line of `check`.
    Check {
        /// Two or three sides with their values.
        members: Vec<(Expr, Shown)>,
        /// The relations between them.
        relations: Vec<Relation>,
        /// The tolerance.
        within: Option<Expr>,
        /// Whether it holds.
        holds: bool,
    },
    /// A line of `answer`.
    Answer {
        /// What is answered.
        expr: Expr,
        /// The value with its sign.
        shown: Box<Shown>,
        /// "upstream", and the value without its sign, where `required` says what signs mean.
        direction: Option<Box<(String, Shown)>>,
    },
    /// A line that was refused: only its source can be shown.
    Refused,
    /// A line that is right in itself but needs what failed above.
    NotEvaluated {
        /// The formula as far as it is understood: sides of a chain or check, one for an answer.
        members: Vec<Expr>,
        /// The names it needs, and the lines where they failed.
        needs: Vec<(SymbolId, usize)>,
    },
}

impl Body {
    /// Whether an assertion holds; `None` for what asserts nothing.
    pub fn holds(&self) -> Option<bool> {
        match self {
            Self::Check { holds, .. } => Some(*holds),
            Self::Trend(trend) => Some(trend.holds),
            Self::Limit(limit) => Some(limit.holds),
            _ => None,
        }
    }
}

/// A chain of `work` with its results.
#[derive(Debug)]
pub struct Work {
    /// What stands left of the first equals sign.
    pub lead: Expr,
    /// The formulas after it, each verified.
    pub members: Vec<Expr>,
    /// Whether the formula was restated from a labelled equation above: its number.
    pub from: Option<usize>,
    /// How well the search converged, where the value is a root of the equation.
    pub convergence: Option<Convergence>,
    /// Replaced givens: `at Q = 40 L/s`.
    pub conditions: Vec<(SymbolId, Shown)>,
    /// The numbers to put in for the symbols, with as many digits as the result needs.
    /// Empty when substitution would show nothing new.
    pub operands: Vec<(SymbolId, Arc<Shown>)>,
    /// The result.
    pub shown: Arc<Shown>,
    /// The claim that was verified, as the author wrote it.
    pub claim: Option<Shown>,
}

/// Names that together satisfy equations.
#[derive(Debug)]
pub struct System {
    /// The numbers of the equations.
    pub numbers: Vec<usize>,
    /// The names with their values.
    pub unknowns: Vec<(SymbolId, Arc<Shown>)>,
    /// How well the search converged.
    pub convergence: Convergence,
}

/// How a result goes with a given.
#[derive(Debug)]
pub struct Trend {
    /// What is looked at.
    pub subject: Expr,
    /// How it is to go.
    pub way: Way,
    /// The given that changes.
    pub with: SymbolId,
    /// The tolerance of an exponent.
    pub within: Option<Expr>,
    /// The derivative in symbols, where it is short.
    pub formula: Option<Expr>,
    /// The derivative at the data.
    pub derivative: Shown,
    /// The exponent with which it varies there; `None` where the result is zero.
    pub exponent: Option<f64>,
    /// Whether it goes as claimed.
    pub holds: bool,
}

/// What a result tends to.
#[derive(Debug)]
pub struct Limit {
    /// What is looked at.
    pub subject: Expr,
    /// What it is to tend to.
    pub value: End,
    /// The given that changes.
    pub with: SymbolId,
    /// What the given tends to.
    pub at: End,
    /// The value that was reached on the way.
    pub reached: Shown,
    /// Whether that is what is claimed.
    pub holds: bool,
}

/// How much each given matters for a result.
#[derive(Debug)]
pub struct Sensitivity {
    /// The result.
    pub subject: Expr,
    /// Its value.
    pub shown: Shown,
    /// The givens that matter, most first.
    pub rows: Vec<SensitivityRow>,
}

/// How much one given matters.
#[derive(Debug)]
pub struct SensitivityRow {
    /// The given.
    pub given: SymbolId,
    /// Its value.
    pub shown: Arc<Shown>,
    /// The derivative of the result by it.
    pub derivative: Shown,
    /// The change of the result, as a part of it, for a change of the given by 1 %; `None` where
    /// the result is zero.
    pub change: Option<f64>,
}

/// A value as it is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// In coherent SI units (absolute kelvin for temperature points; gauge pressures as read).
    pub si: Vec<f64>,
    /// In `unit`, full precision.
    pub values: Vec<f64>,
    /// The printed digits of each value; `None` prints `written`.
    pub digits: Vec<Decimal>,
    /// The author's own text for the number, where it is a literal.
    pub written: Option<String>,
    /// What the numbers are to each other.
    pub shape: Shape,
    /// The unit.
    pub unit: Unit,
    /// "gauge", "abs" or "difference" after the unit.
    pub word: Option<&'static str>,
    /// Standard uncertainty in `unit`, rounded for print.
    pub uncertainty: Option<Decimal>,
    /// The author's own text for the uncertainty, where it is a literal.
    pub uncertainty_written: Option<String>,
    /// Significant figures it is printed with; 0 as written.
    pub figures: u8,
}
