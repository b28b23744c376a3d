//! Which candidates are solutions, and which of those are wanted.
//!
//! Candidates with what they require go in, branches come out. A candidate is dropped when it is
//! proved that a requirement cannot be met or that it does not satisfy the equation: squaring adds
//! such ones. Of the others, those are left out that are proved to contradict what is known about
//! the unknown. What is not proved is not dropped: it depends on the data.

use std::collections::BTreeSet;

use num_traits::One;
use rustc_hash::FxHashMap;

use super::isolate::Search;
use super::node::{Id, Symbol};
use super::sign::Sign;
use super::solution::{Branch, End, Requirement, Stuck, Wanted};
use super::solver::{Solver, Trail};
use super::{Algebra, Point, Rational};

/// Points at which an expression is told from zero.
const FEW_SAMPLES: usize = 12;

/// What is known of a value and what is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Fit {
    /// It is wanted for all data.
    Always,
    /// It is for none.
    Never,
    /// It is where it has this value, at an end of the range, and for no other data.
    At(f64),
    /// That depends on the data, or is not known.
    Open,
}

impl Solver<'_> {
    /// Whether an expression is zero wherever it is defined.
    pub fn vanishes(&mut self, id: Id) -> bool {
        self.algebra.certainly_vanishes(id)
    }

    /// A short form of what was collected or divided.
    pub fn tidy(&mut self, id: Id) -> Id {
        self.algebra.shortest(id)
    }
}

impl Algebra {
    /// Whether it is proved that an expression is zero wherever it is defined.
    pub(super) fn certainly_vanishes(&mut self, id: Id) -> bool {
        if self.as_number(id).is_some() {
            return self.is_zero(id);
        }
        let zero = self.whole(0);
        let points = self.points_for(&[id], FEW_SAMPLES);
        let differs = points
            .into_iter()
            .any(|at| self.agree(&mut Point::new(at), id, zero) == Some(false));
        !differs && self.is_identically_zero(id) == Some(true)
    }

    /// A short form of what was collected or divided.
    pub(super) fn shortest(&mut self, id: Id) -> Id {
        let (above, below) = self.over_one_line(id, None);
        let below = self.product_of(&below);
        let quotient = self.divide(above, below);
        let shorter = if self.length(quotient) <= self.length(id) {
            quotient
        } else {
            id
        };
        self.simplify(shorter)
    }

    /// The wanted branches among candidates of `left = right`.
    pub(super) fn choose(
        &mut self,
        left: Id,
        right: Id,
        unknown: Symbol,
        wanted: &Wanted,
        search: Search,
    ) -> Result<Vec<Branch>, Stuck> {
        let unless = self.open_conditions(search.unless);
        let place = self.symbol(unknown);
        let mut solutions: Vec<Branch> = Vec::new();
        for (value, trail) in search.candidates {
            if self.is_undefined(value) {
                continue;
            }
            let by = FxHashMap::from_iter([(place, value)]);
            let Some(mut requires) = self.requirements_with(&trail.requires, &by) else {
                continue;
            };
            // Whatever adds a candidate requires something; a number is held against all anyway.
            let may_be_added = (requires.iter())
                .any(|requirement| !matches!(requirement, Requirement::NotZero(_)))
                || self.symbols(value).is_empty();
            if may_be_added && self.is_refuted((left, right), &by) {
                continue;
            }
            for condition in &unless {
                let condition = Requirement::NotZero(*condition);
                if !requires.contains(&condition) {
                    requires.push(condition);
                }
            }
            let is_known = |known: &Branch| known.value == value && known.requires == requires;
            if solutions.iter().any(is_known) {
                continue;
            }
            solutions.push(Branch {
                value,
                is_aside: trail.is_aside,
                period: trail.angle.flatten(),
                steps: self.finished_steps(value, unknown, trail),
                requires,
                leaned: BTreeSet::new(),
                taken: None,
                leaves_turns: false,
                is_open: false,
            });
        }
        if solutions.is_empty() {
            return Err(match self.excluded(unless, search.divided_by_data) {
                _ if search.has_angles => Stuck::NotFound,
                Some(all) => Stuck::Unless(all),
                None => Stuck::Never,
            });
        }
        let is_ranged = wanted.range().is_some();
        if is_ranged && (solutions.iter()).any(|one| one.is_principal() && one.period.is_none()) {
            // Which turns lie in the range cannot be told.
            return Err(Stuck::NotSolvable);
        }
        match self.wanted_ones(unknown, wanted, solutions) {
            Some(branches) => Ok(branches),
            None if search.has_angles => Err(Stuck::NotFound),
            None => {
                let excluded = self.excluded(unless, search.divided_by_data);
                Err(excluded.map_or(Stuck::NoBranch, Stuck::Unless))
            }
        }
    }

    /// What must be zero where there are solutions after all.
    fn excluded(&mut self, mut unless: Vec<Id>, divided: Vec<Id>) -> Option<Id> {
        unless.extend(self.open_conditions(divided));
        self.product_of_conditions(&unless)
    }

