//! Fits of readings that are uncertain on both sides: a condition on each row, in which each row
//! adjusts its own readings.
//!
//! The least Σ (δ/u)² of all adjustments δ under F(reading + δ, parameters) = 0 is found by
//! solving the conditions with their first derivatives, again and again from the adjusted readings
//! (Deming 1943; for a straight line it is the solution of York 1969).
//! An uncertainty that grows with its reading is taken of the adjusted one each time.

use super::linear::{Dependent, Linear};

/// The most repetitions.
const MOST: u32 = 500;

/// How the uncertainty of a reading hangs on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Size {
    /// So large, whatever is read.
    Fixed(f64),
    /// This part of the reading with this number among those of its row.
    Share(f64, usize),
    /// The root of the count with this number among the readings of its row, times this.
    Root(f64, usize),
}

/// An error of one row.
#[derive(Debug, Clone, PartialEq)]
pub struct Own {
    /// Its standard uncertainty.
    pub size: Size,
    /// The reading that it moves, among those of its row.
    pub reading: usize,
    /// What each entry of the row changes by with it.
    pub by_entry: Vec<f64>,
}

/// The readings of one row.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The entries of the lists that stand in the formula.
    pub entries: Vec<f64>,
    /// The readings that these were computed from.
    pub readings: Vec<f64>,
    /// Their errors.
    pub errors: Vec<Own>,
}

/// A condition near its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// Left less right.
    pub value: f64,
    /// What it changes by with each entry.
    pub by_entry: Vec<f64>,
    /// What it changes by with each parameter.
    pub by_parameter: Vec<f64>,
}

/// Adjusted rows and their parameters.
#[derive(Debug, Clone)]
pub struct Adjusted {
    /// The parameters.
    pub parameters: Vec<f64>,
    /// What the conditions leave at the readings, to first order.
    pub residuals: Vec<f64>,
    /// The standard uncertainty of each of these from the row's own errors.
    pub uncertainties: Vec<f64>,
    /// Derivatives of the right side by the parameters over these uncertainties.
    pub tangent: Linear,
    /// What each error of each row was adjusted by, and how large it is there.
    pub adjustments: Vec<Vec<[f64; 2]>>,
    /// How often the conditions were solved.
    pub steps: u32,
}

/// Why there is no adjustment.
#[derive(Debug, Clone, PartialEq)]
pub enum Failure {
    /// A condition has no value at this row.
    Value(usize),
    /// A row has no uncertainty.
    Exact(usize),
    /// Parameters that cannot be told apart.
    Dependent(Vec<usize>),
    /// It did not settle.
    Endless,
}

impl From<Dependent> for Failure {
    fn from(dependent: Dependent) -> Self {
        Self::Dependent(dependent.columns)
    }
}

/// The adjustment from a start. `condition` is that of a row with these entries and parameters.
pub fn adjust(
    rows: &[Row],
    start: &[f64],
    condition: impl Fn(usize, &[f64], &[f64]) -> Option<Condition>,
) -> Result<Adjusted, Failure> {
    let mut state = State::new(rows, start);
    let (mut best, mut worse) = (f64::INFINITY, 0);
    for steps in 1..=MOST {
        let solved = state.solve(&condition)?;
        let size = state.advance(&solved);
        // The first step has seen no adjustment yet: that it is short says nothing.
        if steps == 1 && size.is_finite() {
            continue;
        }
        worse = if size < best { 0 } else { worse + 1 };
        best = best.min(size);
        /// A step that is no longer than this and does not shrink is rounding.
        const ROUNDING: f64 = 1e-10;
        if size <= f64::EPSILON || (worse > 2 && best < ROUNDING) {
            return Ok(state.finish(solved, steps));
        }
        if size.is_nan() {
            break;
        }
    }
    Err(Failure::Endless)
}

