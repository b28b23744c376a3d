//! Fractions gathered, and the shortest of a few equal forms.

use num_traits::{One, Zero};
use rustc_hash::FxHashMap;

use super::generators::{Generators, Rules};
use super::node::{Function, Id, Node};
use super::{Algebra, Rational};

/// What is longer than this is not simplified.
const MOST_LENGTH: u64 = 600;

/// Functions of angles.
const ANGLES: [Function; 3] = [Function::Sin, Function::Cos, Function::Tan];

/// Other functions that can get shorter when they are taken apart.
const REWRITTEN: [Function; 6] = [
    Function::Exp,
    Function::Ln,
    Function::Sinh,
    Function::Cosh,
    Function::Tanh,
    Function::Cbrt,
];

/// Functions for which what they are rewritten to is not defined everywhere they are.
const NARROWED: [Function; 4] = [
    Function::Asin,
    Function::Acos,
    Function::Atan2,
    Function::Sign,
];

impl Algebra {
    /// The expression over a common denominator: what is above and what is below the fraction,
    /// with everything cancelled that is found to be common. Both are factored as far as it is
    /// cheap; numbers are whole. Functions and roots are left as they are.
    ///
    /// The quotient is equal to the original wherever that is defined. What cannot be gathered,
    /// because it is too large or has no value, stays above with 1 below.
    pub fn together(&mut self, id: Id) -> (Id, Id) {
        let gathered = self.gathered(id, Rules::PLAIN, true);
        gathered.unwrap_or_else(|| (id, self.whole(1)))
    }

    fn gathered(&mut self, id: Id, rules: Rules, factoring: bool) -> Option<(Id, Id)> {
        let mut generators = Generators::of(self, &[id], rules)?;
        let fraction = generators.fraction(self, id)?.cancelled();
        Some(generators.ids(self, &fraction, factoring))
    }

    /// The shortest of a few equal forms: as it is, multiplied out, gathered over a common
    /// denominator, factored, with squares of sines and cosines replaced by each other, and with
    /// functions taken apart. Never longer than the original by [`Algebra::length`].
    ///
    /// Equal to the original wherever that is defined.
    pub fn simplify(&mut self, id: Id) -> Id {
        if self.length(id) > MOST_LENGTH {
            return id;
        }
        let id = self.with_simple_arguments(id);
        let mut best = id;
        for _ in 0..3 {
            let found = self.shortest_form(best);
            if found == best {
                break;
            }
            best = found;
        }
        best
    }

    /// Simplifies what stands inside functions, roots and exponents.
    fn with_simple_arguments(&mut self, id: Id) -> Id {
        let mut by: FxHashMap<Id, Id> = FxHashMap::default();
        let mut open = vec![id];
        while let Some(id) = open.pop() {
            let inner: Vec<Id> = match self.node(id) {
                Node::Call(_, arguments) => arguments.clone(),
                Node::Power(base, exponent) => vec![*base, *exponent],
                Node::Product(factors) => {
                    let roots = factors
                        .iter()
                        .filter(|(_, exponent)| !exponent.is_integer());
                    roots.map(|(base, _)| *base).collect()
                }
                _ => Vec::new(),
            };
            open.extend(
                self.parts(id)
                    .into_iter()
                    .filter(|part| !inner.contains(part)),
            );
            for part in inner {
                if !by.contains_key(&part) && self.length(part) > 1 {
                    let simple = self.simplify(part);
                    if simple != part {
                        by.insert(part, simple);
                    }
                }
            }
        }
        if by.is_empty() {
            return id;
        }
        let simpler = self.substitute(id, &by);
        if self.length(simpler) <= self.length(id) {
            simpler
        } else {
            id
        }
    }

    fn shortest_form(&mut self, id: Id) -> Id {
        let mut forms = vec![self.expand(id)];
        self.push_gathered(&mut forms, id, Rules::PLAIN);
        if self.has_call(id, &ANGLES) {
            for circle in [Function::Sin, Function::Cos] {
                let rules = Rules {
                    circle: Some(circle),
                    no_root_below: false,
                };
                self.push_gathered(&mut forms, id, rules);
            }
        }
        let is_rewritable = self.has_call(id, &ANGLES) || self.has_call(id, &REWRITTEN);
        if is_rewritable && !self.has_call(id, &NARROWED) {
            let rewritten = self.rewritten(id);
            for circle in [Function::Sin, Function::Cos] {
                let rules = Rules {
                    circle: Some(circle),
                    no_root_below: true,
                };
                self.push_gathered(&mut forms, rewritten, rules);
            }
        }
        let mut best = (self.length(id), id);
        for form in forms {
            let length = self.length(form);
            if length < best.0 && !self.is_undefined(form) {
                best = (length, form);
            }
        }
        best.1
    }

    fn push_gathered(&mut self, forms: &mut Vec<Id>, id: Id, rules: Rules) {
        if self.is_exhausted() {
            return;
        }
        for factoring in [false, true] {
            if let Some((above, below)) = self.gathered(id, rules, factoring) {
                let quotient = self.divide(above, below);
                forms.push(quotient);
                let above = self.expand(above);
                let one = self.whole(1);
                let inverse = self.divide(one, below);
                forms.push(self.multiply(&[above, inverse]));
            }
        }
    }

    /// How long an expression is to read: symbols, numbers, operations and functions, each
    /// counted wherever it stands.
    pub fn length(&self, id: Id) -> u64 {
        self.length_into(id, &mut FxHashMap::default())
    }

    fn length_into(&self, id: Id, done: &mut FxHashMap<Id, u64>) -> u64 {
        if let Some(found) = done.get(&id) {
            return *found;
        }
        let length: u64 = match self.node(id) {
            Node::Undefined => 1000,
            Node::Number(value) => number_length(value),
            Node::Pi | Node::Symbol(_) => 1,
            Node::Sum(sum) => {
                let terms = sum.terms.iter();
                let terms = terms.map(|(term, coefficient)| {
                    1 + self.length_into(*term, done) + coefficient_length(coefficient)
                });
                let constant = if sum.constant.is_zero() {
                    0
                } else {
                    1 + number_length(&sum.constant)
                };
                terms
                    .fold(0_u64, u64::saturating_add)
                    .saturating_add(constant)
                    - 1
            }
            Node::Product(factors) => {
                let is_below = |(_, exponent): &&(Id, Rational)| exponent.is_negative();
                let below = factors.iter().filter(is_below).count();
                // A fraction has its line, and a 1 above it when nothing else is.
                let line = u64::from(below > 0) + u64::from(below == factors.len());
                let factors = factors.iter();
                let factors = factors.map(|(base, exponent)| {
                    1 + self.length_into(*base, done) + coefficient_length(&exponent.abs())
                });
                factors.fold(line, u64::saturating_add) - 1
            }
            Node::Power(base, exponent) => {
                let base = self.length_into(*base, done);
                base.saturating_add(self.length_into(*exponent, done)) + 1
            }
            Node::Call(_, arguments) => {
                let arguments = arguments
                    .iter()
                    .map(|argument| self.length_into(*argument, done));
                arguments.fold(2_u64, u64::saturating_add)
            }
        };
        done.insert(id, length);
        length
    }
}

fn number_length(value: &Rational) -> u64 {
    if value.is_integer() { 1 } else { 3 }
}

fn coefficient_length(value: &Rational) -> u64 {
    if value.abs().is_one() {
        0
    } else {
        number_length(value)
    }
}
