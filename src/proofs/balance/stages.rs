//! Premises of a comparison in the order of need: none, what flows in flows out, the definitions of
//! names that stand on one side only, all definitions, all that comes from no balance.
//!
//! With all of them put in, terms that are made from each other could not be told apart.

use std::collections::BTreeSet;

use super::super::premises::{Premise, symbols_of};
use super::{Compared, grouped};
use crate::resolve::{Expr, SymbolId};

/// What may be put in; the first stage has nothing.
#[derive(Default)]
pub(super) struct Stage<'a> {
    /// Equations.
    pub premises: Vec<Premise<'a>>,
    /// Names with what they are made of, in the order in which that is put in.
    pub made: Vec<(SymbolId, Expr)>,
    /// Its number.
    pub number: usize,
}

impl Stage<'_> {
    /// An equation with all that put in; nothing where there is nothing to put in.
    pub fn put_in(&self, members: &[Expr]) -> Option<Vec<Expr>> {
        if self.made.is_empty() {
            return None;
        }
        let mut members = members.to_vec();
        for (name, made) in &self.made {
            for member in &mut members {
                member.put_in(&|symbol| (symbol == *name).then(|| made.clone()));
            }
        }
        Some(members)
    }
}

impl<'a> Compared<'a, '_> {
    /// Each stage has more than the one before.
    pub(super) fn stages(&self, others: &[Premise<'a>]) -> Vec<Stage<'a>> {
        let continuity: Vec<Premise<'a>> = (self.continuity.iter())
            .map(|it| Premise::stated(self.origin, &it.members))
            .collect();
        let speed = self.continuity.as_ref().and_then(|it| it.speed.clone());
        let mut found = vec![self.stage(Vec::new(), Vec::new())];
        let (one_sided, all) = (self.definitions(others), all_definitions(others));
        let own_made = [
            Vec::new(),
            self.made(&one_sided),
            all_made(&all),
            self.made(others),
        ];
        let own_premises = [Vec::new(), one_sided, all, others.to_vec()];
        for (own, mut made) in own_premises.into_iter().zip(own_made) {
            made.extend(speed.clone());
            made.retain(|(_, side)| self.numbers.borrow_mut().reads(side));
            let made = in_order(made);
            let premises: Vec<Premise<'a>> =
                own.into_iter().chain(continuity.iter().cloned()).collect();
            let is_more = found.last().is_some_and(|last| {
                last.premises.len() < premises.len() || last.made.len() < made.len()
            });
            if is_more {
                found.push(self.stage(premises, made));
            }
        }
        found
    }

    /// The names of the equation that the balance has not, as they are defined with its names.
    fn made(&self, definitions: &[Premise<'a>]) -> Vec<(SymbolId, Expr)> {
        let derived = symbols_of(self.derived.iter());
        let own = symbols_of(self.members.iter());
        let mut found: Vec<(SymbolId, Expr)> = Vec::new();
        for symbol in own.difference(&derived) {
            let sides = definitions.iter().flat_map(|it| it.definitions_of(*symbol));
            let is_of_it = |side: &&Expr| {
                let names = symbols_of(std::iter::once(*side));
                names.is_subset(&derived)
            };
            let made = sides.into_iter().find(is_of_it);
            found.extend(made.map(|side| (*symbol, grouped(side))));
        }
        found
    }

    /// The definitions of names that stand in the equation or in the balance, but not in both; and
    /// of names that stand in those.
    fn definitions(&self, others: &[Premise<'a>]) -> Vec<Premise<'a>> {
        let (own, derived) = (
            symbols_of(self.members.iter()),
            symbols_of(self.derived.iter()),
        );
        let both: BTreeSet<SymbolId> = own.intersection(&derived).copied().collect();
        let mut wanted: BTreeSet<SymbolId> = own.symmetric_difference(&derived).copied().collect();
        let mut is_taken = vec![false; others.len()];
        loop {
            let before = wanted.len();
            for (premise, is_taken) in others.iter().zip(&mut is_taken) {
                let defines = premise.leads().any(|lead| wanted.contains(&lead));
                if defines && !*is_taken {
                    *is_taken = true;
                    wanted.extend(premise.symbols());
                }
            }
            wanted.retain(|symbol| !both.contains(symbol));
            if wanted.len() == before {
                break;
            }
        }
        let taken = others.iter().zip(&is_taken).filter(|(_, taken)| **taken);
        taken.map(|(premise, _)| premise.clone()).collect()
    }
}

/// The premises in which a name stands alone on a side.
fn all_definitions<'a>(others: &[Premise<'a>]) -> Vec<Premise<'a>> {
    let defining = others.iter().filter(|it| it.leads().next().is_some());
    defining.cloned().collect()
}

/// Each name before those that stand in what it is made of, so that nothing is left to be put in.
/// Of names that are made of each other the last one stays as it is.
fn in_order(mut made: Vec<(SymbolId, Expr)>) -> Vec<(SymbolId, Expr)> {
    let mut found = Vec::with_capacity(made.len());
    while !made.is_empty() {
        let stands_in = |at: usize| {
            let mut others = made.iter().enumerate().filter(|(other, _)| *other != at);
            others.any(|(_, (_, side))| symbols_of(std::iter::once(side)).contains(&made[at].0))
        };
        match (0..made.len()).find(|at| !stands_in(*at)) {
            Some(first) => found.push(made.remove(first)),
            None => drop(made.pop()),
        }
    }
    found
}

/// Every name that is defined by others, the lowest line first.
fn all_made(definitions: &[Premise<'_>]) -> Vec<(SymbolId, Expr)> {
    let mut found: Vec<(SymbolId, Expr)> = Vec::new();
    for premise in definitions.iter().rev() {
        for lead in premise.leads() {
            let is_new = !found.iter().any(|(symbol, _)| *symbol == lead);
            let by_others = |side: &&Expr| {
                let names = symbols_of(std::iter::once(*side));
                !names.is_empty() && !names.contains(&lead)
            };
            let side = premise.definitions_of(lead).into_iter().find(by_others);
            found.extend(side.filter(|_| is_new).map(|side| (lead, grouped(side))));
        }
    }
    found
}
