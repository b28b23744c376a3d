//! `balance y of beam`: a balance of a sketch written out, and behind an equation what it is meant
//! to be.

use super::super::grammar::{Pair, Pairs, Rule};
use super::super::reader::{Read, Reader};
use super::super::{Axis, Word};
use super::Part;
use crate::text::Span;

/// Which balance.
#[derive(Debug, Clone, PartialEq)]
pub enum BalanceOf {
    /// Of forces along an axis.
    Forces(Axis),
    /// Of moments about a place.
    Moments(Word),
    /// Of what flows.
    Flow(FlowOf),
    /// Of heads from one section to another.
    Heads([Word; 2]),
}

/// What flows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FlowOf {
    /// Mass.
    Mass,
    /// Volume.
    Volume,
    /// A substance.
    Content,
    /// Energy.
    Energy,
    /// The pressure of a fluid at rest.
    Pressure,
}

/// `balance y of beam`.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Where it stands, without the word `balance`.
    pub span: Span,
    /// Which it is.
    pub what: BalanceOf,
    /// The label of the sketch.
    pub label: Word,
}

impl Balance {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Label(&self.label));
    }
}

impl Reader<'_> {
    pub(super) fn balance(&mut self, mut pairs: Pairs<'_>) -> Read<Balance> {
        let pair = pairs.next().ok_or_else(|| self.nothing())?;
        self.balance_of(pair)
    }

    /// Which balance of which sketch.
    pub(super) fn balance_of(&mut self, pair: Pair<'_>) -> Read<Balance> {
        let span = self.span(&pair);
        let (mut what, mut label) = (None, None);
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::balance_axis => what = Axis::named(part.as_str()).map(BalanceOf::Forces),
                Rule::balance_flow => {
                    what = Some(BalanceOf::Flow(match part.as_str() {
                        "mass" => FlowOf::Mass,
                        "volume" => FlowOf::Volume,
                        "content" => FlowOf::Content,
                        "pressure" => FlowOf::Pressure,
                        _ => FlowOf::Energy,
                    }));
                }
                Rule::balance_heads => {
                    let mut ends = part.into_inner();
                    let (Some(from), Some(to)) = (ends.next(), ends.next()) else {
                        return Err(self.nothing());
                    };
                    let word = |pair: Pair<'_>| Word {
                        span: self.span(&pair),
                        text: pair.as_str().into(),
                    };
                    what = Some(BalanceOf::Heads([word(from), word(to)]));
                }
                Rule::place => {
                    what = Some(BalanceOf::Moments(Word {
                        span: self.span(&part),
                        text: part.as_str().into(),
                    }));
                }
                Rule::label => label = Some(self.label(&part)),
                _ => {}
            }
        }
        match (what, label) {
            (Some(what), Some(label)) => Ok(Balance { span, what, label }),
            _ => Err(self.nothing()),
        }
    }
}
