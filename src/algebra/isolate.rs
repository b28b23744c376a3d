//! One equation solved for one of its symbols.
//!
//! In goes `left = right` and the unknown; out come the branches, each a value with the steps a
//! teacher would write, what must hold for it, and why it was taken. Where the unknown stands
//! once, the author's own form is kept and undone operation by operation; where it stands several
//! times, its powers (or those of a root, exponential or angle function of it) are collected.
//!
//! Nothing is lost or invented silently: what was divided by and what stands under a root is
//! listed, a candidate that never satisfies the equation is dropped, and one that contradicts
//! what is known about the unknown gives way to the others. Angles come as principal values and
//! the second solution of sine and cosine; the turns before and after are listed only where a
//! range is wanted that they are certain to lie in.

use super::Algebra;
use super::node::{Id, Symbol};
use super::solution::{Branch, Stuck, Wanted};
use super::solver::Solver;

impl Algebra {
    /// The solutions of `left = right` for the unknown.
    ///
    /// There is at least one; those that contradict what is known about the unknown, here or in
    /// the algebra, are left out. A power with an exponent that is no number is understood for a
    /// positive base.
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
        if *wanted != Wanted::default() {
            return self.isolated(left, right, unknown, wanted);
        }
        let question = (left, right, unknown);
        self.asked(
            |asked| &mut asked.isolated,
            question,
            |algebra| algebra.isolated(left, right, unknown, wanted),
        )
    }

    fn isolated(
        &mut self,
        left: Id,
        right: Id,
        unknown: Symbol,
        wanted: &Wanted,
    ) -> Result<Vec<Branch>, Stuck> {
        let before = self.take_leaned();
        let mut solver = Solver::new(self, unknown);
        solver.with_turns = wanted.low.is_some() && wanted.high.is_some();
        let found = solver.candidates(left, right);
        let chosen = found.and_then(|found| self.choose(left, right, unknown, wanted, found));
        let leaned = self.take_leaned();
        self.lean_on(before);
        self.lean_on(leaned.clone());
        let mut branches = chosen?;
        for branch in &mut branches {
            branch.leaned.clone_from(&leaned);
        }
        Ok(branches)
    }
}
