//! What is told of the uncertainty of values, as numbers to compute with: they are exact.

use std::sync::Arc;

use super::asked::Told;
use super::coverage;
use super::program::{Fault, Program, Reason};
use super::sources::Sources;
use super::value::Value;
use crate::functions::Function;

/// One number, or one for each row; where there is no entry, it is no number.
pub(super) fn tell(
    told: &Told,
    sources: &Sources,
    run: &dyn Fn(&Program) -> Result<Value, Fault>,
) -> Result<Arc<[f64]>, Fault> {
    let values: Vec<Value> = told.of.iter().map(run).collect::<Result<_, _>>()?;
    let count = values.iter().map(|value| value.rows.len()).max();
    let row = |row: usize| {
        if values.iter().any(|value| !value.has(row)) {
            return Ok(f64::NAN);
        }
        of_row(told, &values, row, sources)
    };
    (0..count.unwrap_or(0)).map(row).collect()
}

fn of_row(told: &Told, values: &[Value], row: usize, sources: &Sources) -> Result<f64, Fault> {
    let fault = |at: usize, reason| Fault {
        reason,
        span: told.of.get(at).map_or(told.place, Program::place),
    };
    let size = |value: &Value| {
        let found = value.uncertainty(row, sources);
        found.map_or(0.0, |found| found.size)
    };
    let degrees = |value: &Value| {
        let found = value.degrees_of_freedom(row, sources);
        found.map_err(|_| fault(0, Reason::NoDegrees(false)))
    };
    match (told.function, values) {
        (Function::Relative, [value]) => match value.at(row) {
            0.0 => Err(fault(0, Reason::DivisionByZero)),
            number => Ok(size(value) / number.abs()),
        },
        (Function::DegreesOfFreedom, [value]) => match (degrees(value)?, size(value)) {
            (_, 0.0) => Err(fault(0, Reason::NoUncertainty)),
            (degrees, _) if degrees.is_finite() => Ok(degrees),
            _ => Err(fault(0, Reason::NoDegrees(true))),
        },
        (Function::CoverageFactor, [value, level]) => {
            let level = level.at(row);
            if !(level > 0.0 && level < 1.0) {
                return Err(fault(1, Reason::NoLevel));
            }
            match size(value) > 0.0 {
                true => Ok(coverage::factor(level, degrees(value)?)),
                false => Err(fault(0, Reason::NoUncertainty)),
            }
        }
        (Function::Correlation, [one, other]) => {
            let own = [one, other].map(|it| {
                let gradient = it.gradient(row);
                sources.covariance(gradient, gradient).max(0.0).sqrt()
            });
            if let Some(at) = [one, other].iter().position(|it| size(it) == 0.0) {
                return Err(fault(at, Reason::NoUncertainty));
            }
            let both = sources.covariance(one.gradient(row), other.gradient(row));
            let found = both / (own[0] * own[1]);
            match found.is_finite() {
                true => Ok(found.clamp(-1.0, 1.0)),
                false => Err(fault(0, Reason::NoUncertainty)),
            }
        }
        (_, [value, ..]) => Ok(size(value)),
        (_, []) => Ok(f64::NAN),
    }
}
