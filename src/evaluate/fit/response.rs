//! What parameters change by with an error that rows have in common: the derivative of the
//! solution, by the theorem of implicit functions.
//!
//! At the solution Σ q a = 0, with q the residual of a row over its uncertainty and a what its
//! right side changes by with each parameter over the same. That stays so when an error moves the
//! readings: (AᵀA − C) dp = Aᵀ dF/u + D. Without C and D this is the step of Gauss and Newton,
//! which `by_row` is of; they hold what q meets of second order: what a, u and the adjusted
//! readings change by with the parameters, and with the error. Second derivatives are differences
//! of the exact first ones.

use std::borrow::Cow;

use rustc_hash::{FxHashMap, FxHashSet};

use super::solve::{Case, Found};
use crate::evaluate::asked::{Chosen, Told};
use crate::evaluate::number::Partial;
use crate::evaluate::program::{Fault, Program};
use crate::evaluate::value::{Value, Values};
use crate::resolve::{Shape, SymbolId};
use crate::statistics::conditions::settle;
use crate::statistics::square::solve_linear;
use crate::text::Span;

/// How far numbers are moved, as a part of their size: what is left out of a difference to both
/// sides goes with the square, and rounding with the inverse.
const PART: f64 = 1.0 / 65_536.0;

/// What the parameters change by with each error, for what Gauss and Newton leave out.
pub(super) struct Response {
    /// (I − (AᵀA)⁻¹C)⁻¹, row by row.
    growth: Vec<f64>,
    /// (AᵀA)⁻¹D of each source.
    beyond: FxHashMap<u32, Vec<f64>>,
}

/// A row near its place.
struct Tangent {
    /// What its right side changes by with each parameter over its uncertainty.
    by_parameter: Vec<f64>,
    uncertainty: f64,
    /// What its condition changes by with each of its own errors, where it adjusts them.
    by_error: Vec<f64>,
}

impl Response {
    /// Of a solution that some sources move, with what each of them moves a left side by at most.
    /// Nothing where the parameters do not settle on one another.
    pub(super) fn of(case: &Case<'_>, found: &Found, sources: &[(u32, f64)]) -> Option<Self> {
        let here = Here::new(case, found)?;
        let count = case.symbols.len();
        let inverse = here.inverse();
        let mut growth = vec![0.0; count * count];
        (0..count).for_each(|j| growth[j * count + j] = 1.0);
        if found.is_adjusted || !case.sought.is_empty() {
            for k in 0..count {
                let column = product(&inverse, &here.by_parameter(k)?);
                for (j, entry) in column.iter().enumerate() {
                    growth[j * count + k] -= entry;
                }
            }
            let columns = (0..count).map(|k| {
                let unit: Vec<f64> = (0..count).map(|j| f64::from(j == k)).collect();
                solve_linear(&growth, &unit)
            });
            let columns: Vec<Vec<f64>> = columns.collect::<Option<_>>()?;
            let entries = (0..count).flat_map(|j| columns.iter().map(move |column| column[j]));
            growth = entries.collect();
        }
        let mut beyond: FxHashMap<u32, Vec<f64>> = FxHashMap::default();
        here.by_sources(sources, &mut |source, part| {
            let own = beyond.entry(source).or_insert_with(|| vec![0.0; count]);
            own.iter_mut()
                .zip(part)
                .for_each(|(own, part)| *own += part);
        })?;
        for own in beyond.values_mut() {
            *own = product(&inverse, own);
        }
        Some(Self { growth, beyond })
    }

    /// What parameters change by with a source, from what Gauss and Newton say.
    pub(super) fn grown(&self, source: u32, mut step: Vec<Partial>) -> Vec<Partial> {
        let beyond = self.beyond.get(&source).into_iter().flatten();
        for (own, beyond) in step.iter_mut().zip(beyond) {
            own.slope += beyond;
            own.parts += beyond.abs();
        }
        let rows = self.growth.chunks(step.len().max(1));
        rows.map(|row| {
            let parts = row.iter().zip(&step);
            Partial {
                source,
                slope: parts.clone().map(|(by, own)| by * own.slope).sum(),
                error: 0.0,
                parts: parts.map(|(by, own)| by.abs() * own.parts).sum(),
            }
        })
        .collect()
    }
}

