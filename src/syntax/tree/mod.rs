//! The syntax tree of a line: the author's own form, with the place of every part.
//!
//! Order, fractions, brackets and the way a product was written are kept, because this is what
//! is typeset and substituted into. No name is looked up here: whether `m` after a number is a
//! metre or a mass is decided by `resolve`.

mod formula;
mod literal;
mod which;

pub use formula::{
    Axis, Case, Check, Comparison, CoverageFactor, Expanded, Expr, ExprKind, Factor, Held, Name,
    Number, Operator, Relation, Term, covered,
};
pub use literal::{
    Amount, Brackets, Datum, Distribution, How, Literal, Magnitude, Share, Sharing, Size, SizeTerm,
    UnitExpr, UnitFactor,
};
pub use which::Which;

use crate::text::Span;

/// A word with its place: a label, a sign word.
#[derive(Debug, Clone, PartialEq)]
pub struct Word {
    /// Where it stands.
    pub span: Span,
    /// The word as written.
    pub text: Box<str>,
}
