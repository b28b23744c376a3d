//! Numbers with twice the digits of a double, where sums and products of many terms need them.

use super::Function;

/// The sum of two doubles, of which the second is what the first leaves off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Twofold {
    /// The double nearest to it.
    pub high: f64,
    /// What is left.
    pub low: f64,
}

impl From<f64> for Twofold {
    fn from(high: f64) -> Self {
        Self { high, low: 0.0 }
    }
}

impl Twofold {
    /// The sum of two doubles without any rounding (Møller 1965, Knuth 1969).
    fn sum(a: f64, b: f64) -> Self {
        let high = a + b;
        let part = high - a;
        Self {
            high,
            low: (a - (high - part)) + (b - part),
        }
    }

    /// The product of two doubles without any rounding.
    fn product(a: f64, b: f64) -> Self {
        let high = a * b;
        Self {
            high,
            low: a.mul_add(b, -high),
        }
    }

    /// With a small number more.
    fn with(self, low: f64) -> Self {
        let found = Self::sum(self.high, self.low + low);
        // Beyond all doubles there is nothing that is left off.
        match found.low.is_finite() {
            true => found,
            false => self.high.into(),
        }
    }

    /// `self + other`
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self::sum(self.high, other.high).with(self.low + other.low)
    }

    /// `-self`
    #[must_use]
    pub fn negated(self) -> Self {
        Self {
            high: -self.high,
            low: -self.low,
        }
    }

    /// `self * other`
    #[must_use]
    pub fn times(self, other: Self) -> Self {
        let beside = self.high * other.low + self.low * other.high;
        Self::product(self.high, other.high).with(beside)
    }

    /// `self / other`
    #[must_use]
    pub fn over(self, other: Self) -> Self {
        let first = self.high / other.high;
        let left = self.plus(other.times(first.into()).negated());
        Self::from(first).with(left.high / other.high)
    }

    /// A whole power.
    fn raised(self, exponent: u32) -> Self {
        let (mut power, mut left, mut found) = (self, exponent, Self::from(1.0));
        while left > 0 {
            if left % 2 == 1 {
                found = found.times(power);
            }
            power = power.times(power);
            left /= 2;
        }
        found
    }

    /// `self ^ exponent`; with all its digits for whole exponents, and for others with those of a
    /// double.
    #[must_use]
    pub fn power(self, exponent: Self) -> Self {
        const MOST: f64 = 1000.0;
        let times = exponent.high;
        if exponent.low == 0.0 && times.fract() == 0.0 && times.abs() <= MOST {
            let raised = self.raised(times.abs() as u32);
            return match times < 0.0 {
                true => Self::from(1.0).over(raised),
                false => raised,
            };
        }
        let value = self.high.powf(times);
        let beside = times * self.low / self.high + exponent.low * self.high.ln();
        match beside.is_finite() {
            true => Self::from(value).with(value * beside),
            false => value.into(),
        }
    }

    /// A function of some numbers, with the digits of a double; what these have beyond them moves
    /// it as its slopes say.
    #[must_use]
    pub fn call(function: Function, arguments: &[Self]) -> Self {
        let numbers: Vec<f64> = arguments.iter().map(|it| it.high).collect();
        let value = function.value(&numbers);
        let parts = function.slopes(&numbers).into_iter().zip(arguments);
        let moved = parts.filter(|(_, of)| of.low != 0.0);
        let moved: f64 = moved.map(|(slope, of)| slope * of.low).sum();
        match moved.is_finite() {
            true => Self::from(value).with(moved),
            false => value.into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use num_traits::One;
    use proptest::prelude::*;

    use super::*;
    use crate::precise::Rational;

    fn exact(of: Twofold) -> Rational {
        let part = |of: f64| Rational::from_float(of).unwrap();
        part(of.high) + part(of.low)
    }

    fn off(found: Twofold, expected: &Rational) -> f64 {
        let off = (exact(found) - expected) / expected;
        off.to_f64().abs()
    }

    fn twofold() -> impl Strategy<Value = Twofold> {
        (0.1..20.0_f64, -1.0..1.0_f64, any::<bool>()).prop_map(|(high, low, is_less)| {
            let size = Twofold::sum(high, low * high * f64::EPSILON / 4.0);
            if is_less { size.negated() } else { size }
        })
    }

    proptest! {
        #[test]
        fn arithmetic_has_twice_the_digits(a in twofold(), b in twofold(), n in 0..20_u32) {
            let (x, y) = (exact(a), exact(b));
            prop_assert!(off(a.times(b), &(&x * &y)) < 1e-30);
            prop_assert!(off(a.over(b), &(&x / &y)) < 1e-30);
            let power = (0..n).fold(Rational::one(), |power, _| &power * &x);
            prop_assert!(off(a.power(f64::from(n).into()), &power) < 1e-29);
            prop_assert!(off(a.power((-f64::from(n)).into()), &(Rational::one() / power)) < 1e-29);
            // A sum has them beside its larger term.
            let sum = exact(a.plus(b)) - (&x + &y);
            prop_assert!(sum.to_f64().abs() < 1e-30 * (a.high.abs() + b.high.abs()));
        }

        #[test]
        fn digits_beyond_a_double_go_through_functions(a in 0.1..20.0_f64, part in -1.0..1.0_f64) {
            let moved = Twofold::sum(a, part * a * f64::EPSILON / 4.0);
            let [here, there] = [a.into(), moved].map(|at| Twofold::call(Function::Sqrt, &[at]));
            let by = there.plus(here.negated());
            let expected = moved.low / (2.0 * a.sqrt());
            prop_assert!((by.high - expected).abs() <= 1e-9 * expected.abs());
        }
    }

    #[test]
    fn what_is_no_number_stays_none() {
        let huge = Twofold::from(f64::MAX);
        assert_eq!(huge.plus(huge).high, f64::INFINITY);
        assert_eq!(huge.times(huge).high, f64::INFINITY);
        assert!(Twofold::from(-1.0).power(0.5.into()).high.is_nan());
    }
}
