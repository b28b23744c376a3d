//! Quantity literals and units.

use super::Number;
use crate::text::Span;

/// A quantity literal.
#[derive(Debug, Clone, PartialEq)]
pub struct Literal {
    /// From sign to the end of unit and words.
    pub span: Span,
    /// What stands before in larger units: `5 ft` of `5 ft 3 in`.
    pub larger: Vec<(Magnitude, UnitExpr)>,
    /// The number, or the numbers of a list.
    pub magnitude: Magnitude,
    /// Its unit.
    pub unit: Option<UnitExpr>,
    /// `gauge`, `abs`, `difference`.
    pub datum: Option<Datum>,
    /// `± 0.04`, `(4)`: each is one source of error.
    pub sizes: Vec<Size>,
}

impl Literal {
    /// The number, where it is nothing else.
    pub fn plain(&self) -> Option<Number> {
        match self.magnitude {
            Magnitude::One(number)
                if self.unit.is_none() && self.datum.is_none() && self.sizes.is_empty() =>
            {
                Some(number)
            }
            _ => None,
        }
    }

    /// Whether it is nothing but `0`.
    pub fn is_plain_zero(&self) -> bool {
        self.larger.is_empty() && self.plain().is_some_and(|number| number.value == 0.0)
    }
}

/// The number part of a literal.
#[derive(Debug, Clone, PartialEq)]
pub enum Magnitude {
    /// One number, its sign included.
    One(Number),
    /// `3/8`: numerator and denominator.
    Fraction(Number, Number),
    /// `2 1/2`: the whole, numerator and denominator.
    Mixed(Number, Number, Number),
    /// `[1, 2, 5]`.
    List(Vec<Number>),
    /// `(3, 4)`: the components of a vector.
    Vector(Vec<Number>),
}

impl Magnitude {
    /// Where its number stands, or its numbers.
    pub fn span(&self) -> Span {
        match self {
            Self::One(number) => number.span,
            Self::Fraction(above, below) | Self::Mixed(above, _, below) => {
                above.span.cover(below.span)
            }
            Self::List(numbers) | Self::Vector(numbers) => (numbers.iter())
                .map(|number| number.span)
                .reduce(Span::cover)
                .unwrap_or_default(),
        }
    }
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

impl Datum {
    /// The word.
    pub fn text(self) -> &'static str {
        match self {
            Datum::Gauge => "gauge",
            Datum::Absolute => "abs",
            Datum::Difference => "difference",
        }
    }
}

/// What a number is uncertain by: one source of error, or one each of several numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// Where it stands, with the words behind it.
    pub span: Span,
    /// How large it is.
    pub amount: Amount,
    /// What its size means.
    pub how: How,
    /// Whether several numbers have it in common, where that is said.
    pub sharing: Option<Sharing>,
    /// Where it stands together with its number, when both are in brackets.
    pub brackets: Option<Brackets>,
}

/// How large an uncertainty is.
#[derive(Debug, Clone, PartialEq)]
pub enum Amount {
    /// `± 0.04 mm`, `± (0.4 % + 0.03 L/s)`: one term, or a sum.
    Sum(Vec<SizeTerm>),
    /// `(4)` behind a number: in its last place.
    Concise(SizeTerm),
    /// `(resolution 0.1 mm)`: the step of the last digit.
    Resolution(SizeTerm),
    /// `(Poisson)`: the root of the count.
    Counts,
}

/// A term of an uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeTerm {
    /// Where it stands.
    pub span: Span,
    /// Its number; that of a share is a ratio.
    pub value: f64,
    /// One unit in the last place of it as it is written.
    pub place: f64,
    /// Its unit, where it is that of no other number.
    pub unit: Option<UnitExpr>,
    /// Whether it is a share, of the value or of a full scale.
    pub share: Option<Share>,
}

/// What a share is of.
#[derive(Debug, Clone, PartialEq)]
pub enum Share {
    /// Of the value.
    Value,
    /// Of so much: `0.25 % of 600 kPa`.
    Of(Number, UnitExpr, Option<Datum>),
}

/// What the size of an uncertainty means.
#[derive(Debug, Clone, PartialEq)]
pub struct How {
    /// How errors are distributed.
    pub distribution: Distribution,
    /// `k`, 1 when not written.
    pub coverage: f64,
    /// The part of all errors that lie within it: `95 %`.
    pub level: Option<f64>,
    /// `18 degrees of freedom`; infinite when not written.
    pub degrees: f64,
}

impl Default for How {
    fn default() -> Self {
        Self {
            distribution: Distribution::Normal,
            coverage: 1.0,
            level: None,
            degrees: f64::INFINITY,
        }
    }
}

impl How {
    /// Whether it has a word of a limit or a level, as a data sheet or a certificate states them.
    pub fn is_limit(&self) -> bool {
        self.distribution != Distribution::Normal || self.coverage != 1.0 || self.level.is_some()
    }
}

/// Whether several numbers have an error in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sharing {
    /// Each has its own.
    Each,
    /// All have one.
    Common,
}

/// A number and its uncertainty in brackets: `(5.00 ± 0.10) × 10^-9`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Brackets {
    /// The brackets and the power of ten behind them.
    pub span: Span,
    /// The power of ten that both numbers are multiplied by; they are multiplied already.
    pub power: Option<i32>,
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

/// How an error is distributed about zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Distribution {
    /// Normal.
    Normal,
    /// As likely anywhere within its limits (JCGM 100, 4.3.7).
    Rectangular,
    /// Likelier in the middle, falling to its limits (4.3.9).
    Triangular,
    /// Likelier at its limits, as of a cycle (H.1.3.4).
    Arcsine,
    /// Within half a step of the last digit (F.2.2.1).
    Resolution,
    /// That of a count.
    Poisson,
}
