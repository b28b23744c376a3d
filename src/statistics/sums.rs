//! Sums that keep their digits.
//!
//! Readings are decimals: 10000000.2 is 100000002 tenths, and of whole numbers sums are exact. A
//! double has lost the tenth by 2e-9 before anything is summed, which is what limits the standard
//! deviation of such readings, however they are summed.

/// The most places behind the point that are looked for: a double has 15 decimals that are sure.
const MOST_PLACES: u32 = 15;

/// Whole numbers up to here are exact in a double.
const EXACT: f64 = 9_007_199_254_740_992.0;

/// Decimals as whole numbers of their last place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Decimals {
    /// The numbers in units of the last place.
    pub whole: Vec<i128>,
    /// How many places they have behind the point.
    pub places: u32,
}

impl Decimals {
    /// The decimals with the fewest places that these doubles are the nearest to; none if a number
    /// has more than 15 digits.
    pub fn of(values: &[f64]) -> Option<Self> {
        let mut places = 0;
        for &value in values {
            places = (places..=MOST_PLACES).find(|&places| whole(value, places).is_some())?;
        }
        let whole = values.iter().map(|&value| whole(value, places));
        Some(Self {
            whole: whole.collect::<Option<_>>()?,
            places,
        })
    }

    /// The sum, in units of the last place.
    pub fn sum(&self) -> i128 {
        self.whole.iter().sum()
    }

    /// What one unit of the last place is a part of.
    pub fn scale(&self) -> f64 {
        scale(self.places)
    }
}

/// A double as a whole number of the last of so many places, if it is the double next to that.
fn whole(value: f64, places: u32) -> Option<i128> {
    let whole = (value * scale(places)).round();
    let is_exact = whole.abs() <= EXACT && whole / scale(places) == value;
    is_exact.then_some(whole as i128)
}

/// A power of ten, exact in a double up to 10²².
fn scale(places: u32) -> f64 {
    10_u64.pow(places) as f64
}

/// A sum that keeps beside it what rounding has taken from it (Neumaier 1974).
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Sum {
    sum: f64,
    lost: f64,
}

impl Sum {
    /// With one more term.
    pub fn plus(self, term: f64) -> Self {
        let sum = self.sum + term;
        let lost = if self.sum.abs() >= term.abs() {
            (self.sum - sum) + term
        } else {
            (term - sum) + self.sum
        };
        Self {
            sum,
            lost: self.lost + lost,
        }
    }

    /// With the product of two numbers, of which the rounding is kept too.
    pub fn plus_product(self, a: f64, b: f64) -> Self {
        let product = a * b;
        self.plus(product).plus(a.mul_add(b, -product))
    }

    /// The sum as a double.
    pub fn value(self) -> f64 {
        // An infinite term leaves no number behind it.
        match self.lost.is_finite() {
            true => self.sum + self.lost,
            false => self.sum,
        }
    }
}

/// The sum of some numbers.
pub fn sum(values: impl IntoIterator<Item = f64>) -> f64 {
    values.into_iter().fold(Sum::default(), Sum::plus).value()
}

/// The sum of the products of two rows of numbers, as if it were computed in twice the digits
/// (Ogita, Rump and Oishi 2005).
pub fn dot(left: &[f64], right: &[f64]) -> f64 {
    let pairs = left.iter().zip(right);
    pairs
        .fold(Sum::default(), |sum, (&a, &b)| sum.plus_product(a, b))
        .value()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn decimals_are_whole_numbers_of_their_last_place() {
        let of = |values: &[f64]| Decimals::of(values).unwrap();
        assert_eq!(of(&[10_000_000.2, 3.0]).whole, [100_000_002, 30]);
        assert_eq!(of(&[0.1125, -7.25]).whole, [1125, -72500]);
        assert_eq!(of(&[-0.0]).whole, [0]);
        assert_eq!(Decimals::of(&[1.0 / 3.0 + 1.0]), None);
        assert_eq!(Decimals::of(&[f64::NAN]), None);
        assert_eq!(Decimals::of(&[1e300]), None);
    }

    #[test]
    fn what_rounding_takes_from_a_sum_comes_back() {
        assert_eq!(sum([1e100, 1.0, -1e100]), 1.0);
        assert_eq!(dot(&[1e16, 1.0, -1e16], &[1.0, 0.25, 1.0]), 0.25);
        assert_eq!(sum([f64::INFINITY, 1.0]), f64::INFINITY);
    }

    proptest! {
        #[test]
        fn decimals_give_back_what_they_were_made_of(
            whole in prop::collection::vec(-1_000_000_000_000_i64..1_000_000_000_000, 1..20),
            places in 0_u32..9,
        ) {
            let values: Vec<f64> = whole.iter().map(|&w| w as f64 / scale(places)).collect();
            let decimals = Decimals::of(&values).unwrap();
            prop_assert!(decimals.places <= places);
            let up = 10_i128.pow(places - decimals.places);
            let expected: Vec<i128> = whole.iter().map(|&w| i128::from(w)).collect();
            let back: Vec<i128> = decimals.whole.iter().map(|w| w * up).collect();
            prop_assert_eq!(back, expected);
        }

        /// Whole numbers small enough that every sum of products is exact in 128 bits.
        #[test]
        fn a_dot_product_is_the_exact_one_rounded(
            pairs in prop::collection::vec((-1_i64 << 50..1_i64 << 50, -1_i64 << 50..1_i64 << 50), 1..30),
        ) {
            let exact: i128 = pairs.iter().map(|&(a, b)| i128::from(a) * i128::from(b)).sum();
            let (left, right): (Vec<f64>, Vec<f64>) =
                pairs.iter().map(|&(a, b)| (a as f64, b as f64)).unzip();
            let size: f64 = pairs.iter().map(|&(a, b)| (a as f64 * b as f64).abs()).sum();
            let error = (dot(&left, &right) - exact as f64).abs();
            prop_assert!(error <= f64::EPSILON * (exact as f64).abs() + 1e-28 * size);
        }
    }
}
