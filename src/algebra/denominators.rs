//! Denominators cleared and powers collected, with everything else left in the author's form.
//!
//! Unlike a normal form, products that do not hold the unknown are not multiplied out:
//! `m (v_2 - v_1 x)` has the coefficients `m v_2` and `-m v_1`.

use std::collections::BTreeMap;

use num_traits::{One, Zero};

use super::node::{Id, Node, Sum, Symbol};
use super::{Algebra, Rational, number};

/// The highest power that is collected.
const MOST_POWER: usize = 24;

/// A denominator: bases with positive exponents.
pub(super) type Below = Vec<(Id, Rational)>;

impl Algebra {
    /// The expression as a numerator over a denominator, which is given by its factors. With a
    /// symbol, only denominators that hold it are cleared.
    pub(super) fn over_one_line(&mut self, id: Id, symbol: Option<Symbol>) -> (Id, Below) {
        self.step();
        if self.is_exhausted() || !self.is_concerned(id, symbol) {
            return (id, Vec::new());
        }
        match self.node(id).clone() {
            Node::Sum(sum) => self.sum_over_one_line(&sum, symbol),
            Node::Product(factors) => self.product_over_one_line(&factors, symbol),
            _ => (id, Vec::new()),
        }
    }

    fn is_concerned(&self, id: Id, symbol: Option<Symbol>) -> bool {
        symbol.is_none_or(|symbol| self.contains(id, symbol))
    }

    fn sum_over_one_line(&mut self, sum: &Sum, symbol: Option<Symbol>) -> (Id, Below) {
        let mut common: BTreeMap<Id, Rational> = BTreeMap::new();
        let mut parts = Vec::new();
        for (term, coefficient) in &sum.terms {
            let (above, below) = self.over_one_line(*term, symbol);
            for (base, exponent) in &below {
                let most = common.entry(*base).or_insert_with(Rational::zero);
                if *most < *exponent {
                    most.clone_from(exponent);
                }
            }
            parts.push((above, below, coefficient));
        }
        let one = self.whole(1);
        parts.push((one, Vec::new(), &sum.constant));
        let mut terms = Vec::new();
        for (above, below, coefficient) in parts {
            let mut factors = vec![(above, Rational::one())];
            for (base, exponent) in &common {
                let own = below.iter().find(|(other, _)| other == base);
                let own = own.map_or_else(Rational::zero, |(_, own)| own.clone());
                factors.push((*base, exponent - own));
            }
            terms.push((self.product_of(&factors), coefficient.clone()));
        }
        (
            self.sum_of(&Rational::zero(), &terms),
            common.into_iter().collect(),
        )
    }

    fn product_over_one_line(
        &mut self,
        factors: &[(Id, Rational)],
        symbol: Option<Symbol>,
    ) -> (Id, Below) {
        let mut all = Vec::new();
        for (base, exponent) in factors {
            let (above, below) = if exponent.is_integer() {
                self.over_one_line(*base, symbol)
            } else {
                (*base, Vec::new())
            };
            all.push((above, exponent.clone()));
            all.extend(below.into_iter().map(|(base, own)| (base, -own * exponent)));
        }
        let product = self.product_of(&all);
        let (coefficient, rest) = self.split_coefficient(product);
        let Some(Node::Product(factors)) = rest.map(|rest| self.node(rest).clone()) else {
            return (product, Vec::new());
        };
        let (below, above): (Vec<_>, Vec<_>) = factors.into_iter().partition(|(base, exponent)| {
            exponent.is_negative() && self.is_concerned(*base, symbol)
        });
        let above = self.product_of(&above);
        let below = below.into_iter().map(|(base, exponent)| (base, -exponent));
        let below = below.collect();
        (self.scale(above, &coefficient), below)
    }

    /// The coefficients of the powers of a symbol, lowest first; `None` when it stands anywhere
    /// but in whole powers, or in too high ones. Only what holds the symbol is multiplied out.
    pub(super) fn powers_of(&mut self, id: Id, symbol: Symbol) -> Option<Vec<Id>> {
        self.step();
        if self.is_exhausted() {
            return None;
        }
        if !self.contains(id, symbol) {
            return Some(vec![id]);
        }
        match self.node(id).clone() {
            Node::Symbol(_) => Some(vec![self.whole(0), self.whole(1)]),
            Node::Sum(sum) => {
                let mut terms: Vec<Vec<(Id, Rational)>> = vec![Vec::new()];
                for (term, coefficient) in &sum.terms {
                    let powers = self.powers_of(*term, symbol)?;
                    terms.resize(terms.len().max(powers.len()), Vec::new());
                    for (gathered, power) in terms.iter_mut().zip(powers) {
                        gathered.push((power, coefficient.clone()));
                    }
                }
                let mut constant = Some(sum.constant);
                let sums = terms.iter().map(|terms| {
                    let constant = constant.take().unwrap_or_else(Rational::zero);
                    self.sum_of(&constant, terms)
                });
                Some(sums.collect())
            }
            Node::Product(factors) => self.powers_of_product(&factors, symbol),
            _ => None,
        }
    }

    fn powers_of_product(&mut self, factors: &[(Id, Rational)], symbol: Symbol) -> Option<Vec<Id>> {
        let (held, free): (Vec<_>, Vec<_>) = factors
            .iter()
            .cloned()
            .partition(|(base, _)| self.contains(*base, symbol));
        let mut total = vec![self.product_of(&free)];
        for (base, exponent) in held {
            let powers = self.powers_of(base, symbol)?;
            let times = number::as_whole(&exponent).filter(|times| *times > 0)?;
            for _ in 0..times {
                total = self.multiply_powers(&total, &powers)?;
            }
        }
        Some(total)
    }

    /// The coefficients of a product, from those of its factors.
    pub(super) fn multiply_powers(&mut self, left: &[Id], right: &[Id]) -> Option<Vec<Id>> {
        let count = left.len() + right.len() - 1;
        if count > MOST_POWER + 1 || self.is_exhausted() {
            return None;
        }
        let mut terms: Vec<Vec<Id>> = vec![Vec::new(); count];
        for (low, one) in left.iter().enumerate() {
            for (high, other) in right.iter().enumerate() {
                let product = self.multiply(&[*one, *other]);
                if !self.is_zero(product) {
                    terms[low + high].push(product);
                }
            }
        }
        Some(terms.iter().map(|terms| self.add(terms)).collect())
    }
}