/// The condition of a row at its adjusted readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Settled {
    /// What the condition leaves at the readings, to first order.
    pub misfit: f64,
    /// The standard uncertainty of that from the row's own errors.
    pub uncertainty: f64,
    /// What the condition changes by with each error.
    pub by_error: Vec<f64>,
    /// And with each parameter.
    pub by_parameter: Vec<f64>,
}

/// A row that adjusts its readings to these parameters, from where it was adjusted to others.
pub fn settle(
    row: &Row,
    start: &[[f64; 2]],
    condition: impl Fn(&[f64]) -> Option<Condition>,
) -> Option<Settled> {
    let mut adjustments = start.to_vec();
    let mut found = row.settled(&adjustments, &condition)?;
    for _ in 0..MOST {
        let part = found.misfit / found.uncertainty.powi(2);
        let before = adjustments.clone();
        row.adjust(&mut adjustments, &found.by_error, part);
        let pairs = before.iter().zip(&adjustments);
        let still = pairs.into_iter().all(|([by, size], [next, next_size])| {
            (next - by).abs() <= f64::EPSILON * (next.abs() + next_size)
                && (next_size - size).abs() <= f64::EPSILON * next_size
        });
        if still {
            return Some(found);
        }
        found = row.settled(&adjustments, &condition)?;
    }
    Some(found)
}

impl Row {
    /// What the adjustments of its errors move each entry by.
    fn moved(&self, adjustments: &[[f64; 2]]) -> Vec<f64> {
        let errors = self.errors.iter().zip(adjustments);
        let mut moved = vec![0.0; self.entries.len()];
        for (error, [by, _]) in errors {
            for (entry, slope) in moved.iter_mut().zip(&error.by_entry) {
                *entry += slope * by;
            }
        }
        moved
    }

    /// The condition at these adjustments.
    fn settled(
        &self,
        adjustments: &[[f64; 2]],
        condition: &impl Fn(&[f64]) -> Option<Condition>,
    ) -> Option<Settled> {
        let moved = self.moved(adjustments);
        let entries = self.entries.iter().zip(&moved);
        let entries: Vec<f64> = entries.map(|(entry, by)| entry + by).collect();
        let found = condition(&entries)?;
        let product = |left: &[f64], right: &[f64]| -> f64 {
            left.iter()
                .zip(right)
                .map(|(left, right)| left * right)
                .sum()
        };
        let by_error = self.errors.iter();
        let by_error: Vec<f64> = by_error
            .map(|error| product(&error.by_entry, &found.by_entry))
            .collect();
        let parts = by_error.iter().zip(adjustments);
        let square = parts.map(|(slope, [_, size])| (slope * size).powi(2));
        Some(Settled {
            misfit: found.value - product(&moved, &found.by_entry),
            uncertainty: square.sum::<f64>().sqrt(),
            by_error,
            by_parameter: found.by_parameter,
        })
    }

    /// Adjusts its errors, where its misfit is `part` times the square of its uncertainty.
    fn adjust(&self, adjustments: &mut [[f64; 2]], by_error: &[f64], part: f64) {
        for ([by, size], slope) in adjustments.iter_mut().zip(by_error) {
            *by = -size.powi(2) * slope * part;
        }
        let mut adjusted = self.readings.clone();
        for (error, [by, _]) in self.errors.iter().zip(&*adjustments) {
            adjusted[error.reading] += by;
        }
        for (error, [_, size]) in self.errors.iter().zip(adjustments) {
            *size = match error.size {
                Size::Fixed(size) => size,
                Size::Share(part, of) => part * adjusted[of].abs(),
                Size::Root(factor, of) => factor * adjusted[of].max(0.0).sqrt(),
            };
        }
    }
}

struct State<'a> {
    rows: &'a [Row],
    parameters: Vec<f64>,
    /// By row and error: what it is adjusted by, and its size.
    adjustments: Vec<Vec<[f64; 2]>>,
}

