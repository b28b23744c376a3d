//! Products: one quotient, its factors in order, a minus only where no difference can be turned.

use std::collections::BTreeMap;

use dashu_base::DivRem;
use dashu_int::IBig;
use num_traits::{One, Zero};

use super::Written;
use super::order::{Place, Signs};
use crate::algebra::node::{Function, Id, Node};
use crate::algebra::{Algebra, Rational, number};
use crate::functions;

/// Numbers with a larger denominator than this are decimals where those are exact and no longer.
const LARGEST_DENOMINATOR: i64 = 1000;

/// A coefficient with more bits than this is left as a power.
const MOST_BITS: u64 = 4096;

/// What kind of factor it is: they are written in this order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    Number,
    Pi,
    Symbol,
    Bracket,
    Function,
    Root,
}

/// A factor as it is written, and where.
#[derive(Debug)]
pub(super) struct Piece {
    /// What is raised to a power.
    pub base: Id,
    pub kind: Kind,
    pub place: Place,
    pub written: Written,
    pub is_below: bool,
}

/// The factors of a product on their way to paper, gathered by base.
#[derive(Debug)]
pub(super) struct Gathered {
    pub coefficient: Rational,
    /// Primes under a root, with an exponent between 0 and 1.
    pub primes: Vec<(IBig, Rational)>,
    pub rational: BTreeMap<Id, Rational>,
    /// Exponents that are no numbers.
    pub symbolic: BTreeMap<Id, Id>,
}

impl Algebra {
    /// A product with its sign.
    pub(super) fn write_product(
        &mut self,
        coefficient: &Rational,
        factors: &[(Id, Rational)],
    ) -> Written {
        match self.write_signed(coefficient, factors, true) {
            (true, written) => written.negative(),
            (false, written) => written,
        }
    }

    /// Whether a product has a minus, and the product without it. When a minus is to be avoided,
    /// `-(a - b)` becomes `b - a`.
    pub(super) fn write_signed(
        &mut self,
        coefficient: &Rational,
        factors: &[(Id, Rational)],
        avoids_minus: bool,
    ) -> (bool, Written) {
        let mut gathered = self.gather(coefficient, factors);
        if gathered.coefficient.is_zero() {
            return (false, Written::whole(0));
        }
        self.merge_exponents(&mut gathered);
        let of_author = self.turn_differences(&mut gathered, avoids_minus);
        let mut pieces = self.take_named_logarithms(&mut gathered, avoids_minus);
        if avoids_minus {
            pieces.extend(self.take_turned_logarithm(&mut gathered));
        }
        // A difference keeps the author's order as long as something else can be turned.
        if let (true, Some(first)) = (gathered.coefficient.is_negative(), of_author) {
            self.turn(&mut gathered, first);
        }
        self.write_roots(&mut gathered, &mut pieces);
        self.write_symbolic_powers(&gathered, &mut pieces);
        for (base, exponent) in &gathered.rational {
            let piece = self.write_power(*base, exponent);
            pieces.push(piece);
        }
        (
            gathered.coefficient.is_negative(),
            self.quotient(&gathered.coefficient.abs(), pieces),
        )
    }

    fn gather(&mut self, coefficient: &Rational, factors: &[(Id, Rational)]) -> Gathered {
        let mut gathered = Gathered {
            coefficient: coefficient.clone(),
            primes: Vec::new(),
            rational: BTreeMap::new(),
            symbolic: BTreeMap::new(),
        };
        let mut open: Vec<(Id, Rational)> = factors.to_vec();
        while let Some((base, exponent)) = open.pop() {
            self.step();
            if !self.opened(&mut gathered, &mut open, base, &exponent) {
                let total = gathered.rational.entry(base).or_insert_with(Rational::zero);
                *total += exponent;
                if total.is_zero() {
                    gathered.rational.remove(&base);
                }
            }
        }
        gathered
    }

