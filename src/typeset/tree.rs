//! The tree of a formula: what it says and how it reads, in no format's words.
//!
//! A row is flat, as in a line of type: signs and brackets that keep their size stand between its
//! other parts. Whatever holds together for a writer is a node of its own.

use std::sync::Arc;

use super::names::Name;

/// A part of a formula, or a value in running text.
#[derive(Debug, Clone, PartialEq)]
pub enum Node {
    /// Parts one after the other.
    Row(Vec<Node>),
    /// The name of a quantity.
    Name(Arc<Name>),
    /// A letter in italics: π, or the name of an axis.
    Letter(char),
    /// A letter that is no quantity: the ∂ of a derivative.
    Upright(char),
    /// The name of a function: `sin`.
    Function(&'static str),
    /// Words of a language, upright.
    Text(Box<str>),
    /// A plain number.
    Number(Number),
    /// A power of ten that multiplies the brackets before it.
    PowerOfTen(i32),
    /// A number with its unit.
    Quantity(Box<Quantity>),
    /// A unit by itself, with the space that stands before it.
    Unit(Box<str>),
    /// A sign, and what it does, from which its spaces follow.
    Operator(&'static str, Kind),
    /// A space that the author's form asks for.
    Space(Space),
    /// What stands above the bar and below it.
    Fraction(Box<[Node; 2]>),
    /// A base and its exponent.
    Power(Box<[Node; 2]>),
    /// A base and what stands below at its right.
    Subscript(Box<[Node; 2]>),
    /// A root of this degree.
    Root(u8, Box<Node>),
    /// A pair of fences that holds its content together.
    Fence(Box<Fence>),
    /// A case distinction with its left brace.
    Cases(Vec<Case>),
    /// One formula in several rows, too wide for one; each but the first begins with a sign.
    Stack(Vec<Node>),
    /// A value as a sentence has it, outside of formulas.
    Words(Vec<Node>),
    /// Formulas and words beside each other, between which no line is broken.
    Beside(Vec<Node>),
}

/// A number as it is printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Number {
    /// Whether it has a minus sign.
    pub negative: bool,
    /// Its digits without sign.
    pub mantissa: Box<str>,
    /// Its power of ten, where one is written.
    pub exponent: Option<i32>,
    /// What it is multiplied or divided by to be in its unit, where that is written.
    pub factor: Option<Factor>,
}

/// A factor between the unit of a number and the one that is printed behind it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Factor {
    /// Whether the number is divided by it.
    pub is_over: bool,
    /// Its digits.
    pub digits: Box<str>,
}

impl Number {
    /// Whether it is digits and nothing else.
    pub(super) fn is_plain(&self) -> bool {
        self.exponent.is_none() && self.factor.is_none()
    }
}

/// A number with its unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quantity {
    /// The number.
    pub number: Number,
    /// The unit's text; empty for the unit one.
    pub unit: Box<str>,
    /// Whether round brackets stand around both.
    pub in_brackets: bool,
}

/// Two fences and what stands between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Fence {
    /// At its left.
    pub open: &'static str,
    /// Between them.
    pub inside: Node,
    /// At its right.
    pub close: &'static str,
    /// Whether the fences grow with their content.
    pub grows: bool,
}

/// One case of a distinction.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// The formula.
    pub value: Node,
    /// When it holds; `None` for all that is left.
    pub condition: Option<Node>,
}

/// What a sign does in its row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// It says how two sides compare.
    Relation,
    /// It joins what stands left and right.
    Infix {
        /// Whether the row is so wide that it may be broken before this sign.
        breaks: bool,
    },
    /// It belongs to what follows, without a space between.
    Prefix,
    /// A bracket of its own size that opens.
    Open,
    /// A bracket of its own size that closes.
    Close,
    /// It parts the arguments of a function.
    Comma,
    /// It parts numbers, with the space that a comma has in a sentence.
    ListComma,
    /// It is a sign like a letter: ∠.
    Plain,
    /// Nothing to be seen: a function without brackets goes on to its argument.
    Apply,
    /// A solidus: what stands before it, as far as the last sign, over the one part behind it.
    Over,
}

/// How wide a space is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Space {
    /// Between factors that would run together.
    Thin,
    /// Between words.
    Word,
    /// Between words that stay on one line.
    Tie,
}

impl Node {
    /// A round bracket of its own size that opens.
    pub(super) const OPEN: Node = Node::Operator("(", Kind::Open);
    /// A round bracket of its own size that closes.
    pub(super) const CLOSE: Node = Node::Operator(")", Kind::Close);

    /// The parts as one: a single part is itself.
    pub(super) fn row(mut parts: Vec<Node>) -> Node {
        match parts.pop() {
            Some(only) if parts.is_empty() => only,
            Some(last) => {
                parts.push(last);
                Node::Row(parts)
            }
            None => Node::Row(parts),
        }
    }

    /// Two fences and what they hold together.
    pub(super) fn fence(
        open: &'static str,
        inside: Node,
        close: &'static str,
        grows: bool,
    ) -> Node {
        Node::Fence(Box::new(Fence {
            open,
            inside,
            close,
            grows,
        }))
    }

    /// The parts side by side.
    pub(super) fn parts(&self) -> &[Node] {
        match self {
            Node::Row(parts) => parts,
            only => std::slice::from_ref(only),
        }
    }

    /// The parts in rows, between which the page may be broken.
    pub(super) fn rows(&self) -> impl Iterator<Item = &[Node]> {
        let breaks = |part: &Node| matches!(part, Node::Operator(_, Kind::Infix { breaks: true }));
        self.parts().chunk_by(move |_, next| !breaks(next))
    }
}

/// Whether a unit stands at its number without a space (ISO 80000-1): the degree, minute and
/// second of a plane angle do, `%` and `°C` do not.
pub(super) fn unit_clings(unit: &str) -> bool {
    matches!(unit, "°" | "′" | "″")
}