struct Solved {
    misfits: Vec<f64>,
    uncertainties: Vec<f64>,
    /// By row and error: what the condition changes by with it.
    by_error: Vec<Vec<f64>>,
    tangent: Linear,
    step: Vec<f64>,
    residuals: Vec<f64>,
}

impl<'a> State<'a> {
    /// Before anything is adjusted, what grows with its reading is as large in all rows.
    fn new(rows: &'a [Row], start: &[f64]) -> Self {
        let middle = |of: usize| {
            let sizes = rows.iter().filter_map(|row| row.readings.get(of));
            sizes.map(|reading| reading.abs()).sum::<f64>() / rows.len() as f64
        };
        let first = |error: &Own| match error.size {
            Size::Fixed(size) => [0.0, size],
            Size::Share(part, of) => [0.0, part * middle(of)],
            Size::Root(factor, of) => [0.0, factor * middle(of).sqrt()],
        };
        Self {
            rows,
            parameters: start.to_vec(),
            adjustments: rows
                .iter()
                .map(|row| row.errors.iter().map(first).collect())
                .collect(),
        }
    }

    fn solve(
        &self,
        condition: &impl Fn(usize, &[f64], &[f64]) -> Option<Condition>,
    ) -> Result<Solved, Failure> {
        let count = self.parameters.len();
        let mut columns = vec![Vec::with_capacity(self.rows.len()); count];
        let (mut misfits, mut uncertainties, mut all) = (Vec::new(), Vec::new(), Vec::new());
        for (row, readings) in self.rows.iter().enumerate() {
            let at = |entries: &[f64]| condition(row, entries, &self.parameters);
            let found = readings.settled(&self.adjustments[row], &at);
            let Settled {
                misfit,
                uncertainty,
                by_error,
                by_parameter,
            } = found.ok_or(Failure::Value(row))?;
            if !misfit.is_finite() || by_parameter.iter().any(|slope| !slope.is_finite()) {
                return Err(Failure::Value(row));
            }
            if uncertainty.is_nan() || uncertainty <= 0.0 {
                return Err(Failure::Exact(row));
            }
            for (column, slope) in columns.iter_mut().zip(&by_parameter) {
                column.push(-slope / uncertainty);
            }
            misfits.push(misfit / uncertainty);
            uncertainties.push(uncertainty);
            all.push(by_error);
        }
        let tangent = Linear::new(columns)?;
        let nearest = tangent.nearest(&misfits);
        Ok(Solved {
            misfits,
            uncertainties,
            by_error: all,
            tangent,
            step: nearest.parameters,
            residuals: nearest.residuals,
        })
    }

    /// Takes the step; how large it is.
    fn advance(&mut self, solved: &Solved) -> f64 {
        debug_assert_eq!(solved.misfits.len(), self.rows.len());
        for (parameter, step) in self.parameters.iter_mut().zip(&solved.step) {
            *parameter += step;
        }
        let tangent = &solved.tangent;
        let mut most = tangent.moves(&solved.step, &self.parameters, &solved.residuals);
        for (row, readings) in self.rows.iter().enumerate() {
            let part = solved.residuals[row] / solved.uncertainties[row];
            let before = self.adjustments[row].clone();
            readings.adjust(&mut self.adjustments[row], &solved.by_error[row], part);
            for ([_, next], [_, size]) in self.adjustments[row].iter().zip(&before) {
                let change = (next / size - 1.0).abs();
                if change > most || change.is_nan() {
                    most = change;
                }
            }
        }
        most
    }