    /// Whether a factor was taken apart into others.
    fn opened(
        &mut self,
        gathered: &mut Gathered,
        open: &mut Vec<(Id, Rational)>,
        base: Id,
        exponent: &Rational,
    ) -> bool {
        match self.node(base).clone() {
            Node::Number(value) => return self.opened_number(gathered, &value, exponent),
            Node::Power(inner, own) if exponent.is_integer() => {
                let mut power = self.scale(own, exponent);
                if let Some(before) = gathered.symbolic.get(&inner) {
                    power = self.add(&[*before, power]);
                }
                gathered.symbolic.insert(inner, power);
            }
            Node::Product(inner) if exponent.is_integer() => {
                open.extend(inner.into_iter().map(|(base, own)| (base, own * exponent)));
            }
            Node::Sum(_) if exponent.is_integer() => {
                return self.opened_sum(gathered, open, base, exponent);
            }
            _ => return false,
        }
        true
    }

    fn opened_number(
        &self,
        gathered: &mut Gathered,
        value: &Rational,
        exponent: &Rational,
    ) -> bool {
        if let Some(whole) = number::as_whole(exponent) {
            let power = number::raised(value, whole, MOST_BITS);
            if let Some(power) = &power {
                gathered.coefficient *= power;
            }
            return power.is_some();
        }
        let is_root = value.is_integer() && exponent.is_positive() && *exponent < Rational::one();
        if is_root {
            gathered
                .primes
                .push((value.numer().clone(), exponent.clone()));
        }
        is_root
    }

    fn opened_sum(
        &mut self,
        gathered: &mut Gathered,
        open: &mut Vec<(Id, Rational)>,
        sum: Id,
        exponent: &Rational,
    ) -> bool {
        let Some(whole) = number::as_whole(exponent) else {
            return false;
        };
        let simpler = self.with_gathered_logarithms(sum);
        let (coefficient, rest) = self.split_coefficient(simpler);
        let (coefficient, mut factors) = match rest {
            Some(rest) if rest != sum => (coefficient, vec![(rest, Rational::one())]),
            _ => match self.pulled(simpler) {
                Some(pulled) => {
                    let mut factors = pulled.factors;
                    factors.push((pulled.rest, Rational::one()));
                    (pulled.coefficient, factors)
                }
                None => return false,
            },
        };
        let Some(power) = number::raised(&coefficient, whole, MOST_BITS) else {
            return false;
        };
        gathered.coefficient *= power;
        factors.iter_mut().for_each(|(_, own)| *own *= exponent);
        open.extend(factors);
        true
    }

    /// `ln(x)/ln(10)` is `log10(x)`.
    fn take_named_logarithms(&mut self, gathered: &mut Gathered, avoids_minus: bool) -> Vec<Piece> {
        let named = [
            (10, functions::Function::Log10),
            (2, functions::Function::Log2),
        ];
        let mut pieces = Vec::new();
        for (base, function) in named {
            let base = self.whole(base);
            let below = self.call(Function::Ln, &[base]);
            if gathered
                .rational
                .get(&below)
                .is_none_or(|exponent| !(-exponent).is_one())
            {
                continue;
            }
            let above = gathered
                .rational
                .iter()
                .find_map(|(id, exponent)| match self.node(*id) {
                    Node::Call(Function::Ln, of) if exponent.is_one() => {
                        of.first().map(|argument| (*id, *argument))
                    }
                    _ => None,
                });
            let Some((logarithm, argument)) = above else {
                continue;
            };
            gathered.rational.remove(&below);
            gathered.rational.remove(&logarithm);
            let turned = (avoids_minus && gathered.coefficient.is_negative())
                .then(|| self.turned_over(argument))
                .flatten();
            if turned.is_some() {
                gathered.coefficient = -&gathered.coefficient;
            }
            let written = turned.unwrap_or_else(|| self.write(argument));
            pieces.push(Piece {
                base: logarithm,
                kind: Kind::Function,
                place: self.place(argument),
                written: Written::Call(function, vec![written]),
                is_below: false,
            });
        }
        pieces
    }

