//! What an expression is made of.

use super::Rational;

/// An expression: an index into the [`super::Algebra`] that made it. Within one algebra, equal
/// indices mean equal expressions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Id(pub(super) u32);

/// A symbol, numbered by whoever uses the algebra.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Symbol(pub u32);

/// A function that the algebra has a name for. Roots are powers, logarithms to another base are
/// quotients of natural ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Function {
    /// Exponential.
    Exp,
    /// Natural logarithm.
    Ln,
    /// Sine.
    Sin,
    /// Cosine.
    Cos,
    /// Tangent.
    Tan,
    /// Inverse sine, -pi/2 to pi/2.
    Asin,
    /// Inverse cosine, 0 to pi.
    Acos,
    /// Inverse tangent, -pi/2 to pi/2.
    Atan,
    /// The angle of the point (second, first argument), -pi to pi.
    Atan2,
    /// Hyperbolic sine.
    Sinh,
    /// Hyperbolic cosine.
    Cosh,
    /// Hyperbolic tangent.
    Tanh,
    /// Inverse hyperbolic sine; only ever written by the algebra itself.
    Asinh,
    /// Magnitude.
    Abs,
    /// The real cube root of what may be negative.
    Cbrt,
    /// -1, 0 or 1.
    Sign,
    /// Least of its arguments; nothing is known about it but its value.
    Min,
    /// Greatest of its arguments.
    Max,
    /// Next whole number below.
    Floor,
    /// Next whole number above.
    Ceil,
    /// Nearest whole number.
    Round,
}

/// An expression in canonical form.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Node {
    /// What has no value: a division by the number 0, and whatever holds one.
    Undefined,
    /// An exact number.
    Number(Rational),
    /// The ratio of circumference to diameter.
    Pi,
    /// A symbol.
    Symbol(Symbol),
    /// A constant and terms with their coefficients: sorted, no coefficient zero, no term a
    /// number or a sum. At least two parts, or one term with a coefficient that is not 1.
    Sum(Sum),
    /// Bases with their rational exponents: sorted, no exponent zero, no base a product. A number
    /// as a base is a prime under a root. At least two, or one with an exponent that is not 1.
    Product(Vec<(Id, Rational)>),
    /// A base with an exponent that is not a number; the exponent has no constant term.
    Power(Id, Id),
    /// A function of as many arguments as it takes.
    Call(Function, Vec<Id>),
}

/// A constant and terms with coefficients.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Sum {
    /// The term without symbols.
    pub constant: Rational,
    /// The others.
    pub terms: Vec<(Id, Rational)>,
}
