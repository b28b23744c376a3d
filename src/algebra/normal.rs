//! Equal expressions brought to one form, as far as identities that are known decide it.
//!
//! First functions are rewritten into few: angles into sines and cosines of base angles,
//! hyperbolic functions into exponentials, logarithms and powers with symbolic exponents taken
//! apart. Then the expression is a fraction of polynomials in what is left. The result is for
//! comparing, not for reading. It is equal to the original wherever both are defined.

use std::collections::BTreeSet;

use num_traits::{One, Zero};
use rustc_hash::FxHashMap;

use super::generators::{Generators, Rules};
use super::node::{Function, Id, Node};
use super::{Algebra, Rational, number};

/// Angles of later parts can change how earlier ones are split; so often it is begun anew.
const MOST_PASSES: u32 = 4;

/// So much is remembered not to be negative.
const MOST_IMPLIED: usize = 12;

/// The rewriting of some expressions that are compared with each other.
pub(super) struct Normal<'a> {
    pub algebra: &'a mut Algebra,
    rewritten: FxHashMap<Id, Id>,
    settled: FxHashMap<Id, Id>,
    /// Of each angle the part of which all its multiples are whole multiples.
    pub angles: FxHashMap<Id, Rational>,
    /// What cannot be negative where the expressions are defined, because it stands alone under
    /// a root or in a logarithm.
    implied: BTreeSet<Id>,
    /// Whether an angle was split further than before, or more is known not to be negative.
    pub is_split: bool,
}

impl Algebra {
    /// Whether the expression is 0 wherever it is defined: `Some(true)` and `Some(false)` are
    /// proved by algebra, `None` is unknown.
    pub fn is_identically_zero(&mut self, id: Id) -> Option<bool> {
        if let Some(value) = self.as_number(id) {
            return Some(value.is_zero());
        }
        self.asked(
            |asked| &mut asked.zero,
            id,
            |algebra| algebra.find_out_whether_zero(id),
        )
    }

    fn find_out_whether_zero(&mut self, id: Id) -> Option<bool> {
        let rewritten = self.rewritten(id);
        if self.is_undefined(rewritten) {
            return None;
        }
        let mut generators = Generators::of(self, &[rewritten], Rules::ALL)?;
        let fraction = generators.fraction(self, rewritten)?;
        if fraction.is_zero() {
            return Some(true);
        }
        generators
            .are_independent(self, &fraction.above)
            .then_some(false)
    }

    /// The expression in few functions, for comparing.
    pub(super) fn rewritten(&mut self, id: Id) -> Id {
        let mut normal = Normal::new(self);
        let mut result = normal.rewrite(id);
        for _ in 0..MOST_PASSES {
            if !normal.is_split {
                break;
            }
            normal.begin_anew();
            result = normal.rewrite(id);
        }
        result
    }
}

impl<'a> Normal<'a> {
    fn new(algebra: &'a mut Algebra) -> Self {
        Self {
            algebra,
            rewritten: FxHashMap::default(),
            settled: FxHashMap::default(),
            angles: FxHashMap::default(),
            implied: BTreeSet::new(),
            is_split: false,
        }
    }

    fn begin_anew(&mut self) {
        self.rewritten.clear();
        self.settled.clear();
        self.is_split = false;
    }

    /// The expression in few functions.
    pub fn rewrite(&mut self, id: Id) -> Id {
        if let Some(found) = self.rewritten.get(&id) {
            return *found;
        }
        if self.algebra.is_exhausted() {
            return id;
        }
        let result = match self.algebra.node(id).clone() {
            Node::Undefined | Node::Number(_) | Node::Pi | Node::Symbol(_) => id,
            Node::Sum(sum) => {
                let mut terms = Vec::with_capacity(sum.terms.len());
                for (term, coefficient) in sum.terms {
                    terms.push((self.rewrite(term), coefficient));
                }
                self.algebra.sum_of(&sum.constant, &terms)
            }
            Node::Product(factors) => {
                let mut parts = Vec::with_capacity(factors.len());
                for (base, exponent) in factors {
                    let base = self.rewrite(base);
                    parts.push(self.raise(base, &exponent));
                }
                self.algebra.multiply(&parts)
            }
            Node::Power(base, exponent) => {
                let (base, exponent) = (self.canonical(base), self.canonical(exponent));
                self.power(base, exponent)
            }
            Node::Call(function, arguments) => {
                let mut canonical = Vec::with_capacity(arguments.len());
                for argument in arguments {
                    canonical.push(self.canonical(argument));
                }
                self.call(function, &canonical)
            }
        };
        self.rewritten.insert(id, result);
        self.rewritten.insert(result, result);
        result
    }

    /// One form for equal expressions: a factored fraction of what is left after rewriting.
    pub fn canonical(&mut self, id: Id) -> Id {
        let rewritten = self.rewrite(id);
        self.settle(rewritten)
    }