    /// The logarithm of a ratio that takes a minus away: `-ln(a/b)` is `ln(b/a)`.
    fn take_turned_logarithm(&mut self, gathered: &mut Gathered) -> Option<Piece> {
        if !gathered.coefficient.is_negative() {
            return None;
        }
        let powers: Vec<(Id, Rational)> = gathered
            .rational
            .iter()
            .map(|(base, exponent)| (*base, exponent.clone()))
            .collect();
        let (base, exponent, turned) = powers.into_iter().find_map(|(base, exponent)| {
            let turned = self.turned_logarithm(base, &exponent)?;
            Some((base, exponent, turned))
        })?;
        gathered.rational.remove(&base);
        gathered.coefficient = -&gathered.coefficient;
        let size = exponent.abs();
        Some(Piece {
            base,
            kind: Kind::Function,
            place: self.place(base),
            written: if size.is_one() {
                turned
            } else {
                turned.raised_to(fraction(&size))
            },
            is_below: exponent.is_negative(),
        })
    }

    /// The opposite of the logarithm of a ratio, when an odd power of it changes its sign.
    pub(super) fn turned_logarithm(&mut self, base: Id, exponent: &Rational) -> Option<Written> {
        let argument = match self.node(base) {
            Node::Call(Function::Ln, arguments) if is_odd(exponent) => *arguments.first()?,
            _ => return None,
        };
        let turned = self.turned_over(argument)?;
        Some(Written::Call(functions::Function::Ln, vec![turned]))
    }

    /// A ratio turned over, where that is no longer.
    fn turned_over(&mut self, ratio: Id) -> Option<Written> {
        let written = self.write(ratio);
        let inverse = self.raise(ratio, &-Rational::one());
        let turned = self.write(inverse);
        (matches!(written, Written::Quotient(..)) && turned.size() <= written.size())
            .then_some(turned)
    }

    /// `x^n x^(-1)` is `x^(n - 1)`.
    fn merge_exponents(&mut self, gathered: &mut Gathered) {
        let bases: Vec<(Id, Id)> = gathered
            .symbolic
            .iter()
            .map(|(base, exponent)| (*base, *exponent))
            .collect();
        for (base, exponent) in bases {
            if let Some(constant) = gathered.rational.remove(&base) {
                let constant = self.number(constant);
                let total = self.add(&[exponent, constant]);
                gathered.symbolic.insert(base, total);
            }
        }
    }

    /// Turns differences so that they stand as the author wrote them, or begin with what is met
    /// first, and then one that the author did not write so that no minus is left in front: where
    /// a minus does no harm, only one that has no better side. The author's difference that may
    /// be turned instead is left to be decided.
    fn turn_differences(&mut self, gathered: &mut Gathered, avoids_minus: bool) -> Option<Id> {
        let sums: Vec<(Id, Rational)> = gathered
            .rational
            .iter()
            .filter(|(base, exponent)| {
                matches!(self.node(**base), Node::Sum(_)) && is_odd(exponent)
            })
            .map(|(base, exponent)| (*base, exponent.clone()))
            .collect();
        let mut differences = Vec::new();
        for (sum, exponent) in sums {
            let signs = self.signs(sum);
            let turned = if self.has_to_be_turned(sum) {
                self.turn(gathered, sum)
            } else {
                sum
            };
            let is_of_author = self.is_of_author(turned);
            let is_free = signs == Signs::Either && !is_of_author;
            if is_free || (avoids_minus && signs.are_both()) {
                let place = self.place(turned);
                let below = exponent.is_negative();
                differences.push((is_of_author, !is_free, below, place, turned));
            }
        }
        let (is_of_author, .., first) = differences.into_iter().min()?;
        if is_of_author {
            return Some(first);
        }
        if gathered.coefficient.is_negative() {
            self.turn(gathered, first);
        }
        None
    }

    /// Whether a power changes its sign, and no more, when its base is turned round.
    pub(super) fn is_difference(&mut self, base: Id, exponent: &Rational) -> bool {
        is_odd(exponent) && self.signs(base).are_both()
    }

