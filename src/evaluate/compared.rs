//! What came of a result that was held against a value by its uncertainty.

use super::value::Value;
use crate::resolve::Expr;
use crate::syntax::Held;

/// What came of a comparison: of several rows the worst.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// The values: of the subject, and of each side that it is held against.
    pub values: Vec<Value>,
    /// Which side decides, and in which row.
    pub side: usize,
    /// The row that decides.
    pub row: usize,
    /// How far the subject is from that side, in SI units: for a limit, how far inside.
    pub difference: f64,
    /// The standard uncertainty of that.
    pub uncertainty: f64,
    /// The coverage factor.
    pub factor: f64,
    /// The degrees of freedom; `None` where they cannot be told.
    pub degrees: Option<f64>,
    /// The verdict.
    pub found: Found,
    /// Whether the limits leave no room for any value to conform.
    pub is_too_narrow: bool,
}

/// A verdict on a comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Found {
    /// The difference is no larger than its uncertainty allows.
    Agrees,
    /// It is larger.
    Differs,
    /// Inside every limit.
    Conforms,
    /// Too near to a limit.
    NotDecided,
    /// Outside of one.
    DoesNotConform,
}

impl Found {
    /// As it is said.
    pub fn words(self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::Differs => "differs",
            Self::Conforms => "conforms",
            Self::NotDecided => "not decided",
            Self::DoesNotConform => "does not conform",
        }
    }
}

impl Compared {
    /// Whether the check holds.
    pub fn holds(&self, held: &Held<Expr>) -> bool {
        match held {
            Held::Agrees(_) => self.found == Found::Agrees,
            Held::Differs(_) => self.found == Found::Differs,
            Held::Conforms(..) => self.found == Found::Conforms,
        }
    }

    /// How many standard uncertainties lie between.
    pub fn apart(&self) -> f64 {
        self.difference.abs() / self.uncertainty
    }
}
