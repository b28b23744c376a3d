//! Common factors in front of their sum, where that is shorter.

use num_traits::{One, Signed, Zero};

use crate::algebra::node::{Function, Id, Node, Sum};
use crate::algebra::{Algebra, Rational, number};

/// A quotient within a quotient is avoided as if it were this much longer.
const COST_OF_NESTING: usize = 1;

/// A sum as a number, common factors and what is left.
#[derive(Debug)]
pub(super) struct Pulled {
    pub coefficient: Rational,
    pub factors: Vec<(Id, Rational)>,
    pub rest: Id,
}

impl Algebra {
    /// A sum with its common factors in front; `None` where the sum itself is no longer.
    pub(super) fn pulled(&mut self, id: Id) -> Option<Pulled> {
        let Node::Sum(sum) = self.node(id).clone() else {
            return None;
        };
        let coefficients = sum.terms.iter().map(|(_, coefficient)| coefficient);
        let content = number::content(coefficients.chain([&sum.constant]));
        let shared = self.shared(&sum);
        let mut best = None;
        let mut least = self.cost(id);
        let is_above = |factor: &&(Id, Rational)| factor.1.is_positive();
        let above: Vec<(Id, Rational)> = shared.iter().filter(is_above).cloned().collect();
        // Of equally short ones, that with most in front.
        for coefficient in [content, Rational::one()] {
            for factors in [shared.as_slice(), above.as_slice(), &[]] {
                if coefficient.is_one() && factors.is_empty() {
                    continue;
                }
                let candidate = self.without(&sum, &coefficient, factors);
                let cost = self.cost_of_pulled(&candidate);
                if cost < least {
                    least = cost;
                    best = Some(candidate);
                }
            }
        }
        best
    }

    /// The factors that all terms of a sum have. A power that is not the same in all is common
    /// only beside another common factor: `v t + a t^2` is no product by hand.
    fn shared(&self, sum: &Sum) -> Vec<(Id, Rational)> {
        let [(first, _), others @ ..] = sum.terms.as_slice() else {
            return Vec::new();
        };
        if !sum.constant.is_zero() {
            return Vec::new();
        }
        let others: Vec<Vec<(Id, Rational)>> = others
            .iter()
            .map(|(term, _)| self.factors_of(*term))
            .collect();
        let mut shared = Vec::new();
        let mut is_any_same = false;
        for (base, exponent) in self.factors_of(*first) {
            let found = others.iter().map(|factors| {
                let found = factors.iter().find(|(other, _)| *other == base);
                found.map(|(_, exponent)| exponent.clone())
            });
            let Some(exponents) = found.collect::<Option<Vec<Rational>>>() else {
                continue;
            };
            let is_below = exponent.is_negative();
            if exponents
                .iter()
                .any(|other| other.is_negative() != is_below)
            {
                continue;
            }
            let is_same = exponents.iter().all(|other| *other == exponent);
            is_any_same |= is_same || is_below;
            let least = exponents.into_iter().fold(exponent, Rational::min);
            shared.push((base, least, is_same || is_below));
        }
        shared
            .into_iter()
            .filter(|(_, _, is_certain)| *is_certain || is_any_same)
            .map(|(base, exponent, _)| (base, exponent))
            .collect()
    }

    fn without(&mut self, sum: &Sum, coefficient: &Rational, factors: &[(Id, Rational)]) -> Pulled {
        let constant = &sum.constant / coefficient;
        let mut terms = Vec::new();
        for (term, own) in &sum.terms {
            let mut kept = self.factors_of(*term);
            for (base, exponent) in &mut kept {
                if let Some((_, common)) = factors.iter().find(|(shared, _)| shared == base) {
                    *exponent -= common;
                }
            }
            terms.push((self.product_of(&kept), own / coefficient));
        }
        Pulled {
            coefficient: coefficient.clone(),
            factors: factors.to_vec(),
            rest: self.sum_of(&constant, &terms),
        }
    }

    fn cost_of_pulled(&self, pulled: &Pulled) -> usize {
        let factors = self.cost_of_factors(&pulled.factors);
        let is_quotient = !pulled.coefficient.is_integer() || has_below(&pulled.factors);
        let nesting = if is_quotient && self.has_quotients(pulled.rest) {
            COST_OF_NESTING
        } else {
            0
        };
        cost_of_coefficient(&pulled.coefficient) + factors + self.cost(pulled.rest) + nesting
    }

    /// Whether a term of a sum has a denominator.
    fn has_quotients(&self, id: Id) -> bool {
        match self.node(id) {
            Node::Sum(sum) => sum.terms.iter().any(|(term, coefficient)| {
                !coefficient.is_integer() || has_below(&self.factors_of(*term))
            }),
            _ => false,
        }
    }

    /// About how many numbers, symbols and functions are written for an expression.
    fn cost(&self, id: Id) -> usize {
        match self.node(id) {
            Node::Number(value) => cost_of_coefficient(value).max(1),
            Node::Undefined | Node::Pi | Node::Symbol(_) => 1,
            Node::Sum(sum) => {
                let constant = if sum.constant.is_zero() {
                    0
                } else {
                    cost_of_coefficient(&sum.constant).max(1)
                };
                let terms = sum
                    .terms
                    .iter()
                    .map(|(term, coefficient)| cost_of_coefficient(coefficient) + self.cost(*term));
                constant + terms.sum::<usize>()
            }
            Node::Product(factors) => self.cost_of_factors(factors),
            Node::Power(base, exponent) => self.cost(*base) + self.cost(*exponent),
            Node::Call(_, arguments) => {
                1 + arguments
                    .iter()
                    .map(|argument| self.cost(*argument))
                    .sum::<usize>()
            }
        }
    }

    fn cost_of_factors(&self, factors: &[(Id, Rational)]) -> usize {
        factors
            .iter()
            // A division by ln(10) is the name of a logarithm.
            .filter(|(base, exponent)| {
                !(self.is_base_of_logarithm(*base) && exponent.is_negative())
            })
            .map(|(base, exponent)| {
                let size = exponent.abs();
                let plain = size.is_one() || size == number::ratio(1, 2);
                self.cost(*base) + usize::from(!plain)
            })
            .sum()
    }

    /// Whether it is `ln(10)` or `ln(2)`.
    pub(super) fn is_base_of_logarithm(&self, id: Id) -> bool {
        let Node::Call(Function::Ln, arguments) = self.node(id) else {
            return false;
        };
        arguments.iter().any(|argument| {
            let value = self.as_number(*argument).and_then(number::as_whole);
            matches!(value, Some(2 | 10))
        })
    }
}

fn has_below(factors: &[(Id, Rational)]) -> bool {
    factors.iter().any(|(_, exponent)| exponent.is_negative())
}

/// How many whole numbers are written for a coefficient.
fn cost_of_coefficient(value: &Rational) -> usize {
    usize::from(!value.numer().abs().is_one()) + usize::from(!value.denom().is_one())
}