    /// What is zero where one of several expressions is; `None` of none.
    pub(super) fn product_of_conditions(&mut self, conditions: &[Id]) -> Option<Id> {
        let conditions: BTreeSet<Id> = conditions.iter().copied().collect();
        let factors: Vec<Id> = conditions.into_iter().collect();
        (!factors.is_empty()).then(|| self.multiply(&factors))
    }

    /// The factors of expressions of which it depends on the data whether they are zero.
    fn open_conditions(&mut self, conditions: Vec<Id>) -> Vec<Id> {
        let mut open: Vec<Id> = Vec::new();
        for condition in conditions {
            let condition = self.shortest(condition);
            for factor in self.zeros(condition) {
                if self.decide(&Requirement::NotZero(factor)).is_none() && !open.contains(&factor) {
                    open.push(factor);
                }
            }
        }
        open
    }

    /// Whether it is proved that the sides of an equation differ with a value in the place of the
    /// unknown, or have none.
    fn is_refuted(&mut self, (left, right): (Id, Id), by: &FxHashMap<Id, Id>) -> bool {
        let (left, right) = (self.substitute(left, by), self.substitute(right, by));
        let difference = self.subtract(left, right);
        if self.is_undefined(difference) {
            return true;
        }
        if !self.symbols(difference).is_empty() {
            let is_apart = self.sign_by_squares(difference).is_not_zero();
            if is_apart {
                self.lean(difference);
            }
            return is_apart;
        }
        // Without a symbol, numbers tell, but for what rounding makes of them.
        let mut point = Point::new(FxHashMap::default());
        self.agree(&mut point, left, right) == Some(false) && !self.certainly_vanishes(difference)
    }

    /// The steps, ending in `unknown = value`.
    fn finished_steps(&mut self, value: Id, unknown: Symbol, trail: Trail) -> Vec<super::Step> {
        let left = self.symbol(unknown);
        let mut steps = trail.steps;
        match steps.last_mut() {
            Some(last) if last.left == left => last.right = value,
            _ => {}
        }
        steps
    }

    /// Requirements with values inserted; `None` when one cannot be met.
    pub(super) fn requirements_with(
        &mut self,
        requirements: &[Requirement],
        by: &FxHashMap<Id, Id>,
    ) -> Option<Vec<Requirement>> {
        let mut requires = Vec::new();
        for requirement in requirements {
            for inserted in self.inserted(requirement, by) {
                match self.decide(&inserted) {
                    Some(true) => {}
                    Some(false) => return None,
                    None if requires.contains(&inserted) => {}
                    None => requires.push(inserted),
                }
            }
        }
        Some(requires)
    }

    /// A requirement with parts replaced.
    fn inserted(&mut self, requirement: &Requirement, by: &FxHashMap<Id, Id>) -> Vec<Requirement> {
        let mut replace = |id: Id| {
            let replaced = self.substitute(id, by);
            if replaced == id {
                id
            } else {
                self.shortest(replaced)
            }
        };
        match *requirement {
            Requirement::NotZero(id) => {
                let id = replace(id);
                self.zeros(id)
                    .into_iter()
                    .map(Requirement::NotZero)
                    .collect()
            }
            Requirement::NotNegative(id) => vec![Requirement::NotNegative(replace(id))],
            Requirement::Positive(id) => vec![Requirement::Positive(replace(id))],
            Requirement::Inside { value, low, high } => {
                let value = replace(value);
                vec![Requirement::Inside { value, low, high }]
            }
        }
    }

    /// Steps and requirements with parts replaced.
    pub(super) fn insert_into(&mut self, trail: &mut Trail, by: &FxHashMap<Id, Id>) {
        for step in &mut trail.steps {
            step.left = self.substitute(step.left, by);
            step.right = self.substitute(step.right, by);
        }
        let requires = std::mem::take(&mut trail.requires);
        for requirement in &requires {
            let inserted = self.inserted(requirement, by);
            trail.requires.extend(inserted);
        }
    }

    #[cfg(test)]
    /// Whether a requirement certainly fails at a point.
    pub(super) fn fails_at(&self, point: &mut Point, requirement: &Requirement) -> bool {
        match *requirement {
            Requirement::NotZero(id) => point.value(self, id) == 0.0,
            Requirement::NotNegative(id) => point.value(self, id) < 0.0,
            Requirement::Positive(id) => point.value(self, id) <= 0.0,
            Requirement::Inside { value, low, high } => {
                let value = point.value(self, value);
                value < point.value(self, low) || value > point.value(self, high)
            }
        }
    }

