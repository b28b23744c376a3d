//! What an algebra was asked before, so that it is worked out once.
//!
//! Within one algebra an answer depends on the indices of what is asked and on nothing else, so
//! what is remembered is what would be found again: the answer, the effort, and the signs that
//! were used. Where the effort would not fit into the bound any more, the work is begun again, and
//! ends where it would have ended.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::Algebra;
use super::node::{Id, Symbol};
use super::solution::{Branch, Stuck};

/// The questions, by kind.
#[derive(Debug, Default)]
pub(super) struct Asked {
    /// Whether an expression is zero everywhere.
    pub zero: Table<Id, Option<bool>>,
    /// An equation solved for a symbol of which nothing more is wanted.
    pub isolated: Table<(Id, Id, Symbol), Result<Vec<Branch>, Stuck>>,
    /// An expression with another in place of a symbol.
    pub replaced: Table<(Id, Id, Id), Id>,
}

/// Answers by what was asked.
pub(super) type Table<K, T> = FxHashMap<K, Answer<T>>;

/// An answer, and what it took.
#[derive(Debug)]
pub(super) struct Answer<T> {
    found: T,
    steps: u32,
    leaned: BTreeSet<Symbol>,
}

impl Algebra {
    /// The answer to a question of a table, worked out if it was not asked before.
    pub(super) fn asked<K: std::hash::Hash + Eq, T: Clone>(
        &mut self,
        table: impl Fn(&mut Asked) -> &mut Table<K, T>,
        question: K,
        work: impl FnOnce(&mut Self) -> T,
    ) -> T {
        if let Some(known) = table(&mut self.asked).get(&question) {
            let (found, steps, leaned) = (known.found.clone(), known.steps, known.leaned.clone());
            if self.has_room_for(steps) {
                self.count(steps);
                self.lean_on(leaned);
                return found;
            }
        }
        let (steps, before) = (self.steps(), self.take_leaned());
        let found = work(self);
        let leaned = self.take_leaned();
        self.lean_on(before);
        self.lean_on(leaned.clone());
        if !self.is_exhausted() {
            let answer = Answer {
                found: found.clone(),
                steps: self.steps() - steps,
                leaned,
            };
            table(&mut self.asked).insert(question, answer);
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::super::text::Named;
    use super::super::{Algebra, Id, Symbol, Wanted};

    const SIDES: &str = "sqrt(x^2*y) + a*z = b - c*z^2";

    /// What an algebra says of an equation, with the effort and the signs that were used.
    fn said(algebra: &mut Algebra, (left, right): (Id, Id), unknown: Symbol) -> String {
        algebra.take_leaned();
        let before = algebra.steps();
        let difference = algebra.subtract(left, right);
        let zero = algebra.is_identically_zero(difference);
        let found = algebra.isolate(left, right, unknown, &Wanted::default());
        let steps = algebra.steps() - before;
        let leaned = algebra.take_leaned();
        format!("{zero:?} {found:?} {steps} {leaned:?}")
    }

    #[test]
    fn what_is_asked_again_is_answered_with_the_same_effort_and_signs() {
        let mut named = Named::new(&["x", "y"]);
        let sides = named.equation(SIDES);
        let unknown = named.symbol("z");
        let first = said(&mut named.algebra, sides, unknown);
        assert!(first.contains("Ok"), "{first}");
        named.algebra.rest();
        assert_eq!(said(&mut named.algebra, sides, unknown), first);
        named.algebra.asked = super::Asked::default();
        named.algebra.rest();
        assert_eq!(said(&mut named.algebra, sides, unknown), first);
    }

    #[test]
    fn what_is_remembered_does_not_stretch_the_bound() {
        let answer = |is_asked_before: bool| {
            let mut named = Named::new(&["x", "y"]);
            let sides = named.equation(SIDES);
            let unknown = named.symbol("z");
            if is_asked_before {
                said(&mut named.algebra, sides, unknown);
            }
            named.algebra.rest();
            named.algebra.count(super::super::arena::MOST_STEPS - 40);
            let found = (named.algebra).isolate(sides.0, sides.1, unknown, &Wanted::default());
            (found.err(), named.algebra.is_exhausted())
        };
        assert_eq!(answer(true), answer(false));
        assert!(answer(true).1);
    }
}
