//! The search for the values of one unknown: what stands around it is undone, operation by
//! operation, from the outside in.
//!
//! Both sides go in, candidates come out: values with the steps that led there and what they
//! require. A requirement may still hold the unknown; whoever chooses among the candidates inserts
//! the value. Where the unknown stands in several parts, [`Solver::gather`] takes over.

use num_traits::{One, Zero};

use super::node::{Function, Id, Node, Sum, Symbol};
use super::solution::{Operation, Requirement, Step, Stuck};
use super::{Algebra, Rational};

/// Nested operations that are undone before giving up.
const MOST_DEPTH: u32 = 40;

/// Candidates that are followed at once.
const MOST_CANDIDATES: usize = 32;

/// Candidates: values with how they were reached.
pub(super) type Found = Result<Vec<(Id, Trail)>, Stuck>;

/// How a candidate was reached.
#[derive(Debug, Clone, Default)]
pub(super) struct Trail {
    pub steps: Vec<Step>,
    pub requires: Vec<Requirement>,
    /// An angle on the way is a turn further than the first, or the base of a power is negative:
    /// a solution for special data only.
    pub is_aside: bool,
    /// Whether an angle stands on the way, and by how much the next one differs, if that is one
    /// expression.
    pub angle: Option<Option<Id>>,
    depth: u32,
}

impl Trail {
    /// Notes an equation and how it came about.
    pub fn step(&mut self, left: Id, right: Id, what: Operation) {
        self.steps.push(Step { left, right, what });
    }
}

/// An algebra with the symbol that is looked for.
#[derive(Debug)]
pub(super) struct Solver<'a> {
    pub algebra: &'a mut Algebra,
    pub unknown: Symbol,
    /// Whether angles of the turns before and after the first are listed as well.
    pub with_turns: bool,
    /// Where else the unknown stands.
    pub beside: Vec<Id>,
    /// What was divided by and holds the unknown: where it is zero, other solutions may be.
    pub divided: Vec<Id>,
    /// The search is complete unless one of these, which do not hold the unknown, is zero.
    pub unless: Vec<Id>,
    /// What was divided by and does not hold the unknown.
    pub divided_by_data: Vec<Id>,
    /// Whether an angle was found, which other turns would do for as well.
    pub has_angles: bool,
}

impl<'a> Solver<'a> {
    pub fn new(algebra: &'a mut Algebra, unknown: Symbol) -> Self {
        Self {
            algebra,
            unknown,
            with_turns: false,
            beside: Vec::new(),
            divided: Vec::new(),
            unless: Vec::new(),
            divided_by_data: Vec::new(),
            has_angles: false,
        }
    }

    /// All candidates for the unknown.
    pub fn candidates(&mut self, left: Id, right: Id) -> Found {
        if !self.holds(left) && !self.holds(right) {
            return Err(Stuck::NotThere);
        }
        self.solve(left, right, Trail::default())
    }

    /// Whether the unknown stands in an expression.
    pub fn holds(&self, id: Id) -> bool {
        self.algebra.contains(id, self.unknown)
    }

    /// The candidates of `left = right`.
    pub fn solve(&mut self, left: Id, right: Id, mut trail: Trail) -> Found {
        trail.depth += 1;
        self.algebra.step();
        if self.algebra.is_exhausted() {
            return Err(Stuck::Effort);
        }
        if trail.depth > MOST_DEPTH {
            return Err(Stuck::NotSolvable);
        }
        match (self.holds(left), self.holds(right)) {
            (false, false) => Err(self.without_unknown(left, right)),
            (false, true) => {
                trail.step(right, left, Operation::Exchanged);
                self.peel(right, left, trail)
            }
            (true, false) => self.peel(left, right, trail),
            (true, true) => self.gather(left, right, trail),
        }
    }

    /// Candidates of several equations of which one must hold.
    pub fn any_of(&mut self, equations: Vec<(Id, Id, Trail)>) -> Found {
        let mut found = Vec::new();
        let mut reason = Stuck::Never;
        for (left, right, trail) in equations {
            match self.solve(left, right, trail) {
                Ok(more) => found.extend(more),
                Err(Stuck::Never) => {}
                Err(Stuck::NotThere) => reason = Stuck::NotThere,
                // True for some values of the unknown, which is no closed form.
                Err(Stuck::Identity) => return Err(Stuck::NotSolvable),
                Err(other) => return Err(other),
            }
        }
        self.some(found, reason)
    }

