//! Several equations solved for several of their symbols.
//!
//! In go equations and unknowns; out come the solutions, each with a value for every unknown. One
//! unknown after the other is isolated from the equation where that is easiest and inserted into
//! the others. What is left as a small linear system, in which every equation holds several
//! unknowns, is solved at once by determinants: that gives the shortest form, and requires no
//! more than that the determinant is not zero.

use rustc_hash::FxHashMap;

use super::Algebra;
use super::node::{Id, Node, Symbol};
use super::solution::{Branch, Operation, Step, Stuck, Wanted};

/// More equations than this are not solved together.
const MOST_EQUATIONS: usize = 12;

/// Linear systems up to this size are solved by determinants.
const MOST_AT_ONCE: usize = 3;

/// Solutions that are followed.
const MOST_SOLUTIONS: usize = 16;

/// Ways to begin that are tried when one leads nowhere.
const MOST_BEGINNINGS: usize = 6;

/// A value for each unknown.
pub(super) type Solution = Vec<(Symbol, Branch)>;

/// Why a system is not solved, and the unknown it failed at.
pub(super) type Failure = (Stuck, Option<Symbol>);

/// What is left of a system.
#[derive(Debug, Clone)]
pub(super) struct Open<'w> {
    pub equations: Vec<(Id, Id)>,
    pub unknowns: Vec<(Symbol, &'w Wanted)>,
}

impl Algebra {
    /// The solutions of a system of at most 12 equations for its unknowns, in their order.
    /// `wanted` says what is known about each; unknowns beyond its length may be anything.
    ///
    /// # Errors
    ///
    /// Why there is none (see [`Stuck`]), and the unknown that no equation gives, if it is one.
    pub fn solve_system(
        &mut self,
        equations: &[(Id, Id)],
        unknowns: &[Symbol],
        wanted: &[Wanted],
    ) -> Result<Vec<Solution>, Failure> {
        if equations.len() > MOST_EQUATIONS {
            return Err((Stuck::TooLarge, None));
        }
        let anything = Wanted::default();
        let open = Open {
            equations: equations.to_vec(),
            unknowns: unknowns
                .iter()
                .enumerate()
                .map(|(at, unknown)| (*unknown, wanted.get(at).unwrap_or(&anything)))
                .collect(),
        };
        for (unknown, _) in &open.unknowns {
            if !open
                .equations
                .iter()
                .any(|equation| self.stands_in(*equation, *unknown))
            {
                return Err((Stuck::NotThere, Some(*unknown)));
            }
        }
        if equations.len() < unknowns.len() {
            return Err((Stuck::TooFew, None));
        }
        let mut solutions = self.solve_open(&open)?;
        for solution in &mut solutions {
            let place = |symbol: &Symbol| unknowns.iter().position(|unknown| unknown == symbol);
            solution.sort_by_key(|(symbol, _)| place(symbol));
        }
        Ok(solutions)
    }

    fn stands_in(&self, (left, right): (Id, Id), unknown: Symbol) -> bool {
        self.contains(left, unknown) || self.contains(right, unknown)
    }

    fn solve_open(&mut self, open: &Open) -> Result<Vec<Solution>, Failure> {
        if self.is_exhausted() {
            return Err((Stuck::Effort, None));
        }
        let open = self.without_settled(open)?;
        if open.unknowns.is_empty() {
            return Ok(vec![Vec::new()]);
        }
        let mut beginnings = self.beginnings(&open);
        let is_coupled = beginnings.first().is_some_and(|first| first.others > 0);
        if is_coupled
            && open.equations.len() == open.unknowns.len()
            && (2..=MOST_AT_ONCE).contains(&open.unknowns.len())
            && let Some(result) = self.solve_at_once(&open)
        {
            return result;
        }
        beginnings.truncate(MOST_BEGINNINGS);
        let mut failure = None;
        for beginning in beginnings {
            match self.begin_with(&open, &beginning) {
                Ok(solutions) => return Ok(solutions),
                Err(
                    known @ (Stuck::Never | Stuck::Dependent | Stuck::TooMany | Stuck::Effort, _),
                ) => {
                    return Err(known);
                }
                Err(other) => failure = failure.or(Some(other)),
            }
        }
        let first = open.unknowns.first().map(|(unknown, _)| *unknown);
        Err(failure.unwrap_or((Stuck::NotSolvable, first)))
    }