fn product(matrix: &[f64], vector: &[f64]) -> Vec<f64> {
    let rows = matrix.chunks(vector.len().max(1));
    let row = |row: &[f64]| row.iter().zip(vector).map(|(a, b)| a * b).sum();
    rows.map(row).collect()
}

/// The solution.
struct Here<'a> {
    case: &'a Case<'a>,
    found: &'a Found,
    tangents: Vec<Tangent>,
}

impl<'a> Here<'a> {
    fn new(case: &'a Case<'a>, found: &'a Found) -> Option<Self> {
        let tangents = tangents(case, found, &found.parameters, case.values)?;
        Some(Self {
            case,
            found,
            tangents,
        })
    }

    /// (AᵀA)⁻¹, row by row.
    fn inverse(&self) -> Vec<f64> {
        let by_row = &self.found.by_row;
        let entry = |one: &Vec<f64>, other: &Vec<f64>| -> f64 {
            let rows = one.iter().zip(other).zip(&self.tangents);
            rows.map(|((one, other), tangent)| one * other * tangent.uncertainty.powi(2))
                .sum()
        };
        let rows = by_row.iter();
        rows.flat_map(|one| by_row.iter().map(move |other| entry(one, other)))
            .collect()
    }

    /// What Σ q a changes by in a row, beside what Gauss and Newton see, between two places that
    /// are so far apart.
    fn change(&self, row: usize, [low, high]: [&Tangent; 2], apart: f64) -> Vec<f64> {
        let here = &self.tangents[row];
        let q = self.found.residuals[row] * self.found.roots[row];
        let adjustments = self.found.adjustments.get(row).into_iter().flatten();
        let errors = low.by_error.iter().zip(&high.by_error).zip(adjustments);
        let moved: f64 = errors.map(|((low, high), [by, _])| by * (high - low)).sum();
        let of_q = -(moved + q * (high.uncertainty - low.uncertainty)) / here.uncertainty;
        let slopes = low.by_parameter.iter().zip(&high.by_parameter);
        let slopes = slopes.zip(&here.by_parameter);
        slopes
            .map(|((low, high), here)| (q * (high - low) + here * of_q) / apart)
            .collect()
    }

    /// The changes of all rows together.
    fn total(&self, ends: &[Vec<Tangent>; 2], apart: f64) -> Vec<f64> {
        let mut total = vec![0.0; self.case.symbols.len()];
        for (row, ends) in ends[0].iter().zip(&ends[1]).enumerate() {
            let change = self.change(row, ends.into(), apart);
            (total.iter_mut().zip(change)).for_each(|(sum, part)| *sum += part);
        }
        total
    }

    /// By a parameter.
    fn by_parameter(&self, k: usize) -> Option<Vec<f64>> {
        let now = self.found.parameters[k];
        let step = match now == 0.0 {
            true => PART * self.inverse()[k * self.case.symbols.len() + k].sqrt(),
            false => PART * now.abs(),
        };
        let ends = to_both_sides(step, |by| {
            let mut parameters = self.found.parameters.clone();
            parameters[k] += by;
            tangents(self.case, self.found, &parameters, self.case.values)
        })?;
        Some(self.total(&ends, (now + step) - (now - step)))
    }

    /// By each source, handed on in parts.
    fn by_sources(
        &self,
        sources: &[(u32, f64)],
        hand_on: &mut dyn FnMut(u32, Vec<f64>),
    ) -> Option<()> {
        let wanted: FxHashSet<u32> = sources.iter().map(|(source, _)| *source).collect();
        for symbol in self.read() {
            let value = self.case.values.value(symbol)?;
            let mut gradients = value.gradients.iter().flatten();
            if !gradients.any(|partial| wanted.contains(&partial.source)) {
                continue;
            }
            match value.shape {
                Shape::List => self.by_list(symbol, value, &wanted, hand_on)?,
                Shape::One | Shape::Vector => {
                    let step = PART * scale(value.rows.iter().copied());
                    let ends = to_both_sides(step, |by| {
                        let own = moved(value, &mut |_| by);
                        self.on_moved(symbol, &own)
                    })?;
                    let total = self.total(&ends, 2.0 * step);
                    for partial in value.gradient(0) {
                        let part = total.iter().map(|it| it * partial.slope);
                        hand_on(partial.source, part.collect());
                    }
                }
            }
        }
        self.by_literals(sources, hand_on)
    }

