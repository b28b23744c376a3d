//! Values, and how a program makes one.

use super::number::Dual;
use super::program::{Environment, Fault, Program, Rows};
use crate::resolve::{Shape, SymbolId};

/// A value in coherent SI units.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Value {
    /// One number, or one a row or component.
    pub rows: Vec<f64>,
    /// What the numbers are to each other.
    pub shape: Shape,
    /// For each number its derivatives by the uncertain inputs; empty where it depends on none.
    pub gradients: Vec<Vec<(u32, f64)>>,
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

    /// Its derivatives by the uncertain inputs in a row.
    pub fn gradient(&self, row: usize) -> &[(u32, f64)] {
        let found = self.gradients.get(row).or_else(|| self.gradients.first());
        found.map_or(&[], Vec::as_slice)
    }

    /// Its standard uncertainty, from the standard uncertainties of the inputs; `None` when it
    /// depends on none.
    pub fn uncertainty(&self, inputs: &[f64]) -> Option<f64> {
        let gradient = self.gradient(0);
        if gradient.is_empty() || self.shape != Shape::One {
            return None;
        }
        let square: f64 = gradient
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
    let rows = program.rows(&|symbol| rows_of(values, symbol))?;
    let (count, shape) = rows.unwrap_or((1, Shape::One));
    let uncertain = program.has_inputs()
        || program.symbols().any(|symbol| {
            values
                .value(symbol)
                .is_some_and(|value| !value.gradients.is_empty())
        });
    if uncertain {
        let mut value = Value {
            shape,
            ..Value::default()
        };
        for row in 0..count {
            let dual: Dual = program.run(row, &Graded(values))?;
            value.rows.push(dual.value);
            value.gradients.push(dual.gradient);
        }
        return Ok(value);
    }
    let rows = (0..count)
        .map(|row| program.run(row, &Plain(values)))
        .collect::<Result<Vec<f64>, Fault>>()?;
    Ok(Value {
        rows,
        shape,
        gradients: Vec::new(),
    })
}

/// How many rows a symbol has; `None` for one number.
pub fn rows_of(values: &dyn Values, symbol: SymbolId) -> Option<Rows> {
    let value = values.value(symbol)?;
    (value.shape != Shape::One).then_some((value.rows.len(), value.shape))
}

/// The number of a symbol in a row.
pub fn number(values: &dyn Values, symbol: SymbolId, row: usize) -> f64 {
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

    fn rows(&self, symbol: SymbolId) -> Option<Rows> {
        rows_of(self.0, symbol)
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
                .map(|value| value.gradient(row).to_vec())
                .unwrap_or_default(),
        }
    }

    fn input(&self, value: f64, input: u32) -> Dual {
        Dual {
            value,
            gradient: vec![(input, 1.0)],
        }
    }

    fn rows(&self, symbol: SymbolId) -> Option<Rows> {
        rows_of(self.0, symbol)
    }
}
