//! `balance y of beam`: a balance of a sketch written out, and behind an equation what it is meant
//! to be.

use std::sync::OnceLock;

use super::super::grammar::{Pair, Pairs, Rule};
use super::super::order::{Followed, Order};
use super::super::reader::{Read, Reader};
use super::super::tokens::tokens;
use super::super::{Axis, Word};
use super::{Part, Spot};
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
        let mut spot = |name, is_section| {
            take(Part::Spot(Spot {
                name,
                is_section,
                is_new: false,
                of: Some(&self.label),
            }));
        };
        match &self.what {
            BalanceOf::Moments(place) => spot(place, false),
            BalanceOf::Heads(ends) => ends.iter().for_each(|end| spot(end, true)),
            BalanceOf::Forces(_) | BalanceOf::Flow(_) => {}
        }
        take(Part::Label(&self.label));
    }
}

/// The order of what says which balance is meant.
const ORDER: &str = "balance ( x | y | moments about $place | mass | volume | content | energy | pressure \
     | heads from $section to $section ) of $label";

/// Which balance a line names, or begins to name: where the word `balance` stands, and what
/// follows from there.
pub fn balance_begun(body: &str) -> Option<(usize, Followed<'static>)> {
    static ORDERED: OnceLock<Order> = OnceLock::new();
    let order = ORDERED.get_or_init(|| Order::new(ORDER, &|_| None));
    let mut before = None;
    let all = tokens(body);
    let found = all.filter(|token| {
        let opens = token.text == "balance" && matches!(before, None | Some("by"));
        before = Some(token.text);
        opens
    });
    let at = found.last()?.at;
    Some((at, order.follow(body.get(at..)?)))
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