    fn finish(self, solved: Solved, steps: u32) -> Adjusted {
        let pairs = solved.residuals.iter().zip(&solved.uncertainties);
        Adjusted {
            parameters: self.parameters,
            residuals: pairs.map(|(residual, size)| residual * size).collect(),
            uncertainties: solved.uncertainties,
            tangent: solved.tangent,
            adjustments: self.adjustments,
            steps,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::philox::Source;
    use crate::statistics::published::{Case, digits};

    fn line(_: usize, entries: &[f64], parameters: &[f64]) -> Option<Condition> {
        let (x, y) = (entries[0], entries[1]);
        Some(Condition {
            value: y - parameters[0] - parameters[1] * x,
            by_entry: vec![-parameters[1], 1.0],
            by_parameter: vec![-1.0, -x],
        })
    }

    fn fixed(x: f64, y: f64, sizes: [f64; 2]) -> Row {
        let error = |reading: usize| Own {
            size: Size::Fixed(sizes[reading]),
            reading,
            by_entry: vec![f64::from(reading == 0), f64::from(reading == 1)],
        };
        Row {
            entries: vec![x, y],
            readings: vec![x, y],
            errors: vec![error(0), error(1)],
        }
    }

    /// Pearson's points with the weights of York.
    /// A parabola through readings that lie alike on both sides of its middle, so that its slope
    /// there is 0: the end is seen although that parameter is rounding alone.
    #[test]
    fn a_parameter_that_is_zero_keeps_nobody_from_the_end() {
        let own = |size: f64, reading: usize| Own {
            size: Size::Fixed(size),
            reading,
            by_entry: vec![f64::from(reading == 0), f64::from(reading == 1)],
        };
        for scale in [1e-6, 1.0, 1e6] {
            let y = [9.2, 4.1, 0.8, 0.1, 0.8, 4.1, 9.2];
            let rows: Vec<Row> = (-3..=3)
                .zip(y)
                .map(|(x, y)| Row {
                    entries: vec![f64::from(x), y * scale],
                    readings: vec![f64::from(x), y * scale],
                    errors: vec![own(0.02, 0), own(0.1 * scale, 1)],
                })
                .collect();
            let parabola = |_: usize, entries: &[f64], parameters: &[f64]| {
                let (x, y) = (entries[0], entries[1]);
                let [a, b, c] = parameters.first_chunk::<3>()?;
                Some(Condition {
                    value: y - (a + b * x + c * x * x),
                    by_entry: vec![-(b + 2.0 * c * x), 1.0],
                    by_parameter: vec![-1.0, -x, -x * x],
                })
            };
            let found = adjust(&rows, &[0.0, 0.0, scale], parabola).unwrap();
            assert!(found.parameters[1].abs() < 1e-12 * scale);
            assert!(found.steps < 20, "{}", found.steps);
        }
    }

    #[test]
    fn a_straight_line_is_that_of_york() {
        let case = Case::of("fits.json", "fit-both-york");
        let columns = ["x", "y", "weight_x", "weight_y"].map(|name| case.column(name));
        let rows: Vec<Row> = (0..columns[0].len())
            .map(|row| {
                let [x, y, a, b] = [0, 1, 2, 3].map(|of| columns[of][row]);
                fixed(x, y, [1.0 / a.sqrt(), 1.0 / b.sqrt()])
            })
            .collect();
        let adjusted = adjust(&rows, &[5.0, -0.5], line).unwrap();
        let covariance = adjusted.tangent.covariance();
        for (j, name) in ["a", "b"].into_iter().enumerate() {
            let reached = digits(adjusted.parameters[j], case.value(name));
            assert!(reached >= 11.0, "{name}: {reached:.1}");
            let reached = digits(covariance[j][j].sqrt(), case.uncertainty(name));
            assert!(reached >= 10.0, "u({name}): {reached:.1}");
        }
        let pairs = adjusted.residuals.iter().zip(&adjusted.uncertainties);
        let squares: f64 = pairs
            .map(|(residual, size)| (residual / size).powi(2))
            .sum();
        assert!(digits(squares, case.value("chi_squared")) >= 11.0);
    }

    /// Readings that are all alike uncertain: the line of least squares of y alone, from which the
    /// adjustment starts, is not the one of both, which has a closed form (Deming 1943).
    #[test]
    fn the_line_of_one_side_is_no_end_for_both() {
        let noise = Source { key: 5 };
        for set in 0..200 {
            let rows: Vec<Row> = (0..9_u32)
                .map(|row| {
                    let x = f64::from(row) + noise.normal(set, row);
                    let y = 2.0 + 0.7 * f64::from(row) + noise.normal(set, 20 + row);
                    fixed(x, y, [0.5, 1.0])
                })
                .collect();
            let mean = |of: usize| rows.iter().map(|row| row.entries[of]).sum::<f64>() / 9.0;
            let [x, y] = [mean(0), mean(1)];
            let sum = |one: usize, other: usize| -> f64 {
                let middle = [x, y];
                let off = |row: &Row, of: usize| row.entries[of] - middle[of];
                rows.iter().map(|row| off(row, one) * off(row, other)).sum()
            };
            // The ratio of the variances is 4.
            let (xx, xy, yy) = (sum(0, 0), sum(0, 1), sum(1, 1));
            let half = (yy - 4.0 * xx) / 2.0;
            let slope = (half + (half * half + 4.0 * xy * xy).sqrt()) / xy;
            let start = [y - xy / xx * x, xy / xx];
            let adjusted = adjust(&rows, &start, line).unwrap();
            let found = adjusted.parameters[1];
            assert!((found / slope - 1.0).abs() < 1e-10, "{found}, not {slope}");
        }
    }

    /// Twelve readings of 10 % each on 2 + 3x. By their own sizes the low ones would pull the
    /// slope down by 2 %; by the fitted ones it is right on average, and so is its uncertainty.
    #[test]
    fn shares_are_those_of_the_fitted_readings() {
        const SETS: u64 = 2000;
        let noise = Source { key: 3 };
        let mut slopes = Vec::new();
        let mut inside = 0;
        for set in 0..SETS {
            let rows: Vec<Row> = (0..12_u32)
                .map(|row| {
                    let x = f64::from(row);
                    let y = (2.0 + 3.0 * x) * (1.0 + 0.1 * noise.normal(set, row));
                    let mut row = fixed(x, y, [0.0, 0.0]);
                    row.errors.remove(0);
                    row.errors[0].size = Size::Share(0.1, 1);
                    row
                })
                .collect();
            let adjusted = adjust(&rows, &[2.0, 3.0], line).unwrap();
            let u = adjusted.tangent.covariance()[1][1].sqrt();
            inside += u32::from((adjusted.parameters[1] - 3.0).abs() <= 2.0 * u);
            slopes.push(adjusted.parameters[1]);
        }
        let mean = crate::statistics::spread::mean(&slopes);
        let u = crate::statistics::spread::standard_deviation_of_mean(&slopes);
        assert!((mean - 3.0).abs() < 3.0 * u, "{mean} {u}");
        // Normal: 95.45 %, with 0.5 % of chance in 2000 sets.
        assert!(
            (f64::from(inside) / SETS as f64 - 0.9545).abs() < 0.015,
            "{inside}"
        );
    }

    #[test]
    fn what_cannot_be_adjusted_is_said() {
        let rows = [fixed(0.0, 1.0, [0.1, 0.1]), fixed(1.0, 2.0, [0.0, 0.0])];
        let failure = adjust(&rows, &[0.0, 1.0], line).unwrap_err();
        assert_eq!(failure, Failure::Exact(1));
        let rows = [fixed(1.0, 1.0, [0.1, 0.1]), fixed(1.0, 2.0, [0.1, 0.1])];
        let failure = adjust(&rows, &[0.0, 0.0], line).unwrap_err();
        assert_eq!(failure, Failure::Dependent(vec![0, 1]));
        let failure = adjust(&rows, &[0.0, 0.0], |_, _, _| None).unwrap_err();
        assert_eq!(failure, Failure::Value(0));
    }
}