    /// Without the equations that hold no unknown any more.
    fn without_settled<'w>(&mut self, open: &Open<'w>) -> Result<Open<'w>, Failure> {
        let mut kept = Vec::new();
        for (left, right) in &open.equations {
            let difference = self.subtract(*left, *right);
            let is_held = |algebra: &Self| {
                open.unknowns
                    .iter()
                    .any(|(unknown, _)| algebra.contains(difference, *unknown))
            };
            if is_held(self) && !self.certainly_vanishes(difference) {
                kept.push((*left, *right));
                continue;
            }
            if self.certainly_vanishes(difference) {
                continue;
            }
            let is_certain =
                self.sign(difference).is_not_zero() || self.symbols(difference).is_empty();
            let spare = open.equations.len() > open.unknowns.len();
            return Err(match (is_certain, spare) {
                (true, _) => (Stuck::Never, None),
                (false, true) => (Stuck::TooMany, None),
                // The coefficients allow it for some values of the symbols only.
                (false, false) => (Stuck::Never, None),
            });
        }
        for (unknown, _) in &open.unknowns {
            if !kept
                .iter()
                .any(|equation| self.stands_in(*equation, *unknown))
            {
                return Err((Stuck::Dependent, Some(*unknown)));
            }
        }
        if kept.len() < open.unknowns.len() {
            return Err((
                Stuck::Dependent,
                open.unknowns.first().map(|(unknown, _)| *unknown),
            ));
        }
        Ok(Open {
            equations: kept,
            unknowns: open.unknowns.clone(),
        })
    }
}

/// An equation and the unknown that it is solved for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Beginning {
    /// How many other unknowns stand in the equation.
    others: usize,
    /// 0 when the unknown stands linearly.
    is_nonlinear: bool,
    /// How often it stands there.
    times: usize,
    /// How long what it is divided by is.
    divisor: u64,
    /// In how many other equations it stands.
    elsewhere: usize,
    equation: usize,
    unknown: usize,
}

impl Algebra {
    /// The ways to begin, the easiest first.
    fn beginnings(&mut self, open: &Open) -> Vec<Beginning> {
        let mut found = Vec::new();
        for (equation, sides) in open.equations.iter().enumerate() {
            let held: Vec<usize> = (0..open.unknowns.len())
                .filter(|at| self.stands_in(*sides, open.unknowns[*at].0))
                .collect();
            for unknown in &held {
                let symbol = open.unknowns[*unknown].0;
                let difference = self.subtract(sides.0, sides.1);
                let slope = self.slope(difference, symbol);
                let all = open.equations.iter();
                let elsewhere = all.filter(|other| self.stands_in(**other, symbol)).count() - 1;
                found.push(Beginning {
                    others: held.len() - 1,
                    is_nonlinear: slope.is_none(),
                    times: self.occurrences(difference, symbol),
                    divisor: slope.map_or(u64::MAX, |slope| self.length(slope)),
                    elsewhere,
                    equation,
                    unknown: *unknown,
                });
            }
        }
        found.sort();
        found
    }

    /// What a symbol is multiplied by that stands linearly.
    fn slope(&mut self, id: Id, symbol: Symbol) -> Option<Id> {
        match self.powers_of(id, symbol)?.as_slice() {
            [_, slope] => Some(*slope),
            _ => None,
        }
    }

    /// How often a symbol stands in an expression.
    fn occurrences(&self, id: Id, symbol: Symbol) -> usize {
        match self.node(id) {
            Node::Symbol(own) => usize::from(*own == symbol),
            _ if !self.contains(id, symbol) => 0,
            _ => self
                .parts(id)
                .iter()
                .map(|part| self.occurrences(*part, symbol))
                .sum(),
        }
    }

