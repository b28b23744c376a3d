//! Quotients of polynomials: the one above multiplied out, the one below as factors.

use dashu_int::IBig;
use num_traits::{One, Signed};

use super::divisor::{common_divisor, factored};
use super::polynomial::{Monomial, Polynomial};
use super::{Rational, number};

/// `above / (divisor * product of below)`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fraction {
    /// What is divided, multiplied out.
    pub above: Polynomial,
    /// What it is divided by: factors without numbers in common, first coefficient positive,
    /// none a number, each with its power.
    pub below: Vec<(Polynomial, u32)>,
    /// A positive number that it is divided by.
    pub divisor: IBig,
}

impl Fraction {
    /// A polynomial.
    pub fn whole(above: Polynomial) -> Self {
        Self {
            above,
            below: Vec::new(),
            divisor: IBig::one(),
        }
    }

    /// A number.
    pub fn number(value: &Rational) -> Self {
        Self {
            above: Polynomial::constant(value.numer().clone()),
            below: Vec::new(),
            divisor: value.denom().clone(),
        }
    }

    /// Whether it is 0.
    pub fn is_zero(&self) -> bool {
        self.above.is_zero()
    }

    /// The product of two; `None` beyond the bound.
    pub fn times(&self, other: &Self) -> Option<Self> {
        let mut below = self.below.clone();
        for (factor, power) in &other.below {
            push(&mut below, factor, *power);
        }
        Some(Self {
            above: self.above.times(&other.above)?,
            below,
            divisor: &self.divisor * &other.divisor,
        })
    }

    /// The multiple by a number.
    pub fn scaled(&self, by: &Rational) -> Self {
        Self {
            above: self.above.scaled(by.numer()),
            below: self.below.clone(),
            divisor: &self.divisor * by.denom(),
        }
    }

    /// The sum over a common denominator; `None` beyond the bound.
    pub fn sum(parts: &[Self]) -> Option<Self> {
        let mut below: Vec<(Polynomial, u32)> = Vec::new();
        let mut divisor = IBig::one();
        for part in parts {
            for (factor, power) in &part.below {
                match below.iter_mut().find(|(known, _)| known == factor) {
                    Some((_, highest)) => *highest = (*highest).max(*power),
                    None => below.push((factor.clone(), *power)),
                }
            }
            divisor = number::lcm(&divisor, &part.divisor);
        }
        let mut terms = Vec::new();
        for part in parts {
            let mut above = part.above.scaled(&(&divisor / &part.divisor));
            for (factor, power) in &below {
                let missing = power - part.power_below(factor);
                above = above.times(&factor.raised(missing)?)?;
            }
            terms.extend(above.terms().iter().cloned());
        }
        Some(Self {
            above: Polynomial::gathered(terms),
            below,
            divisor,
        })
    }

    fn power_below(&self, factor: &Polynomial) -> u32 {
        let found = self.below.iter().find(|(known, _)| known == factor);
        found.map_or(0, |(_, power)| *power)
    }

    /// What is below, multiplied out; `None` beyond the bound.
    pub fn multiplied_below(&self) -> Option<Polynomial> {
        let mut product = Polynomial::constant(self.divisor.clone());
        for (factor, power) in &self.below {
            product = product.times(&factor.raised(*power)?)?;
        }
        Some(product)
    }

    /// A whole power; `None` for 0 to a negative one, or beyond the bound.
    pub fn raised(&self, exponent: i64) -> Option<Self> {
        let power = u32::try_from(exponent.unsigned_abs()).ok()?;
        if exponent < 0 {
            // The factors of what goes below are found once, not in a product multiplied out.
            if self.is_zero() {
                return None;
            }
            let mut inverse = Self::whole(self.multiplied_below()?.raised(power)?);
            inverse.divide_by(&self.above, power);
            return Some(inverse);
        }
        let below = self.below.iter();
        Some(Self {
            above: self.above.raised(power)?,
            below: below
                .map(|(factor, own)| Some((factor.clone(), own.checked_mul(power)?)))
                .collect::<Option<Vec<_>>>()?,
            divisor: self.divisor.pow(power as usize),
        })
    }

