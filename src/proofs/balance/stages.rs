//! Premises of a comparison in the order of need: none, what flows in flows out, the definitions of
//! names that stand on one side only, all that comes from no balance.
//!
//! With all of them put in, terms that are made from each other could not be told apart.

use std::collections::BTreeSet;

use super::super::premises::{Premise, symbols_of};
use super::Compared;
use crate::resolve::{Expr, SymbolId};

/// What may be put in.
#[derive(Default)]
pub(super) struct Stage<'a> {
    /// Equations.
    pub premises: Vec<Premise<'a>>,
    /// A speed that is made of others.
    pub speed: Option<(SymbolId, Expr)>,
}

impl Stage<'_> {
    /// An equation with that speed put in; nothing where there is none.
    pub fn with_speed(&self, members: &[Expr]) -> Option<Vec<Expr>> {
        let (speed, made) = self.speed.as_ref()?;
        let mut members = members.to_vec();
        for member in &mut members {
            member.put_in(&|symbol| (symbol == *speed).then(|| made.clone()));
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
        let with_continuity = |premises: Vec<Premise<'a>>| -> Vec<Premise<'a>> {
            premises
                .into_iter()
                .chain(continuity.iter().cloned())
                .collect()
        };
        let mut found = vec![Stage::default()];
        for next in [
            with_continuity(Vec::new()),
            with_continuity(self.definitions(others)),
            with_continuity(others.to_vec()),
        ] {
            if found
                .last()
                .is_some_and(|last| last.premises.len() < next.len())
            {
                found.push(Stage {
                    premises: next,
                    speed: speed.clone(),
                });
            }
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
