//! `component x of joint`: a part of a vector equation, in `derive`.

use super::super::grammar::{Pair, Pairs, Rule};
use super::super::reader::{Read, Reader};
use super::super::{Axis, Word};
use super::Part;

/// `component x of joint`.
#[derive(Debug, Clone, PartialEq)]
pub struct ComponentOf {
    /// Which component.
    pub axis: Axis,
    /// The label of the vector equation.
    pub label: Word,
}

impl ComponentOf {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Label(&self.label));
    }
}

impl Reader<'_> {
    pub(super) fn component_of(&mut self, pairs: Pairs<'_>) -> Read<ComponentOf> {
        let mut axis = None;
        let mut label = None;
        for pair in pairs {
            match pair.as_rule() {
                Rule::axis => axis = Axis::named(pair.as_str()),
                Rule::label => label = Some(self.label(&pair)),
                _ => {}
            }
        }
        match (axis, label) {
            (Some(axis), Some(label)) => Ok(ComponentOf { axis, label }),
            _ => Err(self.nothing()),
        }
    }

    pub(super) fn label(&self, pair: &Pair<'_>) -> Word {
        Word {
            span: self.span(pair),
            text: pair.as_str().into(),
        }
    }
}
