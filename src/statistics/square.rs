//! As many linear equations as unknowns: one step of a search for roots.

use nalgebra::{DMatrix, DVector, SVD};

/// A matrix whose pivots (after scaling) span more than this is taken for singular.
const PIVOTS: f64 = 64.0 * f64::EPSILON;

/// A singular value below this part of the largest is zero; looser than [`PIVOTS`], so that a
/// matrix that is singular by its pivots has a direction without effect.
const RANK: f64 = 16.0 * PIVOTS;

/// Entries of a null vector from this part of the largest on tell who takes part.
const PART: f64 = 1e-6;

/// The most sweeps of one singular value decomposition.
const MOST_SWEEPS: usize = 500;

/// A Jacobian with its rows divided by the sizes of the equations and its columns multiplied by
/// those of the unknowns, so that its entries can be compared.
pub struct Square {
    matrix: DMatrix<f64>,
}

/// A Jacobian taken apart, of which directions without effect are known.
pub struct Parts {
    u: DMatrix<f64>,
    sizes: DVector<f64>,
    v_transposed: DMatrix<f64>,
}

impl Square {
    /// From the scaled entries, row by row.
    pub fn new(entries: &[f64], size: usize) -> Self {
        Self {
            matrix: DMatrix::from_row_slice(size, size, entries),
        }
    }

    /// The `step` with `matrix · step = −residuals`, by elimination with partial pivoting; none if
    /// the matrix is singular.
    pub fn step(&self, residuals: &[f64]) -> Option<Vec<f64>> {
        let factors = self.matrix.clone().lu();
        let pivots = factors.u().diagonal().map(f64::abs);
        let regular = pivots.min() > PIVOTS * pivots.max();
        let step = regular.then(|| factors.solve(&-DVector::from_column_slice(residuals)))??;
        step.iter()
            .all(|s| s.is_finite())
            .then(|| step.as_slice().to_vec())
    }

    /// The singular value decomposition; none if it cannot be had.
    pub fn parts(&self) -> Option<Parts> {
        let svd = SVD::try_new(self.matrix.clone(), true, true, f64::EPSILON, MOST_SWEEPS)?;
        Some(Parts {
            u: svd.u?,
            sizes: svd.singular_values,
            v_transposed: svd.v_t?,
        })
    }
}

impl Parts {
    /// The shortest of the steps that leave the least residual, as if singular directions were not
    /// there.
    pub fn shortest(&self, residuals: &[f64]) -> Vec<f64> {
        self.weighted(residuals, |size| 1.0 / size)
    }

    /// The step of Levenberg and Marquardt: short where the matrix says little. `damping` is a
    /// part of the largest singular value.
    pub fn damped(&self, residuals: &[f64], damping: f64) -> Vec<f64> {
        let damping = damping * self.sizes.max();
        self.weighted(residuals, |size| size / (size * size + damping * damping))
    }

    fn weighted(&self, residuals: &[f64], weight: impl Fn(f64) -> f64) -> Vec<f64> {
        let mut along = self.u.transpose() * -DVector::from_column_slice(residuals);
        for (entry, &size) in along.iter_mut().zip(self.sizes.iter()) {
            *entry *= if self.counts(size) { weight(size) } else { 0.0 };
        }
        (self.v_transposed.transpose() * along).as_slice().to_vec()
    }

    fn counts(&self, size: f64) -> bool {
        size > RANK * self.sizes.max()
    }

    /// The directions in which the unknowns can change without any effect.
    pub fn free_directions(&self) -> Vec<Vec<f64>> {
        self.v_transposed
            .row_iter()
            .zip(self.sizes.iter())
            .filter(|&(_, &size)| !self.counts(size))
            .map(|(row, _)| row.iter().copied().collect())
            .collect()
    }

    /// The indices of the equations that depend on each other.
    pub fn dependent_equations(&self) -> Vec<usize> {
        let directions = self
            .u
            .column_iter()
            .zip(self.sizes.iter())
            .filter(|&(_, &size)| !self.counts(size))
            .map(|(column, _)| column.iter().copied().collect());
        taking_part(directions)
    }

    /// The indices of the unknowns that stay free.
    pub fn free_unknowns(&self) -> Vec<usize> {
        taking_part(self.free_directions().into_iter())
    }
}

/// The indices at which one of the unit vectors has an entry to speak of.
fn taking_part(directions: impl Iterator<Item = Vec<f64>>) -> Vec<usize> {
    let mut indices: Vec<usize> = directions
        .flat_map(|direction| {
            direction
                .into_iter()
                .enumerate()
                .filter(|(_, e)| e.abs() > PART)
                .map(|(i, _)| i)
        })
        .collect();
    indices.sort_unstable();
    indices.dedup();
    indices
}

/// The solution of `matrix · x = right`, entries row by row; none if the matrix is singular.
pub fn solve_linear(matrix: &[f64], right: &[f64]) -> Option<Vec<f64>> {
    let opposite: Vec<f64> = right.iter().map(|value| -value).collect();
    Square::new(matrix, right.len()).step(&opposite)
}
