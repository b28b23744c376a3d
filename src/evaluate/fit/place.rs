//! The rows of a formula at a place: with these parameters, and lists moved by so much.
//!
//! The derivatives of its numbers are those by the parameters and by the entries of the lists in
//! the row; what is uncertain beneath is left out.

use std::sync::Arc;

use crate::evaluate::asked::{Choice, Chosen, Told};
use crate::evaluate::literal::Literal;
use crate::evaluate::number::{Dual, Number, Partial};
use crate::evaluate::program::{Environment, Fault, Lists, Program, Rows};
use crate::evaluate::value::{self, Values};
use crate::functions::Twofold;
use crate::resolve::SymbolId;

/// The first number of the sources that stand for parameters.
const PARAMETER: u32 = u32::MAX - 256;

/// The first of those that stand for the entries of lists in a row.
const ENTRY: u32 = u32::MAX - 128;

/// A row of a formula at a place.
pub(super) struct Place<'a> {
    pub symbols: &'a [SymbolId],
    pub parameters: &'a [f64],
    pub lists: &'a [SymbolId],
    /// The row, and its entries.
    pub row: usize,
    pub entries: &'a [f64],
    pub beneath: &'a dyn Values,
}

/// A number of a row with its derivatives.
#[derive(Debug, Clone)]
pub(super) struct Graded {
    pub value: f64,
    pub by_parameter: Vec<f64>,
    pub by_entry: Vec<f64>,
}

impl Place<'_> {
    fn found(&self, symbol: SymbolId, row: usize) -> (Option<u32>, f64) {
        if let Some(j) = self.symbols.iter().position(|own| *own == symbol) {
            return (Some(PARAMETER + j as u32), self.parameters[j]);
        }
        let own = self.lists.iter().position(|own| *own == symbol);
        match own.filter(|_| row == self.row) {
            Some(k) => (Some(ENTRY + k as u32), self.entries[k]),
            None => (None, value::number(self.beneath, symbol, row)),
        }
    }

    /// The number that a program has in the row.
    pub(super) fn run(&self, program: &Program) -> Result<Graded, Fault> {
        let found: Dual<f64> = program.run(self.row, self)?;
        let by = |first: u32, count: usize| {
            let slope =
                |source: u32| Partial::among(&found.gradient, source).map_or(0.0, |it| it.slope);
            (first..).take(count).map(slope).collect()
        };
        Ok(Graded {
            value: found.value,
            by_parameter: by(PARAMETER, self.symbols.len()),
            by_entry: by(ENTRY, self.lists.len()),
        })
    }
}

impl Environment<Dual<f64>> for Place<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> Dual<f64> {
        let (source, value) = self.found(symbol, row);
        Dual {
            value,
            gradient: source.map(Partial::of).into_iter().collect(),
        }
    }

    fn literal(&self, literal: &Literal) -> Dual<f64> {
        Dual::constant(literal.value())
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> Dual<f64> {
        Dual::constant(literal.value() + value::shift(self.beneath, errors))
    }
}

/// Digits beyond a double are those of the arithmetic: data and parameters are the doubles that they
/// are, in whatever power.
impl Environment<Twofold> for Place<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> Twofold {
        self.found(symbol, row).1.into()
    }

    fn literal(&self, literal: &Literal) -> Twofold {
        literal.value().into()
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> Twofold {
        (literal.value() + value::shift(self.beneath, errors)).into()
    }
}

impl Lists for Place<'_> {
    fn is_missing(&self, symbol: SymbolId, row: usize) -> bool {
        !self.symbols.contains(&symbol) && value::is_missing(self.beneath, symbol, row)
    }

    fn rows(&self, symbol: SymbolId) -> Option<Rows> {
        match self.symbols.contains(&symbol) {
            true => None,
            false => value::rows_of(self.beneath, symbol),
        }
    }

    fn told(&self, told: &Told) -> Result<Arc<[f64]>, Fault> {
        self.beneath.told(told, self.beneath)
    }

    fn chosen(&self, choice: &Choice) -> Result<Chosen, Fault> {
        value::chosen(choice, self.beneath)
    }
}
