//! The numbers that a program runs on: plain `f64` for the search of roots, numbers with a bound on
//! their rounding, numbers to any precision, and each of the first two with its gradient, which has
//! a bound on its rounding where the number has one; and numbers of twice the digits of a double for
//! what fits are made of.
//!
//! Columns of numbers need no type of their own: a program runs once a row.

use std::cmp::Ordering;

use crate::functions::{Function, Measured, Twofold, is_same, sum};
use crate::precise::Precise;

/// What the evaluator needs of a number.
pub trait Number: Clone {
    /// A small whole number.
    fn constant(value: f64) -> Self;
    /// Its value.
    fn value(&self) -> f64;
    /// Whether its value is within the range of doubles.
    fn is_finite(&self) -> bool {
        self.value().is_finite()
    }
    /// Whether its value is zero, or too small to be told from it.
    fn vanishes(&self) -> bool {
        self.value() == 0.0
    }
    /// Whether anything is known of it.
    fn is_known(&self) -> bool;
    /// How it compares with another; `None` where the bound does not tell.
    fn compare(&self, other: &Self) -> Option<Ordering>;
    /// Whether it may be this argument of a function; `None` where the bound does not tell.
    fn is_in_domain(&self, function: Function, argument: usize) -> Option<bool>;
    /// Whether it is a whole number; `None` where the bound does not tell.
    fn is_whole(&self) -> Option<bool>;
    /// `self + other`
    fn plus(&self, other: &Self) -> Self;
    /// `self - other`
    fn minus(&self, other: &Self) -> Self;
    /// `self * other`
    fn times(&self, other: &Self) -> Self;
    /// `self / other`
    fn over(&self, other: &Self) -> Self;
    /// `self ^ other`
    fn power(&self, other: &Self) -> Self;
    /// A function of its arguments.
    fn call(function: Function, arguments: &[Self]) -> Self;
    /// A number of which is known that it is no further from 0 than this one, and nothing else; none
    /// where there would be no derivatives of it.
    fn around_zero(&self) -> Option<Self>;
    /// The same number, of which only the derivatives by some sources are told.
    fn told_by(&self, is_told: &dyn Fn(u32) -> bool) -> Self;
}

/// A number of which derivatives are had.
pub trait Sloped: Number {
    /// A bound on how far rounding has moved it; infinite where none is known.
    fn error(&self) -> f64;
    /// The derivative of a function by each of its arguments.
    fn slopes(function: Function, arguments: &[Self]) -> Vec<Self>;

    /// The number with its bound.
    fn measured(&self) -> Measured {
        Measured {
            value: self.value(),
            error: self.error(),
        }
    }
}

fn is_in_domain(function: Function, argument: usize, value: f64) -> bool {
    let domain = function.domain(argument);
    domain.is_none_or(|domain| (domain.holds)(value))
}

/// Numbers that are one but for rounding count as one: there is no bound.
impl Number for f64 {
    fn constant(value: f64) -> Self {
        value
    }

    fn value(&self) -> f64 {
        *self
    }

    fn is_known(&self) -> bool {
        true
    }

    fn compare(&self, other: &Self) -> Option<Ordering> {
        if is_same(*self, *other) {
            return Some(Ordering::Equal);
        }
        self.partial_cmp(other)
    }

    fn is_in_domain(&self, function: Function, argument: usize) -> Option<bool> {
        Some(is_in_domain(function, argument, *self))
    }

    fn is_whole(&self) -> Option<bool> {
        Some(self.fract() == 0.0)
    }

    fn around_zero(&self) -> Option<Self> {
        None
    }

    fn told_by(&self, _: &dyn Fn(u32) -> bool) -> Self {
        *self
    }

    fn plus(&self, other: &Self) -> Self {
        sum(*self, *other)
    }

    fn minus(&self, other: &Self) -> Self {
        sum(*self, -*other)
    }

    fn times(&self, other: &Self) -> Self {
        self * other
    }

    fn over(&self, other: &Self) -> Self {
        self / other
    }

    fn power(&self, other: &Self) -> Self {
        power(*self, *other)
    }

    fn call(function: Function, arguments: &[Self]) -> Self {
        function.value(arguments)
    }
}

impl Sloped for f64 {
    fn error(&self) -> f64 {
        f64::INFINITY
    }

    fn slopes(function: Function, arguments: &[Self]) -> Vec<Self> {
        function.slopes(arguments)
    }
}

