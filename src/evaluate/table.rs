//! What conditions may ask of the rows of a table.

use std::sync::Arc;

use crate::text::Span;

/// A table.
#[derive(Debug, Default)]
pub(super) struct Table {
    /// How many rows it has.
    pub rows: usize,
    /// Its columns of words: where each heading stands, and the words.
    pub words: Vec<(Span, Arc<[Box<str>]>)>,
}
