//! What is said of a fit: whether its residuals go with the uncertainties, and whether they are
//! chance.

use super::solve::Solved;
use crate::statistics::quantiles::{chi_squared, fisher};
use crate::statistics::runs;

/// What is said of a fit.
#[derive(Debug, Clone, PartialEq)]
pub enum Judgement {
    /// χ²/ν lies outside the range of 99 %: how much the readings scatter beside what their
    /// uncertainties say.
    Scatter(f64),
    /// The signs of the residuals run: how many at the beginning are alike, and whether they lie
    /// above.
    Runs(usize, bool),
    /// Rows with the same abscissae tell apart what the formula lacks.
    LackOfFit(Test),
}

/// A ratio with the limit that it has in 95 of 100 cases.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Test {
    /// The ratio.
    pub ratio: f64,
    /// The limit.
    pub limit: f64,
}

/// The share of all cases outside of which χ² is told.
const TOLD: f64 = 0.01;

impl Solved {
    /// The range that holds χ²/ν in this share of all cases.
    pub fn range(&self, share: f64) -> [f64; 2] {
        range(self, share)
    }
}

/// What is said of a fit.
pub fn judgements(solved: &Solved) -> Vec<Judgement> {
    let found = [scatter(solved), signs(solved), lack_of_fit(solved)];
    found.into_iter().flatten().collect()
}

/// The range that holds χ²/ν in this share of all cases; that of F where the weights have few
/// degrees of freedom.
pub(super) fn range(solved: &Solved, share: f64) -> [f64; 2] {
    let nu = solved.degrees;
    [(1.0 - share) / 2.0, (1.0 + share) / 2.0].map(|p| match solved.weight_degrees {
        weights if weights.is_finite() => fisher(p, nu, weights),
        _ => chi_squared(p, nu) / nu,
    })
}

fn scatter(solved: &Solved) -> Option<Judgement> {
    if !solved.is_by_uncertainty || solved.degrees == 0.0 {
        return None;
    }
    let ratio = solved.squares / solved.degrees;
    let [low, high] = range(solved, 1.0 - TOLD);
    (ratio < low || ratio > high).then(|| Judgement::Scatter(ratio.sqrt()))
}

fn signs(solved: &Solved) -> Option<Judgement> {
    let mut rows: Vec<(f64, f64)> = (solved.abscissae.iter().copied())
        .zip(solved.residuals.iter().copied())
        .collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let residuals: Vec<f64> = rows.into_iter().map(|row| row.1).collect();
    let chance = runs::chance_of_so_few(&residuals)?;
    let above = residuals.iter().find(|residual| **residual != 0.0)? > &0.0;
    (chance < TOLD).then(|| Judgement::Runs(runs::first_run(&residuals), above))
}

/// What rows with the same abscissae scatter by, against how far their means lie beside the curve.
fn lack_of_fit(solved: &Solved) -> Option<Judgement> {
    let count = solved.rows.len();
    let groups: Vec<usize> = (0..count).filter(|at| solved.alike[*at] == *at).collect();
    let parameters = count as f64 - solved.degrees;
    let (above, below) = (
        groups.len() as f64 - parameters,
        (count - groups.len()) as f64,
    );
    if below == 0.0 || above <= 0.0 {
        return None;
    }
    let mut pure = 0.0;
    for group in groups {
        let rows = (0..count).filter(|at| solved.alike[*at] == group);
        let weighted = |at: usize| solved.roots[at].powi(2);
        let weight: f64 = rows.clone().map(weighted).sum();
        let sum: f64 = rows
            .clone()
            .map(|at| weighted(at) * solved.residuals[at])
            .sum();
        let mean = sum / weight;
        pure += rows
            .map(|at| weighted(at) * (solved.residuals[at] - mean).powi(2))
            .sum::<f64>();
    }
    let ratio = ((solved.squares - pure).max(0.0) / above) / (pure / below);
    ratio.is_finite().then(|| {
        Judgement::LackOfFit(Test {
            ratio,
            limit: fisher(0.95, above, below),
        })
    })
}

/// The part of the scatter of the left side that the formula accounts for; only where it has a
/// constant and all rows weigh alike.
pub fn determination(solved: &Solved) -> Option<f64> {
    if !solved.has_constant || !solved.is_equal || solved.is_both {
        return None;
    }
    let left = solved.left_squares;
    (left > 0.0).then(|| 1.0 - solved.residuals.iter().map(|r| r * r).sum::<f64>() / left)
}