/// A derivative by a source of uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Partial {
    /// The number of the source.
    pub source: u32,
    /// The derivative.
    pub slope: f64,
    /// A bound on how far rounding has moved it; infinite where none is known.
    pub error: f64,
    /// The sum of the sizes of the parts that the derivative is made of: where it is far smaller
    /// than they are, they cancel.
    pub parts: f64,
}

/// Derivatives by source, sorted by source; absent ones are zero.
pub type Gradient = Vec<Partial>;

impl Partial {
    /// The derivative by a source, among those of a number, which are in the order of their
    /// sources.
    pub fn among(gradient: &[Self], source: u32) -> Option<&Self> {
        let at = gradient.binary_search_by_key(&source, |partial| partial.source);
        at.ok().and_then(|at| gradient.get(at))
    }

    /// Of a source by itself.
    pub fn of(source: u32) -> Self {
        Self::by(source, Measured::exact(1.0))
    }

    /// A derivative in one part.
    pub fn by(source: u32, slope: Measured) -> Self {
        Self::made(source, slope, slope.value.abs())
    }

    fn made(source: u32, slope: Measured, parts: f64) -> Self {
        Self {
            source,
            slope: slope.value,
            error: if slope.error.is_nan() {
                f64::INFINITY
            } else {
                slope.error
            },
            parts,
        }
    }

    /// The derivative with its bound.
    pub fn measured(&self) -> Measured {
        Measured {
            value: self.slope,
            error: self.error,
        }
    }

    /// Whether nothing but rounding is left of its parts.
    pub fn vanishes(&self) -> bool {
        /// Far above rounding, far below what anyone measures.
        const CANCELLED: f64 = 1e-9;
        self.slope.is_finite() && self.slope.abs() <= CANCELLED * self.parts
    }

    fn times(self, slope: Measured) -> Self {
        self.scaled(slope, slope.value.abs())
    }

    fn scaled(self, slope: Measured, parts: f64) -> Self {
        let slope = self.measured().times(slope);
        Self::made(self.source, slope, self.parts * parts)
    }

    fn plus(self, other: Self) -> Self {
        let slope = self.measured().plus(other.measured());
        Self::made(self.source, slope, self.parts + other.parts)
    }
}

impl Number for Measured {
    fn constant(value: f64) -> Self {
        Self::exact(value)
    }

    fn value(&self) -> f64 {
        self.value
    }

    fn is_known(&self) -> bool {
        self.error < f64::INFINITY
    }

    fn compare(&self, other: &Self) -> Option<Ordering> {
        Measured::compare(self, other)
    }

    fn is_in_domain(&self, function: Function, argument: usize) -> Option<bool> {
        let at = |value| is_in_domain(function, argument, value);
        let (low, high) = (at(self.value - self.error), at(self.value + self.error));
        (low == high && at(self.value) == low).then_some(low)
    }

    fn is_whole(&self) -> Option<bool> {
        let is_far = (self.value - self.value.round()).abs() > self.error;
        (is_far || self.error == 0.0).then_some(!is_far)
    }

    fn around_zero(&self) -> Option<Self> {
        Some(Self {
            value: 0.0,
            error: self.value.abs() + self.error,
        })
    }

    fn told_by(&self, _: &dyn Fn(u32) -> bool) -> Self {
        *self
    }

    fn plus(&self, other: &Self) -> Self {
        Measured::plus(*self, *other)
    }

    fn minus(&self, other: &Self) -> Self {
        Measured::minus(*self, *other)
    }

    fn times(&self, other: &Self) -> Self {
        Measured::times(*self, *other)
    }

    fn over(&self, other: &Self) -> Self {
        Measured::over(*self, *other)
    }

    fn power(&self, other: &Self) -> Self {
        Measured::power(*self, *other)
    }

    fn call(function: Function, arguments: &[Self]) -> Self {
        Measured::call(function, arguments)
    }
}

impl Sloped for Measured {
    fn error(&self) -> f64 {
        self.error
    }

    fn slopes(function: Function, arguments: &[Self]) -> Vec<Self> {
        function.measured_slopes(arguments)
    }
}

/// As doubles are, there is no bound, and numbers that are one but for rounding count as one.
impl Number for Twofold {
    fn constant(value: f64) -> Self {
        value.into()
    }

    fn value(&self) -> f64 {
        self.high
    }

    fn is_known(&self) -> bool {
        true
    }

    fn compare(&self, other: &Self) -> Option<Ordering> {
        self.high.compare(&other.high)
    }

    fn is_in_domain(&self, function: Function, argument: usize) -> Option<bool> {
        self.high.is_in_domain(function, argument)
    }

