//! Linear least squares by Householder's QR and iterative refinement.
//!
//! The smallest ‖y − X b‖ solves the augmented system of its residuals r and parameters b,
//!
//! ```text
//! r + X b = f,   Xᵀ r = g        (f = y, g = 0)
//! ```
//!
//! of which what is left over is computed in twice the digits and solved for again (Björck 1967).
//! That turns the eight digits that a decomposition gives of an ill-conditioned polynomial into
//! those of a double, for (XᵀX)⁻¹ too, which is the solution for f = 0 and g = −eⱼ.
//!
//! Columns are scaled by powers of two, which rounds nothing.

use nalgebra::{DMatrix, DVector};

use crate::functions::Sum;

/// A column of which less than this part is not in those before it depends on them.
const DEPENDENT: f64 = 1e-13;

/// The most refinements; each gains the digits that the decomposition has.
const MOST_REFINEMENTS: usize = 8;

/// Columns of which one depends on others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dependent {
    /// The columns that cannot be told apart, in their order.
    pub columns: Vec<usize>,
}

/// The columns of a least squares problem, taken apart.
#[derive(Debug, Clone)]
pub struct Linear {
    columns: Vec<Vec<f64>>,
    /// What the columns have beyond the digits of a double; empty where nothing is known of it.
    beyond: Vec<Vec<f64>>,
    /// The power of two that each column was multiplied by.
    scales: Vec<f64>,
    /// The first factor, with as many columns as the problem.
    q: DMatrix<f64>,
    /// The second, upper triangular.
    r: DMatrix<f64>,
}

/// What is nearest to a right side.
#[derive(Debug, Clone, PartialEq)]
pub struct Nearest {
    /// The factor of each column.
    pub parameters: Vec<f64>,
    /// The right side less the sum of the columns with their factors.
    pub residuals: Vec<f64>,
}

impl Linear {
    /// From columns of one length, of which there are no more than they have rows.
    pub fn new(columns: Vec<Vec<f64>>) -> Result<Self, Dependent> {
        Self::with_digits_beyond(columns, Vec::new())
    }

    /// From columns whose entries are the sums of two doubles.
    pub fn with_digits_beyond(
        mut columns: Vec<Vec<f64>>,
        mut beyond: Vec<Vec<f64>>,
    ) -> Result<Self, Dependent> {
        let rows = columns.first().map_or(0, Vec::len);
        let scales: Vec<f64> = columns.iter().map(|column| scale(column)).collect();
        for all in [&mut columns, &mut beyond] {
            for (column, scale) in all.iter_mut().zip(&scales) {
                column.iter_mut().for_each(|entry| *entry *= scale);
            }
        }
        let entries = columns.iter().flatten().copied();
        let matrix = DMatrix::from_iterator(rows, columns.len(), entries);
        let sizes: Vec<f64> = matrix.column_iter().map(|column| column.norm()).collect();
        let factors = matrix.qr();
        let (q, r) = (factors.q(), factors.r());
        let linear = Self {
            columns,
            beyond,
            scales,
            q,
            r,
        };
        match linear.dependent(&sizes) {
            Some(columns) => Err(Dependent { columns }),
            None => Ok(linear),
        }
    }

    /// The first column that depends on those before it, with these.
    fn dependent(&self, sizes: &[f64]) -> Option<Vec<usize>> {
        /// A column with less of a part than this does not take part.
        const PART: f64 = 1e-6;
        let count = self.columns.len();
        if count > self.q.nrows() {
            return Some((0..count).collect());
        }
        let is_dependent = |&j: &usize| {
            let own = self.r[(j, j)].abs();
            own.is_nan() || own <= DEPENDENT * sizes[j]
        };
        let j = (0..count).find(is_dependent)?;
        let before = self.r.view((0, 0), (j, j)).into_owned();
        let right = self.r.view((0, j), (j, 1)).column(0).into_owned();
        let parts = before.solve_upper_triangular(&right);
        let takes_part = |i: &usize| {
            let part = parts.as_ref().map_or(0.0, |parts| parts[*i] * sizes[*i]);
            part.abs() > PART * sizes[j]
        };
        Some((0..j).filter(takes_part).chain([j]).collect())
    }

