//! Means of readings and how they scatter.
//!
//! Where the readings are decimals, means and deviations are those of whole numbers, and exact up
//! to the last step.

use super::decimals::Decimals;
use crate::functions::{Sum, compensated};

/// The arithmetic mean; of no readings, NaN.
pub fn mean(values: &[f64]) -> f64 {
    centred(values).mean
}

/// The experimental standard deviation, by n − 1 (JCGM 100, 4.2.2); of fewer than two readings,
/// NaN.
pub fn standard_deviation(values: &[f64]) -> f64 {
    (sum_of_squares(values) / (values.len() as f64 - 1.0)).sqrt()
}

/// The sum of the squares of the deviations from the mean.
pub fn sum_of_squares(values: &[f64]) -> f64 {
    let deviations = deviations(values);
    compensated(deviations.iter().map(|deviation| deviation * deviation))
}

/// The experimental standard deviation of the mean (JCGM 100, 4.2.3).
pub fn standard_deviation_of_mean(values: &[f64]) -> f64 {
    standard_deviation(values) / (values.len() as f64).sqrt()
}

/// What each reading differs by from the mean.
pub fn deviations(values: &[f64]) -> Vec<f64> {
    centred(values).deviations
}

/// The correlation of the deviations of two rows of readings (JCGM 100, 5.2.3); none where one of
/// them does not scatter.
pub fn correlation(left: &[f64], right: &[f64]) -> Option<f64> {
    let (left, right) = (deviations(left), deviations(right));
    let product = |a: &[f64], b: &[f64]| crate::functions::dot(a, b);
    let size = product(&left, &left).sqrt() * product(&right, &right).sqrt();
    (size > 0.0).then(|| (product(&left, &right) / size).clamp(-1.0, 1.0))
}

struct Centred {
    mean: f64,
    deviations: Vec<f64>,
}

fn centred(values: &[f64]) -> Centred {
    match Decimals::of(values) {
        Some(decimals) => of_decimals(&decimals),
        None => of_doubles(values),
    }
}

fn of_decimals(decimals: &Decimals) -> Centred {
    let (count, sum) = (decimals.whole.len() as i128, decimals.sum());
    let parts = count as f64 * decimals.scale();
    let deviation = |&whole: &i128| (count * whole - sum) as f64 / parts;
    Centred {
        mean: sum as f64 / parts,
        deviations: decimals.whole.iter().map(deviation).collect(),
    }
}

/// The mean, and once more the mean of what is left of it.
fn of_doubles(values: &[f64]) -> Centred {
    let count = values.len() as f64;
    let first = compensated(values.iter().copied()) / count;
    let left = values
        .iter()
        .fold(Sum::default(), |sum, &value| sum.plus(value).plus(-first));
    let rest = left.value() / count;
    Centred {
        mean: first + rest,
        deviations: values.iter().map(|value| (value - first) - rest).collect(),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::statistics::published::{Case, digits};

    #[test]
    fn published_sets_have_fifteen_digits() {
        for case in Case::all("univariate") {
            let readings = case.column("y");
            let found = [
                ("mean", mean(&readings)),
                ("sd", standard_deviation(&readings)),
            ];
            for (name, value) in found {
                let reached = digits(value, case.value(name));
                assert!(reached >= 15.0, "{} {name}: {reached:.1}", case.id);
            }
        }
    }

    #[test]
    fn sets_read_together_are_correlated() {
        let case = Case::of("uncertainty.json", "unc-04");
        let columns = ["V_V", "I_mA", "phi_rad"].map(|name| case.column(name));
        let pairs = [(0, 1), (0, 2), (1, 2)];
        for ((left, right), expected) in pairs.into_iter().zip(case.correlations()) {
            let found = correlation(&columns[left], &columns[right]).unwrap();
            assert!(digits(found, expected) >= 12.0, "{found} {expected}");
        }
        assert_eq!(correlation(&[1.0, 1.0], &[1.0, 2.0]), None);
    }

    proptest! {
        /// Readings of a third, which are no decimals, against the same as decimals.
        #[test]
        fn a_common_factor_changes_no_digit(
            whole in prop::collection::vec(-100_000_i32..100_000, 2..50),
        ) {
            let decimals: Vec<f64> = whole.iter().map(|&w| f64::from(w) / 100.0).collect();
            let thirds: Vec<f64> = decimals.iter().map(|x| x / 3.0).collect();
            let (s, third) = (standard_deviation(&decimals), standard_deviation(&thirds));
            prop_assert!((s / 3.0 - third).abs() <= 1e-13 * s + 1e-12);
            let size = decimals.iter().fold(0.0_f64, |most, x| most.max(x.abs()));
            prop_assert!((mean(&decimals) / 3.0 - mean(&thirds)).abs() <= 1e-15 * size);
        }
    }

    #[test]
    fn what_has_no_scatter_has_none() {
        assert!(mean(&[]).is_nan());
        assert!(standard_deviation(&[1.0]).is_nan());
        assert_eq!(standard_deviation(&[0.1, 0.1, 0.1]), 0.0);
    }
}
