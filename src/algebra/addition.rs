//! Products of sines and cosines gathered: `sin a cos b - cos a sin b` is `sin(a - b)`.

use num_traits::{One, Zero};

use super::node::{Function, Id, Node};
use super::{Algebra, Rational, number};

/// A term `coefficient rest one(first) other(second)`.
struct Pair {
    coefficient: Rational,
    rest: Id,
    functions: [(Function, Id); 2],
}

impl Algebra {
    /// The shortest form, also with the addition theorems read from right to left.
    pub(super) fn shortest_with_angles(&mut self, id: Id) -> Id {
        let short = self.shortest(id);
        let mut best = short;
        for start in [id, short] {
            let contracted = self.contracted(start);
            if contracted == start {
                continue;
            }
            let contracted = self.shortest(contracted);
            if self.length(contracted) < self.length(best) {
                best = contracted;
            }
        }
        best
    }

    /// With every sum contracted, also those that are factors.
    fn contracted(&mut self, id: Id) -> Id {
        self.step();
        if self.is_exhausted() || !self.has_call(id, &[Function::Sin, Function::Cos]) {
            return id;
        }
        match self.node(id).clone() {
            Node::Sum(sum) => {
                let mut terms: Vec<(Id, Rational)> = sum
                    .terms
                    .into_iter()
                    .map(|(term, coefficient)| (self.contracted(term), coefficient))
                    .collect();
                while let Some((one, other, term)) = self.contractible(&terms) {
                    terms.remove(other);
                    terms.remove(one);
                    terms.push(term);
                }
                self.sum_of(&sum.constant, &terms)
            }
            Node::Product(factors) => {
                let factors: Vec<(Id, Rational)> = factors
                    .into_iter()
                    .map(|(base, exponent)| (self.contracted(base), exponent))
                    .collect();
                self.product_of(&factors)
            }
            _ => id,
        }
    }

    /// Two terms, the first before the other, and what they are together.
    fn contractible(&mut self, terms: &[(Id, Rational)]) -> Option<(usize, usize, (Id, Rational))> {
        let pairs: Vec<Option<Pair>> = terms
            .iter()
            .map(|(term, coefficient)| self.as_pair(*term, coefficient))
            .collect();
        for one in 0..terms.len() {
            for other in one + 1..terms.len() {
                if let (Some(first), Some(second)) = (&pairs[one], &pairs[other])
                    && let Some(term) = self.contract(first, second)
                {
                    return Some((one, other, term));
                }
            }
        }
        None
    }

    /// A term with exactly one sine or cosine of each of two angles.
    fn as_pair(&mut self, term: Id, coefficient: &Rational) -> Option<Pair> {
        let Node::Product(factors) = self.node(term).clone() else {
            return None;
        };
        let mut functions = Vec::new();
        let mut rest = Vec::new();
        for (base, exponent) in factors {
            match self.node(base) {
                Node::Call(function @ (Function::Sin | Function::Cos), arguments)
                    if exponent.is_one() =>
                {
                    functions.push((*function, *arguments.first()?));
                }
                _ => rest.push((base, exponent)),
            }
        }
        functions.sort_by_key(|(_, argument)| *argument);
        Some(Pair {
            coefficient: coefficient.clone(),
            rest: self.product_of(&rest),
            functions: <[_; 2]>::try_from(functions).ok()?,
        })
    }

    fn contract(&mut self, one: &Pair, other: &Pair) -> Option<(Id, Rational)> {
        let [(f, a), (g, b)] = one.functions;
        let [(h, c), (k, d)] = other.functions;
        let is_same = one.rest == other.rest && (a, b) == (c, d) && a != b;
        if !is_same || one.coefficient.abs() != other.coefficient.abs() || f == h || g == k {
            return None;
        }
        let are_opposite = one.coefficient != other.coefficient;
        let minus = number::whole(-1);
        let (function, sign, coefficient) = if f != g {
            // sin a cos b +- cos a sin b
            let sign = if are_opposite { minus } else { Rational::one() };
            let of_sine = if f == Function::Sin { one } else { other };
            (Function::Sin, sign, of_sine.coefficient.clone())
        } else {
            // cos a cos b +- sin a sin b
            let sign = if are_opposite { Rational::one() } else { minus };
            let of_cosine = if f == Function::Cos { one } else { other };
            (Function::Cos, sign, of_cosine.coefficient.clone())
        };
        let angle = self.sum_of(&Rational::zero(), &[(a, Rational::one()), (b, sign)]);
        let value = self.call(function, &[angle]);
        Some((self.multiply(&[one.rest, value]), coefficient))
    }
}
