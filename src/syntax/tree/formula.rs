//! Formulas.

use super::{Literal, Which, Word};
use crate::text::Span;

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
    /// `name (…)` with a blank is a product with a group or a vector, unless the function is
    /// built in; `resolve` turns it into a call when the name is a function.
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
    /// `(a, b)` or `(a, b, c)`: a vector by its components, without the unit that may follow as
    /// a further factor.
    Vector(Vec<Expr>),
    /// `V_2.x`: a component of the vector with this name.
    Component(Name, Axis),
    /// `cases(64/Re for Re < 2300, f_t otherwise)`.
    Cases(Vec<Case>),
    /// `constant(molar gas constant)`: the words between the brackets.
    Constant(Word),
    /// `p_i where t_i < 60 s`: those rows of a list.
    Where(Box<Expr>, Box<Which>),
}

impl Expr {
    /// Calls `visit` for each name in it.
    pub fn for_each_name<'a>(&'a self, visit: &mut dyn FnMut(&'a Name)) {
        if let ExprKind::Name(name) = &self.kind {
            visit(name);
        }
        self.for_each_part(&mut |part| part.for_each_name(visit));
    }

    /// Calls `visit` for each direct part.
    pub fn for_each_part<'a>(&'a self, visit: &mut impl FnMut(&'a Expr)) {
        match &self.kind {
            ExprKind::Number(_)
            | ExprKind::Quantity(_)
            | ExprKind::Name(_)
            | ExprKind::Component(..)
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
            ExprKind::Call {
                arguments: parts, ..
            }
            | ExprKind::List(parts)
            | ExprKind::Vector(parts) => parts.iter().for_each(visit),
            ExprKind::Cases(cases) => {
                for case in cases {
                    visit(&case.value);
                    if let Some(condition) = &case.condition {
                        condition.members.iter().for_each(&mut *visit);
                    }
                }
            }
            ExprKind::Where(list, which) => {
                visit(list);
                which.for_each_comparison(&mut |check| {
                    check.members.iter().for_each(&mut *visit);
                });
            }
        }
    }
}

/// From the first of several formulas to the last.
pub fn covered(exprs: &[Expr]) -> Span {
    let spans = exprs.iter().map(|expr| expr.span);
    spans.reduce(Span::cover).unwrap_or_default()
}

/// A term of a sum; of this tree, or of that in which names are looked up.
#[derive(Debug, Clone, PartialEq)]
pub struct Term<E = Expr> {
    /// Whether a minus stands before it.
    pub negative: bool,
    /// The term.
    pub expr: E,
}

/// A factor of a product with the operator before it, of either tree.
#[derive(Debug, Clone, PartialEq)]
pub struct Factor<E = Expr> {
    /// The operator before it; `Juxtapose` for the first.
    pub operator: Operator,
    /// The factor.
    pub expr: E,
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

/// A component of a vector.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Axis {
    /// The first.
    X,
    /// The second.
    Y,
    /// The third.
    Z,
}

impl Axis {
    /// The letter as it is written.
    pub fn letter(self) -> char {
        match self {
            Self::X => 'x',
            Self::Y => 'y',
            Self::Z => 'z',
        }
    }
}

/// A line of `check`, of either tree: two or three members with relations between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Check<E = Expr> {
    /// Two, or three in `a < x < b`.
    pub members: Vec<E>,
    /// One fewer than the members.
    pub relations: Vec<Relation>,
    /// `within 1 %`, `within 0.5 kN`.
    pub within: Option<E>,
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

impl Relation {
    /// The sign it is written with.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Less => "<",
            Self::LessOrEqual => "≤",
            Self::Greater => ">",
            Self::GreaterOrEqual => "≥",
            Self::Equal => "=",
        }
    }
}

impl Axis {
    /// `x`, `y` or `z` as written.
    pub(in crate::syntax) fn named(letter: &str) -> Option<Self> {
        match letter {
            "x" => Some(Self::X),
            "y" => Some(Self::Y),
            "z" => Some(Self::Z),
            _ => None,
        }
    }
}

/// `g agrees with 9.81 m/s^2 within k = 3`.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison<E> {
    /// What is held against a value.
    pub subject: E,
    /// How, and against what.
    pub held: Held<E>,
    /// The coverage factor, where it is stated.
    pub within: Option<CoverageFactor>,
}

/// How a result is held against a value.
#[derive(Debug, Clone, PartialEq)]
pub enum Held<E> {
    /// It is the same as far as is known.
    Agrees(E),
    /// It is another.
    Differs(E),
    /// It lies within a lower and an upper limit, of which there is one at least.
    Conforms(Option<E>, Option<E>),
}

impl<E> Held<E> {
    /// The values that it is held against.
    pub fn sides(&self) -> impl Iterator<Item = &E> {
        let (one, other) = match self {
            Self::Agrees(side) | Self::Differs(side) => (Some(side), None),
            Self::Conforms(low, high) => (low.as_ref(), high.as_ref()),
        };
        one.into_iter().chain(other)
    }
}

/// `k = 2`, `coverage factor 2`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoverageFactor {
    /// Where it stands.
    pub span: Span,
    /// The factor.
    pub value: f64,
    /// Whether it is written in words.
    pub in_words: bool,
}

/// Which interval is printed around a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Expanded {
    /// `with k = 2`
    Factor(CoverageFactor),
    /// `with 95 % coverage`: the part of all values within it, with its place.
    Level(f64, Span),
}
