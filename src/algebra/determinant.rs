//! Small linear systems solved at once, by determinants.

use std::collections::BTreeSet;

use num_traits::{One, Zero};

use super::branches::Fit;
use super::node::{Id, Symbol};
use super::solution::{Branch, Operation, Requirement, Step, Stuck, Wanted};
use super::system::{Failure, Open, Set};
use super::{Algebra, Rational};

impl Algebra {
    /// A linear system by determinants; `None` when it is not linear.
    pub(super) fn solve_at_once(&mut self, open: &Open) -> Option<Result<Set, Failure>> {
        let before = self.take_leaned();
        let mut result = self.by_determinants(open);
        let leaned = self.take_leaned();
        self.lean_on(before);
        self.lean_on(leaned.clone());
        if let Some(Ok(set)) = &mut result {
            for (_, branch) in set.solutions.iter_mut().flatten() {
                branch.leaned.clone_from(&leaned);
            }
        }
        result
    }

    fn by_determinants(&mut self, open: &Open) -> Option<Result<Set, Failure>> {
        let mut rows = Vec::new();
        for (left, right) in &open.equations {
            let difference = self.subtract(*left, *right);
            rows.push(self.linear_row(difference, &open.unknowns)?);
        }
        let matrix: Vec<Vec<Id>> = rows.iter().map(|(row, _)| row.clone()).collect();
        let determinant = self.determinant(&matrix);
        let first = open.unknowns.first().map(|(unknown, _)| *unknown);
        let mut above = Vec::new();
        for column in 0..open.unknowns.len() {
            let mut replaced = matrix.clone();
            for (row, (_, constant)) in replaced.iter_mut().zip(&rows) {
                row[column] = self.negate(*constant);
            }
            above.push(self.determinant(&replaced));
        }
        if self.certainly_vanishes(determinant) {
            // Unless all of these are zero, there is no solution. If they are, a system of more
            // than two equations can still be either, which elimination tells.
            let mut open_ones = Vec::new();
            for one in above {
                match self.is_zero_for_any(one) {
                    Some(true) => {}
                    Some(false) => return Some(Ok(Set::default())),
                    None => open_ones.push(self.shortest(one)),
                }
            }
            return match open_ones.first() {
                Some(first) => Some(Ok(Set {
                    unless: vec![*first],
                    ..Set::default()
                })),
                None if open.unknowns.len() == 2 => Some(Err((Stuck::Dependent, first))),
                None => None,
            };
        }
        let below = self.shortest_with_angles(determinant);
        let mut requires = Vec::new();
        for factor in self.zeros(below) {
            let requirement = Requirement::NotZero(factor);
            match self.decide(&requirement) {
                Some(true) => {}
                Some(false) => return None,
                None => requires.push(requirement),
            }
        }
        let mut solution = Vec::new();
        for ((unknown, wanted), above) in open.unknowns.iter().zip(above) {
            let value = self.quotient_of(above, below);
            let is_open = match self.fit_of(*unknown, wanted, value) {
                Fit::Always => false,
                Fit::At(_) | Fit::Open => true,
                Fit::Never => {
                    return Some(Ok(Set {
                        unless: determinant_factors(&requires),
                        has_others: true,
                        ..Set::default()
                    }));
                }
            };
            let left = self.symbol(*unknown);
            let step = Step {
                left,
                right: value,
                what: Operation::Eliminated,
            };
            let branch = Branch {
                value,
                steps: vec![step],
                requires: requires.clone(),
                leaned: BTreeSet::new(),
                taken: None,
                leaves_turns: false,
                is_open,
                is_aside: false,
                period: None,
            };
            solution.push((*unknown, branch));
        }
        Some(Ok(Set {
            solutions: vec![solution],
            ..Set::default()
        }))
    }

    /// The coefficients of the unknowns, and what stands without them.
    fn linear_row(&mut self, id: Id, unknowns: &[(Symbol, &Wanted)]) -> Option<(Vec<Id>, Id)> {
        let mut row = Vec::new();
        let mut rest = id;
        for (unknown, _) in unknowns {
            let powers = self.powers_of(rest, *unknown)?;
            let (constant, slope) = match powers.as_slice() {
                [constant] => (*constant, self.whole(0)),
                [constant, slope] => (*constant, *slope),
                _ => return None,
            };
            if unknowns
                .iter()
                .any(|(other, _)| self.contains(slope, *other))
            {
                return None;
            }
            row.push(slope);
            rest = constant;
        }
        Some((row, rest))
    }

    fn determinant(&mut self, matrix: &[Vec<Id>]) -> Id {
        if let [row] = matrix {
            return row.first().copied().unwrap_or_else(|| self.whole(1));
        }
        let Some((first, below)) = matrix.split_first() else {
            return self.whole(1);
        };
        let mut terms = Vec::new();
        for (column, cell) in first.iter().enumerate() {
            if self.is_zero(*cell) {
                continue;
            }
            let minor: Vec<Vec<Id>> = below
                .iter()
                .map(|row| {
                    let cells = row.iter().enumerate().filter(|(at, _)| *at != column);
                    cells.map(|(_, cell)| *cell).collect()
                })
                .collect();
            let minor = self.determinant(&minor);
            let sign = if column % 2 == 0 {
                Rational::one()
            } else {
                -Rational::one()
            };
            terms.push((self.multiply(&[*cell, minor]), sign));
        }
        self.sum_of(&Rational::zero(), &terms)
    }

    /// The shortest of a few forms of a quotient.
    fn quotient_of(&mut self, above: Id, below: Id) -> Id {
        let short = self.shortest_with_angles(above);
        let plain = self.divide(short, below);
        let gathered = self.shortest_with_angles(plain);
        if self.length(gathered) < self.length(plain) {
            gathered
        } else {
            plain
        }
    }
}

fn determinant_factors(requires: &[Requirement]) -> Vec<Id> {
    let factors = requires.iter().filter_map(|requirement| match requirement {
        Requirement::NotZero(factor) => Some(*factor),
        Requirement::NotNegative(_) | Requirement::Positive(_) | Requirement::Inside { .. } => None,
    });
    factors.collect()
}
