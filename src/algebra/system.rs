//! Several equations solved for several of their symbols.
//!
//! In go equations and unknowns; out come the solutions, each with a value for every unknown. One
//! unknown after the other is isolated from the equation where that is easiest and inserted into
//! the others. What is left as a small linear system, in which every equation holds several
//! unknowns, is solved at once by determinants: that gives the shortest form, and requires no
//! more than that the determinant is not zero.
//!
//! No solution is lost. Where an unknown was isolated by a division, what was divided by is either
//! made of symbols of the data, and listed, or it holds other unknowns: then the system is solved
//! again where that is zero. What comes of that for special data only is excluded by a condition.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use super::Algebra;
use super::branches::Fit;
use super::node::{Id, Node, Symbol};
use super::solution::{Branch, Operation, Requirement, Step, Stuck, Wanted};

/// More equations than this are not solved together.
const MOST_EQUATIONS: usize = 12;

/// Linear systems up to this size are solved by determinants.
const MOST_AT_ONCE: usize = 3;

/// Solutions that are followed.
const MOST_SOLUTIONS: usize = 16;

/// Ways to begin that are tried when one leads nowhere.
const MOST_BEGINNINGS: usize = 6;

/// Divisors one after the other that are looked at where they are zero.
const MOST_CASES: usize = 4;

/// A value for each unknown.
pub(super) type Solution = Vec<(Symbol, Branch)>;

/// Why a system is not solved, and the unknown it failed at.
pub(super) type Failure = (Stuck, Option<Symbol>);

/// What is left of a system.
#[derive(Debug, Clone)]
pub(super) struct Open<'w> {
    pub equations: Vec<(Id, Id)>,
    pub unknowns: Vec<(Symbol, &'w Wanted)>,
    /// What other unknowns were found to be, as far as that depends on those that are left.
    earlier: Vec<Id>,
    /// How many of the equations say that a divisor is zero.
    cases: usize,
}

/// All solutions of a system.
#[derive(Debug, Default)]
pub(super) struct Set {
    pub solutions: Vec<Solution>,
    /// But for data for which one of these is zero.
    pub unless: Vec<Id>,
    /// Whether solutions were left out that are not wanted.
    pub has_others: bool,
}

impl Set {
    fn add(&mut self, solution: Solution) {
        let values = |one: &Solution| -> BTreeMap<Symbol, Id> {
            one.iter()
                .map(|(own, branch)| (*own, branch.value))
                .collect()
        };
        let is_known = (self.solutions.iter()).any(|known| values(known) == values(&solution));
        // Of what is found again, it stays what it was divided by.
        match is_known {
            true => self.excluding(divisors_of(solution.iter().map(|(_, branch)| branch))),
            false => self.solutions.push(solution),
        }
    }

    fn excluding(&mut self, unless: Vec<Id>) {
        for condition in unless {
            if !self.unless.contains(&condition) {
                self.unless.push(condition);
            }
        }
    }
}

/// What was divided by in some branches.
fn divisors_of<'b>(branches: impl Iterator<Item = &'b Branch>) -> Vec<Id> {
    let requirements = branches.flat_map(|branch| &branch.requires);
    let divisors = requirements.filter_map(|requirement| match requirement {
        Requirement::NotZero(id) => Some(*id),
        Requirement::NotNegative(_) | Requirement::Positive(_) | Requirement::Inside { .. } => None,
    });
    divisors.collect()
}

