//! Which candidates are solutions, and which of those are wanted.
//!
//! Candidates with what they require go in, branches come out. A candidate is dropped when a
//! requirement cannot be met, and when it satisfies the equation at none of many sample points:
//! squaring adds such ones. Of the others, those are left out that contradict what is known about
//! the unknown, by proof of sign where possible and else at all sample points alike.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::node::{Id, Symbol};
use super::sign::Sign;
use super::solution::{Branch, Requirement, Stuck, Taken, Wanted};
use super::solver::{Solver, Trail};
use super::trial::Values;
use super::{Algebra, Point};

/// Points at which candidates are compared.
const SAMPLES: usize = 60;

/// Points at which an expression is told from zero.
const FEW_SAMPLES: usize = 12;

/// Fewer points at which a candidate has a value prove nothing.
const FEWEST: usize = 4;

/// What is known of a candidate and a condition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Verdict {
    holds: bool,
    is_proven: bool,
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
    /// Whether an expression is zero wherever it is defined: by numbers where they tell it from
    /// zero or where algebra does not decide.
    pub(super) fn certainly_vanishes(&mut self, id: Id) -> bool {
        if self.as_number(id).is_some() {
            return self.is_zero(id);
        }
        let zero = self.whole(0);
        let points = self.points_for(&[id], FEW_SAMPLES);
        let agreed: Vec<bool> = points
            .into_iter()
            .filter_map(|at| self.agree(&mut Point::new(at), id, zero))
            .collect();
        if agreed.iter().any(|agrees| !agrees) {
            return false;
        }
        let is_seen = !agreed.is_empty();
        self.is_identically_zero(id).unwrap_or(is_seen)
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
        candidates: Vec<(Id, Trail)>,
    ) -> Result<Vec<Branch>, Stuck> {
        let on_it = self.points_on((left, right), unknown, SAMPLES / 2);
        let mut points = self.points_for(&[left, right], SAMPLES);
        points.extend(on_it.iter().cloned());
        let mut solutions = Vec::new();
        for (value, trail) in candidates {
            if self.is_undefined(value) {
                continue;
            }
            let place = self.symbol(unknown);
            let by = FxHashMap::from_iter([(place, value)]);
            let Some(requires) = self.requirements_with(&trail.requires, &by) else {
                continue;
            };
            let sides = (left, right);
            let is_turned = trail.is_turned;
            if let Some(values) = self.satisfied_at(sides, unknown, value, &requires, &points) {
                let branch = Branch {
                    value,
                    steps: self.finished_steps(value, unknown, trail),
                    requires,
                    leaned: BTreeSet::new(),
                    taken: None,
                };
                solutions.push((branch, values, is_turned));
            }
        }
        if solutions.is_empty() {
            // Where there are solutions and none was found, they were lost on the way.
            return Err(if on_it.is_empty() {
                Stuck::Never
            } else {
                Stuck::NotSolvable
            });
        }
        self.wanted_ones(unknown, wanted, solutions)
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

    /// The values that a candidate has at those points where it satisfies the equation; `None`
    /// when it satisfies it nowhere.
    fn satisfied_at(
        &mut self,
        (left, right): (Id, Id),
        unknown: Symbol,
        candidate: Id,
        requires: &[Requirement],
        points: &[Values],
    ) -> Option<Vec<f64>> {
        let mut values = Vec::new();
        let mut is_refuted = false;
        for point in points {
            let mut point = Point::new(point.clone());
            let value = point.value(self, candidate);
            if !value.is_finite() {
                let mut requires = requires.iter();
                is_refuted |= requires.any(|one| self.fails_at(&mut point, one));
                continue;
            }
            is_refuted = true;
            if self.is_satisfied(&mut point, (left, right), unknown, value) {
                values.push(value);
            }
        }
        // Without any value nothing is known.
        (!is_refuted || !values.is_empty()).then_some(values)
    }

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

    /// Without the branches that contradict what is known.
    fn wanted_ones(
        &mut self,
        unknown: Symbol,
        wanted: &Wanted,
        solutions: Vec<(Branch, Vec<f64>, bool)>,
    ) -> Result<Vec<Branch>, Stuck> {
        let wanted = wanted.and_sign(self.sign_of_symbol(unknown));
        let mut kept = Vec::new();
        let mut dropped = Vec::new();
        for (branch, values, is_turned) in solutions {
            match self.verdict(&wanted, branch.value, &values) {
                Some(verdict) if is_turned && verdict.holds => kept.push(branch),
                _ if is_turned => {}
                Some(verdict) if !verdict.holds => dropped.push(verdict),
                _ => kept.push(branch),
            }
        }
        if kept.is_empty() {
            return Err(Stuck::NoBranch);
        }
        if !dropped.is_empty() {
            let place = self.symbol(unknown);
            self.lean(place);
            let is_proven = dropped.iter().all(|verdict| verdict.is_proven);
            for branch in &mut kept {
                branch.taken = Some(Taken { wanted, is_proven });
            }
        }
        Ok(kept)
    }

    /// Whether a value contradicts what is wanted, wherever it has one.
    pub(super) fn is_unwanted(&mut self, unknown: Symbol, wanted: &Wanted, value: Id) -> bool {
        let wanted = wanted.and_sign(self.sign_of_symbol(unknown));
        let points = self.points_for(&[value], SAMPLES);
        let values: Vec<f64> = points
            .into_iter()
            .map(|at| Point::new(at).value(self, value))
            .filter(|value| value.is_finite())
            .collect();
        let verdict = self.verdict(&wanted, value, &values);
        verdict.is_some_and(|verdict| !verdict.holds)
    }

    /// Whether a value is wanted; `None` when that depends on the symbols in it.
    fn verdict(&mut self, wanted: &Wanted, value: Id, values: &[f64]) -> Option<Verdict> {
        let is_open = wanted.low.is_none() && wanted.high.is_none();
        let allowed = wanted.sign.unwrap_or(Sign::ANY);
        let sign = self.sign(value);
        if !sign.meets(allowed) {
            self.lean(value);
            return Some(Verdict {
                holds: false,
                is_proven: true,
            });
        }
        if is_open && sign.is_within(allowed) {
            self.lean(value);
            return Some(Verdict {
                holds: true,
                is_proven: true,
            });
        }
        let is_number = self.symbols(value).is_empty();
        if values.is_empty() || (values.len() < FEWEST && !is_number) {
            return None;
        }
        let first = wanted.allows(values[0]);
        if values.iter().any(|value| wanted.allows(*value) != first) {
            return None;
        }
        self.lean(value);
        Some(Verdict {
            holds: first,
            is_proven: is_number,
        })
    }
}

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

    /// Whether a number is wanted, with rounding on its side at the ends.
    fn allows(&self, value: f64) -> bool {
        const NOTHING: f64 = 1e-13;
        let sign = self.sign.unwrap_or(Sign::ANY);
        let by_sign = if value.abs() <= NOTHING {
            sign.zero
        } else if value > 0.0 {
            sign.positive
        } else {
            sign.negative
        };
        let margin = NOTHING * value.abs().max(1.0);
        by_sign
            && self.low.is_none_or(|low| value >= low - margin)
            && self.high.is_none_or(|high| value <= high + margin)
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