    fn is_whole(&self) -> Option<bool> {
        self.high.is_whole()
    }

    fn around_zero(&self) -> Option<Self> {
        None
    }

    fn told_by(&self, _: &dyn Fn(u32) -> bool) -> Self {
        *self
    }

    fn plus(&self, other: &Self) -> Self {
        Twofold::plus(*self, *other)
    }

    fn minus(&self, other: &Self) -> Self {
        Twofold::plus(*self, other.negated())
    }

    fn times(&self, other: &Self) -> Self {
        Twofold::times(*self, *other)
    }

    fn over(&self, other: &Self) -> Self {
        Twofold::over(*self, *other)
    }

    fn power(&self, other: &Self) -> Self {
        Twofold::power(*self, *other)
    }

    fn call(function: Function, arguments: &[Self]) -> Self {
        Twofold::call(function, arguments)
    }
}

impl Number for Precise {
    fn constant(value: f64) -> Self {
        Precise::double(value)
    }

    fn value(&self) -> f64 {
        self.to_f64().0
    }

    fn is_finite(&self) -> bool {
        // An exact number has no value to tell where the effort is used up, and is finite.
        self.is_amid_doubles() || !self.value().is_infinite()
    }

    fn vanishes(&self) -> bool {
        !self.is_amid_doubles() && self.value() == 0.0
    }

    fn is_known(&self) -> bool {
        Precise::is_known(self)
    }

    fn compare(&self, other: &Self) -> Option<Ordering> {
        Precise::compare(self, other)
    }

    fn is_in_domain(&self, function: Function, argument: usize) -> Option<bool> {
        self.admits(function, argument)
    }

    fn is_whole(&self) -> Option<bool> {
        Precise::is_whole(self)
    }

    fn around_zero(&self) -> Option<Self> {
        Some(Precise::whole(0).widened(self))
    }

    fn told_by(&self, _: &dyn Fn(u32) -> bool) -> Self {
        self.clone()
    }

    fn plus(&self, other: &Self) -> Self {
        Precise::plus(self, other)
    }

    fn minus(&self, other: &Self) -> Self {
        Precise::minus(self, other)
    }

    fn times(&self, other: &Self) -> Self {
        Precise::times(self, other)
    }

    fn over(&self, other: &Self) -> Self {
        Precise::over(self, other)
    }

    fn power(&self, other: &Self) -> Self {
        Precise::power(self, other)
    }

    fn call(function: Function, arguments: &[Self]) -> Self {
        Precise::call(function, arguments)
    }
}

/// A value with its derivatives by the sources of uncertainty.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dual<N> {
    /// The value.
    pub value: N,
    /// The derivatives.
    pub gradient: Gradient,
}

impl<N: Sloped> Dual<N> {
    /// `value` with `by_self` times this gradient and `by_other` times the other's.
    fn join(&self, other: &Self, value: N, by_self: &N, by_other: &N) -> Self {
        let (by_self, by_other) = (by_self.measured(), by_other.measured());
        let own = self.gradient.iter().map(|partial| partial.times(by_self));
        let mut sum = Self {
            value,
            gradient: own.collect(),
        };
        for partial in &other.gradient {
            sum.add(partial.times(by_other));
        }
        sum
    }

    /// Adds a derivative to that by the same source.
    fn add(&mut self, added: Partial) {
        let gradient = &mut self.gradient;
        match gradient.binary_search_by_key(&added.source, |partial| partial.source) {
            Ok(at) => gradient[at] = gradient[at].plus(added),
            Err(at) => gradient.insert(at, added),
        }
    }
}

impl<N: Sloped> Number for Dual<N> {
    fn constant(value: f64) -> Self {
        Self {
            value: N::constant(value),
            gradient: Vec::new(),
        }
    }

    fn value(&self) -> f64 {
        self.value.value()
    }

    fn is_known(&self) -> bool {
        self.value.is_known()
    }

    fn compare(&self, other: &Self) -> Option<Ordering> {
        self.value.compare(&other.value)
    }

    fn is_in_domain(&self, function: Function, argument: usize) -> Option<bool> {
        self.value.is_in_domain(function, argument)
    }

    fn is_whole(&self) -> Option<bool> {
        self.value.is_whole()
    }

    fn around_zero(&self) -> Option<Self> {
        None
    }

    fn told_by(&self, is_told: &dyn Fn(u32) -> bool) -> Self {
        let gradient = self.gradient.iter().copied();
        Self {
            value: self.value.clone(),
            gradient: gradient.filter(|it| is_told(it.source)).collect(),
        }
    }