/// What is left of a system without the equations that hold no unknown.
enum Settled<'w> {
    Open(Open<'w>),
    /// One of those does not hold, unless this is zero.
    Contradiction(Option<Id>),
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
            earlier: Vec::new(),
            cases: 0,
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
        let Set {
            mut solutions,
            unless,
            has_others,
        } = self.solve_open(&open)?;
        if solutions.is_empty() {
            return Err(match self.product_of_conditions(&unless) {
                Some(_) if equations.len() > unknowns.len() => (Stuck::TooMany, None),
                Some(all) => (Stuck::Unless(all), None),
                None if has_others => (Stuck::NoBranch, None),
                None => (Stuck::Never, None),
            });
        }
        for solution in &mut solutions {
            let place = |symbol: &Symbol| unknowns.iter().position(|unknown| unknown == symbol);
            solution.sort_by_key(|(symbol, _)| place(symbol));
            if let Some((_, first)) = solution.first_mut() {
                let conditions = unless.iter().map(|id| Requirement::NotZero(*id));
                let new = conditions.filter(|one| !first.requires.contains(one));
                first.requires.extend(new.collect::<Vec<_>>());
            }
        }
        Ok(solutions)
    }

    fn stands_in(&self, (left, right): (Id, Id), unknown: Symbol) -> bool {
        self.contains(left, unknown) || self.contains(right, unknown)
    }

    fn solve_open(&mut self, open: &Open) -> Result<Set, Failure> {
        if self.is_exhausted() {
            return Err((Stuck::Effort, None));
        }
        let open = match self.without_settled(open)? {
            Settled::Open(open) => open,
            Settled::Contradiction(unless) => {
                return Ok(Set {
                    unless: unless.into_iter().collect(),
                    ..Set::default()
                });
            }
        };
        if open.unknowns.is_empty() {
            return Ok(Set {
                solutions: vec![Vec::new()],
                ..Set::default()
            });
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
                Ok(set) => return Ok(set),
                Err(known @ (Stuck::Dependent | Stuck::Effort, _)) => return Err(known),
                Err(other) => failure = failure.or(Some(other)),
            }
        }
        let first = open.unknowns.first().map(|(unknown, _)| *unknown);
        Err(failure.unwrap_or((Stuck::NotSolvable, first)))
    }

    /// Without the equations that hold no unknown any more.
    fn without_settled<'w>(&mut self, open: &Open<'w>) -> Result<Settled<'w>, Failure> {
        let mut kept = Vec::new();
        for (left, right) in &open.equations {
            let difference = self.subtract(*left, *right);
            if self.certainly_vanishes(difference) {
                continue;
            }
            let is_held =
                (open.unknowns.iter()).any(|(unknown, _)| self.contains(difference, *unknown));
            if is_held {
                kept.push((*left, *right));
                continue;
            }
            // The symbols allow it for some values only, or for none.
            return Ok(Settled::Contradiction(
                match self.is_zero_for_any(difference) {
                    Some(_) => None,
                    None => Some(self.shortest(difference)),
                },
            ));
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
        Ok(Settled::Open(Open {
            equations: kept,
            ..open.clone()
        }))
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
        let mut counts: FxHashMap<Id, usize> = FxHashMap::default();
        for part in self.within(id) {
            let below = |part: &Id| counts.get(part).copied().unwrap_or(0);
            let count = match self.node(part) {
                Node::Symbol(own) => usize::from(*own == symbol),
                _ => (self.parts(part).iter().map(below)).fold(0, usize::saturating_add),
            };
            counts.insert(part, count);
        }
        counts.get(&id).copied().unwrap_or(0)
    }

    /// Isolates one unknown and solves what is left, and the system where what was divided by is
    /// zero.
    fn begin_with(&mut self, open: &Open, beginning: &Beginning) -> Result<Set, Failure> {
        let (left, right) = open.equations[beginning.equation];
        let (unknown, wanted) = open.unknowns[beginning.unknown];
        let mut beside = open.earlier.clone();
        for (at, (left, right)) in open.equations.iter().enumerate() {
            if at != beginning.equation {
                beside.extend([*left, *right]);
            }
        }
        let mut set = Set::default();
        let branches = match self.isolate_beside(left, right, unknown, wanted, &beside) {
            Ok(branches) => branches,
            Err(Stuck::Never) => return Ok(set),
            Err(Stuck::NoBranch) => {
                set.has_others = true;
                return Ok(set);
            }
            Err(Stuck::Unless(id)) if self.holds_open(id, open) => {
                return self.where_zero(open, id);
            }
            Err(Stuck::Unless(id)) => {
                set.unless.push(id);
                return Ok(set);
            }
            Err(stuck) => return Err((stuck, Some(unknown))),
        };
        let mut divisors: Vec<Id> = Vec::new();
        for mut branch in branches {
            set.has_others |= branch.taken.is_some();
            let (divided, requires) = (branch.requires.into_iter())
                .partition(|requirement| self.is_open_divisor(requirement, open));
            branch.requires = requires;
            let divided: Vec<Requirement> = divided;
            for requirement in divided {
                if let Requirement::NotZero(divisor) = requirement
                    && !divisors.contains(&divisor)
                {
                    divisors.push(divisor);
                }
            }
            let rest = self.rest_after(open, beginning, unknown, branch.value);
            let found = self.solve_open(&rest)?;
            set.excluding(found.unless);
            set.has_others |= found.has_others;
            for solution in found.solutions {
                // Of what is left out, it stays what it was divided by.
                let parts = solution.iter().map(|(_, own)| own).chain([&branch]);
                let divided = divisors_of(parts);
                match self.completed(unknown, wanted, &branch, solution) {
                    Some(solution) => set.add(solution),
                    None => {
                        set.has_others = true;
                        set.excluding(divided);
                    }
                }
            }
        }
        for divisor in divisors {
            let found = self.where_zero(open, divisor)?;
            set.excluding(found.unless);
            set.has_others |= found.has_others;
            found.solutions.into_iter().for_each(|one| set.add(one));
        }
        match set.solutions.len() > MOST_SOLUTIONS {
            true => Err((Stuck::Effort, Some(unknown))),
            false => Ok(set),
        }
    }

    /// Whether it was divided by something that holds other unknowns.
    fn is_open_divisor(&self, requirement: &Requirement, open: &Open) -> bool {
        match requirement {
            Requirement::NotZero(divisor) => self.holds_open(*divisor, open),
            Requirement::NotNegative(_) | Requirement::Positive(_) | Requirement::Inside { .. } => {
                false
            }
        }
    }

    fn holds_open(&self, id: Id, open: &Open) -> bool {
        (open.unknowns.iter()).any(|(unknown, _)| self.contains(id, *unknown))
    }

    /// The solutions with a divisor that is zero.
    fn where_zero(&mut self, open: &Open, divisor: Id) -> Result<Set, Failure> {
        if open.cases >= MOST_CASES {
            return Err((Stuck::Effort, None));
        }
        let zero = self.whole(0);
        let mut case = open.clone();
        case.equations.push((divisor, zero));
        case.cases += 1;
        self.solve_open(&case)
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
        let mut earlier: Vec<Id> = (open.earlier.iter())
            .map(|id| self.substitute(*id, &by))
            .collect();
        earlier.push(value);
        Open {
            equations,
            unknowns,
            earlier,
            cases: open.cases,
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
        match self.fit_of(unknown, wanted, branch.value) {
            Fit::Always => branch.is_open = false,
            Fit::Never => return None,
            Fit::At(_) | Fit::Open => branch.is_open = true,
        }
        let mut solution = others;
        solution.push((unknown, branch));
        Some(solution)
    }
}
