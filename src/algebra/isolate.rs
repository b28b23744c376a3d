//! One equation solved for one of its symbols.
//!
//! In goes `left = right` and the unknown; out come the branches, each a value with the steps a
//! teacher would write, what must hold for it, and why it was taken. Where the unknown stands
//! once, the author's own form is kept and undone operation by operation; where it stands several
//! times, its powers (or those of a root, exponential or angle function of it) are collected.
//!
//! Nothing is lost or invented silently. Every solution is a branch whose requirements hold, but
//! for further turns of an angle and where a divisor of the data is zero, which is listed. A
//! candidate is dropped only when it is proved that it satisfies the equation for no data, or
//! that it contradicts what is known about the unknown; what depends on the data is listed as a
//! requirement, or left open. Angles come as principal values and the second solution of sine and
//! cosine; in a range, the turns before and after are tried as well.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::Algebra;
use super::node::{Id, Symbol};
use super::solution::{Branch, Stuck, Wanted};
use super::solver::{Solver, Trail};

impl Algebra {
    /// The solutions of `left = right` for the unknown.
    ///
    /// There is at least one; those that contradict what is known about the unknown, here or in
    /// the algebra, are left out.
    ///
    /// # Errors
    ///
    /// Why there is none: see [`Stuck`].
    pub fn isolate(
        &mut self,
        left: Id,
        right: Id,
        unknown: Symbol,
        wanted: &Wanted,
    ) -> Result<Vec<Branch>, Stuck> {
        self.isolate_beside(left, right, unknown, wanted, &[])
    }

    /// The same, where the unknown stands in other expressions as well: of an angle all values are
    /// found that make a difference there.
    pub(super) fn isolate_beside(
        &mut self,
        left: Id,
        right: Id,
        unknown: Symbol,
        wanted: &Wanted,
        beside: &[Id],
    ) -> Result<Vec<Branch>, Stuck> {
        let is_beside = beside.iter().any(|id| self.contains(*id, unknown));
        if *wanted != Wanted::default() || is_beside {
            return self.isolated(left, right, unknown, wanted, beside);
        }
        let question = (left, right, unknown);
        self.asked(
            |asked| &mut asked.isolated,
            question,
            |algebra| algebra.isolated(left, right, unknown, wanted, &[]),
        )
    }

    fn isolated(
        &mut self,
        left: Id,
        right: Id,
        unknown: Symbol,
        wanted: &Wanted,
        beside: &[Id],
    ) -> Result<Vec<Branch>, Stuck> {
        let before = self.take_leaned();
        let found = self.searched(left, right, unknown, wanted, beside);
        let chosen = found.and_then(|search| self.choose(left, right, unknown, wanted, search));
        let leaned = self.take_leaned();
        self.lean_on(before);
        self.lean_on(leaned.clone());
        let mut branches = chosen?;
        for branch in &mut branches {
            branch.leaned.clone_from(&leaned);
        }
        Ok(branches)
    }

    /// The candidates of an equation, those among them where what was divided by is zero.
    fn searched(
        &mut self,
        left: Id,
        right: Id,
        unknown: Symbol,
        wanted: &Wanted,
        beside: &[Id],
    ) -> Result<Search, Stuck> {
        let with_turns = wanted.range().is_some();
        let zero = self.whole(0);
        let mut search = Search::default();
        let mut open = vec![(left, right)];
        let mut seen = BTreeSet::new();
        while let Some(sides) = open.pop() {
            let is_whole = sides == (left, right);
            let mut solver = Solver::new(self, unknown);
            solver.with_turns = with_turns;
            solver.beside = beside.to_vec();
            let found = solver.candidates(sides.0, sides.1);
            let (divided, unless) = (solver.divided, solver.unless);
            search.has_angles |= solver.has_angles;
            search.divided_by_data.extend(solver.divided_by_data);
            match found {
                Ok(found) if is_whole => search.candidates.extend(found),
                Ok(found) => {
                    self.where_divisor_vanishes((left, right), unknown, found, &mut search)
                }
                Err(Stuck::Never) => {}
                Err(Stuck::NotThere | Stuck::Unless(_)) if !is_whole => {}
                // Somewhere, what was divided by is zero for any value.
                Err(Stuck::Identity) if !is_whole => return Err(Stuck::NotSolvable),
                Err(stuck) => return Err(stuck),
            }
            search.unless.extend(unless);
            for divisor in divided {
                if seen.insert(divisor) {
                    open.push((divisor, zero));
                }
            }
        }
        Ok(search)
    }

    /// Of the values for which what was divided by is zero, those that satisfy the equation. One
    /// that does so for special data only is left out, and these data are told.
    fn where_divisor_vanishes(
        &mut self,
        (left, right): (Id, Id),
        unknown: Symbol,
        found: Vec<(Id, Trail)>,
        search: &mut Search,
    ) {
        let place = self.symbol(unknown);
        for (value, trail) in found {
            let by = FxHashMap::from_iter([(place, value)]);
            let (left, right) = (self.substitute(left, &by), self.substitute(right, &by));
            let difference = self.subtract(left, right);
            match self.is_zero_for_any(difference) {
                Some(true) => search.candidates.push((value, trail)),
                Some(false) => {}
                None => search.unless.push(difference),
            }
        }
    }

    /// Whether an expression is zero wherever it is defined, or nowhere; `None` where that
    /// depends on its symbols, or is not known.
    pub(super) fn is_zero_for_any(&mut self, id: Id) -> Option<bool> {
        if self.is_undefined(id) {
            return Some(false);
        }
        if self.certainly_vanishes(id) {
            return Some(true);
        }
        if self.symbols(id).is_empty() {
            return Some(false);
        }
        let is_apart = self.sign_by_squares(id).is_not_zero();
        if is_apart {
            self.lean(id);
        }
        is_apart.then_some(false)
    }
}

/// What a search came to.
#[derive(Debug, Default)]
pub(super) struct Search {
    /// Candidates, among which all solutions are.
    pub candidates: Vec<(Id, Trail)>,
    /// But for data for which one of these is zero.
    pub unless: Vec<Id>,
    /// What was divided by on any way: where it is zero, there may be solutions, too.
    pub divided_by_data: Vec<Id>,
    /// Whether further turns of angles may be solutions.
    pub has_angles: bool,
}
