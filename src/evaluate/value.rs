//! Values, and how a program makes one.

use super::number::Dual;
use super::program::{Environment, Fault, Program};
use crate::resolve::SymbolId;

/// A value in coherent SI units.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Value {
    /// One number, or one a row.
    pub rows: Vec<f64>,
    /// Whether it is a list, also when it has one row.
    pub is_list: bool,
    /// Derivatives by the uncertain inputs; empty for a list.
    pub gradient: Vec<(u32, f64)>,
}

impl Value {
    /// A single exact number.
    pub fn one(value: f64) -> Self {
        Self {
            rows: vec![value],
            ..Self::default()
        }
    }

    /// Its number in a row; a single number serves every row.
    pub fn at(&self, row: usize) -> f64 {
        let found = self.rows.get(row).or_else(|| self.rows.first());
        found.copied().unwrap_or(f64::NAN)
    }

    /// Its standard uncertainty, from the standard uncertainties of the inputs; `None` when it
    /// depends on none.
    pub fn uncertainty(&self, inputs: &[f64]) -> Option<f64> {
        if self.gradient.is_empty() {
            return None;
        }
        let square: f64 = self
            .gradient
            .iter()
            .map(|(input, derivative)| {
                let uncertainty = inputs.get(*input as usize).copied().unwrap_or(0.0);
                (derivative * uncertainty).powi(2)
            })
            .sum();
        Some(square.sqrt())
    }
}

/// Where a program finds the values of symbols.
pub trait Values {
    /// A symbol's value; every symbol a program reads has one when it is run.
    fn value(&self, symbol: SymbolId) -> Option<&Value>;
}

/// Runs a program on values.
pub fn run(program: &Program, values: &dyn Values) -> Result<Value, Fault> {
    let rows = program.rows(&|symbol| list_rows(values, symbol))?;
    if let Some(rows) = rows {
        let environment = Plain(values);
        let rows = (0..rows)
            .map(|row| program.run(row, &environment))
            .collect::<Result<Vec<f64>, Fault>>()?;
        return Ok(Value {
            rows,
            is_list: true,
            gradient: Vec::new(),
        });
    }
    let uncertain = program.has_inputs()
        || program.symbols().any(|symbol| {
            values
                .value(symbol)
                .is_some_and(|value| !value.gradient.is_empty())
        });
    if !uncertain {
        return Ok(Value::one(program.run(0, &Plain(values))?));
    }
    let dual: Dual = program.run(0, &Graded(values))?;
    Ok(Value {
        rows: vec![dual.value],
        is_list: false,
        gradient: dual.gradient,
    })
}

fn list_rows(values: &dyn Values, symbol: SymbolId) -> Option<usize> {
    let value = values.value(symbol)?;
    value.is_list.then_some(value.rows.len())
}

fn number(values: &dyn Values, symbol: SymbolId, row: usize) -> f64 {
    values.value(symbol).map_or(f64::NAN, |value| value.at(row))
}

struct Plain<'a>(&'a dyn Values);

impl Environment<f64> for Plain<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> f64 {
        number(self.0, symbol, row)
    }

    fn input(&self, value: f64, _input: u32) -> f64 {
        value
    }

    fn rows(&self, symbol: SymbolId) -> Option<usize> {
        list_rows(self.0, symbol)
    }
}

struct Graded<'a>(&'a dyn Values);

impl Environment<Dual> for Graded<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> Dual {
        Dual {
            value: number(self.0, symbol, row),
            gradient: self
                .0
                .value(symbol)
                .map(|value| value.gradient.clone())
                .unwrap_or_default(),
        }
    }

    fn input(&self, value: f64, input: u32) -> Dual {
        Dual {
            value,
            gradient: vec![(input, 1.0)],
        }
    }

    fn rows(&self, symbol: SymbolId) -> Option<usize> {
        list_rows(self.0, symbol)
    }
}