    /// How many times larger than itself a relative error of the columns may be in what is nearest:
    /// the condition of the columns, each with the length 1, in the norm of Frobenius.
    pub fn condition(&self) -> f64 {
        let count = self.count();
        let mut equal = self.r.rows(0, count).into_owned();
        for mut column in equal.column_iter_mut() {
            let length = column.norm();
            column /= length;
        }
        let inverse = equal.solve_upper_triangular(&DMatrix::identity(count, count));
        inverse.map_or(f64::INFINITY, |inverse| inverse.norm() * equal.norm())
    }

    /// How far a step of the parameters moves the rows, beside what these are made of: the terms of
    /// the parameters, and the residuals. It does not hang on units, nor on a parameter that is 0.
    pub fn moves(&self, step: &[f64], parameters: &[f64], residuals: &[f64]) -> f64 {
        let length = |entries: &[f64]| {
            entries
                .iter()
                .map(|entry| entry * entry)
                .sum::<f64>()
                .sqrt()
        };
        let lengths = self.columns.iter().zip(&self.scales);
        let lengths: Vec<f64> = lengths
            .map(|(column, scale)| length(column) / scale)
            .collect();
        let most = |of: &[f64]| {
            let terms = of
                .iter()
                .zip(&lengths)
                .map(|(part, length)| part.abs() * length);
            // What is no number stays none.
            terms.fold(0.0, |most, term| {
                if term > most || term.is_nan() {
                    term
                } else {
                    most
                }
            })
        };
        let moved = most(step);
        match moved == 0.0 {
            true => 0.0,
            false => moved / most(parameters).max(length(residuals)),
        }
    }

    fn count(&self) -> usize {
        self.columns.len()
    }

    /// The parameters nearest to a right side.
    pub fn nearest(&self, right: &[f64]) -> Nearest {
        let (mut parameters, residuals) = self.solve(right, &vec![0.0; self.count()]);
        for (parameter, scale) in parameters.iter_mut().zip(&self.scales) {
            *parameter *= scale;
        }
        Nearest {
            parameters,
            residuals,
        }
    }

    /// (XᵀX)⁻¹, column by column.
    #[cfg(test)]
    pub fn covariance(&self) -> Vec<Vec<f64>> {
        let nothing = vec![0.0; self.q.nrows()];
        (0..self.count())
            .map(|j| {
                let mut unit = vec![0.0; self.count()];
                unit[j] = -1.0;
                let (mut column, _) = self.solve(&nothing, &unit);
                for (entry, scale) in column.iter_mut().zip(&self.scales) {
                    *entry *= scale * self.scales[j];
                }
                column
            })
            .collect()
    }

    /// What a parameter changes by with each entry of the right side: a row of (XᵀX)⁻¹Xᵀ.
    pub fn by_right_side(&self, parameter: usize) -> Vec<f64> {
        let mut unit = vec![0.0; self.count()];
        unit[parameter] = -self.scales[parameter];
        // The residuals are −X b there, with b the column of (XᵀX)⁻¹.
        let (_, residuals) = self.solve(&vec![0.0; self.q.nrows()], &unit);
        residuals.into_iter().map(|entry| -entry).collect()
    }

    /// A right side less its part that the columns reach.
    pub fn beside(&self, right: &[f64]) -> Vec<f64> {
        let right = DVector::from_column_slice(right);
        let mut beside = right.clone();
        // Twice, so that what rounding left of the first time goes too.
        for _ in 0..2 {
            beside -= &self.q * self.q.tr_mul(&beside);
        }
        beside.as_slice().to_vec()
    }

    /// The parameters of the scaled columns, and the residuals, of the augmented system.
    fn solve(&self, f: &[f64], g: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let mut parameters = vec![0.0; self.count()];
        let mut residuals = vec![0.0; f.len()];
        let mut last = f64::INFINITY;
        for refinement in 0..=MOST_REFINEMENTS {
            let (f, g) = self.left(f, g, &parameters, &residuals);
            let Some((by_parameters, by_residuals)) = self.step(f, g) else {
                break;
            };
            let size = relative(&by_parameters, &parameters);
            // What does not halve any more is rounding.
            if refinement > 0 && (size == 0.0 || size > last / 2.0) {
                break;
            }
            last = size;
            add(&mut parameters, by_parameters.as_slice());
            add(&mut residuals, by_residuals.as_slice());
        }
        (parameters, residuals)
    }

