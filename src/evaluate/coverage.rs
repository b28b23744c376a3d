//! Coverage factors and degrees of freedom of values (JCGM 100, annex G).

use super::number::Partial;
use super::sources::{Sources, Undefined};
use super::value::Value;
use crate::statistics::quantiles;

/// The level of confidence of comparisons that state none.
pub const USUAL: f64 = 0.95;

/// The degrees of freedom that a quantile is taken with: rounded to six figures, which takes away
/// what sums in another order differ by, and cut to a whole number (G.4.1).
pub fn whole_degrees(degrees: f64) -> f64 {
    if !degrees.is_finite() || degrees == 0.0 {
        return degrees;
    }
    let scale = 10_f64.powf(5.0 - degrees.abs().log10().floor());
    ((degrees * scale).round() / scale).floor().max(1.0)
}

/// The factor of the interval that holds this part of all values.
pub fn factor(level: f64, degrees: f64) -> f64 {
    let below = 0.5 * (1.0 + level);
    match whole_degrees(degrees) {
        degrees if degrees.is_finite() => quantiles::student_t(below, degrees),
        _ => quantiles::normal(below),
    }
}

impl Value {
    /// The effective degrees of freedom of its number in a row.
    pub fn degrees_of_freedom(&self, row: usize, sources: &Sources) -> Result<f64, Undefined> {
        sources.degrees_of_freedom(self.gradient(row))
    }

    /// It less another one, row by row, with the derivatives by the sources that they share.
    #[must_use]
    pub fn less(&self, other: &Self) -> Self {
        let count = match (self.rows.len(), other.rows.len()) {
            (1, count) | (count, _) => count,
        };
        let rows = 0..count;
        let shape = match self.rows.len() >= other.rows.len() {
            true => self.shape,
            false => other.shape,
        };
        Self {
            rows: (rows.clone())
                .map(|row| self.at(row) - other.at(row))
                .collect(),
            errors: (rows.clone())
                .map(|row| self.error(row) + other.error(row))
                .collect(),
            gradients: rows
                .map(|row| less(self.gradient(row), other.gradient(row)))
                .collect(),
            shape,
            ..Self::default()
        }
    }
}

fn less(one: &[Partial], other: &[Partial]) -> Vec<Partial> {
    let mut all: Vec<Partial> = one.to_vec();
    for partial in other {
        let taken = Partial {
            slope: -partial.slope,
            ..*partial
        };
        match all.binary_search_by_key(&partial.source, |it| it.source) {
            Ok(at) => {
                all[at].slope += taken.slope;
                all[at].parts += taken.parts;
            }
            Err(at) => all.insert(at, taken),
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100, table G.2: 2.57 for 5 degrees of freedom, 1.96 for infinitely many; G.4.1, note 1
    /// cuts 11.9 to 11.
    #[test]
    fn factors_are_those_of_the_table() {
        let rounded = |degrees| (factor(USUAL, degrees) * 100.0).round() / 100.0;
        assert_eq!(rounded(f64::INFINITY), 1.96);
        assert_eq!(rounded(5.0), 2.57);
        assert_eq!(rounded(11.9), rounded(11.0));
        assert_eq!(rounded(4.999_999_9), 2.57);
        assert_eq!((factor(0.99, 16.0) * 100.0).round() / 100.0, 2.92);
    }
}