    /// The canonical form of what is rewritten already.
    pub fn settle(&mut self, rewritten: Id) -> Id {
        if self.is_simple(rewritten) {
            return rewritten;
        }
        if let Some(found) = self.settled.get(&rewritten) {
            return *found;
        }
        let result = self.fraction(rewritten, Rules::ALL).unwrap_or(rewritten);
        self.settled.insert(rewritten, result);
        self.settled.insert(result, result);
        self.rewritten.insert(result, result);
        result
    }

    fn fraction(&mut self, rewritten: Id, rules: Rules) -> Option<Id> {
        let mut generators = Generators::of(self.algebra, &[rewritten], rules)?;
        let fraction = generators.fraction(self.algebra, rewritten)?.cancelled();
        let (above, below) = generators.ids(self.algebra, &fraction, true);
        Some(self.algebra.divide(above, below))
    }

    /// A product of powers of symbols, which is canonical as it stands.
    fn is_simple(&self, id: Id) -> bool {
        let (_, rest) = self.algebra.split_coefficient(id);
        let Some(rest) = rest else {
            return true;
        };
        let is_letter = |id: Id| matches!(self.algebra.node(id), Node::Symbol(_) | Node::Pi);
        match self.algebra.node(rest) {
            Node::Product(factors) => factors.iter().all(|(base, _)| is_letter(*base)),
            _ => is_letter(rest),
        }
    }

    /// A rational power of what is rewritten.
    pub fn raise(&mut self, base: Id, exponent: &Rational) -> Id {
        let is_compound = matches!(self.algebra.node(base), Node::Sum(_) | Node::Product(_));
        if exponent.is_integer() {
            return self.algebra.raise(base, exponent);
        }
        if !is_compound {
            self.imply(base);
            return self.algebra.raise(base, exponent);
        }
        let base = self.settle(base);
        let Some(parts) = self.parts_by_sign(base) else {
            return self.algebra.raise(base, exponent);
        };
        if let Some((base, _)) = parts.together {
            self.imply(base);
        }
        let mut factors: Vec<(Id, Rational)> = parts
            .apart
            .into_iter()
            .map(|(part, own)| (part, own * exponent))
            .collect();
        factors.extend(parts.together.map(|(part, own)| (part, own * exponent)));
        self.algebra.product_of(&factors)
    }

    /// The factors of a canonical expression, those that may be taken out of a root, a logarithm
    /// or a symbolic power apart from the others. `None` when it can only be negative.
    pub fn parts_by_sign(&mut self, id: Id) -> Option<Parts> {
        let id = self.shorter_by_circle(id);
        let (coefficient, factors) = self.factors(id);
        let mut apart = Vec::new();
        let mut kept = Vec::new();
        if !coefficient.abs().is_one() {
            apart.push((self.algebra.number(coefficient.abs()), Rational::one()));
        }
        let factors = self.split_by_implied(factors);
        for (base, exponent) in factors {
            if self.algebra.sign(base).is_not_negative() {
                self.algebra.lean(base);
                apart.push((base, exponent));
            } else if self.implied.contains(&base) || !exponent.is_integer() {
                // Under a root of its own it cannot be negative.
                apart.push((base, exponent));
            } else if number::is_even(&exponent) {
                let size = self.algebra.call(Function::Abs, &[base]);
                apart.push((size, exponent));
            } else {
                kept.push((base, exponent));
            }
        }
        let together = self.kept_together(kept, coefficient.is_negative(), &mut apart)?;
        Some(Parts { apart, together })
    }

    /// Notes that what alone is left under a root or in a logarithm is not negative: elsewhere
    /// the expressions that are compared are not defined.
    pub fn imply(&mut self, base: Id) {
        let is_known = self.algebra.sign(base).is_not_negative();
        if !is_known && self.implied.len() < MOST_IMPLIED && self.implied.insert(base) {
            self.is_split = true;
        }
    }

    /// Takes sums that cannot be negative out of sums that they divide, as in
    /// `sqrt(a^2 - b^2) = sqrt(a - b) sqrt(a + b)`.
    fn split_by_implied(&mut self, factors: Vec<(Id, Rational)>) -> Vec<(Id, Rational)> {
        let implied: Vec<Id> = self.implied.iter().copied().collect();
        let is_sum = |algebra: &Algebra, id: Id| matches!(algebra.node(id), Node::Sum(_));
        let mut split = Vec::new();
        for (mut base, exponent) in factors {
            for known in &implied {
                if !is_sum(self.algebra, base) || !is_sum(self.algebra, *known) || base == *known {
                    continue;
                }
                let quotient = self.algebra.divide(base, *known);
                let quotient = self.settle(quotient);
                let (_, factors) = self.factors(quotient);
                if factors.iter().all(|(_, power)| !power.is_negative()) {
                    split.push((*known, exponent.clone()));
                    base = quotient;
                }
            }
            split.push((base, exponent));
        }
        split
    }