    /// Isolates one unknown and solves what is left.
    fn begin_with(&mut self, open: &Open, beginning: &Beginning) -> Result<Vec<Solution>, Failure> {
        let (left, right) = open.equations[beginning.equation];
        let (unknown, wanted) = open.unknowns[beginning.unknown];
        let branches = match self.isolate(left, right, unknown, wanted) {
            Ok(branches) => branches,
            Err(Stuck::Identity) => return Err((Stuck::Dependent, Some(unknown))),
            Err(stuck) => return Err((stuck, Some(unknown))),
        };
        let mut solutions = Vec::new();
        let mut failure = None;
        for branch in branches {
            let rest = self.rest_after(open, beginning, unknown, branch.value);
            match self.solve_open(&rest) {
                Ok(found) => {
                    for solution in found {
                        if let Some(solution) = self.completed(unknown, wanted, &branch, solution) {
                            solutions.push(solution);
                        }
                    }
                }
                Err(other) => failure = failure.or(Some(other)),
            }
        }
        match failure {
            _ if solutions.len() > MOST_SOLUTIONS => Err((Stuck::Effort, Some(unknown))),
            // A branch that leads to a contradiction is none; one that is not solved may be one.
            Some(failure @ (stuck, _)) if solutions.is_empty() || stuck != Stuck::Never => {
                Err(failure)
            }
            _ if solutions.is_empty() => Err((Stuck::NoBranch, Some(unknown))),
            _ => Ok(solutions),
        }
    }

    /// The other equations with the value of an unknown inserted.
    fn rest_after<'w>(
        &mut self,
        open: &Open<'w>,
        beginning: &Beginning,
        unknown: Symbol,
        value: Id,
    ) -> Open<'w> {
        let place = self.symbol(unknown);
        let by = FxHashMap::from_iter([(place, value)]);
        let mut equations = Vec::new();
        for (at, (left, right)) in open.equations.iter().enumerate() {
            if at != beginning.equation {
                equations.push((self.substitute(*left, &by), self.substitute(*right, &by)));
            }
        }
        let mut unknowns = open.unknowns.clone();
        unknowns.remove(beginning.unknown);
        Open {
            equations,
            unknowns,
        }
    }

    /// The solution of the others, and the isolated unknown with these inserted; `None` when the
    /// value is not wanted, or a requirement cannot be met.
    fn completed(
        &mut self,
        unknown: Symbol,
        wanted: &Wanted,
        branch: &Branch,
        others: Solution,
    ) -> Option<Solution> {
        let mut by = FxHashMap::default();
        let mut inserted = Vec::new();
        for (symbol, other) in &others {
            if self.contains(branch.value, *symbol) {
                inserted.push(*symbol);
            }
            by.insert(self.symbol(*symbol), other.value);
        }
        let mut branch = branch.clone();
        if !inserted.is_empty() {
            let place = self.symbol(unknown);
            let mut value = branch.value;
            for symbol in inserted {
                let known = others.iter().find(|(other, _)| *other == symbol);
                let one = known.map_or(value, |(_, other)| other.value);
                let symbol_id = self.symbol(symbol);
                value = self.substitute(value, &FxHashMap::from_iter([(symbol_id, one)]));
                let what = Operation::Inserted(symbol);
                branch.steps.push(Step {
                    left: place,
                    right: value,
                    what,
                });
            }
            branch.value = self.shortest_with_angles(value);
            if let Some(last) = branch.steps.last_mut() {
                last.right = branch.value;
            }
        }
        branch.requires = self.requirements_with(&branch.requires, &by)?;
        for (_, other) in &others {
            branch.leaned.extend(other.leaned.iter().copied());
        }
        if self.is_unwanted(unknown, wanted, branch.value) {
            return None;
        }
        let mut solution = others;
        solution.push((unknown, branch));
        Some(solution)
    }
}
