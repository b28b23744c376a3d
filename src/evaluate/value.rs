//! Values, and how a program makes one.

use super::number::{Dual, Gradient, Partial};
use super::program::{Environment, Fault, Program, Rows};
use crate::resolve::{Shape, SymbolId};

/// A value in coherent SI units.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Value {
    /// One number, or one a row or component.
    pub rows: Vec<f64>,
    /// What the numbers are to each other.
    pub shape: Shape,
    /// For each number its derivatives by the sources of uncertainty; empty where it depends on
    /// none.
    pub gradients: Vec<Gradient>,
    /// For each number its uncertainty of second order, where all derivatives vanish.
    pub second_order: Vec<f64>,
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

    /// Its derivatives by the sources of uncertainty in a row.
    pub fn gradient(&self, row: usize) -> &[Partial] {
        let found = self.gradients.get(row).or_else(|| self.gradients.first());
        found.map_or(&[], Vec::as_slice)
    }

    /// The standard uncertainty of its number in a row, from those of the sources; `None` where
    /// it depends on none, or where what it depends on cancels.
    pub fn uncertainty(&self, row: usize, sources: &[f64]) -> Option<Uncertainty> {
        let gradient = self.gradient(row);
        let size = |partial: &Partial| sources.get(partial.source as usize).map_or(0.0, |it| *it);
        if gradient.iter().all(Partial::vanishes) {
            let second = self
                .second_order
                .get(row)
                .or_else(|| self.second_order.first());
            return second.filter(|size| **size > 0.0).map(|size| Uncertainty {
                size: *size,
                is_second_order: true,
            });
        }
        let square: f64 = (gradient.iter())
            .map(|partial| (partial.slope * size(partial)).powi(2))
            .sum();
        // Where the slope is infinite, as of a root at 0, nothing of first order holds.
        let size = if square.is_nan() {
            f64::INFINITY
        } else {
            square.sqrt()
        };
        let is_above_rounding = size > f64::EPSILON * self.at(row).abs();
        is_above_rounding.then_some(Uncertainty {
            size,
            is_second_order: false,
        })
    }
}

/// A standard uncertainty in coherent SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertainty {
    /// How large it is.
    pub size: f64,
    /// Whether the terms of first order vanish, so that those of second order are all there is.
    pub is_second_order: bool,
}

/// Where a program finds the values of symbols.
pub trait Values {
    /// A symbol's value; every symbol a program reads has one when it is run.
    fn value(&self, symbol: SymbolId) -> Option<&Value>;

    /// How far a source of uncertainty is moved from its value.
    fn shift(&self, _source: u32) -> f64 {
        0.0
    }
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
        ..Value::default()
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

    fn input(&self, value: f64, input: u32) -> f64 {
        value + self.0.shift(input)
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
            value: value + self.0.shift(input),
            gradient: vec![Partial::of(input)],
        }
    }

    fn rows(&self, symbol: SymbolId) -> Option<Rows> {
        rows_of(self.0, symbol)
    }
}
