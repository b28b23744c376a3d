//! The syntax tree of a line: the author's own form, with the place of every part.
//!
//! Order, fractions, brackets and the way a product was written are kept, because this is what
//! is typeset and substituted into. No name is looked up here: whether `m` after a number is a
//! metre or a mass is decided by `resolve`.

mod formula;
mod literal;

pub use formula::{Axis, Case, Expr, ExprKind, Factor, Name, Number, Operator, Term};
pub use literal::{Datum, Literal, Magnitude, Uncertainty, UnitExpr, UnitFactor};

use super::forms::{Answer, Chain, Check, ComponentOf, Limit, Required, Solve, Therefore, Trend};
use crate::text::Span;

/// One statement of a block, with what stands around it.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The statement without comment and description.
    pub span: Span,
    /// `label:` in front.
    pub label: Option<Word>,
    /// What it says.
    pub statement: Statement,
    /// The Markdown after ` -- `, without surrounding blanks.
    pub description: Option<Span>,
}

/// A word with its place: a label, a sign word.
#[derive(Debug, Clone, PartialEq)]
pub struct Word {
    /// Where it stands.
    pub span: Span,
    /// The word as written.
    pub text: Box<str>,
}

/// What a line says.
#[derive(Debug, Clone, PartialEq)]
pub enum Statement {
    /// `a = b = … [= ask or claim] [at conditions]`, in `given`, `derive` and `work`.
    /// A user function's definition `h_f(Q) = …` is a chain whose first member is that call.
    Chain(Chain),
    /// A line of `required`: `R_x = ? kN (+ downstream, - upstream)`.
    Required(Required),
    /// A line of `check`.
    Check(Check),
    /// A line of `answer`.
    Answer(Answer),
    /// A step of `derive` that follows from what stands above: `therefore a = b`.
    Therefore(Therefore),
    /// `solve a, b for x, y`, in `derive` and `work`.
    Solve(Solve),
    /// `component x of joint`, in `derive`.
    Component(ComponentOf),
    /// `show dimensions`, in `derive`.
    ShowDimensions,
    /// `y rises with x` and its kin, in `check`.
    Trend(Trend),
    /// `y -> value as x -> value`, in `check`.
    Limit(Limit),
    /// `sensitivity of y`, in `check`.
    Sensitivity(Expr),
    /// A line that was refused when it was read, with the name it was to define: what depends
    /// on that name is not reported again. `parse_block` leaves such lines out; the worksheet
    /// puts them back in their place.
    Broken(Option<Name>),
}
