//! The finished worksheet: everything that is known about it, ready to be typeset.
//!
//! Nothing here is rendered yet, and nothing needs to be computed any more.

use std::sync::Arc;

use crate::diagnostic::Diagnostic;
use crate::document::FrontMatter;
use crate::quantity::{Decimal, Unit};
use crate::resolve::{Expr, FunctionId, SymbolId, Symbols};
use crate::syntax::{BlockKind, Relation};
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
        content: Vec<Prose>,
    },
    /// Markdown.
    Prose(Vec<Prose>),
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

/// A run of prose.
#[derive(Debug)]
pub enum Prose {
    /// Finished HTML.
    Html(String),
    /// TeX math.
    Tex {
        /// The formula.
        tex: String,
        /// Whether it stands on a line of its own.
        display: bool,
        /// Where it stands.
        span: Span,
    },
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
    /// An ask that failed: its source, and the diagnostics that say why.
    Failed {
        /// Where it stands.
        span: Span,
        /// Indices into [`Worksheet::diagnostics`].
        diagnostics: Vec<usize>,
        /// What it needs that failed above: name and line.
        needs: Vec<(SymbolId, usize)>,
    },
}

/// A value asked for in the text.
#[derive(Debug)]
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
    pub description: Vec<Prose>,
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

/// A chain of `work` with its results.
#[derive(Debug)]
pub struct Work {
    /// What stands left of the first equals sign.
    pub lead: Expr,
    /// The formulas after it, each verified.
    pub members: Vec<Expr>,
    /// Whether the formula was restated from a labelled equation above: its number.
    pub from: Option<usize>,
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
    /// Whether it is a list, also when it has one entry.
    pub is_list: bool,
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