    /// Without the branches that contradict what is known; `None` when none is left.
    fn wanted_ones(
        &mut self,
        unknown: Symbol,
        wanted: &Wanted,
        solutions: Vec<Branch>,
    ) -> Option<Vec<Branch>> {
        let wanted = wanted.and_sign(self.sign_of_symbol(unknown));
        let mut kept = Vec::new();
        let mut touching = Vec::new();
        let mut dropped = false;
        let mut leaves_turns = false;
        for mut branch in solutions {
            match self.fit(&wanted, branch.value) {
                Fit::Always => kept.push(branch),
                Fit::Never => {
                    dropped |= !branch.is_aside;
                    leaves_turns |= branch.is_principal() && wanted.range().is_none();
                }
                Fit::At(end) => touching.push((branch, end)),
                Fit::Open => {
                    branch.is_open = true;
                    kept.push(branch);
                }
            }
        }
        for (mut branch, end) in touching {
            if self.is_met_by_another(branch.value, end, &kept) {
                dropped |= !branch.is_aside;
            } else {
                branch.is_open = true;
                kept.push(branch);
            }
        }
        if kept.is_empty() {
            return None;
        }
        if kept.iter().all(|branch| branch.is_aside) {
            kept.iter_mut().for_each(|branch| branch.is_aside = false);
        }
        if dropped {
            let place = self.symbol(unknown);
            self.lean(place);
            for branch in &mut kept {
                branch.taken = Some(wanted);
                branch.leaves_turns = leaves_turns;
            }
        }
        Some(kept)
    }

    /// Whether another branch has the same value where this one is at the end of the range: both
    /// lie evenly around it, as `asin(s)` and `pi - asin(s)` around a right angle.
    fn is_met_by_another(&mut self, value: Id, end: f64, others: &[Branch]) -> bool {
        others.iter().any(|other| {
            let both = [(value, Rational::one()), (other.value, Rational::one())];
            let sum = self.sum_of(&num_traits::Zero::zero(), &both);
            let middle = Point::new(FxHashMap::default()).value(self, sum) / 2.0;
            self.symbols(sum).is_empty() && (middle - end).abs() <= 1e-12
        })
    }

    /// Whether a value is wanted, as far as that is proved.
    pub(super) fn fit_of(&mut self, unknown: Symbol, wanted: &Wanted, value: Id) -> Fit {
        let wanted = wanted.and_sign(self.sign_of_symbol(unknown));
        self.fit(&wanted, value)
    }

    fn fit(&mut self, wanted: &Wanted, value: Id) -> Fit {
        let is_open = wanted.low.is_none() && wanted.high.is_none();
        let allowed = wanted.sign.unwrap_or(Sign::ANY);
        if is_open && allowed == Sign::ANY {
            return Fit::Always;
        }
        if self.symbols(value).is_empty() {
            let number = Point::new(FxHashMap::default()).value(self, value);
            return match number.is_finite() {
                true if wanted.allows_rounded(number) => Fit::Always,
                true => Fit::Never,
                false => Fit::Open,
            };
        }
        let sign = self.sign_by_squares(value);
        let bounds = self.bounds(value);
        let (low, high) = (
            wanted.low.map_or(f64::NEG_INFINITY, |low| low.at),
            wanted.high.map_or(f64::INFINITY, |high| high.at),
        );
        let takes = |end: Option<End>| end.is_none_or(|end| end.is_taken);
        let (takes_low, takes_high) = (takes(wanted.low), takes(wanted.high));
        let is_apart = bounds.high < low - MARGIN || bounds.low > high + MARGIN;
        let (at_low, at_high) = (bounds.high <= low + MARGIN, bounds.low >= high - MARGIN);
        let touches = (at_low && takes_low && bounds.is_high_taken)
            || (at_high && takes_high && bounds.is_low_taken);
        let fit = if !sign.meets(allowed) || is_apart || ((at_low || at_high) && !touches) {
            Fit::Never
        } else if at_low || at_high {
            return Fit::At(if at_low { low } else { high });
        } else if sign.is_within(allowed)
            && bounds.low >= low - MARGIN
            && (takes_low || !bounds.is_low_taken || bounds.low > low + MARGIN)
            && bounds.high <= high + MARGIN
            && (takes_high || !bounds.is_high_taken || bounds.high < high - MARGIN)
        {
            Fit::Always
        } else {
            return Fit::Open;
        };
        self.lean(value);
        fit
    }
}

/// What rounding makes of the ends of a range of angles.
const MARGIN: f64 = 1e-13;

impl Wanted {
    fn and_sign(&self, known: Sign) -> Self {
        let own = self.sign.unwrap_or(Sign::ANY);
        let both = Sign {
            negative: own.negative && known.negative,
            zero: own.zero && known.zero,
            positive: own.positive && known.positive,
        };
        Self {
            sign: (both != Sign::ANY).then_some(both),
            ..*self
        }
    }

    /// Whether a number is wanted that rounding may have moved.
    fn allows_rounded(&self, value: f64) -> bool {
        let is_zero = value.abs() <= MARGIN;
        let value = if is_zero { 0.0 } else { value };
        self.allows(value, MARGIN * value.abs().max(1.0))
    }
}

impl Sign {
    fn meets(self, other: Self) -> bool {
        (self.negative && other.negative)
            || (self.zero && other.zero)
            || (self.positive && other.positive)
    }

    fn is_within(self, other: Self) -> bool {
        (!self.negative || other.negative)
            && (!self.zero || other.zero)
            && (!self.positive || other.positive)
    }
}
