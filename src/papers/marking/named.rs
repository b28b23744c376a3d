//! The slips of an answer, and those of them that a wrong number agrees with.

use std::cell::OnceCell;
use std::rc::Rc;

use rustc_hash::FxHashMap;

use super::carried::Known;
use super::field::Number;
use super::printed::Target;
use super::slip::{self, Come};
use crate::worksheet::{Instead, Replay, SlipGround, SlipOf, SymbolId};

/// So many figures results between are rounded to.
const BETWEEN: i32 = 4;

/// The slips of a part, for a set of names that are given already.
pub(super) struct SlipsOf {
    pub slips: Vec<SlipOf>,
    /// What each comes to with the worksheet's own numbers.
    comes: OnceCell<Vec<(usize, Come)>>,
}

/// The slips of the parts of a question, each made once.
#[derive(Default)]
pub(super) struct Shelf(FxHashMap<(usize, Vec<SymbolId>), Rc<SlipsOf>>);

impl Shelf {
    pub fn slips(
        &mut self,
        replay: &Replay<'_>,
        (part, target): (usize, &Target),
        varied: &[SymbolId],
        known: &[&Known],
    ) -> Rc<SlipsOf> {
        let mut given: Vec<SymbolId> = known.iter().map(|known| known.symbol).collect();
        given.sort_unstable();
        given.dedup();
        let made = self
            .0
            .entry((part, given))
            .or_insert_with_key(|(_, given)| {
                let ground = SlipGround {
                    given: given.iter().copied().collect(),
                    varied: varied.iter().copied().collect(),
                };
                Rc::new(SlipsOf {
                    slips: replay.slips(target.symbol, &ground).found,
                    comes: OnceCell::new(),
                })
            });
        Rc::clone(made)
    }
}

impl SlipsOf {
    /// The slips that a number agrees with, by their indices. With what is put in stands whether
    /// that is nothing but what the worksheet has.
    pub fn named(
        &self,
        (replay, target): (&Replay<'_>, &Target),
        (instead, is_plain): (&Instead, bool),
        right: &[f64],
        numbers: &[Number],
    ) -> Option<Vec<usize>> {
        let figures = numbers.iter().map(|it| it.figures.for_slips()).min()?;
        let written = slip::Written {
            value: numbers.iter().map(|it| it.si).collect(),
            half_a_unit: (numbers.iter())
                .map(|it| it.half_at(it.figures.for_slips()))
                .collect(),
            figures: figures as usize,
        };
        let own;
        let comes = match is_plain {
            true => self
                .comes
                .get_or_init(|| self.come(replay, target, instead)),
            false => {
                own = self.come(replay, target, instead);
                &own
            }
        };
        let all: Vec<Come> = comes.iter().map(|(_, come)| come.clone()).collect();
        let is_point = target.found.reading.is_point();
        let group = slip::named(right, &all, &written, is_point)?;
        Some(group.into_iter().map(|at| comes[at].0).collect())
    }

    fn come(&self, replay: &Replay<'_>, target: &Target, instead: &Instead) -> Vec<(usize, Come)> {
        let each = self.slips.iter().enumerate();
        each.filter_map(|(at, slip)| {
            let value = replay.slipped(target.symbol, slip, instead).ok()?;
            let rounded = replay.rounded(target.symbol, Some(slip), instead, BETWEEN);
            let come = Come {
                value: value.rows,
                rounded: rounded.ok()?,
            };
            Some((at, come))
        })
        .collect()
    }
}

/// What a group of slips is told as.
pub(super) fn told(slips: &[&SlipOf]) -> String {
    let mut seen: Vec<String> = Vec::new();
    for slip in slips {
        if !seen.contains(&slip.words) {
            seen.push(slip.words.clone());
        }
    }
    seen.join(", or ")
}
