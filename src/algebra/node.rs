//! What an expression is made of.

use super::Rational;
use crate::functions;

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
    /// Least of its arguments; their order and repetition do not matter.
    Min,
    /// Greatest of its arguments.
    Max,
    /// A function of which no law is known: equal arguments give equal calls, and numbers have the
    /// value of the table.
    Lawless(functions::Function),
}

impl Function {
    /// A function of the language that is no root, logarithm to another base, sum or mean, by what
    /// is known about it: a new row of the table has no laws until it is named here.
    pub fn of(function: functions::Function) -> Self {
        use functions::Function as Named;
        match function {
            Named::Exp => Self::Exp,
            Named::Ln => Self::Ln,
            Named::Sin => Self::Sin,
            Named::Cos => Self::Cos,
            Named::Tan => Self::Tan,
            Named::Asin => Self::Asin,
            Named::Acos => Self::Acos,
            Named::Atan => Self::Atan,
            Named::Atan2 => Self::Atan2,
            Named::Sinh => Self::Sinh,
            Named::Cosh => Self::Cosh,
            Named::Tanh => Self::Tanh,
            Named::Abs => Self::Abs,
            Named::Cbrt => Self::Cbrt,
            Named::Sign => Self::Sign,
            Named::Min => Self::Min,
            Named::Max => Self::Max,
            lawless => Self::Lawless(lawless),
        }
    }

    /// The function of the language; `None` for what the algebra alone writes.
    pub fn named(self) -> Option<functions::Function> {
        use functions::Function as Named;
        Some(match self {
            Self::Exp => Named::Exp,
            Self::Ln => Named::Ln,
            Self::Sin => Named::Sin,
            Self::Cos => Named::Cos,
            Self::Tan => Named::Tan,
            Self::Asin => Named::Asin,
            Self::Acos => Named::Acos,
            Self::Atan => Named::Atan,
            Self::Atan2 => Named::Atan2,
            Self::Sinh => Named::Sinh,
            Self::Cosh => Named::Cosh,
            Self::Tanh => Named::Tanh,
            Self::Abs => Named::Abs,
            Self::Cbrt => Named::Cbrt,
            Self::Sign => Named::Sign,
            Self::Min => Named::Min,
            Self::Max => Named::Max,
            Self::Lawless(function) => function,
            Self::Asinh => return None,
        })
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        self.named().map_or("asinh", functions::Function::name)
    }

    /// Its value; not a number where it has none.
    pub fn value(self, arguments: &[f64]) -> f64 {
        match (self.named(), arguments) {
            (Some(function), _) => function.value(arguments),
            (None, [x]) => x.asinh(),
            (None, _) => f64::NAN,
        }
    }

    /// Its derivative by each argument.
    pub(super) fn slopes(self, arguments: &[f64]) -> Vec<f64> {
        match (self.named(), arguments) {
            (Some(function), _) => function.slopes(arguments),
            (None, [x]) => vec![1.0 / (1.0 + x * x).sqrt()],
            (None, _) => vec![f64::NAN; arguments.len()],
        }
    }
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

impl Node {
    /// The same with other expressions as its parts.
    pub(super) fn with_parts(&self, by: &dyn Fn(Id) -> Id) -> Node {
        let each = |parts: &[(Id, Rational)]| {
            let parts = parts
                .iter()
                .map(|(part, number)| (by(*part), number.clone()));
            parts.collect()
        };
        match self {
            Node::Undefined | Node::Number(_) | Node::Pi | Node::Symbol(_) => self.clone(),
            Node::Sum(sum) => Node::Sum(Sum {
                constant: sum.constant.clone(),
                terms: each(&sum.terms),
            }),
            Node::Product(factors) => Node::Product(each(factors)),
            Node::Power(base, exponent) => Node::Power(by(*base), by(*exponent)),
            Node::Call(function, arguments) => {
                Node::Call(*function, arguments.iter().map(|part| by(*part)).collect())
            }
        }
    }
}
