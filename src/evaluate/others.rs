//! What other worksheets hold for those who take from them.

use std::fmt;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::asked::Chosen;
use super::program::{Library, Program};
use super::sources::Sources;
use super::value::{self, Value, Values};
use crate::resolve::{BySymbol, Expr, SymbolId};
use crate::text::Span;

/// The values of other worksheets.
pub trait Others: fmt::Debug + Sync {
    /// What was found of one of the problems.
    fn found(&self, at: usize) -> Option<&Kept>;

    /// The file of it, and where a place of its text stands there.
    fn place(&self, at: usize, place: Span) -> (Arc<str>, u32);

    /// The text of it.
    fn text(&self, at: usize) -> &str;

    /// A value of it with other values of some givens.
    ///
    /// # Errors
    /// Why there is none, in a sentence.
    fn what_if(
        &self,
        at: usize,
        symbol: SymbolId,
        by: FxHashMap<SymbolId, Value>,
    ) -> Result<Value, String>;
}

/// The values of a problem, for those who take from it.
#[derive(Debug)]
pub struct Kept {
    pub(super) values: BySymbol<Arc<Value>>,
    pub(super) sources: Arc<Sources>,
    pub(super) decided: FxHashMap<Span, Chosen>,
}

/// A problem that has no value beneath.
struct Nothing;

impl Values for Nothing {
    fn value(&self, _: SymbolId) -> Option<&Value> {
        None
    }
}

impl Kept {
    /// The sources of uncertainty.
    pub fn sources(&self) -> Arc<Sources> {
        Arc::clone(&self.sources)
    }

    /// Whether a name has a value.
    pub fn has(&self, symbol: SymbolId) -> bool {
        self.values.has(symbol)
    }

    /// A list in the rows that are in a table whose lists stand at a place.
    pub(super) fn rows(&self, symbol: SymbolId, place: Span) -> Option<Value> {
        let mut value = Value::clone(self.values.get(symbol)?);
        let chosen = self.decided.get(&place)?;
        for (row, number) in value.rows.iter_mut().enumerate() {
            if !chosen.has.get(row).is_some_and(|has| *has) {
                *number = f64::NAN;
            }
        }
        Some(value)
    }

    /// A number with its unit, as it stands in a text.
    pub(super) fn quantity(&self, expr: &Expr, text: &str) -> Option<Value> {
        let library = Library {
            bodies: &FxHashMap::default(),
            sources: &self.sources,
            text,
            atmosphere: None,
            symbols: None,
            in_radians: None,
            tables: None,
            means: None,
            shared: None,
        };
        value::run(&Program::compile(expr, &library), &Nothing).ok()
    }
}