    /// By the entries of a list: each row by its own, and all by what is taken of the list as a
    /// whole.
    fn by_list(
        &self,
        symbol: SymbolId,
        value: &Value,
        wanted: &FxHashSet<u32>,
        hand_on: &mut dyn FnMut(u32, Vec<f64>),
    ) -> Option<()> {
        let rows = &self.case.readings.rows;
        let step = PART * scale(rows.iter().map(|row| value.at(*row)));
        let takes = |program: &Program| program.aggregated().any(|own| own == symbol);
        let mut weight = self.case.formula.weighting.program().into_iter();
        let weights_take = weight.any(takes);
        let [low, high] = to_both_sides(step, |by| {
            let own = moved(value, &mut |_| by);
            let mut case = self.case.with_values(self.case.values);
            case.readings = Cow::Owned(self.case.readings.moved(symbol, by));
            let values = Moved::of(self.case.values, symbol, &own);
            self.tangents(&case, if weights_take { case.values } else { &values })
        })?;
        for (at, row) in rows.iter().enumerate() {
            let change = self.change(at, [&low[at], &high[at]], 2.0 * step);
            let common = value.gradient(*row).iter();
            for partial in common.filter(|partial| wanted.contains(&partial.source)) {
                let part = change.iter().map(|it| it * partial.slope);
                hand_on(partial.source, part.collect());
            }
        }
        if !self.programs().any(takes) {
            return Some(());
        }
        for source in wanted {
            let slope = |row: usize| {
                let found = Partial::among(value.gradient(row), *source);
                found.map_or(0.0, |partial| partial.slope)
            };
            let most = rows.iter().map(|row| slope(*row).abs()).fold(0.0, f64::max);
            if most > 0.0 {
                let step = step / most;
                let ends = to_both_sides(step, |by| {
                    let own = moved(value, &mut |row| by * slope(row));
                    let values = Moved::of(self.case.values, symbol, &own);
                    let case = self.case.with_values(&values);
                    self.tangents(
                        &case,
                        if weights_take {
                            &values
                        } else {
                            self.case.values
                        },
                    )
                })?;
                hand_on(*source, self.total(&ends, 2.0 * step));
            }
        }
        Some(())
    }

    /// By the uncertain numbers in the formula itself.
    fn by_literals(
        &self,
        sources: &[(u32, f64)],
        hand_on: &mut dyn FnMut(u32, Vec<f64>),
    ) -> Option<()> {
        let own: FxHashSet<u32> = self.programs().flat_map(Program::inputs).collect();
        let left = self.case.readings.own.iter();
        let size = scale(left.flat_map(|row| row.entries.iter().copied()));
        let moves = |(source, most): &&(u32, f64)| own.contains(source) && *most > 0.0;
        for (source, most) in sources.iter().filter(moves) {
            let step = PART * size / most;
            let ends = to_both_sides(step, |by| {
                let values = Moved {
                    beneath: self.case.values,
                    by: None,
                    source: Some((*source, by)),
                };
                self.tangents(&self.case.with_values(&values), &values)
            })?;
            hand_on(*source, self.total(&ends, 2.0 * step));
        }
        Some(())
    }

    /// The rows where a symbol has another value.
    fn on_moved(&self, symbol: SymbolId, own: &Value) -> Option<Vec<Tangent>> {
        let values = Moved::of(self.case.values, symbol, own);
        self.tangents(&self.case.with_values(&values), &values)
    }

    /// The rows elsewhere with the parameters of the solution.
    fn tangents(&self, case: &Case<'_>, weights: &dyn Values) -> Option<Vec<Tangent>> {
        tangents(case, self.found, &self.found.parameters, weights)
    }

    fn programs(&self) -> impl Iterator<Item = &Program> {
        let formula = self.case.formula;
        formula.sides.iter().chain(formula.weighting.program())
    }