    /// Replaces a sum by its opposite.
    fn turn(&mut self, gathered: &mut Gathered, sum: Id) -> Id {
        let opposite = self.negate(sum);
        if let Some(exponent) = gathered.rational.remove(&sum) {
            // What was turned before may have made a square of it.
            if is_odd(&exponent) {
                gathered.coefficient = -&gathered.coefficient;
            }
            let total = gathered
                .rational
                .entry(opposite)
                .or_insert_with(Rational::zero);
            *total += exponent;
            if total.is_zero() {
                gathered.rational.remove(&opposite);
            }
        }
        opposite
    }

    /// A base with an exponent that stays with it.
    fn write_power(&mut self, base: Id, exponent: &Rational) -> Piece {
        let kind = match self.node(base) {
            Node::Number(_) => Kind::Number,
            Node::Pi => Kind::Pi,
            Node::Symbol(_) => Kind::Symbol,
            Node::Call(Function::Cbrt, _) => Kind::Root,
            Node::Call(..) => Kind::Function,
            _ => Kind::Bracket,
        };
        let written = match self.node(base) {
            Node::Sum(_) => self.write_terms(base),
            // A number that is a base here is too long to be multiplied out.
            Node::Number(value) => fraction(value),
            _ => self.write(base),
        };
        let size = exponent.abs();
        Piece {
            base,
            kind,
            place: self.place(base),
            written: if size.is_one() {
                written
            } else {
                written.raised_to(fraction(&size))
            },
            is_below: exponent.is_negative(),
        }
    }

    /// Factors as one quotient with a positive coefficient.
    pub(super) fn quotient(&self, coefficient: &Rational, mut pieces: Vec<Piece>) -> Written {
        pieces.sort_by(|one, other| (one.kind, &one.place).cmp(&(other.kind, &other.place)));
        let (mut below, mut above): (Vec<Piece>, Vec<Piece>) =
            pieces.into_iter().partition(|piece| piece.is_below);
        self.put_in_order_of_author(&mut above);
        self.put_in_order_of_author(&mut below);
        quotient(coefficient, above, below)
    }
}

fn is_odd(exponent: &Rational) -> bool {
    exponent.is_integer() && !number::is_even(exponent)
}

/// Factors in their order as one quotient with a positive coefficient.
fn quotient(coefficient: &Rational, above: Vec<Piece>, below: Vec<Piece>) -> Written {
    let decimal = decimal(coefficient);
    let above = std::iter::once(match &decimal {
        Some(digits) => Written::Decimal(digits.clone()),
        None => Written::Whole(coefficient.numer().clone()),
    })
    .filter(|number| *number != Written::whole(1))
    .chain(above.into_iter().map(|piece| piece.written))
    .collect();
    let denominator = (decimal.is_none() && !coefficient.denom().is_one())
        .then(|| Written::Whole(coefficient.denom().clone()));
    let below: Vec<Written> = denominator
        .into_iter()
        .chain(below.into_iter().map(|piece| piece.written))
        .collect();
    let above = Written::product(above);
    if below.is_empty() {
        above
    } else {
        above.over(Written::product(below))
    }
}

/// A positive number.
pub(super) fn fraction(value: &Rational) -> Written {
    quotient(value, Vec::new(), Vec::new())
}

/// The digits of a number that ends, where its fraction is long.
fn decimal(value: &Rational) -> Option<String> {
    // Sevenths and sixty-fourths are fractions, hundredths were decimals.
    let is_tenths = (value.denom() % IBig::from(5)).is_zero() && *value.denom() > IBig::from(10);
    if *value.denom() <= IBig::from(LARGEST_DENOMINATOR) && !is_tenths {
        return None;
    }
    let (mut digits, mut rest) = (0_usize, value.denom().clone());
    for factor in [2, 5] {
        let factor = IBig::from(factor);
        let mut count = 0;
        while (&rest % &factor).is_zero() {
            rest /= &factor;
            count += 1;
        }
        digits = digits.max(count);
    }
    if !rest.is_one() {
        return None;
    }
    let scale = number::ten_to(digits);
    let (whole, part) = (value.numer() * (&scale / value.denom())).div_rem(&scale);
    let decimal = format!("{whole}.{part:0>digits$}");
    (decimal.len() <= value.to_string().len()).then_some(decimal)
}