    /// Divides by a polynomial that is not 0, to a power.
    pub fn divide_by(&mut self, polynomial: &Polynomial, power: u32) {
        let content = polynomial.content();
        if content.is_negative() && power % 2 == 1 {
            self.above = self.above.negated();
        }
        self.divisor *= content.abs().pow(power as usize);
        let monomial = polynomial.common_monomial();
        for (variable, own) in monomial.powers() {
            let factor = Polynomial::term(Monomial::power(*variable, 1), IBig::one());
            push(&mut self.below, &factor, own * power);
        }
        let rest = polynomial.divided(&content).lowered(&monomial);
        if rest.as_constant().is_none() {
            push(&mut self.below, &rest, power);
        }
    }

    /// The same with everything cancelled that is found to be common, and what is below split
    /// into factors without common ones.
    pub fn cancelled(mut self) -> Self {
        if self.is_zero() {
            return Self::whole(Polynomial::default());
        }
        self.split_below();
        for (factor, power) in &mut self.below {
            while *power > 0 {
                match self.above.over(factor) {
                    Some(rest) => {
                        self.above = rest;
                        *power -= 1;
                    }
                    None => break,
                }
            }
        }
        self.below.retain(|(_, power)| *power > 0);
        self.cancel_parts();
        self.below.sort_by(|one, two| {
            let of = |polynomial: &Polynomial| (polynomial.terms().len(), polynomial.clone());
            let ((shorter, one), (longer, two)) = (of(&one.0), of(&two.0));
            shorter
                .cmp(&longer)
                .then_with(|| one.terms().cmp(two.terms()))
        });
        let shared = number::gcd(&self.above.content(), &self.divisor);
        self.above = self.above.divided(&shared);
        self.divisor /= shared;
        self
    }

    /// Cancels what only a part of a factor below has in common with what is above.
    fn cancel_parts(&mut self) {
        let mut open = std::mem::take(&mut self.below);
        while let Some((factor, power)) = open.pop() {
            let shared = if factor.terms().len() == 1 {
                Polynomial::one()
            } else {
                common_divisor(&self.above, &factor)
            };
            let quotients = (self.above.over(&shared), factor.over(&shared));
            let (false, (Some(above), Some(rest))) = (shared.as_constant().is_some(), quotients)
            else {
                push(&mut self.below, &factor, power);
                continue;
            };
            self.above = above;
            if power > 1 {
                open.push((shared, power - 1));
            }
            if rest.as_constant().is_none() {
                open.push((rest, power));
            }
        }
    }

    /// Splits what is below into factors that have none in common.
    fn split_below(&mut self) {
        let mut split: Vec<(Polynomial, u32)> = Vec::new();
        for (factor, power) in std::mem::take(&mut self.below) {
            for (part, own) in factored(&factor) {
                push_apart(&mut split, part, own * power);
            }
        }
        self.below = split;
    }
}

fn push(below: &mut Vec<(Polynomial, u32)>, factor: &Polynomial, power: u32) {
    if power == 0 {
        return;
    }
    match below.iter_mut().find(|(known, _)| known == factor) {
        Some((_, before)) => *before += power,
        None => below.push((factor.clone(), power)),
    }
}

/// Adds a factor to ones that have none in common, and splits where it has one with them.
fn push_apart(below: &mut Vec<(Polynomial, u32)>, factor: Polynomial, power: u32) {
    if factor.as_constant().is_some() || power == 0 {
        return;
    }
    for at in 0..below.len() {
        let (known, before) = &below[at];
        let before = *before;
        if *known == factor {
            below[at].1 += power;
            return;
        }
        let shared = common_divisor(known, &factor);
        if shared.as_constant().is_some() {
            continue;
        }
        if let (Some(rest), Some(other)) = (known.over(&shared), factor.over(&shared)) {
            below.remove(at);
            push_apart(below, rest, before);
            push_apart(below, shared, before + power);
            push_apart(below, other, power);
            return;
        }
    }
    below.push((factor, power));
}
