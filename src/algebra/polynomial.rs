//! Polynomials with whole coefficients in numbered variables.
//!
//! Terms are kept sorted, highest first, in the order of a dictionary: variable 0 weighs most.
//! What could grow beyond a bound gives `None` instead.

use std::cell::Cell;
use std::cmp::Ordering;
use std::collections::BTreeMap;

use dashu_base::DivRem;
use dashu_int::IBig;
use num_traits::{One, Signed, Zero};
use rustc_hash::FxHashMap;

use super::number;

/// More products of terms than this are not formed in one multiplication.
const MOST_PRODUCTS: usize = 8_000;

/// Working on so many terms of polynomials counts as a step.
const TERMS_OF_A_STEP: u32 = 4;

/// A power that may have more terms than this is not multiplied out.
const MOST_RAISED: f64 = 1_500.0;

thread_local! {
    /// How many terms were worked on on this thread since that was last asked; one with a long
    /// number counts as several.
    static WORK: Cell<u32> = const { Cell::new(0) };
}

/// How many steps the work takes that was done since this was last asked.
pub fn take_steps() -> u32 {
    WORK.take() / TERMS_OF_A_STEP
}

fn work(terms: usize) {
    let terms = u32::try_from(terms).unwrap_or(u32::MAX);
    WORK.set(WORK.get().saturating_add(terms));
}

/// Working on long numbers counts as working on so many terms more.
fn work_on(value: &IBig) {
    work(weight(value));
}

fn weight(value: &IBig) -> usize {
    (number::weight(number::bit_length(value)) as usize).saturating_mul(TERMS_OF_A_STEP as usize)
}

/// A product of powers of variables: sorted by variable, no exponent 0.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Monomial(Vec<(u16, u32)>);

impl Monomial {
    /// `variable^exponent`.
    pub fn power(variable: u16, exponent: u32) -> Self {
        if exponent == 0 {
            return Self::default();
        }
        Self(vec![(variable, exponent)])
    }

    /// Variables with their exponents.
    pub fn powers(&self) -> &[(u16, u32)] {
        &self.0
    }

    /// The exponent of a variable.
    pub fn exponent(&self, variable: u16) -> u32 {
        let found = self.0.binary_search_by_key(&variable, |(own, _)| *own);
        found.map_or(0, |at| self.0[at].1)
    }

    fn times(&self, other: &Self) -> Self {
        self.merged(other, |one, other| Some(one + other))
            .unwrap_or_default()
    }

    /// `None` when it does not divide.
    fn over(&self, other: &Self) -> Option<Self> {
        self.merged(other, u32::checked_sub)
    }

    /// The powers that both have.
    pub fn common(&self, other: &Self) -> Self {
        self.merged(other, |one, other| Some(one.min(other)))
            .unwrap_or_default()
    }

    fn merged(&self, other: &Self, join: impl Fn(u32, u32) -> Option<u32>) -> Option<Self> {
        let (mut left, mut right) = (self.0.iter().peekable(), other.0.iter().peekable());
        let mut merged = Vec::with_capacity(self.0.len() + other.0.len());
        loop {
            let (variable, one, two) = match (left.peek(), right.peek()) {
                (None, None) => return Some(Self(merged)),
                (Some(&&(own, exponent)), None) => (own, exponent, 0),
                (None, Some(&&(theirs, exponent))) => (theirs, 0, exponent),
                (Some(&&(own, exponent)), Some(&&(theirs, other))) => match own.cmp(&theirs) {
                    Ordering::Less => (own, exponent, 0),
                    Ordering::Greater => (theirs, 0, other),
                    Ordering::Equal => (own, exponent, other),
                },
            };
            left.next_if(|(own, _)| *own == variable);
            right.next_if(|(theirs, _)| *theirs == variable);
            let exponent = join(one, two)?;
            if exponent > 0 {
                merged.push((variable, exponent));
            }
        }
    }

    /// The same with one variable's exponent set to 0.
    fn without(&self, variable: u16) -> Self {
        let others = self.0.iter().filter(|(own, _)| *own != variable);
        Self(others.copied().collect())
    }
}

impl Ord for Monomial {
    fn cmp(&self, other: &Self) -> Ordering {
        for (one, two) in self.0.iter().zip(&other.0) {
            let order = two.0.cmp(&one.0).then(one.1.cmp(&two.1));
            if order != Ordering::Equal {
                return order;
            }
        }
        self.0.len().cmp(&other.0.len())
    }
}

impl PartialOrd for Monomial {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// A polynomial; the one without terms is 0.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Polynomial {
    terms: Vec<(Monomial, IBig)>,
}

impl Polynomial {
    /// A number.
    pub fn constant(value: IBig) -> Self {
        Self::term(Monomial::default(), value)
    }

