//! Common divisors of polynomials, and what a polynomial is a product of.
//!
//! Effort is bounded: beyond the bound no common divisor is found, and a fraction just stays
//! uncancelled.

use std::collections::BTreeMap;

use num_traits::Signed;

use super::number;
use super::polynomial::{Monomial, Polynomial};

/// Steps of one search, counted in terms that are worked on.
const MOST_EFFORT: usize = 30_000;

/// A polynomial larger than this is not searched.
const MOST_TERMS: usize = 250;

/// The greatest common divisor, first coefficient positive; 1 when it could not be found within
/// the bound.
pub fn common_divisor(left: &Polynomial, right: &Polynomial) -> Polynomial {
    if left.terms().len() > MOST_TERMS || right.terms().len() > MOST_TERMS {
        return Polynomial::one();
    }
    let mut search = Search {
        effort: MOST_EFFORT,
    };
    // What stands only in powers of x^12, as after a root, is searched as one in x.
    let steps = common_steps(left, right);
    let step = |variable: u16| steps.get(&variable).copied().unwrap_or(1).max(1);
    let coarser = |polynomial: &Polynomial| {
        polynomial.with_exponents(|variable, exponent| exponent / step(variable))
    };
    let found = search.divisor(&coarser(left), &coarser(right));
    found.map_or_else(Polynomial::one, |found| {
        found.with_exponents(|variable, exponent| exponent * step(variable))
    })
}

/// The common divisor of all exponents of each variable.
fn common_steps(left: &Polynomial, right: &Polynomial) -> BTreeMap<u16, u32> {
    let mut steps = BTreeMap::new();
    for (monomial, _) in left.terms().iter().chain(right.terms()) {
        for (variable, exponent) in monomial.powers() {
            let step = steps.entry(*variable).or_insert(0);
            *step = number::common(i64::from(*step), i64::from(*exponent)) as u32;
        }
    }
    steps
}

/// What a polynomial is a product of: factors with no common divisor and no square, with how
/// often they stand in it. A number in front is left out; powers of single variables come first.
///
/// Factors are found as far as it is cheap: those free of a variable, and repeated ones.
pub fn factored(polynomial: &Polynomial) -> Vec<(Polynomial, u32)> {
    let monomial = polynomial.common_monomial();
    let mut factors: Vec<(Polynomial, u32)> = monomial
        .powers()
        .iter()
        .map(|(variable, power)| (variable_alone(*variable), *power))
        .collect();
    let rest = polynomial.lowered(&monomial);
    let rest = rest.divided(&rest.content());
    if rest.as_constant().is_none() {
        let mut found = Vec::new();
        split_by_variables(&rest, &mut found);
        found.sort_by(|one, two| one.0.terms().cmp(two.0.terms()));
        factors.extend(found);
    }
    factors
}

fn variable_alone(variable: u16) -> Polynomial {
    Polynomial::term(Monomial::power(variable, 1), 1.into())
}

/// Takes out the factors that are free of some variable.
fn split_by_variables(polynomial: &Polynomial, found: &mut Vec<(Polynomial, u32)>) {
    if polynomial.terms().len() <= MOST_TERMS {
        for variable in polynomial.variables() {
            let mut search = Search {
                effort: MOST_EFFORT,
            };
            let Some(free) = search.content(polynomial, variable) else {
                continue;
            };
            if free.as_constant().is_some() {
                continue;
            }
            if let Some(rest) = polynomial.over(&free) {
                split_by_variables(&free, found);
                split_by_variables(&rest, found);
                return;
            }
        }
    }
    split_repeated(polynomial, found);
}

/// Takes out repeated factors.
fn split_repeated(polynomial: &Polynomial, found: &mut Vec<(Polynomial, u32)>) {
    let variables = polynomial.variables();
    let lowest = variables
        .iter()
        .map(|variable| (polynomial.degree(*variable), *variable))
        .min();
    let Some((degree, variable)) = lowest.filter(|(degree, _)| *degree > 1) else {
        return push(found, polynomial.clone(), 1);
    };
    if degree > 40 {
        return push(found, polynomial.clone(), 1);
    }
    let mut repeated = common_divisor(polynomial, &polynomial.derivative(variable));
    let Some(mut once) = polynomial.over(&repeated) else {
        return push(found, polynomial.clone(), 1);
    };
    let mut power = 1;
    while once.as_constant().is_none() {
        let still = common_divisor(&once, &repeated);
        let Some(done) = once.over(&still) else {
            break;
        };
        if done.as_constant().is_none() {
            push(found, done, power);
        }
        if still.as_constant().is_some() {
            if repeated.as_constant().is_none() {
                push(found, repeated, 1);
            }
            return;
        }
        let Some(left) = repeated.over(&still) else {
            break;
        };
        (once, repeated, power) = (still, left, power + 1);
    }
}

fn push(found: &mut Vec<(Polynomial, u32)>, factor: Polynomial, power: u32) {
    match found.iter_mut().find(|(known, _)| *known == factor) {
        Some((_, before)) => *before += power,
        None => found.push((factor, power)),
    }
}

