//! An unknown that stands in several parts: everything is brought to one side, denominators with
//! the unknown are cleared, and what is left is read as a polynomial, in the unknown itself or in
//! the one root, exponential or function of it that stands there.

use std::collections::{BTreeMap, BTreeSet};

use num_traits::{One, Zero};
use rustc_hash::FxHashMap;

use super::denominators::Below;
use super::node::{Id, Node, Symbol};
use super::solution::{Operation, Requirement, Stuck};
use super::solver::{Found, Solver, Trail};
use super::{Rational, number};

/// What the unknown stands in, where sums and products are taken apart: bases with the exponents
/// they occur with.
pub(super) type Atoms = BTreeMap<Id, BTreeSet<Rational>>;

/// What a power of an atom is replaced by; `None` leaves it.
pub(super) type Rule<'r> = dyn FnMut(&mut Solver, Id, &Rational) -> Option<Id> + 'r;

impl Solver<'_> {
    /// The candidates of `left = right`, in which the unknown stands several times.
    pub fn gather(&mut self, left: Id, right: Id, trail: Trail) -> Found {
        let mut trail = trail;
        let zero = self.algebra.whole(0);
        let difference = self.algebra.subtract(left, right);
        if !self.holds(difference) {
            return Err(self.without_unknown(difference, zero));
        }
        let (above, below) = self.algebra.over_one_line(difference, Some(self.unknown));
        if !self.holds(above) {
            return Err(self.without_unknown(above, zero));
        }
        if !below.is_empty() {
            let factor = self.algebra.product_of(&below);
            trail.step(above, zero, Operation::Multiplied(factor));
            self.require_denominators(above, &below, &mut trail)?;
        }
        self.zero(above, trail)
    }

    /// The candidates of `id = 0`.
    pub fn zero(&mut self, id: Id, trail: Trail) -> Found {
        self.algebra.step();
        if self.algebra.is_exhausted() {
            return Err(Stuck::Effort);
        }
        if let (_, Some(rest)) = self.algebra.split_coefficient(id)
            && let Node::Product(factors) = self.algebra.node(rest).clone()
        {
            return self.zero_factors(&factors, trail);
        }
        if let Some(coefficients) = self.algebra.powers_of(id, self.unknown) {
            return self.polynomial(coefficients, trail);
        }
        let mut atoms = Atoms::new();
        self.atoms_into(id, &mut atoms);
        if atoms.len() == 1 {
            return self.in_one_atom(id, &atoms, trail);
        }
        let rules = [
            Self::with_magnitude,
            Self::with_exponentials,
            Self::with_angles,
            Self::with_logarithms,
            Self::of_two_terms,
            Self::with_radicals,
        ];
        for rule in rules {
            let (divided, unless) = (self.divided.len(), self.unless.len());
            if let Some(found) = rule(self, id, &atoms, &trail) {
                return found;
            }
            // What was tried in vain says nothing.
            self.divided.truncate(divided);
            self.unless.truncate(unless);
        }
        Err(Stuck::NotSolvable)
    }

    /// What the unknown stands in.
    pub fn atoms_into(&self, id: Id, atoms: &mut Atoms) {
        if !self.holds(id) {
            return;
        }
        match self.algebra.node(id) {
            Node::Sum(sum) => {
                for (term, _) in &sum.terms {
                    self.atoms_into(*term, atoms);
                }
            }
            Node::Product(factors) => {
                for (base, exponent) in factors {
                    let is_sum = matches!(self.algebra.node(*base), Node::Sum(_));
                    if is_sum && exponent.is_integer() {
                        self.atoms_into(*base, atoms);
                    } else if self.holds(*base) {
                        atoms.entry(*base).or_default().insert(exponent.clone());
                    }
                }
            }
            _ => {
                atoms.entry(id).or_default().insert(Rational::one());
            }
        }
    }

    /// The expression with atoms replaced, wherever they stand in sums and products.
    pub fn rewritten(&mut self, id: Id, rule: &mut Rule) -> Id {
        if !self.holds(id) {
            return id;
        }
        match self.algebra.node(id).clone() {
            Node::Sum(sum) => {
                let terms: Vec<(Id, Rational)> = sum
                    .terms
                    .into_iter()
                    .map(|(term, coefficient)| (self.rewritten(term, rule), coefficient))
                    .collect();
                self.algebra.sum_of(&sum.constant, &terms)
            }
            Node::Product(factors) => {
                let mut replaced = Vec::new();
                for (base, exponent) in factors {
                    let is_sum = matches!(self.algebra.node(base), Node::Sum(_));
                    replaced.push(if !self.holds(base) {
                        (base, exponent)
                    } else if let Some(id) = rule(self, base, &exponent) {
                        (id, Rational::one())
                    } else if is_sum && exponent.is_integer() {
                        (self.rewritten(base, rule), exponent)
                    } else {
                        (base, exponent)
                    });
                }
                self.algebra.product_of(&replaced)
            }
            _ => rule(self, id, &Rational::one()).unwrap_or(id),
        }
    }

    /// A polynomial in the one root, function or power that the unknown stands in.
    fn in_one_atom(&mut self, id: Id, atoms: &Atoms, trail: Trail) -> Found {
        let Some((atom, exponents)) = atoms.first_key_value() else {
            return Err(Stuck::NotSolvable);
        };
        let atom = *atom;
        let order = exponents
            .iter()
            .fold(dashu_int::IBig::one(), |order, exponent| {
                number::lcm(&order, exponent.denom())
            });
        let order = Rational::from_integer(order);
        let part = self.algebra.raise(atom, &order.recip());
        let fresh = self.fresh();
        let place = self.algebra.symbol(fresh);
        let rewritten = self.rewritten(id, &mut |solver, base, exponent| {
            (base == atom).then(|| solver.algebra.raise(place, &(exponent * &order)))
        });
        if self.holds(rewritten) {
            return Err(Stuck::NotSolvable);
        }
        let found = self.in_place_of(part, trail, |solver, trail| {
            solver.cleared_polynomial(rewritten, trail)
        })?;
        let mut equations = Vec::new();
        for (value, mut trail) in found {
            if !order.is_one() {
                match self.require(Requirement::NotNegative(value), &mut trail) {
                    Ok(()) => {}
                    Err(Stuck::Never) => continue,
                    Err(other) => return Err(other),
                }
            }
            let right = self.algebra.raise(value, &order);
            if !order.is_one() {
                trail.step(atom, right, Operation::Raised(order.clone()));
            }
            equations.push((atom, right, trail));
        }
        self.any_of(equations)
    }

    /// A polynomial after its denominators are cleared; it may be of a factored form.
    pub fn cleared_polynomial(&mut self, id: Id, trail: Trail) -> Found {
        let (above, _) = self.algebra.over_one_line(id, Some(self.unknown));
        match self.algebra.powers_of(above, self.unknown) {
            Some(coefficients) => self.polynomial(coefficients, trail),
            None => Err(Stuck::NotSolvable),
        }
    }

    /// A symbol that stands nowhere.
    pub fn fresh(&self) -> Symbol {
        const LAST: u32 = u32::MAX;
        const MOST_NESTED: u32 = 1000;
        match self.unknown.0 {
            nested if nested > LAST - MOST_NESTED => Symbol(nested - 1),
            _ => Symbol(LAST),
        }
    }

    /// The candidates for a part of the equation that is an unknown of its own, as `solve` finds
    /// them for [`Solver::fresh`] in place of it.
    pub fn in_place_of(
        &mut self,
        part: Id,
        trail: Trail,
        solve: impl FnOnce(&mut Self, Trail) -> Found,
    ) -> Found {
        let outer = self.unknown;
        self.unknown = self.fresh();
        let place = self.algebra.symbol(self.unknown);
        let found = solve(self, trail);
        self.unknown = outer;
        let back = FxHashMap::from_iter([(place, part)]);
        let mut candidates = found?;
        for (_, trail) in &mut candidates {
            self.algebra.insert_into(trail, &back);
        }
        Ok(candidates)
    }

    /// Notes that denominators are not zero. Where a denominator has one root, it is enough that
    /// the numerator is not zero there: that says nothing about the unknown.
    fn require_denominators(
        &mut self,
        above: Id,
        below: &Below,
        trail: &mut Trail,
    ) -> Result<(), Stuck> {
        for (base, _) in below {
            if self.algebra.sign(*base).is_not_zero() {
                self.algebra.lean(*base);
                continue;
            }
            let at_root = match self.algebra.powers_of(*base, self.unknown).as_deref() {
                Some([constant, slope]) => self.at_root_of(above, *constant, *slope),
                _ => None,
            };
            match at_root {
                Some(value) if !self.vanishes(value) => {
                    for factor in self.algebra.zeros(value) {
                        self.require(Requirement::NotZero(factor), trail)?;
                    }
                }
                _ => self.require(Requirement::NotZero(*base), trail)?,
            }
        }
        Ok(())
    }

    /// A polynomial where `slope unknown + constant` is zero, times a power of the slope.
    fn at_root_of(&mut self, polynomial: Id, constant: Id, slope: Id) -> Option<Id> {
        let coefficients = self.algebra.powers_of(polynomial, self.unknown)?;
        let opposite = self.algebra.negate(constant);
        let mut terms = Vec::new();
        for (power, coefficient) in coefficients.iter().enumerate() {
            let factors = [
                (*coefficient, Rational::one()),
                (opposite, number::whole(power as i64)),
                (
                    slope,
                    number::whole((coefficients.len() - 1 - power) as i64),
                ),
            ];
            let factors: Vec<_> = factors
                .into_iter()
                .filter(|(_, power)| !power.is_zero())
                .collect();
            terms.push(self.algebra.product_of(&factors));
        }
        let value = self.algebra.add(&terms);
        Some(self.tidy(value))
    }
}
