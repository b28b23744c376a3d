//! What results of scatter were found from.

use std::collections::BTreeSet;

use super::program::RowsOf;
use crate::resolve::SymbolId;

/// What a result of scatter was found from.
#[derive(Debug)]
pub(super) struct Scatter {
    /// Its source.
    pub source: u32,
    /// The rows of the table.
    pub of: Option<RowsOf>,
    /// What each row differs by from the mean; not a number without an entry.
    pub deviations: Vec<f64>,
    /// The columns that the list was computed from.
    pub columns: BTreeSet<SymbolId>,
}
