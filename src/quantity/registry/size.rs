//! The size of a unit as a quotient of two numbers.
//!
//! Most defining constants are short decimals (an inch is 254/10000 m). Kept as quotients of
//! whole numbers they stay exact through products, so `lbf/in^2` and `psi` are the same number,
//! and a conversion rounds once or twice, never ten times.

use crate::quantity::{Exponent, powers};

/// Whole numbers up to here are exact in a double.
const EXACT: f64 = 9_007_199_254_740_992.0;

/// Outside of these limits the two parts are joined, so that neither overflows.
const LARGE: f64 = 1e100;
const SMALL: f64 = 1e-100;

/// The size of a unit in coherent SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::quantity) struct Size {
    pub numerator: f64,
    pub denominator: f64,
}

impl Size {
    /// The size of a coherent unit.
    pub const ONE: Size = whole(1.0);

    /// The product of two sizes.
    pub const fn times(self, other: Size) -> Size {
        Size {
            numerator: self.numerator * other.numerator,
            denominator: self.denominator * other.denominator,
        }
    }

    /// The quotient of two sizes.
    pub const fn over(self, other: Size) -> Size {
        Size {
            numerator: self.numerator * other.denominator,
            denominator: self.denominator * other.numerator,
        }
    }

    /// A number read from elsewhere: as a quotient by a whole number where it is the double
    /// nearest to one (0.001 is 1/1000).
    pub fn from_number(number: f64) -> Size {
        let inverse = (1.0 / number).round();
        if number < 1.0 && inverse < EXACT && 1.0 / inverse == number {
            return ratio(1.0, inverse);
        }
        whole(number)
    }

    /// Ten to a whole power.
    pub fn ten_to(power: i32) -> Size {
        let number = powers::whole_power(10.0, power.unsigned_abs());
        if power < 0 {
            ratio(1.0, number)
        } else {
            whole(number)
        }
    }

    /// A power; negative exponents swap the parts.
    pub fn raised(self, exponent: Exponent) -> Size {
        if exponent == Exponent::from_integer(1) {
            return self;
        }
        let (above, below) = if *exponent.numer() < 0 {
            (self.denominator, self.numerator)
        } else {
            (self.numerator, self.denominator)
        };
        let magnitude = Exponent::new_raw(exponent.numer().saturating_abs(), *exponent.denom());
        Size {
            numerator: powers::raise(above, magnitude),
            denominator: powers::raise(below, magnitude),
        }
    }

    /// The same size in lowest terms where its parts are exact whole numbers, and in one part
    /// where a part is so large or small that a value could overflow.
    pub fn reduced(self) -> Size {
        let Size {
            numerator,
            denominator,
        } = self;
        if denominator == 1.0 {
            return self;
        }
        if is_exact_whole(numerator) && is_exact_whole(denominator) {
            let divisor = common_divisor(numerator, denominator);
            return ratio(numerator / divisor, denominator / divisor);
        }
        let range = SMALL..LARGE;
        if range.contains(&numerator) && range.contains(&denominator) {
            return self;
        }
        whole(numerator / denominator)
    }

    /// The size as one number.
    pub fn number(self) -> f64 {
        self.numerator / self.denominator
    }
}

/// A size that is one number.
pub(super) const fn whole(number: f64) -> Size {
    ratio(number, 1.0)
}

/// A quotient.
pub(super) const fn ratio(numerator: f64, denominator: f64) -> Size {
    Size {
        numerator,
        denominator,
    }
}

fn is_exact_whole(number: f64) -> bool {
    (1.0..=EXACT).contains(&number) && number.fract() == 0.0
}

/// The greatest common divisor of two exact whole numbers.
fn common_divisor(mut a: f64, mut b: f64) -> f64 {
    while b > 0.0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_numbers_are_reduced_and_large_ones_joined() {
        assert_eq!(ratio(1000.0, 1000.0).reduced(), Size::ONE);
        assert_eq!(ratio(1000.0, 3600.0).reduced(), ratio(5.0, 18.0));
        assert_eq!(ratio(2e200, 1e200).reduced(), whole(2.0));
    }

    #[test]
    fn decimal_fractions_become_quotients() {
        assert_eq!(Size::from_number(0.001), ratio(1.0, 1000.0));
        assert_eq!(Size::from_number(3600.0), whole(3600.0));
        assert_eq!(Size::from_number(0.3), whole(0.3));
    }
}