    fn plus(&self, other: &Self) -> Self {
        let one = N::constant(1.0);
        self.join(other, self.value.plus(&other.value), &one, &one)
    }

    fn minus(&self, other: &Self) -> Self {
        let value = self.value.minus(&other.value);
        self.join(other, value, &N::constant(1.0), &N::constant(-1.0))
    }

    fn times(&self, other: &Self) -> Self {
        let value = self.value.times(&other.value);
        self.join(other, value, &other.value, &self.value)
    }

    fn over(&self, other: &Self) -> Self {
        let value = self.value.over(&other.value);
        let by_self = N::constant(1.0).over(&other.value);
        let by_other = N::constant(-1.0).times(&value).over(&other.value);
        self.join(other, value, &by_self, &by_other)
    }

    fn power(&self, other: &Self) -> Self {
        let (base, exponent) = (&self.value, &other.value);
        let value = base.power(exponent);
        let by_base = exponent.times(&base.power(&exponent.minus(&N::constant(1.0))));
        let by_exponent = if other.gradient.is_empty() || base.value() <= 0.0 {
            N::constant(0.0)
        } else {
            value.times(&N::call(Function::Ln, std::slice::from_ref(base)))
        };
        self.join(other, value, &by_base, &by_exponent)
    }

    /// What the value does not depend on, as the lesser of two on the greater, leaves no trace.
    ///
    /// A slope is computed from the argument, and near its zero is all rounding: it is held
    /// against that of the line from the origin.
    fn call(function: Function, arguments: &[Self]) -> Self {
        let numbers: Vec<N> = arguments.iter().map(|it| it.value.clone()).collect();
        let mut whole = Self {
            value: N::call(function, &numbers),
            gradient: Vec::new(),
        };
        let slopes = N::slopes(function, &numbers);
        let slopes = slopes.iter().map(Sloped::measured);
        let parts = arguments.iter().zip(slopes);
        for (part, slope) in parts.filter(|(_, slope)| arguments.len() == 1 || slope.value != 0.0) {
            let secant = (whole.value.value() / part.value.value()).abs();
            let size = if secant.is_finite() { secant } else { 0.0 };
            for partial in &part.gradient {
                whole.add(partial.scaled(slope, slope.value.abs().max(size)));
            }
        }
        whole
    }
}