struct Search {
    effort: usize,
}

impl Search {
    fn spend(&mut self, steps: usize) -> Option<()> {
        self.effort = self.effort.checked_sub(steps)?;
        Some(())
    }

    fn divisor(&mut self, left: &Polynomial, right: &Polynomial) -> Option<Polynomial> {
        self.spend(1 + left.effort() + right.effort())?;
        if left.is_zero() || right.is_zero() {
            let other = if left.is_zero() { right } else { left };
            return Some(positive(other));
        }
        let number = number::gcd(&left.content(), &right.content());
        let shared = left.common_monomial().common(&right.common_monomial());
        let shared = Polynomial::term(shared, number);
        let primitive = |polynomial: &Polynomial| {
            let lowered = polynomial.lowered(&polynomial.common_monomial());
            lowered.divided(&lowered.content())
        };
        let found = self.primitive_divisor(primitive(left), primitive(right))?;
        found.times(&shared)
    }

    /// Of two without common number or monomial.
    fn primitive_divisor(&mut self, left: Polynomial, right: Polynomial) -> Option<Polynomial> {
        if left.as_constant().is_some() || right.as_constant().is_some() {
            return Some(Polynomial::one());
        }
        if left == right {
            return Some(left);
        }
        let (ours, theirs) = (left.variables(), right.variables());
        // A variable of only one of them cannot stand in what both have.
        if let Some(variable) = ours.iter().find(|own| !theirs.contains(own)) {
            return self.divisor_with_all(right, left.by_power(*variable));
        }
        if let Some(variable) = theirs.iter().find(|own| !ours.contains(own)) {
            return self.divisor_with_all(left, right.by_power(*variable));
        }
        let (shorter, longer) = if left.terms().len() <= right.terms().len() {
            (&left, &right)
        } else {
            (&right, &left)
        };
        self.spend(longer.effort())?;
        if longer.over(shorter).is_some() {
            return Some(shorter.clone());
        }
        let easiest = |variable: &u16| {
            let (one, two) = (left.degree(*variable), right.degree(*variable));
            (one.min(two), one.max(two))
        };
        let variable = *ours.iter().min_by_key(|variable| easiest(variable))?;
        let (free_left, free_right) = (
            self.content(&left, variable)?,
            self.content(&right, variable)?,
        );
        let free = self.divisor(&free_left, &free_right)?;
        let found =
            self.by_remainders(left.over(&free_left)?, right.over(&free_right)?, variable)?;
        found.times(&free)
    }

    fn divisor_with_all(
        &mut self,
        start: Polynomial,
        others: Vec<(u32, Polynomial)>,
    ) -> Option<Polynomial> {
        let mut found = start;
        for (_, other) in others {
            found = self.divisor(&found, &other)?;
            if found.as_constant().is_some() {
                return Some(Polynomial::one());
            }
        }
        Some(positive(&found))
    }

    /// The common divisor of the coefficients of powers of a variable.
    fn content(&mut self, polynomial: &Polynomial, variable: u16) -> Option<Polynomial> {
        let mut parts = polynomial.by_power(variable);
        parts.sort_by_key(|(_, part)| part.terms().len());
        self.divisor_with_all(Polynomial::default(), parts)
    }

    /// Remainders of remainders, without what they have in common: the last but the zero is it.
    fn by_remainders(
        &mut self,
        left: Polynomial,
        right: Polynomial,
        variable: u16,
    ) -> Option<Polynomial> {
        let (mut high, mut low) = if left.degree(variable) >= right.degree(variable) {
            (left, right)
        } else {
            (right, left)
        };
        loop {
            if low.is_zero() {
                return Some(positive(&high));
            }
            if low.degree(variable) == 0 {
                return Some(Polynomial::one());
            }
            let remainder = self.remainder(high, &low, variable)?;
            high = low;
            low = if remainder.is_zero() {
                remainder
            } else {
                let free = self.content(&remainder, variable)?;
                let rest = remainder.over(&free)?;
                rest.divided(&rest.content())
            };
        }
    }

    /// The remainder of a multiple of `high` divided by `low`.
    fn remainder(
        &mut self,
        mut high: Polynomial,
        low: &Polynomial,
        variable: u16,
    ) -> Option<Polynomial> {
        let parts = low.by_power(variable);
        let (degree, lead) = parts.first()?.clone();
        loop {
            let above = high.degree(variable);
            if high.is_zero() || above < degree {
                return Some(high);
            }
            let first = high.by_power(variable).into_iter().next()?.1;
            self.spend(
                4 + lead.terms().len() * high.effort().max(lead.effort())
                    + first.terms().len() * low.effort().max(first.effort()),
            )?;
            let shift = Monomial::power(variable, above - degree);
            let scaled = high.times(&lead)?;
            high = scaled.minus(&low.times(&first)?.shifted(&shift));
        }
    }
}

fn positive(polynomial: &Polynomial) -> Polynomial {
    if polynomial.content().is_negative() {
        polynomial.negated()
    } else {
        polynomial.clone()
    }
}
