//! Sums: terms in order, a positive one first.

use num_traits::{One, Zero};

use super::Written;
use crate::algebra::node::{Id, Node};
use crate::algebra::{Algebra, Rational};

impl Algebra {
    /// A sum, or the product that it is shorter as.
    pub(super) fn write_sum(&mut self, id: Id) -> Written {
        let id = self.with_gathered_logarithms(id);
        let Node::Sum(sum) = self.node(id).clone() else {
            return self.write(id);
        };
        if let ([(only, coefficient)], true) = (sum.terms.as_slice(), sum.constant.is_zero()) {
            let factors = self.factors_of(*only);
            return self.write_product(coefficient, &factors);
        }
        match self.pulled(id) {
            Some(pulled) => {
                let mut factors = pulled.factors;
                factors.push((pulled.rest, Rational::one()));
                self.write_product(&pulled.coefficient, &factors)
            }
            None => self.write_terms(id),
        }
    }

    /// A sum as its terms, whatever they have in common.
    pub(super) fn write_terms(&mut self, id: Id) -> Written {
        let Node::Sum(sum) = self.node(id).clone() else {
            return self.write(id);
        };
        let ordered = self.in_order(&sum.terms);
        let turned = self.term_to_turn(&sum.constant, &ordered);
        let mut terms = Vec::new();
        for (at, (term, coefficient)) in ordered.iter().enumerate() {
            let factors = self.factors_of(*term);
            let (minus, written) = self.write_signed(coefficient, &factors, turned == Some(at));
            append(&mut terms, minus, written);
        }
        if !sum.constant.is_zero() {
            let (minus, written) = self.write_signed(&sum.constant, &[], false);
            append(&mut terms, minus, written);
        }
        if let Some(at) = terms.iter().position(|(minus, _)| !minus) {
            let first = terms.remove(at);
            terms.insert(0, first);
        }
        Written::Sum(terms)
    }

    /// Of terms that are all subtracted, the first that need not be: `-a (b - c)` can be
    /// `a (c - b)`.
    fn term_to_turn(&mut self, constant: &Rational, terms: &[(Id, Rational)]) -> Option<usize> {
        let is_minus = |coefficient: &Rational| coefficient.is_negative();
        if constant.is_positive() || !terms.iter().all(|(_, coefficient)| is_minus(coefficient)) {
            return None;
        }
        terms.iter().position(|(term, _)| {
            let factors = self.factors_of(*term);
            factors.iter().any(|(base, exponent)| {
                self.is_difference(*base, exponent)
                    || self.turned_logarithm(*base, exponent).is_some()
            })
        })
    }
}

/// Adds a term; the terms of a sum each on its own.
fn append(terms: &mut Vec<(bool, Written)>, minus: bool, written: Written) {
    match written {
        Written::Sum(inner) => {
            terms.extend(inner.into_iter().map(|(own, term)| (own != minus, term)));
        }
        _ => terms.push((minus, written)),
    }
}
