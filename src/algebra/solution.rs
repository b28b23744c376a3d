//! What is asked of an equation that is solved, and what comes of it.

use std::collections::BTreeSet;

use super::Rational;
use super::node::{Function, Id, Symbol};
use super::sign::Sign;

/// What is known about the unknown beyond its sign in the algebra. The default knows nothing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Wanted {
    /// The signs it may have.
    pub sign: Option<Sign>,
    /// It is not below this.
    pub low: Option<End>,
    /// It is not above this.
    pub high: Option<End>,
}

/// An end of a range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// Where it is.
    pub at: f64,
    /// Whether the end itself belongs to the range.
    pub is_taken: bool,
}

impl Wanted {
    /// A value between two numbers, ends included.
    pub fn between(low: f64, high: f64) -> Self {
        let end = |at: f64| Some(End { at, is_taken: true });
        Self {
            low: end(low),
            high: end(high),
            ..Self::default()
        }
    }

    /// Both ends, where it has them; the sign gives one at zero.
    pub fn range(&self) -> Option<(f64, f64)> {
        let zero = |is_end: bool| is_end.then_some(0.0);
        let sign = self.sign.unwrap_or(Sign::ANY);
        let low = self.low.map(|low| low.at);
        let high = self.high.map(|high| high.at);
        Some((
            low.or(zero(!sign.negative))?,
            high.or(zero(!sign.positive))?,
        ))
    }

    /// Whether a value belongs to it; what differs from an end by no more than `rounding` is the
    /// end.
    pub fn allows(&self, value: f64, rounding: f64) -> bool {
        let sign = self.sign.unwrap_or(Sign::ANY);
        let is_inside = |end: Option<End>, beyond: fn(f64) -> f64| {
            end.is_none_or(|end| {
                let beyond = beyond(value - end.at);
                beyond <= -rounding || (end.is_taken && beyond <= rounding)
            })
        };
        let by_sign = (value < 0.0 && sign.negative)
            || (value == 0.0 && sign.zero)
            || (value > 0.0 && sign.positive);
        by_sign && is_inside(self.low, |off| -off) && is_inside(self.high, |off| off)
    }
}

/// One solution.
#[derive(Debug, Clone, PartialEq)]
pub struct Branch {
    /// What the unknown is; the unknown does not stand in it.
    pub value: Id,
    /// The equation after each operation; the last is `unknown = value`. None where the equation
    /// already was that.
    pub steps: Vec<Step>,
    /// What must hold for the value to be a solution, beyond what the known signs tell.
    pub requires: Vec<Requirement>,
    /// Symbols whose known signs were used on the way to any of the branches.
    pub leaned: BTreeSet<Symbol>,
    /// What the unknown must be, by which other branches were left out.
    pub taken: Option<Wanted>,
    /// Whether an angle was left out as not wanted, of which a further turn may be.
    pub leaves_turns: bool,
    /// Whether it depends on the data if the value is of the wanted sign and range.
    pub is_open: bool,
    /// Whether it is a solution for special data only, of which nothing is said unless they are
    /// those: another turn of an angle, a negative base of a power that is whole.
    pub is_aside: bool,
    /// Of an angle, by how much the next one differs that satisfies the equation, too.
    pub period: Option<Id>,
}

impl Branch {
    /// Whether it is one angle of many: an inverse sine, cosine or tangent was taken.
    pub fn is_principal(&self) -> bool {
        use Function::{Acos, Asin, Atan};
        self.steps.iter().any(|step| {
            matches!(
                step.what,
                Operation::Applied(Asin | Acos | Atan)
                    | Operation::Inverse(Function::Sin | Function::Cos | Function::Tan)
            )
        })
    }
}

/// An equation on the way, and how it came from the one before.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Its left side.
    pub left: Id,
    /// Its right side.
    pub right: Id,
    /// What was done.
    pub what: Operation,
}

/// What leads from one equation to the next.
#[derive(Debug, Clone, PartialEq)]
pub enum Operation {
    /// Left and right change places.
    Exchanged,
    /// Both sides minus this.
    Subtracted(Id),
    /// Both sides divided by this.
    Divided(Id),
    /// Both sides multiplied by this.
    Multiplied(Id),
    /// Both sides to this power: 2 is squared, 1/2 a square root, -1 turned over.
    Raised(Rational),
    /// Both sides to a power that is no number.
    RaisedTo(Id),
    /// The logarithm of both sides.
    Logarithm,
    /// The exponential of both sides, or this number to the power of both sides.
    Exponential(Option<Id>),
    /// This function of both sides, such as `Asin` where a sine stood.
    Applied(Function),
    /// The inverse of this function of both sides, where that has no name: of `Cosh`, `Tanh`, `Abs`.
    Inverse(Function),
    /// Everything with the unknown on one side, by its powers.
    Collected,
    /// The quadratic formula, with these coefficients of the square, the first power and 1.
    Quadratic(Id, Id, Id),
    /// The product is zero where this factor is.
    Factor(Id),
    /// Written with this part of it as the unknown, or with another function of the angle.
    Rewritten(Id),
    /// What was found for another unknown, inserted.
    Inserted(Symbol),
    /// A linear system solved at once for all its unknowns.
    Eliminated,
}

/// What must hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Requirement {
    /// It was divided by.
    NotZero(Id),
    /// It stands under an even root, or equals one.
    NotNegative(Id),
    /// It stands in a logarithm, or equals an exponential.
    Positive(Id),
    /// It is the value of a function that has no others.
    Inside {
        /// What must lie between the two.
        value: Id,
        /// The least value.
        low: Id,
        /// The greatest value.
        high: Id,
    },
}

/// Why an equation or a system is not solved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stuck {
    /// The unknown does not stand in it, or cancels.
    NotThere,
    /// It is true for every value.
    Identity,
    /// It is true for no value, which is proved.
    Never,
    /// It is true for no value unless this is zero.
    Unless(Id),
    /// No value was found among the principal ones, which is no proof that there is none.
    NotFound,
    /// No closed form was found.
    NotSolvable,
    /// It takes more steps than are allowed.
    Effort,
    /// It has solutions, but none is of the wanted sign or range, which is proved.
    NoBranch,
    /// A system has fewer equations than unknowns.
    TooFew,
    /// A system has an equation that follows from the others, and so leaves an unknown open.
    Dependent,
    /// A system has more equations than unknowns, and a further one restricts other symbols.
    TooMany,
    /// A system has more than 12 equations.
    TooLarge,
}