    /// The number 1.
    pub fn one() -> Self {
        Self::constant(IBig::one())
    }

    /// `coefficient monomial`.
    pub fn term(monomial: Monomial, coefficient: IBig) -> Self {
        if coefficient.is_zero() {
            return Self::default();
        }
        Self {
            terms: vec![(monomial, coefficient)],
        }
    }

    /// The sum of terms in any order.
    pub fn gathered(terms: impl IntoIterator<Item = (Monomial, IBig)>) -> Self {
        let mut found: FxHashMap<Monomial, IBig> = FxHashMap::default();
        for (monomial, coefficient) in terms {
            work(1);
            work_on(&coefficient);
            *found.entry(monomial).or_default() += coefficient;
        }
        let mut terms: Vec<_> = found
            .into_iter()
            .filter(|(_, coefficient)| !coefficient.is_zero())
            .collect();
        terms.sort_unstable_by(|one, two| two.0.cmp(&one.0));
        Self { terms }
    }

    /// Monomials with their coefficients, highest first.
    pub fn terms(&self) -> &[(Monomial, IBig)] {
        &self.terms
    }

    /// Whether it is 0.
    pub fn is_zero(&self) -> bool {
        self.terms.is_empty()
    }

    /// The number, when it is one other than 0.
    pub fn as_constant(&self) -> Option<&IBig> {
        match self.terms.as_slice() {
            [(monomial, coefficient)] if monomial.0.is_empty() => Some(coefficient),
            _ => None,
        }
    }