    /// The candidates, without repetitions: one that requires something else is another.
    pub fn some(&mut self, found: Vec<(Id, Trail)>, reason: Stuck) -> Found {
        let mut kept: Vec<(Id, Trail)> = Vec::new();
        for (value, trail) in found {
            let is_same =
                |known: &(Id, Trail)| known.0 == value && known.1.requires == trail.requires;
            if !kept.iter().any(is_same) {
                kept.push((value, trail));
            }
        }
        match kept.len() {
            0 => Err(reason),
            count if count > MOST_CANDIDATES => Err(Stuck::Effort),
            _ => Ok(kept),
        }
    }

    /// What an equation says in which the unknown does not stand.
    pub fn without_unknown(&mut self, left: Id, right: Id) -> Stuck {
        let difference = self.algebra.subtract(left, right);
        if self.vanishes(difference) {
            Stuck::Identity
        } else if self.algebra.sign(difference).is_not_zero() {
            self.algebra.lean(difference);
            Stuck::Never
        } else if self.algebra.symbols(difference).is_empty() {
            Stuck::Never
        } else {
            self.unless.push(difference);
            Stuck::NotThere
        }
    }

    /// Undoes the outermost operation of the left side, which alone holds the unknown.
    fn peel(&mut self, left: Id, right: Id, trail: Trail) -> Found {
        if self.algebra.is_undefined(right) {
            return Err(Stuck::Never);
        }
        match self.algebra.node(left).clone() {
            Node::Symbol(_) => Ok(vec![(right, trail)]),
            Node::Sum(sum) => self.peel_sum(left, sum, right, trail),
            Node::Product(factors) => self.peel_product(left, factors, right, trail),
            Node::Power(base, exponent) => {
                let factors = vec![(left, Rational::one())];
                if self.holds(base) && self.holds(exponent) {
                    return Err(Stuck::NotSolvable);
                }
                self.peel_powers(&factors, right, trail)
                    .unwrap_or(Err(Stuck::NotSolvable))
            }
            Node::Call(function, arguments) => match arguments.as_slice() {
                [argument] => self.peel_call(function, *argument, right, trail),
                _ => Err(Stuck::NotSolvable),
            },
            Node::Undefined | Node::Number(_) | Node::Pi => Err(Stuck::Never),
        }
    }

    fn peel_sum(&mut self, left: Id, sum: Sum, right: Id, mut trail: Trail) -> Found {
        let (held, free): (Vec<_>, Vec<_>) = sum
            .terms
            .into_iter()
            .partition(|(term, _)| self.holds(*term));
        let [(term, coefficient)] = held.as_slice() else {
            return self.gather(left, right, trail);
        };
        let (term, mut coefficient) = (*term, coefficient.clone());
        let rest = self.algebra.sum_of(&sum.constant, &free);
        let mut right = right;
        if !self.algebra.is_zero(rest) {
            right = self.algebra.subtract(right, rest);
            let left = self.algebra.scale(term, &coefficient);
            trail.step(left, right, Operation::Subtracted(rest));
        }
        if coefficient.is_negative()
            && let Some(turned) = self.turned_logarithm(right)
        {
            right = turned;
            coefficient = -coefficient;
        }
        if !coefficient.is_one() {
            right = self.algebra.scale(right, &coefficient.recip());
            let below = self.algebra.number(coefficient);
            trail.step(term, right, Operation::Divided(below));
        }
        self.solve(term, right, trail)
    }

    /// `-ln(a/b)`, written as `ln(b/a)`.
    fn turned_logarithm(&mut self, id: Id) -> Option<Id> {
        let Node::Call(Function::Ln, arguments) = self.algebra.node(id) else {
            return None;
        };
        let argument = *arguments.first()?;
        let Node::Product(factors) = self.algebra.node(argument) else {
            return None;
        };
        if !factors.iter().any(|(_, exponent)| exponent.is_negative()) {
            return None;
        }
        let turned = self.algebra.raise(argument, &-Rational::one());
        Some(self.algebra.call(Function::Ln, &[turned]))
    }

