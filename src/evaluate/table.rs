//! What results of scatter were found from, which tells how they correlate.

use std::collections::{BTreeMap, BTreeSet};

use super::program::RowsOf;
use crate::resolve::SymbolId;
use crate::text::Span;

/// What a result of scatter was found from.
#[derive(Debug)]
pub(super) struct Scatter {
    /// Its source; of results row by row that of the first row.
    pub source: u32,
    /// Whether it is a result for each row.
    pub by_row: bool,
    /// The lists that it was found from.
    pub lists: Vec<Deviations>,
}

/// How far the entries of a list lie beside what they were held against.
#[derive(Debug)]
pub(super) struct Deviations {
    /// The rows of the table.
    pub of: Option<RowsOf>,
    /// The entries.
    pub entries: Vec<f64>,
    /// What each row differs by from the mean, or from the fit; not a number where it takes no part.
    pub deviations: Vec<f64>,
    /// The columns that the list was computed from.
    pub columns: BTreeSet<SymbolId>,
}

impl Scatter {
    /// The weight of a row in a result, times its standard deviation and over that of the result.
    fn weights(&self) -> Vec<f64> {
        let rows = self.lists.iter().map(|list| list.deviations.len()).max();
        let rows = 0..rows.unwrap_or(0);
        let of_row = |row: usize| self.lists.iter().filter(|list| list.has(row)).count();
        let all: usize = rows.clone().map(of_row).sum();
        rows.map(|row| {
            let count = if self.by_row { of_row(row) } else { all };
            (count.max(1) as f64).sqrt().recip()
        })
        .collect()
    }

    /// The source that hangs on a row.
    fn source_of(&self, row: usize) -> u32 {
        self.source + if self.by_row { row as u32 } else { 0 }
    }

    /// The pairs of sources of two results that correlate, with their coefficients: by the rows that
    /// they share, each with its weight, where `relation` says how two lists go together.
    pub fn pairs(
        &self,
        other: &Self,
        relation: &dyn Fn(&Deviations, &Deviations) -> Option<f64>,
    ) -> BTreeMap<(u32, u32), f64> {
        let mut found = BTreeMap::new();
        let (own, others) = (self.weights(), other.weights());
        for one in &self.lists {
            for with in &other.lists {
                let Some(coefficient) = relation(one, with) else {
                    continue;
                };
                let rows = own.iter().zip(&others).enumerate();
                for (row, (own, other_weight)) in rows {
                    if one.has(row) && with.has(row) {
                        let pair = (self.source_of(row), other.source_of(row));
                        *found.entry(pair).or_insert(0.0) += coefficient * own * other_weight;
                    }
                }
            }
        }
        found
    }
}

impl Deviations {
    fn has(&self, row: usize) -> bool {
        self.deviations.get(row).is_some_and(|it| !it.is_nan())
    }

    /// The pairs of what two lists have in the rows that they share.
    pub fn shared<'l>(
        &'l self,
        other: &'l Self,
        take: impl Fn(&'l Self) -> &'l [f64],
    ) -> (Vec<f64>, Vec<f64>) {
        let rows = 0..self.deviations.len().min(other.deviations.len());
        let shared = rows.filter(|row| self.has(*row) && other.has(*row));
        let (one, with) = (take(self), take(other));
        shared
            .filter_map(|row| Some((*one.get(row)?, *with.get(row)?)))
            .unzip()
    }
}

/// What is to be said of scatter.
#[derive(Debug, Clone, PartialEq)]
pub enum ScatterWord {
    /// It is no more than half a step of the last digit, which is added: in so many rows of all.
    Hidden(Option<(usize, usize)>),
    /// The readings were taken together with those of another result.
    Together {
        /// What that is called; a fit has no name.
        names: Vec<SymbolId>,
        /// Where it stands.
        place: Span,
        /// The correlation of their deviations.
        coefficient: f64,
    },
}
