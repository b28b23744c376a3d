//! Whole powers of what holds the unknown undone: one real root, or two.

use num_traits::One;

use super::Rational;
use super::node::{Function, Id, Node};
use super::number;
use super::solution::{Operation, Requirement, Stuck};
use super::solver::{Solver, Trail};

impl Solver<'_> {
    /// The equations `base = root` for `base^exponent = right` with a whole exponent above 1.
    pub fn whole_roots(
        &mut self,
        base: Id,
        exponent: &Rational,
        right: Id,
        trail: &mut Trail,
    ) -> Result<Vec<(Id, Id, Trail)>, Stuck> {
        let inverse = exponent.recip();
        if !number::is_even(exponent) {
            let root = self.odd_root(base, exponent, right, trail)?;
            trail.step(base, root, Operation::Raised(inverse));
            return Ok(vec![(base, root, trail.clone())]);
        }
        self.require(Requirement::NotNegative(right), trail)?;
        let root = self.algebra.raise(right, &inverse);
        let sign = self.algebra.sign(base);
        let root = self.without_magnitudes(root, sign.is_not_negative() || sign.is_not_positive());
        let opposite = self.algebra.negate(root);
        if sign.is_not_negative() || sign.is_not_positive() {
            self.algebra.lean(base);
        }
        let roots: &[Id] = if sign.is_not_negative() || self.algebra.is_zero(root) {
            &[root]
        } else if sign.is_not_positive() {
            &[opposite]
        } else {
            &[root, opposite]
        };
        let equations = roots.iter().map(|root| {
            let mut trail = trail.clone();
            trail.step(base, *root, Operation::Raised(inverse.clone()));
            (base, *root, trail)
        });
        Ok(equations.collect())
    }

    /// `|a| b` as `a b`: of no matter where both signs are taken anyway.
    pub fn without_magnitudes(&mut self, root: Id, one_sign: bool) -> Id {
        if one_sign {
            return root;
        }
        let (coefficient, rest) = self.algebra.split_coefficient(root);
        let factors = match rest.map(|rest| (rest, self.algebra.node(rest).clone())) {
            Some((_, Node::Product(factors))) => factors,
            Some((rest, Node::Call(..))) => vec![(rest, Rational::one())],
            _ => return root,
        };
        let plain: Vec<(Id, Rational)> = factors
            .into_iter()
            .map(|(base, exponent)| match self.algebra.node(base) {
                Node::Call(Function::Abs, inner) if number::as_whole(&exponent).is_some() => {
                    (inner.first().copied().unwrap_or(base), exponent)
                }
                _ => (base, exponent),
            })
            .collect();
        let plain = self.algebra.product_of(&plain);
        self.algebra.scale(plain, &coefficient)
    }

    /// The real root of odd order.
    fn odd_root(
        &mut self,
        base: Id,
        exponent: &Rational,
        right: Id,
        trail: &mut Trail,
    ) -> Result<Id, Stuck> {
        let inverse = exponent.recip();
        if self.algebra.sign(right).is_not_positive() && !self.algebra.is_zero(right) {
            self.algebra.lean(right);
            let size = self.algebra.negate(right);
            let root = self.algebra.raise(size, &inverse);
            return Ok(self.algebra.negate(root));
        }
        if self.algebra.sign(base).is_not_negative() {
            self.algebra.lean(base);
            self.require(Requirement::NotNegative(right), trail)?;
        } else if !self.algebra.sign(right).is_not_negative() {
            if *exponent == number::whole(3) {
                return Ok(self.algebra.call(Function::Cbrt, &[right]));
            }
            let size = self.algebra.call(Function::Abs, &[right]);
            let size = self.algebra.raise(size, &inverse);
            let sign = self.algebra.call(Function::Sign, &[right]);
            return Ok(self.algebra.multiply(&[sign, size]));
        } else {
            self.algebra.lean(right);
        }
        Ok(self.algebra.raise(right, &inverse))
    }
}