    /// The variables that stand in it, sorted.
    pub fn variables(&self) -> Vec<u16> {
        let powers = self.terms.iter().flat_map(|(monomial, _)| &monomial.0);
        let mut found: Vec<u16> = powers.map(|(variable, _)| *variable).collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    /// The highest power of a variable.
    pub fn degree(&self, variable: u16) -> u32 {
        let exponents = self
            .terms
            .iter()
            .map(|(monomial, _)| monomial.exponent(variable));
        exponents.max().unwrap_or(0)
    }

    /// The difference of two.
    pub fn minus(&self, other: &Self) -> Self {
        let opposite = other
            .terms
            .iter()
            .map(|(monomial, value)| (monomial.clone(), -value));
        Self::gathered(self.terms.iter().cloned().chain(opposite))
    }

    /// The opposite.
    pub fn negated(&self) -> Self {
        self.scaled(&-IBig::one())
    }

    /// A multiple.
    pub fn scaled(&self, by: &IBig) -> Self {
        if by.is_zero() {
            return Self::default();
        }
        let terms = self.terms.iter().map(|(monomial, value)| {
            let product = value * by;
            work_on(&product);
            (monomial.clone(), product)
        });
        Self {
            terms: terms.collect(),
        }
    }

    /// The product with one term.
    pub fn shifted(&self, by: &Monomial) -> Self {
        if by.0.is_empty() {
            return self.clone();
        }
        work(self.terms.len());
        let terms = self.terms.iter();
        Self {
            terms: terms
                .map(|(monomial, value)| (monomial.times(by), value.clone()))
                .collect(),
        }
    }

    /// The product of two; `None` beyond the bound.
    pub fn times(&self, other: &Self) -> Option<Self> {
        if let [(monomial, value)] = other.terms.as_slice() {
            let shifted = self.shifted(monomial);
            return Some(if value.is_one() {
                shifted
            } else {
                shifted.scaled(value)
            });
        }
        if self.terms.len() == 1 {
            return other.times(self);
        }
        if self.terms.len() * other.terms.len() > MOST_PRODUCTS {
            return None;
        }
        let products = self.terms.iter().flat_map(|(one, own)| {
            let others = other.terms.iter();
            others.map(move |(two, theirs)| (one.times(two), own * theirs))
        });
        Some(Self::gathered(products))
    }

    /// A whole power; `None` beyond the bound.
    pub fn raised(&self, exponent: u32) -> Option<Self> {
        if let [(monomial, value)] = self.terms.as_slice() {
            if number::bit_length(value) * u64::from(exponent) > 8192 {
                return None;
            }
            let powers = monomial.0.iter();
            let powers: Option<Vec<(u16, u32)>> = powers
                .map(|(variable, own)| Some((*variable, own.checked_mul(exponent)?)))
                .collect();
            let powers = if exponent == 0 { Vec::new() } else { powers? };
            let value = value.pow(exponent as usize);
            return Some(Self::term(Monomial(powers), value));
        }
        if exponent > 64 || most_terms(self.terms.len(), exponent) > MOST_RAISED {
            return None;
        }
        let mut power = Self::one();
        for _ in 0..exponent {
            power = power.times(self)?;
        }
        Some(power)
    }

    /// The exact quotient; `None` when it does not divide, or beyond the bound.
    pub fn over(&self, other: &Self) -> Option<Self> {
        let (lead, size) = other.terms.first()?;
        let mut rest: BTreeMap<Monomial, IBig> = self.terms.iter().cloned().collect();
        let mut quotient = Vec::new();
        let mut effort = 0;
        while let Some((monomial, value)) = rest.pop_last() {
            let terms = other.terms.len() * (1 + weight(&value));
            effort += terms;
            work(terms);
            if effort > MOST_PRODUCTS {
                return None;
            }
            let factor = monomial.over(lead)?;
            let (whole, left) = value.div_rem(size);
            if !left.is_zero() {
                return None;
            }
            for (own, coefficient) in other.terms.iter().skip(1) {
                let at = own.times(&factor);
                let entry = rest.entry(at.clone()).or_default();
                *entry -= coefficient * &whole;
                if entry.is_zero() {
                    rest.remove(&at);
                }
            }
            quotient.push((factor, whole));
        }
        Some(Self { terms: quotient })
    }

    /// The greatest number that divides it, with the sign of the first term; 1 for 0.
    pub fn content(&self) -> IBig {
        let mut content = IBig::zero();
        for (_, value) in &self.terms {
            work_on(value);
            content = number::gcd(&content, value);
            if content.is_one() {
                break;
            }
        }
        match self.terms.first() {
            None => IBig::one(),
            Some((_, first)) if first.is_negative() => -content.abs(),
            Some(_) => content.abs(),
        }
    }

    /// How much its terms are to work on: long numbers count as several terms.
    pub fn effort(&self) -> usize {
        let terms = self.terms.iter();
        terms.fold(0, |sum, (_, value)| sum.saturating_add(1 + weight(value)))
    }

    /// The quotient by a number that divides it.
    pub fn divided(&self, by: &IBig) -> Self {
        if by.is_one() {
            return self.clone();
        }
        let terms = self.terms.iter().map(|(monomial, value)| {
            work_on(value);
            (monomial.clone(), value / by)
        });
        Self {
            terms: terms.collect(),
        }
    }

    /// The powers of variables that all terms have.
    pub fn common_monomial(&self) -> Monomial {
        let mut terms = self.terms.iter();
        let Some((first, _)) = terms.next() else {
            return Monomial::default();
        };
        let mut common = first.clone();
        for (monomial, _) in terms {
            if common.0.is_empty() {
                break;
            }
            common = common.common(monomial);
        }
        common
    }

    /// The quotient by a monomial that divides all terms.
    pub fn lowered(&self, by: &Monomial) -> Self {
        if by.0.is_empty() {
            return self.clone();
        }
        let terms = self.terms.iter();
        Self {
            terms: terms
                .filter_map(|(monomial, value)| Some((monomial.over(by)?, value.clone())))
                .collect(),
        }
    }

    /// Its coefficients as a polynomial in one variable: powers, highest first, with what they
    /// are multiplied by.
    pub fn by_power(&self, variable: u16) -> Vec<(u32, Self)> {
        let mut found: BTreeMap<u32, Vec<(Monomial, IBig)>> = BTreeMap::new();
        for (monomial, value) in &self.terms {
            let power = monomial.exponent(variable);
            let rest = if power == 0 {
                monomial.clone()
            } else {
                monomial.without(variable)
            };
            found.entry(power).or_default().push((rest, value.clone()));
        }
        // Without one variable the terms of one power stay sorted.
        let powers = found.into_iter().rev();
        powers
            .map(|(power, terms)| (power, Self { terms }))
            .collect()
    }

    /// The derivative with respect to a variable.
    pub fn derivative(&self, variable: u16) -> Self {
        let terms = self.terms.iter().filter_map(|(monomial, value)| {
            let power = monomial.exponent(variable);
            let lower = monomial.over(&Monomial::power(variable, 1))?;
            Some((lower, value * power))
        });
        Self {
            terms: terms.collect(),
        }
    }

    /// The same with every exponent changed by a rule that keeps the order of the terms.
    pub fn with_exponents(&self, change: impl Fn(u16, u32) -> u32) -> Self {
        let terms = self.terms.iter().map(|(monomial, value)| {
            let powers = monomial.0.iter();
            let powers = powers.map(|(variable, own)| (*variable, change(*variable, *own)));
            (Monomial(powers.collect()), value.clone())
        });
        Self {
            terms: terms.collect(),
        }
    }
}

/// How many terms a power of so many terms has at most: a binomial coefficient.
fn most_terms(terms: usize, exponent: u32) -> f64 {
    (1..terms).fold(1.0, |count, at| {
        count * (f64::from(exponent) + at as f64) / at as f64
    })
}
