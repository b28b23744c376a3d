//! Products on the way to their canonical form.

use std::collections::BTreeMap;

use num_traits::{One, Zero};

use super::node::{Function, Id, Node};
use super::{Algebra, Rational, number};

/// A number with more bits than this is not raised further.
const MOST_BITS: u64 = 4096;

/// Trying the primes of a number costs so many times what a product of it costs.
const PRIMES_TRIED: u32 = 8;

/// The factors of a product, gathered by base.
#[derive(Debug, Default)]
pub(super) struct Factors {
    /// The number in front; `None` is 1.
    coefficient: Option<Rational>,
    is_undefined: bool,
    rational: BTreeMap<Id, Rational>,
    symbolic: BTreeMap<Id, Vec<Id>>,
    /// What stands in the exponential functions.
    exponential: Vec<(Id, Rational)>,
}

impl Factors {
    /// Adds `id^exponent`.
    pub fn push(&mut self, algebra: &mut Algebra, id: Id, exponent: &Rational) {
        algebra.step();
        if exponent.is_zero() {
            return;
        }
        match algebra.node(id).clone() {
            Node::Undefined => self.is_undefined = true,
            Node::Number(value) => self.push_number(algebra, id, &value, exponent),
            Node::Sum(_) => self.push_sum(algebra, id, exponent),
            Node::Product(factors) => self.push_product(algebra, factors, exponent),
            Node::Power(base, inner) => {
                if exponent.is_integer() || algebra.sign(base).is_positive() {
                    if !exponent.is_integer() {
                        algebra.lean(base);
                    }
                    let inner = algebra.scale(inner, exponent);
                    self.symbolic.entry(base).or_default().push(inner);
                } else {
                    self.plain(id, exponent);
                }
            }
            Node::Call(Function::Exp, arguments) => {
                let argument = arguments.first().copied();
                self.exponential
                    .extend(argument.map(|argument| (argument, exponent.clone())));
            }
            Node::Call(Function::Abs, arguments) if number::is_even(exponent) => {
                if let Some(inner) = arguments.first() {
                    self.push(algebra, *inner, exponent);
                }
            }
            _ => self.plain(id, exponent),
        }
    }

    /// Adds `base^exponent` with an exponent that is no number.
    pub fn push_power(&mut self, algebra: &mut Algebra, base: Id, exponent: Id) {
        if algebra.is_one(base) {
            return;
        }
        match algebra.node(base).clone() {
            Node::Undefined => self.is_undefined = true,
            Node::Call(Function::Exp, arguments) => {
                let arguments: Vec<Id> = arguments.into_iter().chain([exponent]).collect();
                let product = algebra.multiply(&arguments);
                self.exponential.push((product, Rational::one()));
            }
            Node::Product(factors) => {
                let mut kept = Vec::new();
                for (inner, own) in factors {
                    if algebra.sign(inner).is_positive() {
                        algebra.lean(inner);
                        let exponent = algebra.scale(exponent, &own);
                        self.push_power(algebra, inner, exponent);
                    } else {
                        kept.push((inner, own));
                    }
                }
                if !kept.is_empty() {
                    let base = algebra.product_of(&kept);
                    self.symbolic.entry(base).or_default().push(exponent);
                }
            }
            Node::Power(inner, own) if algebra.sign(inner).is_positive() => {
                algebra.lean(inner);
                let exponent = algebra.multiply(&[own, exponent]);
                self.push_power(algebra, inner, exponent);
            }
            Node::Sum(_) => {
                let (coefficient, rest) = algebra.split_coefficient(base);
                match rest {
                    Some(rest) if coefficient.is_positive() && !coefficient.is_one() => {
                        let number = algebra.number(coefficient);
                        self.symbolic.entry(number).or_default().push(exponent);
                        self.push_power(algebra, rest, exponent);
                    }
                    _ => self.symbolic.entry(base).or_default().push(exponent),
                }
            }
            _ => self.symbolic.entry(base).or_default().push(exponent),
        }
    }

    /// The canonical product.
    pub fn finish(mut self, algebra: &mut Algebra) -> Id {
        self.merge_symbolic(algebra);
        self.merge_exponential(algebra);
        if self.is_undefined {
            return algebra.undefined();
        }
        let coefficient = self.coefficient.take().unwrap_or_else(Rational::one);
        if coefficient.is_zero() {
            return algebra.number(coefficient);
        }
        let factors: Vec<(Id, Rational)> = self
            .rational
            .into_iter()
            .filter(|(_, exponent)| !exponent.is_zero())
            .collect();
        let product = match factors.as_slice() {
            [] => return algebra.number(coefficient),
            [(base, exponent)] if exponent.is_one() => *base,
            _ => algebra.intern(Node::Product(factors)),
        };
        if coefficient.is_one() {
            product
        } else {
            algebra.scale(product, &coefficient)
        }
    }

    fn times(&mut self, algebra: &mut Algebra, value: &Rational) {
        let before = self.coefficient.take().unwrap_or_else(Rational::one);
        let product = before * value;
        algebra.weigh(&product);
        self.coefficient = Some(product);
    }

    fn plain(&mut self, base: Id, exponent: &Rational) {
        *self.rational.entry(base).or_insert_with(Rational::zero) += exponent;
    }

