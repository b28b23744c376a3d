//! What is fitted, compiled.

use crate::evaluate::asked::Test;
use crate::evaluate::program::Program;
use crate::resolve::{SymbolId, Through};
use crate::statistics::marquardt::Bounds;
use crate::syntax::Spread;
use crate::text::Span;

/// What is fitted, compiled.
#[derive(Debug, Clone, PartialEq)]
pub struct Formula {
    pub sides: [Program; 2],
    pub span: Span,
    /// Which rows take part, where a condition says it.
    pub which: Option<Test>,
    pub parameters: Vec<Sought>,
    pub weighting: Weighting,
    pub spread: Option<Spread>,
}

/// A parameter that is sought.
#[derive(Debug, Clone, PartialEq)]
pub struct Sought {
    pub symbol: SymbolId,
    pub through: Option<Through>,
    pub start: f64,
    pub bounds: Bounds,
}

/// What rows are weighted by.
#[derive(Debug, Clone, PartialEq)]
pub enum Weighting {
    Uncertainty,
    Equally,
    By(Program),
}

impl Weighting {
    /// The formula of the weights.
    pub(super) fn program(&self) -> Option<&Program> {
        match self {
            Self::By(weight) => Some(weight),
            Self::Uncertainty | Self::Equally => None,
        }
    }
}
