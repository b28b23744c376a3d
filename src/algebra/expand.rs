//! Products multiplied out, and polynomials by the powers of one symbol.
//!
//! In goes an expression; out comes an equal one without products of sums, or the coefficients
//! of a polynomial. Arguments of functions are left as they are.

use num_traits::{One, Zero};
use rustc_hash::FxHashMap;

use super::node::{Id, Node};
use super::{Algebra, Rational, number};

/// A product that would have more terms than this stays a product.
const MOST_TERMS: usize = 600;

/// What is added up: products of factors that are no sums, with their coefficients.
type Terms = Vec<(Id, Rational)>;

impl Algebra {
    /// The expression with products of sums multiplied out, as far as the result stays of a
    /// reasonable size: `a (b + c)` is `a b + a c`, `(a + b)/c` is `a/c + b/c`. What stands in
    /// the arguments of functions, in exponents and below a fraction as a sum stays as it is.
    ///
    /// Equal to the original wherever that is defined.
    pub fn expand(&mut self, id: Id) -> Id {
        let terms = self.expanded_terms(id);
        self.sum_of(&Rational::zero(), &terms)
    }

    /// The terms of the expression multiplied out; a number is a multiple of 1.
    pub(super) fn expanded_terms(&mut self, id: Id) -> Terms {
        let one = self.whole(1);
        if self.is_exhausted() {
            return vec![(id, Rational::one())];
        }
        match self.node(id).clone() {
            Node::Number(value) => vec![(one, value)],
            Node::Sum(sum) => {
                let mut terms = vec![(one, sum.constant)];
                for (term, coefficient) in sum.terms {
                    let inner = self.expanded_terms(term);
                    terms.extend(
                        inner
                            .into_iter()
                            .map(|(term, own)| (term, own * &coefficient)),
                    );
                }
                self.like_terms(terms)
            }
            Node::Product(factors) => self.expanded_product(id, &factors),
            _ => vec![(id, Rational::one())],
        }
    }

    fn expanded_product(&mut self, id: Id, factors: &[(Id, Rational)]) -> Terms {
        let mut plain = Vec::new();
        let mut terms = vec![(self.whole(1), Rational::one())];
        for (base, exponent) in factors {
            let whole =
                number::as_whole(&exponent.floor()).filter(|whole| (1..=20).contains(whole));
            let (true, Some(whole)) = (matches!(self.node(*base), Node::Sum(_)), whole) else {
                plain.push((*base, exponent.clone()));
                continue;
            };
            let root = exponent - number::whole(whole);
            if !root.is_zero() {
                plain.push((*base, root));
            }
            let inner = self.expanded_terms(*base);
            for _ in 0..whole {
                if terms.len() * inner.len() > MOST_TERMS || self.is_exhausted() {
                    return vec![(id, Rational::one())];
                }
                terms = self.multiplied(&terms, &inner);
            }
        }
        if plain.len() == factors.len() {
            return vec![(id, Rational::one())];
        }
        let plain = self.product_of(&plain);
        self.multiplied(&terms, &[(plain, Rational::one())])
    }

    fn multiplied(&mut self, left: &[(Id, Rational)], right: &[(Id, Rational)]) -> Terms {
        let mut terms = Vec::with_capacity(left.len() * right.len());
        for (one, own) in left {
            for (other, coefficient) in right {
                let product = self.multiply(&[*one, *other]);
                let size = own * coefficient;
                // A root times itself can be a sum again.
                match self.node(product) {
                    Node::Sum(_) | Node::Number(_) => {
                        let inner = self.expanded_terms(product);
                        terms.extend(inner.into_iter().map(|(term, own)| (term, own * &size)));
                    }
                    _ => terms.push((product, size)),
                }
            }
        }
        self.like_terms(terms)
    }

    fn like_terms(&mut self, terms: Terms) -> Terms {
        let mut gathered: FxHashMap<Id, Rational> = FxHashMap::default();
        for (term, coefficient) in terms {
            *gathered.entry(term).or_insert_with(Rational::zero) += coefficient;
        }
        let mut terms: Terms = gathered
            .into_iter()
            .filter(|(_, coefficient)| !coefficient.is_zero())
            .collect();
        terms.sort_by_key(|(term, _)| *term);
        terms
    }
}
