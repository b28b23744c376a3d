//! The syntax tree of a line: the author's own form, with the place of every part.
//!
//! Order, fractions, brackets and the way a product was written are kept, because this is what
//! is typeset and substituted into. No name is looked up here: whether `m` after a number is a
//! metre or a mass is decided by `resolve`.

mod formula;
mod literal;

pub use formula::{Axis, Case, Expr, ExprKind, Factor, Name, Number, Operator, Term};
pub use literal::{Datum, Literal, Magnitude, Uncertainty, UnitExpr, UnitFactor};

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

/// Members joined by equals signs.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// At least one; the ask or claim at the end is not among them.
    pub members: Vec<Expr>,
    /// How the chain ends.
    pub tail: Tail,
    /// `at Q = 40 L/s, H = 3 m`.
    pub conditions: Vec<Condition>,
    /// `from colebrook near 0.02` after the ask: the equation that is solved for the name.
    pub from: Option<From>,
}

/// `therefore`, with what follows.
#[derive(Debug, Clone, PartialEq)]
pub struct Therefore {
    /// The word, or `∴`.
    pub word: Span,
    /// Two or more sides.
    pub members: Vec<Expr>,
}

/// The equation that is solved for a name, and where its root is sought.
#[derive(Debug, Clone, PartialEq)]
pub struct From {
    /// From the word `from` to the end.
    pub span: Span,
    /// The label of the equation.
    pub label: Word,
    /// Where the root is sought.
    pub start: Start,
}

/// Where a root is sought.
#[derive(Debug, Clone, PartialEq)]
pub enum Start {
    /// The line does not say.
    Anywhere,
    /// `near 0.02`: a literal.
    Near(Expr),
    /// `between 0.008 and 0.1`: two literals.
    Between(Expr, Expr),
}

impl Start {
    /// The values that it names.
    pub fn values(&self) -> impl Iterator<Item = &Expr> {
        let (first, second) = match self {
            Self::Anywhere => (None, None),
            Self::Near(value) => (Some(value), None),
            Self::Between(low, high) => (Some(low), Some(high)),
        };
        first.into_iter().chain(second)
    }
}

/// `solve a, b for x near 1 m, y near 2 N with x > 0 in full`.
#[derive(Debug, Clone, PartialEq)]
pub struct Solve {
    /// The word `solve`.
    pub word: Span,
    /// The equations; none when the nearest that hold the unknowns are meant.
    pub labels: Vec<Word>,
    /// What they are solved for; at least one.
    pub unknowns: Vec<Unknown>,
    /// `with x > 0`: which branch is meant.
    pub conditions: Vec<Check>,
    /// Whether the intermediate steps are to be shown.
    pub in_full: bool,
}

/// An unknown of `solve`.
#[derive(Debug, Clone, PartialEq)]
pub struct Unknown {
    /// Its name.
    pub name: Name,
    /// Where its value is sought.
    pub start: Start,
}

/// `component x of joint`.
#[derive(Debug, Clone, PartialEq)]
pub struct ComponentOf {
    /// Which component.
    pub axis: Axis,
    /// The label of the vector equation.
    pub label: Word,
}

/// How one quantity goes with another.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// What is looked at.
    pub subject: Expr,
    /// How it goes.
    pub way: Way,
    /// The given that changes.
    pub with: Name,
    /// `within 5 %`, after `varies as`.
    pub within: Option<Expr>,
}

/// The way of a trend.
#[derive(Debug, Clone, PartialEq)]
pub enum Way {
    /// `rises with`
    Rises,
    /// `falls with`
    Falls,
    /// `does not depend on`
    Independent,
    /// `varies as x^2`: the exponent, a plain number or formula of plain numbers; 1 when none is
    /// written.
    Power(Option<Box<Expr>>),
}

/// `y -> value as x -> value`.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// What is looked at.
    pub subject: Expr,
    /// What it tends to: a literal, a formula, or the name `inf`, perhaps negative.
    pub value: Expr,
    /// The given that changes.
    pub with: Name,
    /// What the given tends to, in the same form.
    pub at: Expr,
}

/// How a chain ends.
#[derive(Debug, Clone, PartialEq)]
pub enum Tail {
    /// With its last member.
    None,
    /// `= ? kN to 3 figures`.
    Ask(Ask),
    /// `= -19.0 kN ? to 3 figures`: the engine's own number, never read as data.
    Filled(Literal, Ask),
    /// `= 3.006 m/s`: to be verified.
    Claim(Literal),
}

/// `? [unit] [gauge|abs|difference] [to N figures|decimals]`.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// From the `?` (or the filled number) to the end of the ask.
    pub span: Span,
    /// The unit to show the result in.
    pub unit: Option<UnitExpr>,
    /// `gauge`, `abs`, `difference`.
    pub datum: Option<Datum>,
    /// `to 3 figures`.
    pub precision: Option<Precision>,
}

/// How many digits an ask wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Precision {
    /// Significant figures, 1 to 15.
    Figures(u8),
    /// Decimals, 0 to 15.
    Decimals(u8),
}

/// `Q = 40 L/s` after `at`.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// The whole condition.
    pub span: Span,
    /// The given it replaces.
    pub name: Name,
    /// The value it takes.
    pub value: Expr,
}

/// A line of `required`.
#[derive(Debug, Clone, PartialEq)]
pub struct Required {
    /// The unknown.
    pub name: Name,
    /// How it is to be shown.
    pub ask: Ask,
    /// What a positive value means, as written after `+`.
    pub positive: Option<Word>,
    /// What a negative value means, as written after `-`.
    pub negative: Option<Word>,
}

/// A line of `check`: two or three members with relations between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// Two, or three in `a < x < b`.
    pub members: Vec<Expr>,
    /// One fewer than the members.
    pub relations: Vec<Relation>,
    /// `within 1 %`, `within 0.5 kN`.
    pub within: Option<Expr>,
}

/// A relation of a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relation {
    /// `<`
    Less,
    /// `<=` or `≤`
    LessOrEqual,
    /// `>`
    Greater,
    /// `>=` or `≥`
    GreaterOrEqual,
    /// `=`
    Equal,
}

/// A line of `answer`: `name [= ? unit] [to N figures]`.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What is answered: a name, or an expression such as `|R_x|`.
    pub expr: Expr,
    /// How, where the line says so (the number of a filled ask is in `filled`).
    pub ask: Option<Ask>,
    /// The number of a filled ask.
    pub filled: Option<Literal>,
}

/// An inline code span that is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Inline {
    /// The expression.
    pub expr: Expr,
    /// Whether `expr =` is printed in front of the value (`` `p = ? bar` ``), or the value
    /// stands alone (`` `? bar of p` ``).
    pub names_it: bool,
    /// How to show it.
    pub ask: Ask,
    /// The number of a filled ask.
    pub filled: Option<Literal>,
    /// `at` conditions.
    pub conditions: Vec<Condition>,
}
