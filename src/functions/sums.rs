//! Sums that keep their digits, however many their terms are.

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
pub fn compensated(values: impl IntoIterator<Item = f64>) -> f64 {
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
    fn what_rounding_takes_from_a_sum_comes_back() {
        assert_eq!(compensated([1e100, 1.0, -1e100]), 1.0);
        assert_eq!(dot(&[1e16, 1.0, -1e16], &[1.0, 0.25, 1.0]), 0.25);
        assert_eq!(compensated([f64::INFINITY, 1.0]), f64::INFINITY);
    }

    proptest! {
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
