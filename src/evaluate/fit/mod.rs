//! Formulas fitted to lists.
//!
//! In go compiled sides, what is sought and the values of everything else, out come parameters,
//! what they change by with each row, and how far the rows lie beside the curve. How the least
//! squares are found is left to `statistics`; which errors a row has of its own, to `readings`;
//! what the parameters change by with those that rows have in common, to `response`; what a failure
//! means, to `unfitted`.

mod formula;
mod judge;
mod place;
mod readings;
mod response;
mod solve;
mod unfitted;

use std::sync::Arc;

use super::asked::Test;
use super::number::{Gradient, Partial};
use super::program::Program;
use super::sources::Sources;
use super::value::{Value, Values};
use crate::functions::Measured;
use crate::resolve::SymbolId;

pub use formula::{Formula, Sought, Weighting};
pub use judge::{Judgement, determination, judgements};
pub use readings::common;
pub use solve::{Failure, Solved, solve};
pub use unfitted::{Names, diagnostic, refused_weight, warning};

/// A formula with the scatter that it found, so that it can be fitted again.
#[derive(Debug, Clone, PartialEq)]
pub struct Definite {
    /// The formula.
    pub formula: Formula,
    /// Its parameters.
    pub symbols: Vec<SymbolId>,
    /// The scatter.
    pub scatter: Option<Scatter>,
}

/// The errors of rows as their residuals tell them: one source a row.
#[derive(Debug, Clone, PartialEq)]
pub struct Scatter {
    /// The source of the first row.
    pub first: u32,
    /// How large that of each row is.
    pub sizes: Vec<f64>,
}

/// A fit as it is printed.
#[derive(Debug)]
pub struct Fitted {
    /// The values of the parameters.
    pub values: Vec<Arc<Value>>,
    /// The rows, their residuals, what they were weighted by.
    pub solved: Solved,
    /// The correlation of each parameter with those before it.
    pub correlations: Vec<Vec<f64>>,
    /// What is said of it.
    pub judgements: Vec<Judgement>,
    /// The part of the scatter that a line with a constant and equal weights accounts for.
    pub determination: Option<f64>,
}

impl Definite {
    pub(super) fn symbols(&self) -> &[SymbolId] {
        &self.symbols
    }

    pub(super) fn programs(&self) -> impl Iterator<Item = &Program> {
        let weight = self.formula.weighting.program();
        let which = self.formula.which.iter().flat_map(Test::programs);
        self.formula.sides.iter().chain(weight).chain(which)
    }

    /// The symbols that it reads, its own parameters left out.
    pub(super) fn reads(&self) -> Vec<SymbolId> {
        let all = self.programs().flat_map(Program::symbols);
        all.filter(|symbol| !self.symbols.contains(symbol))
            .collect()
    }

    /// The parameters on other values, from the present ones as starts; `None` where there is no
    /// fit.
    pub(super) fn again(&self, values: &dyn Values, sources: &Sources) -> Option<Vec<Value>> {
        let mut formula = self.formula.clone();
        for parameter in &mut formula.parameters {
            parameter.start = values.value(parameter.symbol)?.at(0);
        }
        let solved = solve(&formula, values, sources).ok()?;
        let values = of_parameters(&solved, self.scatter.as_ref());
        Some(values.into_iter().map(Arc::unwrap_or_clone).collect())
    }
}

/// The values of parameters, with their derivatives by what they were found from.
pub fn of_parameters(solved: &Solved, scatter: Option<&Scatter>) -> Vec<Arc<Value>> {
    let sizes = solved.scatter();
    let value = |(j, value): (usize, &f64)| {
        let mut gradient: Gradient = solved.by_source[j].clone();
        if let Some(scatter) = scatter {
            let rows = solved.rows.iter().zip(&solved.by_row[j]).zip(&sizes);
            gradient.extend(rows.filter_map(|((row, slope), size)| {
                // With other data a row scatters as its new residual tells.
                let own = scatter.sizes.get(*row)?;
                let by = if *own == 0.0 { 0.0 } else { size / own };
                let source = scatter.first + *row as u32;
                Some(Partial::by(source, Measured::exact(slope * by)))
            }));
            gradient.sort_by_key(|partial| partial.source);
        }
        Arc::new(Value {
            rows: vec![*value],
            gradients: if gradient.is_empty() {
                Vec::new()
            } else {
                vec![gradient]
            },
            ..Value::default()
        })
    };
    solved.parameters.iter().enumerate().map(value).collect()
}
