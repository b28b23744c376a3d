//! Exponentials and logarithms of the unknown in several parts of an equation, and equations of
//! two terms only.

use num_traits::{One, Zero};

use super::gather::Atoms;
use super::node::{Function, Id, Node};
use super::solution::{Operation, Requirement, Stuck};
use super::solver::{Found, Solver, Trail};
use super::{Rational, number};

/// Bases with their exponents.
type Powers = Vec<(Id, Rational)>;

/// `base^(times part + rest)`; no base for the exponential function.
struct Exponential {
    base: Option<Id>,
    times: Rational,
    part: Id,
    rest: Id,
}

impl Solver<'_> {
    /// Exponentials of one base whose exponents are multiples of one expression: a polynomial in
    /// that. Hyperbolic functions beside them are written as exponentials.
    pub fn with_exponentials(&mut self, id: Id, atoms: &Atoms, trail: &Trail) -> Option<Found> {
        let zero = self.algebra.whole(0);
        let plain = self.without_hyperbolic(id);
        if plain != id {
            let mut trail = trail.clone();
            trail.step(plain, zero, Operation::Rewritten(plain));
            return self.holds(plain).then(|| self.solve(plain, zero, trail));
        }
        let mut exponentials = Vec::new();
        for atom in atoms.keys() {
            exponentials.push(self.as_exponential(*atom)?);
        }
        let first = exponentials.first()?;
        let (base, part) = (first.base, first.part);
        if exponentials
            .iter()
            .any(|one| one.base != base || one.part != part)
        {
            return None;
        }
        let unit = number::content(exponentials.iter().map(|one| &one.times));
        let exponent = self.algebra.scale(part, &unit);
        let kernel = self.exponential(base, exponent);
        let fresh = self.fresh();
        let place = self.algebra.symbol(fresh);
        let rewritten = self.rewritten(id, &mut |solver, atom, power| {
            let one = solver.as_exponential(atom)?;
            let free = solver.exponential(one.base, one.rest);
            let factors = [(place, one.times / &unit * power), (free, power.clone())];
            Some(solver.algebra.product_of(&factors))
        });
        let found = self.in_place_of(kernel, trail.clone(), |solver, trail| {
            solver.cleared_polynomial(rewritten, trail)
        });
        Some(found.and_then(|found| {
            let equations = found
                .into_iter()
                .map(|(value, trail)| (kernel, value, trail));
            self.any_of(equations.collect())
        }))
    }

    fn exponential(&mut self, base: Option<Id>, exponent: Id) -> Id {
        match base {
            Some(base) => self.algebra.power(base, exponent),
            None => self.algebra.call(Function::Exp, &[exponent]),
        }
    }

    fn as_exponential(&mut self, atom: Id) -> Option<Exponential> {
        let (base, exponent) = self.base_and_exponent(atom, &Rational::one());
        if base.is_some_and(|base| self.holds(base)) {
            return None;
        }
        let (base, times) = self.root_of_base(base);
        let exponent = self.algebra.scale(exponent, &times);
        let (held, rest) = self.split_held(exponent);
        let (times, part) = self.split_content(held);
        Some(Exponential {
            base,
            times,
            part,
            rest,
        })
    }

    /// 4 as the square of 2.
    fn root_of_base(&mut self, base: Option<Id>) -> (Option<Id>, Rational) {
        let whole = base.and_then(|base| self.algebra.as_number(base).cloned());
        if let Some(value) = whole.filter(|value| value.is_integer() && *value > Rational::one())
            && let [(prime, power)] = number::factors(value.numer()).as_slice()
        {
            let prime = self.algebra.number(Rational::from_integer(prime.clone()));
            return (Some(prime), number::whole(*power));
        }
        (base, Rational::one())
    }

    /// The terms that hold the unknown, and the others.
    pub fn split_held(&mut self, id: Id) -> (Id, Id) {
        let Node::Sum(sum) = self.algebra.node(id).clone() else {
            let zero = self.algebra.whole(0);
            return if self.holds(id) {
                (id, zero)
            } else {
                (zero, id)
            };
        };
        let (held, free): (Vec<_>, Vec<_>) = sum
            .terms
            .into_iter()
            .partition(|(term, _)| self.holds(*term));
        let held = self.algebra.sum_of(&Rational::zero(), &held);
        (held, self.algebra.sum_of(&sum.constant, &free))
    }

    /// A number and what it multiplies, so that multiples of each other have one part.
    pub fn split_content(&mut self, id: Id) -> (Rational, Id) {
        let Node::Sum(sum) = self.algebra.node(id) else {
            return (Rational::one(), id);
        };
        let coefficients = sum.terms.iter().map(|(_, coefficient)| coefficient);
        let content = number::content(coefficients.chain([&sum.constant]));
        let content = if self.algebra.leads_with_minus(id) {
            -content
        } else {
            content
        };
        let part = self.algebra.scale(id, &content.recip());
        (content, part)
    }

    /// Hyperbolic functions of the unknown as exponentials.
    fn without_hyperbolic(&mut self, id: Id) -> Id {
        self.rewritten(id, &mut |solver, base, exponent| {
            let Node::Call(function, arguments) = solver.algebra.node(base).clone() else {
                return None;
            };
            let argument = *arguments.first()?;
            let algebra = &mut *solver.algebra;
            let up = algebra.call(Function::Exp, &[argument]);
            let down = algebra.raise(up, &-Rational::one());
            let half = number::ratio(1, 2);
            let sum = algebra.add(&[up, down]);
            let difference = algebra.subtract(up, down);
            let written = match function {
                Function::Sinh => algebra.scale(difference, &half),
                Function::Cosh => algebra.scale(sum, &half),
                Function::Tanh => algebra.divide(difference, sum),
                _ => return None,
            };
            Some(algebra.raise(written, exponent))
        })
    }

    /// A sum of logarithms: the product of their arguments is known.
    pub fn with_logarithms(&mut self, id: Id, atoms: &Atoms, trail: &Trail) -> Option<Found> {
        let is_logarithm =
            |atom: &Id| matches!(self.algebra.node(*atom), Node::Call(Function::Ln, _));
        if !atoms.keys().all(is_logarithm) {
            return None;
        }
        let Node::Sum(sum) = self.algebra.node(id).clone() else {
            return None;
        };
        let (held, free): (Vec<_>, Vec<_>) = sum
            .terms
            .into_iter()
            .partition(|(term, _)| self.holds(*term));
        let rest = self.algebra.sum_of(&sum.constant, &free);
        let mut logarithms = Vec::new();
        for (term, coefficient) in held {
            let (argument, factor) = self.as_logarithm(term)?;
            logarithms.push((argument, self.algebra.scale(factor, &coefficient)));
        }
        let first = logarithms.first()?.1;
        let mut trail = trail.clone();
        let mut factors = Vec::new();
        for (argument, factor) in logarithms {
            let times = self.algebra.divide(factor, first);
            let times = self.tidy(times);
            factors.push((argument, self.algebra.as_number(times)?.clone()));
            if let Err(stuck) = self.require(Requirement::Positive(argument), &mut trail) {
                return Some(Err(stuck));
            }
        }
        if let Err(stuck) = self.require_not_zero(first, &mut trail) {
            return Some(Err(stuck));
        }
        let left = self.algebra.product_of(&factors);
        let right = self.algebra.divide(rest, first);
        let right = self.algebra.negate(right);
        let (right, base) = self.exponential_of(right);
        trail.step(left, right, Operation::Exponential(base));
        Some(self.solve(left, right, trail))
    }

    /// The argument of a logarithm, and what multiplies it.
    fn as_logarithm(&mut self, term: Id) -> Option<(Id, Id)> {
        let factors = match self.algebra.node(term).clone() {
            Node::Product(factors) => factors,
            _ => vec![(term, Rational::one())],
        };
        let (held, free): (Vec<_>, Vec<_>) =
            factors.into_iter().partition(|(base, _)| self.holds(*base));
        let [(base, exponent)] = held.as_slice() else {
            return None;
        };
        match self.algebra.node(*base) {
            Node::Call(Function::Ln, arguments) if exponent.is_one() => {
                let argument = *arguments.first()?;
                Some((argument, self.algebra.product_of(&free)))
            }
            _ => None,
        }
    }

    /// The terms of a sum by what holds the unknown in them, with the other factors of each.
    fn groups(&mut self, id: Id) -> Option<Vec<(Powers, Vec<Id>)>> {
        let Node::Sum(sum) = self.algebra.node(id).clone() else {
            return None;
        };
        let one = self.algebra.whole(1);
        let mut groups: Vec<(Powers, Vec<Id>)> = Vec::new();
        let constant = (!sum.constant.is_zero()).then(|| (one, sum.constant.clone()));
        for (term, coefficient) in sum.terms.into_iter().chain(constant) {
            let factors = match self.algebra.node(term).clone() {
                Node::Product(factors) => factors,
                _ => vec![(term, Rational::one())],
            };
            let (held, free): (Powers, Powers) =
                factors.into_iter().partition(|(base, _)| self.holds(*base));
            let free = self.algebra.product_of(&free);
            let free = self.algebra.scale(free, &coefficient);
            match groups.iter_mut().find(|(known, _)| *known == held) {
                Some((_, gathered)) => gathered.push(free),
                None => groups.push((held, vec![free])),
            }
        }
        Some(groups)
    }

    /// Two terms with the unknown: their quotient is known.
    pub fn of_two_terms(&mut self, id: Id, _: &Atoms, trail: &Trail) -> Option<Found> {
        let mut groups = self.groups(id)?;
        groups.sort_by_key(|(held, _)| held.is_empty());
        let [(one, factor), (other, rest)] = groups.as_slice() else {
            return None;
        };
        let (factor, rest) = (self.algebra.add(factor), self.algebra.add(rest));
        let turned = other
            .iter()
            .map(|(base, exponent)| (*base, -exponent.clone()));
        let quotient: Vec<(Id, Rational)> = one.iter().cloned().chain(turned).collect();
        let quotient = self.algebra.product_of(&quotient);
        let mut trail = trail.clone();
        let mut divisors = vec![factor];
        divisors.extend(other.iter().map(|(base, _)| *base));
        for divisor in divisors {
            if let Err(stuck) = self.require_not_zero(divisor, &mut trail) {
                return Some(Err(stuck));
            }
        }
        let right = self.algebra.divide(rest, factor);
        let right = self.algebra.negate(right);
        let factors = match self.algebra.node(quotient).clone() {
            Node::Product(factors) => factors,
            Node::Number(_) | Node::Sum(_) => return None,
            _ => vec![(quotient, Rational::one())],
        };
        let below = self.algebra.product_of(other);
        let below = self.algebra.multiply(&[below, factor]);
        trail.step(quotient, right, Operation::Divided(below));
        // A quotient of several powers that is of one base, or an exponential.
        if factors.iter().all(|(_, exponent)| exponent.is_negative()) {
            return None;
        }
        match self.peel_powers(&factors, right, trail) {
            Some(Err(Stuck::NotSolvable)) => None,
            found => found,
        }
    }
}
