//! Readings as the decimals that they were written as.
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
    }
}