    /// What the two equations leave over.
    fn left(
        &self,
        f: &[f64],
        g: &[f64],
        parameters: &[f64],
        residuals: &[f64],
    ) -> (DVector<f64>, DVector<f64>) {
        let first = f.iter().zip(residuals).enumerate().map(|(row, (f, r))| {
            let sum = Sum::default().plus(*f).plus(-r);
            let entries = |columns: &[Vec<f64>], sum: Sum| {
                let pairs = columns.iter().zip(parameters);
                pairs.fold(sum, |sum, (column, b)| sum.plus_product(column[row], -b))
            };
            entries(&self.beyond, entries(&self.columns, sum)).value()
        });
        let second = g.iter().enumerate().map(|(j, g)| {
            let entries = |columns: &[Vec<f64>], sum: Sum| {
                let pairs = columns.get(j).into_iter().flatten().zip(residuals);
                pairs.fold(sum, |sum, (&entry, r)| sum.plus_product(entry, -r))
            };
            entries(
                &self.beyond,
                entries(&self.columns, Sum::default().plus(*g)),
            )
            .value()
        });
        (
            DVector::from_iterator(f.len(), first),
            DVector::from_iterator(g.len(), second),
        )
    }

    /// The solution of the augmented system by the factors.
    fn step(&self, f: DVector<f64>, g: DVector<f64>) -> Option<(DVector<f64>, DVector<f64>)> {
        let h = self.r.tr_solve_upper_triangular(&g)?;
        let within = self.q.tr_mul(&f) - h;
        let parameters = self.r.solve_upper_triangular(&within)?;
        let residuals = f - &self.q * within;
        Some((parameters, residuals))
    }
}

/// The power of two by which the largest entry comes to lie between 1 and 2, as far as a number
/// goes.
fn scale(column: &[f64]) -> f64 {
    const MOST: i32 = f64::MAX_EXP - 1;
    let most = column
        .iter()
        .fold(0.0_f64, |most, entry| most.max(entry.abs()));
    match most > 0.0 && most.is_finite() {
        true => libm::ldexp(1.0, (-libm::ilogb(most)).min(MOST)),
        false => 1.0,
    }
}

fn add(to: &mut [f64], step: &[f64]) {
    for (entry, step) in to.iter_mut().zip(step) {
        *entry += step;
    }
}