    fn push_number(
        &mut self,
        algebra: &mut Algebra,
        id: Id,
        value: &Rational,
        exponent: &Rational,
    ) {
        if value.is_zero() && exponent.is_negative() {
            self.is_undefined = true;
        } else if let Some(whole) = number::as_whole(exponent) {
            match number::raised(value, whole, MOST_BITS) {
                Some(power) => self.times(algebra, &power),
                // A number too large to write out stays as it stands.
                None => self.plain(id, exponent),
            }
        } else if value.is_positive() {
            self.push_root(algebra, value, exponent);
        } else if value.is_zero() {
            self.times(algebra, value);
        } else {
            // A root of a negative number has no real value.
            self.is_undefined = true;
        }
    }

    /// A root of a positive number: `12^(1/2)` is 2 times `3^(1/2)`.
    fn push_root(&mut self, algebra: &mut Algebra, value: &Rational, exponent: &Rational) {
        // Each of many primes is tried.
        algebra.count(PRIMES_TRIED.saturating_mul(number::weight(number::bits(value))));
        for (part, sign) in [(value.numer(), 1), (value.denom(), -1)] {
            for (prime, power) in number::factors(part) {
                let base = algebra.number(Rational::from_integer(prime.clone()));
                let before = self.rational.remove(&base).unwrap_or_else(Rational::zero);
                let total = before + exponent * number::whole(power * sign);
                let floor = total.floor();
                let outside = number::as_whole(&floor).and_then(|floor| {
                    number::raised(&Rational::from_integer(prime), floor, MOST_BITS)
                });
                let rest = match outside {
                    Some(outside) => {
                        self.times(algebra, &outside);
                        total - floor
                    }
                    None => total,
                };
                if !rest.is_zero() {
                    self.rational.insert(base, rest);
                }
            }
        }
    }

    /// A power of a sum: its content is a factor of its own, so that `1/(2 a + 2 b)` and
    /// `(1/2)/(a + b)` are one.
    fn push_sum(&mut self, algebra: &mut Algebra, id: Id, exponent: &Rational) {
        let Node::Sum(sum) = algebra.node(id) else {
            return;
        };
        let coefficients = sum.terms.iter().map(|(_, coefficient)| coefficient);
        let numbers = coefficients.chain([&sum.constant]);
        let content = number::content(numbers.clone());
        let weights = numbers.map(|value| number::weight(number::bits(value)));
        let weight = weights.fold(0, u32::saturating_add);
        algebra.count(weight);
        let content = if algebra.leads_with_minus(id) && exponent.is_integer() {
            -content
        } else {
            content
        };
        if content.is_one() {
            return self.plain(id, exponent);
        }
        // The first power of a sum alone would be taken apart and put together again for ever.
        let primitive = algebra.scale(id, &content.recip());
        let number = algebra.number(content.clone());
        self.push_number(algebra, number, &content, exponent);
        match algebra.node(primitive) {
            Node::Sum(_) => self.plain(primitive, exponent),
            _ => self.push(algebra, primitive, exponent),
        }
    }

    /// A power of a product. A fractional one may be taken apart only where no sign gets lost.
    fn push_product(
        &mut self,
        algebra: &mut Algebra,
        factors: Vec<(Id, Rational)>,
        exponent: &Rational,
    ) {
        if exponent.is_integer() {
            for (base, own) in factors {
                self.push(algebra, base, &(own * exponent));
            }
            return;
        }
        let mut kept = Vec::new();
        for (base, own) in factors {
            if algebra.sign(base).is_not_negative() {
                algebra.lean(base);
                self.push(algebra, base, &(own * exponent));
            } else if number::is_even(&own) {
                // x^2 to the power 1/2 is |x|.
                let size = algebra.call(Function::Abs, &[base]);
                self.push(algebra, size, &(own * exponent));
            } else {
                kept.push((base, own));
            }
        }
        if !kept.is_empty() {
            let rest = algebra.product_of(&kept);
            self.plain(rest, exponent);
        }
    }

    /// Gathers powers with exponents that are no numbers: `x^n x` is `x^(n + 1)`, kept as `x^n`
    /// times `x`.
    fn merge_symbolic(&mut self, algebra: &mut Algebra) {
        // What is pushed back can be such a power again, of a smaller base.
        while let Some((base, exponents)) = self.symbolic.pop_first() {
            let total = algebra.add(&exponents);
            let (constant, rest) = match algebra.node(total).clone() {
                Node::Number(value) => (value, None),
                Node::Sum(sum) if !sum.constant.is_zero() => {
                    let rest = algebra.sum_of(&Rational::zero(), &sum.terms);
                    (sum.constant, Some(rest))
                }
                _ => (Rational::zero(), Some(total)),
            };
            if !constant.is_zero() {
                self.push(algebra, base, &constant);
            }
            if let Some(rest) = rest {
                let power = algebra.intern(Node::Power(base, rest));
                self.plain(power, &Rational::one());
            }
        }
    }

    fn merge_exponential(&mut self, algebra: &mut Algebra) {
        if self.exponential.is_empty() {
            return;
        }
        let terms = std::mem::take(&mut self.exponential);
        let argument = algebra.sum_of(&Rational::zero(), &terms);
        let power = algebra.call(Function::Exp, &[argument]);
        match algebra.node(power) {
            Node::Call(Function::Exp, _) => self.plain(power, &Rational::one()),
            _ => {
                self.push(algebra, power, &Rational::one());
                self.merge_symbolic(algebra);
                self.merge_exponential(algebra);
            }
        }
    }
}