/// Small whole powers multiply, so that `x^2` and `x x` agree to the last bit.
fn power(base: f64, exponent: f64) -> f64 {
    if exponent == 2.0 {
        base * base
    } else if exponent == 3.0 {
        base * base * base
    } else if exponent.fract() == 0.0 && exponent.abs() <= 64.0 {
        base.powi(exponent as i32)
    } else {
        base.powf(exponent)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::sample::select;
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;

    use super::*;
    use crate::precise::LEVELS;

    #[test]
    fn rounding_of_earlier_steps_does_not_decide() {
        assert_eq!(Number::minus(&(0.1_f64 + 0.2), &0.3), 0.0);
    }

    #[test]
    fn the_same_source_twice_is_correlated() {
        let x = Dual {
            value: 3.0_f64,
            gradient: vec![Partial::of(0)],
        };
        let slope = |dual: &Dual<f64>| dual.gradient.first().map(|partial| partial.slope);
        assert_eq!(slope(&x.minus(&x)), Some(0.0));
        assert_eq!(slope(&x.times(&x)), Some(6.0));
        assert_eq!(slope(&x.power(&Dual::constant(2.0))), Some(6.0));
    }

    #[test]
    fn what_cancels_is_told_from_what_is_small() {
        let x = Dual {
            value: 3.7_f64,
            gradient: vec![Partial::of(0)],
        };
        let y = Dual::constant(1.3);
        let vanishes = |dual: &Dual<f64>| dual.gradient.iter().all(Partial::vanishes);
        assert!(vanishes(&x.minus(&x)));
        assert!(vanishes(&x.times(&y).over(&y).minus(&x)));
        assert!(vanishes(&x.over(&x)));
        assert!(!vanishes(&x.times(&Dual::constant(1e-30))));
        assert!(!vanishes(&x.minus(&x.times(&Dual::constant(1.0 - 1e-7)))));
    }

    #[test]
    fn a_slope_that_is_all_rounding_vanishes() {
        let right_angle = Dual {
            value: std::f64::consts::FRAC_PI_2,
            gradient: vec![Partial::of(0)],
        };
        let sine = Dual::call(Function::Sin, std::slice::from_ref(&right_angle));
        assert!(sine.gradient.iter().all(Partial::vanishes));
        let cosine = Dual::call(Function::Cos, &[right_angle]);
        assert!(!cosine.gradient.iter().all(Partial::vanishes));
    }

    /// A formula of one number.
    #[derive(Debug, Clone)]
    enum Formula {
        X,
        Constant(i8),
        Plus(Box<[Formula; 2]>),
        Minus(Box<[Formula; 2]>),
        Times(Box<[Formula; 2]>),
        Over(Box<[Formula; 2]>),
        Power(Box<Formula>, i8),
        Call(Function, Box<Formula>),
    }

    impl Formula {
        fn of<N: Number>(&self, x: &N) -> N {
            let both = |sides: &[Formula; 2], join: fn(&N, &N) -> N| {
                let [left, right] = sides.each_ref().map(|side| side.of(x));
                join(&left, &right)
            };
            match self {
                Self::X => x.clone(),
                Self::Constant(value) => N::constant(f64::from(*value)),
                Self::Plus(sides) => both(sides, N::plus),
                Self::Minus(sides) => both(sides, N::minus),
                Self::Times(sides) => both(sides, N::times),
                Self::Over(sides) => both(sides, N::over),
                Self::Power(base, quarters) => {
                    let quarters = N::constant(f64::from(*quarters) / 4.0);
                    base.of(x).power(&quarters)
                }
                Self::Call(function, inner) => N::call(*function, &[inner.of(x)]),
            }
        }
    }

    fn formula() -> impl Strategy<Value = Formula> {
        const CALLED: [Function; 14] = [
            Function::Sin,
            Function::Cos,
            Function::Tan,
            Function::Sqrt,
            Function::Cbrt,
            Function::Exp,
            Function::Ln,
            Function::Log10,
            Function::Tanh,
            Function::Sinh,
            Function::Cosh,
            Function::Asin,
            Function::Atan,
            Function::Abs,
        ];
        let leaf = prop_oneof![3 => Just(Formula::X), 1 => (-9..9_i8).prop_map(Formula::Constant)];
        leaf.prop_recursive(5, 24, 2, |inner| {
            let pair = || [inner.clone(), inner.clone()].prop_map(Box::new);
            prop_oneof![
                pair().prop_map(Formula::Plus),
                pair().prop_map(Formula::Minus),
                pair().prop_map(Formula::Times),
                pair().prop_map(Formula::Over),
                (inner.clone().prop_map(Box::new), -9..9_i8)
                    .prop_map(|(it, n)| Formula::Power(it, n)),
                (select(&CALLED[..]), inner.prop_map(Box::new))
                    .prop_map(|(function, it)| Formula::Call(function, it)),
            ]
        })
    }

    /// The slope over a small part of a number, to some sixty digits.
    fn precise_slope(formula: &Formula, x: f64) -> Option<f64> {
        let bits = |number: Precise| number.with_bits(LEVELS[1]);
        let part = bits(Precise::whole(2)).power(&Precise::whole(-250));
        let x = bits(Precise::double(x));
        let [up, down] = [x.plus(&part), x.minus(&part)].map(|x| formula.of(&x));
        let slope = up.minus(&down).over(&part.times(&Precise::whole(2)));
        slope.is_narrow(100).then(|| slope.to_f64().0)
    }

    #[test]
    fn the_bound_of_a_derivative_holds_and_is_mostly_small() {
        let (mut small, mut all) = (0, 0);
        let mut runner = TestRunner::deterministic();
        for _ in 0..1000 {
            let (formula, x) =
                ((formula(), 0.01..20.0_f64).new_tree(&mut runner).unwrap()).current();
            let dual = Dual {
                value: Measured::exact(x),
                gradient: vec![Partial::of(0)],
            };
            let found = formula.of(&dual);
            let Some(partial) = found.gradient.first().filter(|_| found.is_known()) else {
                continue;
            };
            let Some(slope) = precise_slope(&formula, x) else {
                continue;
            };
            let is_within = partial.error == f64::INFINITY
                || (partial.slope - slope).abs() <= partial.error + slope.abs() * f64::EPSILON;
            assert!(is_within, "{formula:?} at {x}: {partial:?}, not {slope}");
            all += 1;
            small += i32::from(partial.error <= 1e-10 * slope.abs());
        }
        assert!(all > 300 && 10 * small > 8 * all, "{small} of {all}");
    }
}