/// The largest step beside what it is made from.
fn relative(step: &DVector<f64>, from: &[f64]) -> f64 {
    let parts = step.iter().zip(from).map(|(step, from)| {
        let step = step.abs();
        if step == 0.0 { 0.0 } else { step / from.abs() }
    });
    parts.fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::functions::compensated;
    use crate::statistics::published::{Case, digits};

    /// The columns that the model of a set has, each with what it has beyond a double: powers of
    /// x, or those of its data behind a constant.
    fn columns(case: &Case) -> (Vec<Vec<f64>>, Vec<Vec<f64>>) {
        let y = case.column("y");
        if case.id == "fit-lin-Longley" {
            let data = ["d", "g", "u", "f", "p", "t"].map(|name| case.column(name));
            return (
                [vec![1.0; y.len()]].into_iter().chain(data).collect(),
                Vec::new(),
            );
        }
        let x = case.column("x");
        let powers = case
            .parameters()
            .into_iter()
            .map(|name| name[1..].parse::<u32>().unwrap());
        powers
            .map(|power| {
                let entry = |&x: &f64| {
                    (0..power).fold((1.0, 0.0), |(high, low), _| {
                        let product = high * x;
                        (product, f64::mul_add(high, x, -product) + low * x)
                    })
                };
                x.iter().map(entry).unzip()
            })
            .unzip()
    }

    /// Of parameters and their standard deviations, 12 digits and more; 8 of those of Filip.
    #[test]
    fn published_sets_have_their_digits() {
        for case in Case::all("linear")
            .iter()
            .filter(|case| case.id.starts_with("fit-lin"))
        {
            let y = case.column("y");
            let (columns, beyond) = columns(case);
            let linear = Linear::with_digits_beyond(columns, beyond).unwrap();
            let nearest = linear.nearest(&y);
            let covariance = linear.covariance();
            let squares = compensated(nearest.residuals.iter().map(|r| r * r));
            let variance = squares / (y.len() - covariance.len()) as f64;
            for (j, name) in case.parameters().iter().enumerate() {
                let reached = digits(nearest.parameters[j], case.value(name));
                assert!(reached >= 13.0, "{} {name}: {reached:.1}", case.id);
                let u = (variance * covariance[j][j]).sqrt();
                let reached = digits(u, case.uncertainty(name));
                let wanted = if case.id == "fit-lin-Filip" {
                    8.0
                } else {
                    12.0
                };
                assert!(reached >= wanted, "{} u({name}): {reached:.1}", case.id);
            }
        }
    }

    /// JCGM 100, H.3.
    #[test]
    fn a_calibration_line() {
        let case = Case::of("uncertainty.json", "unc-07");
        let (t, b) = (case.column("t_degC"), case.column("b_degC"));
        let ones = vec![1.0; t.len()];
        let linear = Linear::new(vec![ones, t.iter().map(|t| t - 20.0).collect()]).unwrap();
        let nearest = linear.nearest(&b);
        let covariance = linear.covariance();
        let squares = compensated(nearest.residuals.iter().map(|r| r * r));
        let s = (squares / (t.len() as f64 - 2.0)).sqrt();
        let r = covariance[0][1] / (covariance[0][0] * covariance[1][1]).sqrt();
        let found = [
            (nearest.parameters[0], case.value("y1")),
            (nearest.parameters[1], case.value("y2")),
            (s * covariance[0][0].sqrt(), case.uncertainty("y1")),
            (s * covariance[1][1].sqrt(), case.uncertainty("y2")),
            (r, case.value("r12")),
            (s, case.value("s")),
        ];
        for (found, expected) in found {
            assert!(digits(found, expected) >= 12.0, "{found} {expected}");
        }
    }

    #[test]
    fn columns_that_cannot_be_told_apart_are_named() {
        let x = [1.0, 2.0, 3.0, 4.0];
        let column = |of: &dyn Fn(f64) -> f64| x.iter().map(|x| of(*x)).collect::<Vec<_>>();
        let dependent = |columns| Linear::new(columns).unwrap_err().columns;
        let all = vec![column(&|_| 1.0), column(&|x| x), column(&|x| 3.0 * x)];
        assert_eq!(dependent(all), [1, 2]);
        assert_eq!(dependent(vec![column(&|_| 0.0)]), [0]);
        assert_eq!(dependent(vec![vec![1.0], vec![2.0]]), [0, 1]);
    }

    /// Problems whose solution is known: whole numbers b, a residual r with Xᵀ r = 0 by
    /// construction, y = X b + r.
    fn problem() -> impl Strategy<Value = (Vec<Vec<f64>>, Vec<f64>, Vec<f64>)> {
        let entries = |len| prop::collection::vec(-50_i32..50, len);
        (prop::collection::vec(entries(6), 1..4), entries(4)).prop_map(|(columns, b)| {
            // Each column once more with the sign changed in a second half of rows: the residual
            // is alike in both halves.
            let half = |column: &Vec<i32>| {
                let signed = |sign: f64| column.iter().map(move |&x| sign * f64::from(x));
                signed(1.0).chain(signed(-1.0)).collect::<Vec<f64>>()
            };
            let columns: Vec<Vec<f64>> = columns.iter().map(half).collect();
            let b: Vec<f64> = b[..columns.len()].iter().map(|&b| f64::from(b)).collect();
            let y = (0..12).map(|row| {
                let terms = columns.iter().zip(&b).map(|(column, b)| column[row] * b);
                terms.sum::<f64>() + (row % 6) as f64
            });
            let y = y.collect();
            (columns, b, y)
        })
    }

    proptest! {
        #[test]
        fn known_solutions_are_found((columns, b, y) in problem()) {
            let Ok(linear) = Linear::new(columns.clone()) else {
                return Ok(());
            };
            let nearest = linear.nearest(&y);
            for (found, expected) in nearest.parameters.iter().zip(&b) {
                prop_assert!((found - expected).abs() <= 1e-13 * expected.abs().max(1.0));
            }
            for (row, residual) in nearest.residuals.iter().enumerate() {
                prop_assert!((residual - (row % 6) as f64).abs() < 1e-11);
            }
            // XᵀX times its inverse, and the change of the parameters by the right side.
            let covariance = linear.covariance();
            for (j, inverse) in covariance.iter().enumerate() {
                let by_right_side = linear.by_right_side(j);
                for (row, by) in by_right_side.iter().enumerate() {
                    let terms = columns.iter().zip(inverse).map(|(column, c)| column[row] * c);
                    prop_assert!((by - terms.sum::<f64>()).abs() < 1e-12);
                }
                let found: f64 = by_right_side.iter().zip(&y).map(|(by, y)| by * y).sum();
                prop_assert!((found - b[j]).abs() < 1e-10);
            }
            for column in &columns {
                let beside = linear.beside(column);
                prop_assert!(beside.iter().all(|entry| entry.abs() < 1e-12));
            }
        }
    }
}