    /// A number in front and the other factors with their exponents.
    fn factors(&self, id: Id) -> (Rational, Vec<(Id, Rational)>) {
        let (coefficient, rest) = self.algebra.split_coefficient(id);
        let factors = match rest.map(|rest| (rest, self.algebra.node(rest))) {
            None => Vec::new(),
            Some((_, Node::Product(factors))) => factors.clone(),
            Some((rest, _)) => vec![(rest, Rational::one())],
        };
        (coefficient, factors)
    }

    /// `1 - cos^2` as `sin^2`, which is a square.
    fn shorter_by_circle(&mut self, id: Id) -> Id {
        if !self.algebra.has_call(id, &[Function::Cos]) {
            return id;
        }
        let rules = Rules {
            circle: Some(Function::Cos),
            ..Rules::ALL
        };
        match self.fraction(id, rules) {
            Some(other) if self.algebra.length(other) < self.algebra.length(id) => other,
            _ => id,
        }
    }

    /// Odd powers of what may be negative, as one power of their product: `f^3 g` is `f^2 (f g)`.
    fn kept_together(
        &mut self,
        kept: Vec<(Id, Rational)>,
        is_negative: bool,
        apart: &mut Vec<(Id, Rational)>,
    ) -> Option<Option<(Id, Rational)>> {
        let sign = number::whole(if is_negative { -1 } else { 1 });
        match kept.as_slice() {
            [] if is_negative => return None,
            [] => return Some(None),
            [(base, exponent)] => {
                let base = self.algebra.scale(*base, &sign);
                return Some(Some((base, exponent.clone())));
            }
            _ => {}
        }
        let is_below = kept.iter().all(|(_, exponent)| exponent.is_negative());
        let one = number::whole(if is_below { -1 } else { 1 });
        let mut bases = vec![self.algebra.number(sign)];
        for (base, exponent) in kept {
            let even = exponent - &one;
            if !even.is_zero() {
                let size = self.algebra.call(Function::Abs, &[base]);
                apart.push((size, even));
            }
            bases.push(base);
        }
        let product = self.algebra.multiply(&bases);
        Some(Some((self.algebra.expand(product), one)))
    }

    /// A function of canonical arguments.
    fn call(&mut self, function: Function, arguments: &[Id]) -> Id {
        let Some(first) = arguments.first().copied() else {
            return self.algebra.call(function, arguments);
        };
        match (function, arguments) {
            (Function::Exp, _) => self.exponential(first),
            (Function::Ln, _) => self.logarithm(first),
            (Function::Sin, _) => self.angle(first).0,
            (Function::Cos, _) => self.angle(first).1,
            (Function::Tan, _) => {
                let (sine, cosine) = self.angle(first);
                self.algebra.divide(sine, cosine)
            }
            (Function::Sinh | Function::Cosh | Function::Tanh, _) => {
                self.hyperbolic(function, first)
            }
            (Function::Asin | Function::Acos | Function::Atan | Function::Asinh, _) => {
                self.inverse(function, first)
            }
            (Function::Atan2, [above, below]) if self.algebra.sign(*below).is_positive() => {
                self.algebra.lean(*below);
                let quotient = self.algebra.divide(*above, *below);
                let quotient = self.settle(quotient);
                self.inverse(Function::Atan, quotient)
            }
            (Function::Cbrt, _) => self.cube_root(first),
            (Function::Sign, _) => {
                let size = self.algebra.call(Function::Abs, &[first]);
                self.algebra.divide(first, size)
            }
            (Function::Min | Function::Max, _) => {
                let mut sorted = arguments.to_vec();
                sorted.sort_unstable();
                sorted.dedup();
                self.algebra.call(function, &sorted)
            }
            _ => self.algebra.call(function, arguments),
        }
    }

    /// The cube root of a product is the product of cube roots, whatever their signs.
    fn cube_root(&mut self, argument: Id) -> Id {
        let (coefficient, factors) = self.factors(argument);
        let third = number::ratio(1, 3);
        let size = self.algebra.number(coefficient.abs());
        let mut parts = vec![(size, third.clone())];
        for (base, exponent) in factors {
            if self.algebra.sign(base).is_not_negative() || !exponent.is_integer() {
                parts.push((base, exponent * &third));
            } else {
                parts.push((self.algebra.call(Function::Cbrt, &[base]), exponent));
            }
        }
        let root = self.algebra.product_of(&parts);
        let sign = number::whole(if coefficient.is_negative() { -1 } else { 1 });
        self.algebra.scale(root, &sign)
    }

    /// The terms of a canonical expression, `(a + b)/c` as `a/c` and `b/c`, with their
    /// coefficients; a number is a multiple of 1.
    pub fn terms(&mut self, id: Id) -> Vec<(Id, Rational)> {
        self.algebra.expanded_terms(id)
    }
}

/// Factors of an expression, powers of which are taken one by one.
pub(super) struct Parts {
    /// What is not negative where the expression has a root.
    pub apart: Vec<(Id, Rational)>,
    /// The rest, that only together is known to be positive.
    pub together: Option<(Id, Rational)>,
}