    fn peel_product(
        &mut self,
        left: Id,
        factors: Vec<(Id, Rational)>,
        right: Id,
        mut trail: Trail,
    ) -> Found {
        if self.algebra.is_zero(right) {
            return self.zero_factors(&factors, trail);
        }
        let (held, free): (Vec<_>, Vec<_>) =
            factors.into_iter().partition(|(base, _)| self.holds(*base));
        let mut alone = right;
        if !free.is_empty() {
            let rest = self.algebra.product_of(&free);
            self.require_not_zero(rest, &mut trail)?;
            alone = self.divided(right, rest);
            let remaining = self.algebra.product_of(&held);
            let what = if free.iter().all(|(_, exponent)| exponent.is_negative()) {
                Operation::Multiplied(self.algebra.raise(rest, &-Rational::one()))
            } else {
                Operation::Divided(rest)
            };
            trail.step(remaining, alone, what);
        }
        if let [(base, exponent)] = held.as_slice() {
            return self.peel_power(*base, exponent, alone, trail);
        }
        match self.peel_powers(&held, alone, trail.clone()) {
            Some(found) => found,
            None => {
                // The free factors stay: the sides are multiplied out anyway.
                trail.steps.pop();
                self.gather(left, right, trail)
            }
        }
    }

    /// The quotient, with a sum divided term by term where that is shorter: `(F - m g)/m` is
    /// `F/m - g`.
    fn divided(&mut self, above: Id, below: Id) -> Id {
        let quotient = self.algebra.divide(above, below);
        let Node::Sum(sum) = self.algebra.node(above).clone() else {
            return quotient;
        };
        let constant = self.algebra.number(sum.constant);
        let terms: Vec<(Id, Rational)> = sum
            .terms
            .into_iter()
            .chain([(constant, Rational::one())])
            .map(|(term, coefficient)| (self.algebra.divide(term, below), coefficient))
            .collect();
        let apart = self.algebra.sum_of(&Rational::zero(), &terms);
        if self.algebra.length(apart) <= self.algebra.length(quotient) {
            apart
        } else {
            quotient
        }
    }

    /// A product is zero where one of its factors is.
    pub fn zero_factors(&mut self, factors: &[(Id, Rational)], trail: Trail) -> Found {
        let zero = self.algebra.whole(0);
        let mut equations = Vec::new();
        let mut common = trail;
        for (base, exponent) in factors {
            if exponent.is_negative() {
                self.require(Requirement::NotZero(*base), &mut common)?;
            } else if !self.holds(*base) {
                self.require_not_zero(*base, &mut common)?;
            }
        }
        for (base, exponent) in factors {
            if self.holds(*base) && exponent.is_positive() {
                let mut trail = common.clone();
                trail.step(*base, zero, Operation::Factor(*base));
                equations.push((*base, zero, trail));
            }
        }
        self.any_of(equations)
    }

    /// `base^exponent = right` with a rational exponent.
    pub fn peel_power(&mut self, base: Id, exponent: &Rational, right: Id, trail: Trail) -> Found {
        let mut trail = trail;
        if exponent.is_one() {
            return self.solve(base, right, trail);
        }
        if exponent.is_negative() {
            if self.algebra.is_zero(right) {
                return Err(Stuck::Never);
            }
            let right = self.turned_over(right, &mut trail)?;
            let exponent = -exponent.clone();
            let left = self.algebra.raise(base, &exponent);
            trail.step(left, right, Operation::Raised(-Rational::one()));
            return self.peel_power(base, &exponent, right, trail);
        }
        let inverse = exponent.recip();
        if !exponent.is_integer() {
            self.require(Requirement::NotNegative(right), &mut trail)?;
            let right = self.algebra.raise(right, &inverse);
            trail.step(base, right, Operation::Raised(inverse));
            return self.solve(base, right, trail);
        }
        let equations = self.whole_roots(base, exponent, right, &mut trail)?;
        self.any_of(equations)
    }

    /// `1/right`, over one fraction line; `right` is not zero.
    fn turned_over(&mut self, right: Id, trail: &mut Trail) -> Result<Id, Stuck> {
        let (above, below) = self.algebra.over_one_line(right, None);
        self.require_not_zero(above, trail)?;
        let below = self.algebra.product_of(&below);
        Ok(self.algebra.divide(below, above))
    }
}