    /// The symbols on which the rows hang, without the parameters: those of the formula, and the
    /// readings that their own errors grow with.
    fn read(&self) -> Vec<SymbolId> {
        let formula = self.programs().flat_map(Program::symbols);
        let names = self.case.readings.names.iter();
        let names = names.take(if self.found.is_adjusted {
            usize::MAX
        } else {
            0
        });
        let mut found: Vec<SymbolId> = formula.chain(names.flatten().copied()).collect();
        found.sort_unstable();
        found.dedup();
        found.retain(|symbol| {
            !self.case.symbols.contains(symbol) && self.case.values.value(*symbol).is_some()
        });
        found
    }
}

/// How large numbers are: how far they lie apart, and of one its size.
fn scale(numbers: impl Iterator<Item = f64>) -> f64 {
    let numbers = numbers.filter(|number| number.is_finite());
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for number in numbers {
        (low, high) = (low.min(number), high.max(number));
    }
    match (high - low > 0.0, high != 0.0 && high.is_finite()) {
        (true, _) => high - low,
        (false, true) => high.abs(),
        (false, false) => 1.0,
    }
}

/// What is found a step back, and a step forward.
fn to_both_sides<T>(step: f64, at: impl Fn(f64) -> Option<T>) -> Option<[T; 2]> {
    Some([at(-step)?, at(step)?])
}

fn moved(value: &Value, by: &mut dyn FnMut(usize) -> f64) -> Value {
    let rows = value.rows.iter().enumerate();
    Value {
        rows: rows.map(|(row, number)| number + by(row)).collect(),
        made: None,
        ..value.clone()
    }
}

/// The rows with these parameters; weights that a formula gives are those of `values`.
fn tangents(
    case: &Case<'_>,
    found: &Found,
    parameters: &[f64],
    values: &dyn Values,
) -> Option<Vec<Tangent>> {
    if found.is_adjusted {
        let rows = case.readings.own.iter().zip(&found.adjustments).enumerate();
        let row = |(at, (row, start)): (usize, (_, &Vec<[f64; 2]>))| {
            let settled = settle(row, start, |entries| {
                case.condition(at, entries, parameters)
            })?;
            let slopes = settled.by_parameter.iter();
            Some(Tangent {
                by_parameter: slopes.map(|slope| -slope / settled.uncertainty).collect(),
                uncertainty: settled.uncertainty,
                by_error: settled.by_error,
            })
        };
        return rows.map(row).collect();
    }
    let roots = case.roots(values).ok()?;
    let rows = case.rows(1, parameters)?.into_iter().zip(roots);
    let row = |(row, root): (super::place::Graded, f64)| Tangent {
        by_parameter: row.by_parameter.iter().map(|slope| slope * root).collect(),
        uncertainty: 1.0 / root,
        by_error: Vec::new(),
    };
    Some(rows.map(row).collect())
}

/// Values with one of them, or a source, moved.
struct Moved<'a> {
    beneath: &'a dyn Values,
    by: Option<(SymbolId, &'a Value)>,
    source: Option<(u32, f64)>,
}

impl<'a> Moved<'a> {
    fn of(beneath: &'a dyn Values, symbol: SymbolId, value: &'a Value) -> Self {
        Self {
            beneath,
            by: Some((symbol, value)),
            source: None,
        }
    }
}

impl Values for Moved<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        let own = self.by.filter(|(moved, _)| *moved == symbol);
        own.map(|(_, value)| value)
            .or_else(|| self.beneath.value(symbol))
    }

    fn shift(&self, source: u32) -> f64 {
        let own = self.source.filter(|(moved, _)| *moved == source);
        self.beneath.shift(source) + own.map_or(0.0, |(_, by)| by)
    }

    fn decided(&self, place: Span) -> Option<&Chosen> {
        self.beneath.decided(place)
    }

    fn beneath(&self) -> Option<&dyn Values> {
        Some(self.beneath)
    }

    fn told(&self, told: &Told, _: &dyn Values) -> Result<std::sync::Arc<[f64]>, Fault> {
        self.beneath.told(told, self.beneath)
    }
}
