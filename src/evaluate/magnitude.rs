//! What quantities of sketches come to, by the data and in what-ifs.

use std::sync::Arc;

use super::sources::Sources;
use super::value::Value;
use crate::resolve::Shape;
use crate::resolve::statement::{Condition, Sketch};
use crate::text::Span;

/// The one number that a quantity comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Magnitude {
    /// In coherent SI units.
    pub value: f64,
    /// Its standard uncertainty.
    pub uncertainty: Option<f64>,
}

impl Magnitude {
    /// The one number of a value; nothing for a list, and for what is no number.
    pub fn of(value: &Value, sources: &Sources) -> Option<Self> {
        let is_number = value.shape == Shape::One && value.at(0).is_finite();
        is_number.then(|| Self {
            value: value.at(0),
            uncertainty: value.uncertainty(0, sources).map(|it| it.size),
        })
    }

    /// Whether its sign is not certain: it lies within two standard uncertainties of 0.
    pub fn may_be_turned(&self) -> bool {
        (self.uncertainty).is_some_and(|size| self.value.abs() <= 2.0 * size)
    }
}

/// A line that asks a value with other data, and what sketches come to with these.
#[derive(Debug, Clone, PartialEq)]
pub struct WhatIf {
    /// Where the other data stand.
    pub place: Span,
    /// The other data.
    pub by: Vec<Condition>,
    /// The sketches of its problem, with their quantities in their order.
    pub sketches: Vec<(Arc<Sketch>, Vec<Option<Magnitude>>)>,
}
