//! The syntax tree of a line: the author's own form, with the place of every part.
//!
//! Order, fractions, brackets and the way a product was written are kept, because this is what
//! is typeset and substituted into. No name is looked up here: whether `m` after a number is a
//! metre or a mass is decided by `resolve`.

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
    /// A line that starts with, or holds, a word of the language that is not understood yet.
    NotYet(Word),
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
    /// A plain number: `0.5`, `1.2e5`.
    Number(Number),
    /// A literal in a position where a unit is certain: `given`, claims, conditions,
    /// `12°`, `5 %`. Elsewhere number and unit stay factors of a product.
    Quantity(Box<Literal>),
    /// A name; `pi` and `inf` are names here too.
    Name(Name),
    /// Two or more terms; the first has the sign `Plus` unless the whole starts with a minus
    /// that applies to the first term only.
    Sum(Vec<Term>),
    /// Two or more factors in source order, flat; the first has the operator `Juxtapose`.
    Product(Vec<Factor>),
    /// `base ^ exponent`, also `²` and `³`.
    Power(Box<Expr>, Box<Expr>),
    /// `-x` where it is not a term of a sum.
    Negative(Box<Expr>),
    /// `(…)`: kept, because it is printed.
    Group(Box<Expr>),
    /// `|…|`.
    Abs(Box<Expr>),
    /// `name(…)` with the opening bracket glued to the name and any number of arguments, or
    /// `sin x`: the built-in function with its one next factor (`bracketed` is false).
    /// `name (…)` with a blank and one argument is a product; `resolve` turns it into a call
    /// when the name is a function.
    Call {
        /// The function's name.
        name: Name,
        /// Its arguments.
        arguments: Vec<Expr>,
        /// Whether brackets were written around the arguments.
        bracketed: bool,
    },
    /// `[1, 2, 5]`, without the unit that may follow as a further factor.
    List(Vec<Expr>),
    /// `cases(64/Re for Re < 2300, f_t otherwise)`.
    Cases(Vec<Case>),
    /// `constant(molar gas constant)`: the words between the brackets.
    Constant(Word),
}

/// A term of a sum.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// Whether a minus stands before it.
    pub negative: bool,
    /// The term.
    pub expr: Expr,
}

/// A factor of a product with the operator before it.
#[derive(Debug, Clone, PartialEq)]
pub struct Factor {
    /// The operator before it; `Juxtapose` for the first.
    pub operator: Operator,
    /// The factor.
    pub expr: Expr,
}

/// How a factor joins the product.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Operator {
    /// Nothing between: `rho g h`.
    Juxtapose,
    /// `*`, `·` or `×`.
    Times,
    /// `/`.
    Divide,
}

/// A branch of `cases`.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// Its value.
    pub value: Expr,
    /// When it holds; `None` is `otherwise`.
    pub condition: Option<Check>,
}

/// A name.
#[derive(Debug, Clone, PartialEq)]
pub struct Name {
    /// Where it stands.
    pub span: Span,
    /// Its one canonical spelling: Greek by name, subscripts after `_`: `D1`, `D_1` are `D_1`;
    /// `ρ_w` is `rho_w`; `Δp` is `Delta_p`.
    pub key: Box<str>,
}

/// A number as it is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    /// Where it stands.
    pub span: Span,
    /// Its value.
    pub value: f64,
}

/// A quantity literal.
#[derive(Debug, Clone, PartialEq)]
pub struct Literal {
    /// From sign to the end of unit and words.
    pub span: Span,
    /// The number, or the numbers of a list.
    pub magnitude: Magnitude,
    /// Its unit.
    pub unit: Option<UnitExpr>,
    /// `gauge`, `abs`, `difference`.
    pub datum: Option<Datum>,
    /// `± 0.04`, `(4)`.
    pub uncertainty: Option<Uncertainty>,
}

/// The number part of a literal.
#[derive(Debug, Clone, PartialEq)]
pub enum Magnitude {
    /// One number, its sign included.
    One(Number),
    /// `3/8`: numerator and denominator.
    Fraction(Number, Number),
    /// `[1, 2, 5]`.
    List(Vec<Number>),
}

/// Which datum a reading counts from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Datum {
    /// From the atmosphere.
    Gauge,
    /// From vacuum.
    Absolute,
    /// `difference`: from none, an interval.
    Difference,
}

/// The uncertainty of a literal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertainty {
    /// Where it stands, coverage factor included.
    pub span: Span,
    /// In the literal's unit, or a ratio when `relative`; as written, before division by `k`.
    pub value: f64,
    /// Whether it is a ratio of the value (`± 0.2 %`).
    pub relative: bool,
    /// The coverage factor `k`; 1 when not written.
    pub coverage: f64,
}

/// A unit as it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitExpr {
    /// Where it stands.
    pub span: Span,
    /// Its factors in source order, each with its power; brackets are multiplied out.
    pub factors: Vec<UnitFactor>,
}

/// A factor of a unit.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitFactor {
    /// Where its symbol stands.
    pub span: Span,
    /// The symbol as written: `kJ`, `°`, `%`. Empty for the `1` of `1/s`.
    pub symbol: Box<str>,
    /// Numerator of its power, negative below a slash.
    pub power: i32,
    /// Denominator of its power, positive.
    pub root: i32,
    /// Whether it was written below a slash.
    pub below: bool,
}
