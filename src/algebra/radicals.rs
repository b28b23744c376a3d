//! Roots and magnitudes of the unknown in several parts of an equation.

use num_traits::{One, ToPrimitive};

use super::gather::Atoms;
use super::node::{Function, Id, Node};
use super::solution::{Operation, Requirement, Stuck};
use super::solver::{Found, Solver, Trail};
use super::{Rational, number};

/// Roots of a higher order are not taken apart.
const MOST_ORDER: usize = 6;

impl Solver<'_> {
    /// A magnitude is its argument where that is not negative, and the opposite elsewhere.
    pub fn with_magnitude(&mut self, id: Id, atoms: &Atoms, trail: &Trail) -> Option<Found> {
        let (atom, inner) = atoms
            .keys()
            .find_map(|atom| match self.algebra.node(*atom) {
                Node::Call(Function::Abs, arguments) => Some((*atom, *arguments.first()?)),
                _ => None,
            })?;
        let zero = self.algebra.whole(0);
        let opposite = self.algebra.negate(inner);
        let mut equations = Vec::new();
        for value in [inner, opposite] {
            let mut trail = trail.clone();
            match self.require(Requirement::NotNegative(value), &mut trail) {
                Ok(()) => {}
                Err(Stuck::Never) => continue,
                Err(other) => return Some(Err(other)),
            }
            let left = self.rewritten(id, &mut |solver, base, exponent| {
                (base == atom).then(|| solver.algebra.raise(value, exponent))
            });
            trail.step(left, zero, Operation::Rewritten(value));
            equations.push((left, zero, trail));
        }
        Some(self.any_of(equations))
    }

    /// One root is isolated and raised to its order; what this adds is dropped by the check that
    /// follows. Repeated, this removes all of them.
    pub fn with_radicals(&mut self, id: Id, atoms: &Atoms, trail: &Trail) -> Option<Found> {
        let roots: Vec<(Id, usize)> = atoms
            .keys()
            .filter_map(|atom| Some((*atom, self.order_of_root(*atom, atoms)?)))
            .collect();
        let mut best: Option<(Id, usize, [Id; 2])> = None;
        for (atom, order) in roots {
            if let Some(parts) = self.linear_in_root(id, atom, order)
                && best.as_ref().is_none_or(|(_, least, _)| order < *least)
            {
                best = Some((atom, order, parts));
            }
        }
        let (atom, order, [rest, factor]) = best?;
        Some(self.without_root(atom, order, rest, factor, trail.clone()))
    }

    /// The order of an atom as a root.
    fn order_of_root(&self, atom: Id, atoms: &Atoms) -> Option<usize> {
        if matches!(self.algebra.node(atom), Node::Call(Function::Cbrt, _)) {
            return Some(3);
        }
        let order = atoms
            .get(&atom)?
            .iter()
            .fold(dashu_int::IBig::one(), |order, exponent| {
                number::lcm(&order, exponent.denom())
            });
        order
            .to_usize()
            .filter(|order| (2..=MOST_ORDER).contains(order))
    }

    /// `factor root + rest`, when the expression is that.
    fn linear_in_root(&mut self, id: Id, atom: Id, order: usize) -> Option<[Id; 2]> {
        let fresh = self.fresh();
        let place = self.algebra.symbol(fresh);
        let radicand = self.radicand(atom);
        let whole_order = number::whole(order as i64);
        let is_call = radicand != atom;
        let rewritten = self.rewritten(id, &mut |solver, base, exponent| {
            let power = if is_call {
                exponent.clone()
            } else {
                exponent * &whole_order
            };
            (base == atom).then(|| solver.algebra.raise(place, &power))
        });
        let mut powers = self.algebra.powers_of(rewritten, fresh)?;
        while powers.len() > order {
            let highest = powers.pop()?;
            let lower = powers.len() - order;
            let product = self.algebra.multiply(&[highest, radicand]);
            powers[lower] = self.algebra.add(&[powers[lower], product]);
        }
        let mut kept = Vec::new();
        for (power, coefficient) in powers.into_iter().enumerate() {
            if power > 1 && !self.vanishes(coefficient) {
                return None;
            }
            kept.push(coefficient);
        }
        kept.truncate(2);
        let zero = self.algebra.whole(0);
        kept.resize(2, zero);
        <[Id; 2]>::try_from(kept).ok()
    }

    fn radicand(&self, atom: Id) -> Id {
        match self.algebra.node(atom) {
            Node::Call(Function::Cbrt, arguments) => arguments.first().copied().unwrap_or(atom),
            _ => atom,
        }
    }

    /// `factor root = -rest`, raised to the order of the root.
    fn without_root(
        &mut self,
        atom: Id,
        order: usize,
        rest: Id,
        factor: Id,
        trail: Trail,
    ) -> Found {
        let mut trail = trail;
        let zero = self.algebra.whole(0);
        if self.vanishes(factor) {
            return self.solve(rest, zero, trail);
        }
        let radicand = self.radicand(atom);
        let root = if radicand == atom {
            self.algebra.raise(atom, &number::ratio(1, order as i64))
        } else {
            atom
        };
        let opposite = self.algebra.negate(rest);
        let left = self.algebra.multiply(&[factor, root]);
        trail.step(left, opposite, Operation::Subtracted(rest));
        if order.is_multiple_of(2) {
            let side = self.algebra.multiply(&[opposite, factor]);
            self.require(Requirement::NotNegative(side), &mut trail)?;
        }
        let power = number::whole(order as i64);
        let factors = [(factor, power.clone()), (radicand, Rational::one())];
        let left = self.algebra.product_of(&factors);
        let right = self.algebra.raise(opposite, &power);
        trail.step(left, right, Operation::Raised(power));
        let difference = self.algebra.subtract(left, right);
        let (above, _) = self.algebra.over_one_line(difference, Some(self.unknown));
        if !self.holds(above) {
            return Err(self.without_unknown(above, zero));
        }
        self.zero(above, trail)
    }
}
