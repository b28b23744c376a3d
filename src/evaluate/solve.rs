//! Roots of the equations of a worksheet.
//!
//! In go compiled sides and where a root is sought, out come the values of the unknowns with
//! their derivatives by the uncertain inputs, and how well the search converged. How a root is
//! found is left to `roots`; what a failure means, to `unsolved`.

use std::cell::OnceCell;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::asked::{Choice, Chosen, Told};
use super::literal::Literal;
use super::made::{Made, Reads, Roots};
use super::number::{Dual, Gradient, Number, Partial};
use super::program::{Environment, Fault, Lists, Over, Program, Rows};
use super::roots::{self, Failure, Scales};
use super::value::{self, Value, Values};
use crate::functions::Measured;
use crate::resolve::{Shape, SymbolId};
use crate::statistics::square::solve_linear;
use crate::text::Span;

/// The first number of the inputs that stand for unknowns.
const UNKNOWN: u32 = u32::MAX - 64;

/// How well a search converged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Convergence {
    /// The steps it took.
    pub iterations: u32,
    /// How far the sides of the equation differ, as a part of the larger; of several equations
    /// the worst.
    pub difference: f64,
    /// Whether each row has a root of its own; then both are those of the worst row.
    pub is_by_row: bool,
}

/// Where a root is sought, in coherent SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Seek {
    /// The equation is linear, so that it does not matter.
    Anywhere,
    /// Near a value.
    Near(f64),
    /// Between two.
    Between(f64, f64),
}

/// Why there is no root.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Unsolved {
    /// The search says why.
    Search(Failure<Fault>),
    /// It depends on where the search starts, which the line does not say.
    NeedsStart,
    /// The equation holds a list or a vector.
    NotOneNumber,
    /// The unknown has a number in each row, and the equation takes all of them together.
    Together,
    /// The sides of the equation have no common rows.
    NoRows(Fault),
    /// A row has no root; the row and the reason.
    InRow(usize, Box<Unsolved>),
    /// The data are uncertain, and the root is a double one, whose uncertainty has no first order.
    DoubleRoot,
}

impl From<Failure<Fault>> for Unsolved {
    fn from(failure: Failure<Fault>) -> Self {
        Self::Search(failure)
    }
}

/// An equation by its compiled sides.
pub(super) type Sides = [Program; 2];

/// Values in which some symbols are unknowns.
struct Tried<'a> {
    unknowns: FxHashMap<SymbolId, Value>,
    beneath: &'a dyn Values,
}

impl Values for Tried<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        self.unknowns
            .get(&symbol)
            .or_else(|| self.beneath.value(symbol))
    }

    fn beneath(&self) -> Option<&dyn Values> {
        Some(self.beneath)
    }
}

/// A place where equations are tried: the derivatives of its values are those by the unknowns, and
/// what is uncertain beneath is left out.
struct Place<'a> {
    unknowns: &'a [SymbolId],
    numbers: &'a [f64],
    beneath: &'a dyn Values,
    /// The row of the lists in the equations.
    row: usize,
}

impl Place<'_> {
    fn unknown(&self, symbol: SymbolId) -> Option<(u32, f64)> {
        let at = self.unknowns.iter().position(|own| *own == symbol)?;
        Some((UNKNOWN + at as u32, *self.numbers.get(at)?))
    }

    /// The number that a side is here.
    fn side<N: Number>(&self, program: &Program) -> Result<N, Fault>
    where
        Self: Environment<N>,
    {
        program.run(self.row, self)
    }
}

impl Lists for Place<'_> {
    fn told(&self, told: &Told) -> Result<Arc<[f64]>, Fault> {
        self.beneath.told(told, self.beneath)
    }

    fn rows(&self, symbol: SymbolId) -> Option<Rows> {
        match self.unknown(symbol) {
            Some(_) => None,
            None => value::rows_of(self.beneath, symbol),
        }
    }

    fn is_missing(&self, symbol: SymbolId, row: usize) -> bool {
        self.unknown(symbol).is_none() && value::is_missing(self.beneath, symbol, row)
    }

    fn chosen(&self, choice: &Choice) -> Result<Chosen, Fault> {
        let numbers = self.unknowns.iter().zip(self.numbers);
        let tried = Tried {
            unknowns: (numbers.clone())
                .map(|(symbol, number)| (*symbol, Value::one(*number)))
                .collect(),
            beneath: self.beneath,
        };
        value::chosen(choice, &tried)
    }
}

impl Environment<f64> for Place<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> f64 {
        let own = self.unknown(symbol).map(|(_, number)| number);
        own.unwrap_or_else(|| value::number(self.beneath, symbol, row))
    }

    fn literal(&self, literal: &Literal) -> f64 {
        literal.value()
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> f64 {
        literal.value() + value::shift(self.beneath, errors)
    }
}

impl Environment<Measured> for Place<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> Measured {
        match self.unknown(symbol) {
            Some((_, number)) => Measured::exact(number),
            None => {
                (self.beneath.value(symbol)).map_or(Measured::NONE, |value| value.measured(row))
            }
        }
    }

    fn literal(&self, literal: &Literal) -> Measured {
        literal.measured()
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> Measured {
        literal.shifted(value::shift(self.beneath, errors))
    }
}

impl Environment<Dual<f64>> for Place<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> Dual<f64> {
        match self.unknown(symbol) {
            Some((input, value)) => Dual {
                value,
                gradient: vec![Partial::of(input)],
            },
            None => Dual::constant(value::number(self.beneath, symbol, row)),
        }
    }

    fn literal(&self, literal: &Literal) -> Dual<f64> {
        Dual::constant(literal.value())
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> Dual<f64> {
        Dual::constant(literal.value() + value::shift(self.beneath, errors))
    }
}

/// The equations in one row.
struct At<'a> {
    equations: &'a [Sides],
    unknowns: &'a [SymbolId],
    values: &'a dyn Values,
    row: usize,
    /// What they read, once for all rows.
    reads: &'a OnceCell<Arc<Reads>>,
}

impl<'a> At<'a> {
    /// In the first row, or where there are none.
    fn first(
        equations: &'a [Sides],
        unknowns: &'a [SymbolId],
        values: &'a dyn Values,
        reads: &'a OnceCell<Arc<Reads>>,
    ) -> Self {
        Self {
            equations,
            unknowns,
            values,
            row: 0,
            reads,
        }
    }

    fn in_row(&self, row: usize) -> Self {
        Self { row, ..*self }
    }
}

impl At<'_> {
    fn tried(&self, place: &[Measured]) -> Tried<'_> {
        let unknowns = self
            .unknowns
            .iter()
            .zip(place)
            .enumerate()
            .map(|(at, (symbol, number))| {
                let value = Value {
                    gradients: vec![vec![Partial::of(UNKNOWN + at as u32)]],
                    errors: vec![number.error],
                    ..Value::one(number.value)
                };
                (*symbol, value)
            })
            .collect();
        Tried {
            unknowns,
            beneath: self.values,
        }
    }

    /// The derivatives of the sides of each equation by all that is uncertain.
    fn slopes(&self, place: &[Measured]) -> Result<Vec<[Gradient; 2]>, Fault> {
        let tried = self.tried(place);
        let one =
            |program: &Program| value::graded(program, self.row, &tried).map(|(_, slopes)| slopes);
        self.equations
            .iter()
            .map(|[left, right]| Ok([one(left)?, one(right)?]))
            .collect()
    }

    fn place<'b>(&'b self, numbers: &'b [f64]) -> Place<'b> {
        Place {
            unknowns: self.unknowns,
            numbers,
            beneath: self.values,
            row: self.row,
        }
    }

    /// The sides of each equation, with no more than the kind of number holds.
    fn sides_of<N: Number>(&self, numbers: &[f64]) -> Result<Vec<[N; 2]>, Fault>
    where
        for<'b> Place<'b>: Environment<N>,
    {
        let place = self.place(numbers);
        self.equations
            .iter()
            .map(|[left, right]| Ok([place.side(left)?, place.side(right)?]))
            .collect()
    }

    /// Left minus right of each equation, and the derivatives by the unknowns, row by row.
    fn residuals(&self, place: &[f64]) -> Result<roots::Linearised, Fault> {
        let sides: Vec<[Dual<f64>; 2]> = self.sides_of(place)?;
        let residuals = (sides.iter())
            .map(|[left, right]| left.value - right.value)
            .collect();
        let jacobian = sides
            .iter()
            .flat_map(|[left, right]| {
                (0..self.unknowns.len() as u32)
                    .map(move |at| UNKNOWN + at)
                    .map(move |input| {
                        let slope = |side: &Dual<f64>| derivative(&side.gradient, input).value;
                        slope(left) - slope(right)
                    })
            })
            .collect();
        Ok((residuals, jacobian))
    }

    /// The root of one equation in one unknown, from a start.
    fn near(&self, sides: &Sides, start: f64) -> Result<roots::Root, Failure<Fault>> {
        let mut with_slope = |x: f64| {
            let (residuals, jacobian) = self.residuals(&[x])?;
            Ok((residuals[0], jacobian[0]))
        };
        roots::near(&mut with_slope, &mut |x| self.off(sides, x), start)
    }

    /// Left minus right of one equation in one unknown.
    fn off(&self, sides: &Sides, x: f64) -> Result<f64, Fault> {
        let place = self.place(std::slice::from_ref(&x));
        Ok(place.side::<f64>(&sides[0])? - place.side::<f64>(&sides[1])?)
    }

    /// The rows of the equations, each side with what of it has an entry; nothing where they are of
    /// single numbers.
    fn rows(&self) -> Result<Option<(Rows, Vec<Over>)>, Unsolved> {
        // Each unknown is tried as one number.
        let place = self.place(&[]);
        let programs = self.equations.iter().flatten();
        let sides = programs.map(|program| Ok((program.over(&place)?, program.place())));
        let sides: Vec<(Over, Span)> = sides.collect::<Result<_, _>>().map_err(Unsolved::NoRows)?;
        let mut found: Option<Rows> = None;
        for (over, span) in &sides {
            found = match (found, over.rows.clone()) {
                (Some(before), Some(rows)) => {
                    let fault = |reason| Fault {
                        reason,
                        span: *span,
                    };
                    Some((before.beside(rows)).map_err(|it| Unsolved::NoRows(fault(it)))?)
                }
                (before, rows) => before.or(rows),
            };
        }
        let overs = sides.into_iter().map(|(over, _)| over).collect();
        match found {
            Some(rows) if rows.shape != Shape::List => Err(Unsolved::NotOneNumber),
            found => Ok(found.map(|rows| (rows, overs))),
        }
    }

    /// Whether what the equations read has no entry in this row.
    fn lacks(&self, rows: &Rows, overs: &[Over]) -> bool {
        let place = self.place(&[]);
        let mut sides = self.equations.iter().flatten().zip(overs);
        !rows.has(self.row) || sides.any(|(side, over)| side.lacks(self.row, over, &place))
    }

    /// Whether the equations are linear in the unknowns: their derivatives are the same at two
    /// places.
    fn is_linear(&self) -> Result<bool, Fault> {
        let count = self.unknowns.len();
        let (one, other) = (vec![1.0; count], (0..count).map(|at| 2.5 + at as f64));
        let (_, first) = self.residuals(&one)?;
        let (_, second) = self.residuals(&other.collect::<Vec<f64>>())?;
        Ok((first.iter().zip(&second)).all(|(a, b)| (a - b).abs() <= 1e-9 * a.abs().max(b.abs())))
    }

    /// The worst difference of the sides as a part of the larger.
    fn difference(&self, place: &[f64]) -> f64 {
        let Ok(sides) = self.sides_of::<f64>(place) else {
            return f64::NAN;
        };
        sides
            .iter()
            .map(|[left, right]| {
                let size = left.abs().max(right.abs());
                let off = (left - right).abs();
                if size > 0.0 { off / size } else { off }
            })
            .fold(0.0, f64::max)
    }

    /// The derivatives of the unknowns by the uncertain inputs, by the theorem of implicit
    /// functions: those of the equations by the inputs are made up for by the unknowns.
    fn gradients(&self, place: &[Measured], inverse: &[f64]) -> Vec<Gradient> {
        let Ok(sides) = self.slopes(place) else {
            return Vec::new();
        };
        let mut inputs: Vec<u32> = sides
            .iter()
            .flatten()
            .flat_map(|side| side.iter().map(|partial| partial.source))
            .filter(|input| *input < UNKNOWN)
            .collect();
        inputs.sort_unstable();
        inputs.dedup();
        let by = |input: u32| {
            let differences = sides.iter().map(|[left, right]| {
                Measured::minus(derivative(left, input), derivative(right, input))
            });
            differences.collect::<Vec<Measured>>()
        };
        let columns: Vec<Vec<Measured>> = (0..self.unknowns.len() as u32)
            .map(|at| by(UNKNOWN + at))
            .collect();
        let mut gradients = vec![Vec::new(); self.unknowns.len()];
        for input in inputs {
            let solved = implicit(inverse, &columns, &by(input));
            for (gradient, slope) in gradients.iter_mut().zip(solved) {
                gradient.push(Partial::by(input, slope));
            }
        }
        gradients
    }

    fn values(&self, place: &[f64]) -> Vec<Value> {
        let inverse = self.inverse(place).unwrap_or_default();
        let mut values: Vec<Value> = place.iter().map(|value| Value::one(*value)).collect();
        self.bound(place, &inverse, &mut values);
        let found: Vec<Measured> = values.iter().map(|value| value.measured(0)).collect();
        let gradients = self.gradients(&found, &inverse);
        for (value, gradient) in values.iter_mut().zip(gradients) {
            value.gradients = vec![gradient];
        }
        values
    }

    /// Bounds how far the roots are off: by the residuals with their rounding, and what these move
    /// them by. Where that is not small, they are had with more precision.
    fn bound(&self, place: &[f64], inverse: &[f64], values: &mut [Value]) {
        let residuals = self.rounded_residuals(place);
        let count = self.unknowns.len();
        let roots = Roots {
            unknowns: self.unknowns.to_vec(),
            equations: self.equations.to_vec(),
            row: self.row,
            start: place.to_vec(),
            inverse: inverse.to_vec(),
        };
        let made = match inverse.is_empty() {
            true => Vec::new(),
            false => {
                let reads = || Made::reads_of(&roots, self.values);
                Made::roots(roots.clone(), self.reads.get_or_init(reads))
            }
        };
        for (at, value) in values.iter_mut().enumerate() {
            let row = inverse.get(at * count..(at + 1) * count);
            let off = row.zip(residuals.as_ref()).map(|(row, residuals)| {
                let parts = row.iter().zip(residuals);
                2.0 * parts
                    .map(|(slope, residual)| slope.abs() * residual)
                    .sum::<f64>()
            });
            value.errors = vec![off.unwrap_or(f64::INFINITY)];
            value.made = made.get(at).cloned();
            if !value.settle_alone() {
                value.errors = vec![self.double_root(place).unwrap_or(f64::INFINITY)];
                value.made = None;
            }
        }
    }

    /// How far a residual of each equation moves each unknown, row by row.
    fn inverse(&self, place: &[f64]) -> Option<Vec<f64>> {
        let count = self.unknowns.len();
        let (_, jacobian) = self.residuals(place).ok()?;
        let columns = (0..count)
            .map(|at| {
                let unit: Vec<f64> = (0..count).map(|row| f64::from(row == at)).collect();
                solve_linear(&jacobian, &unit)
            })
            .collect::<Option<Vec<Vec<f64>>>>()?;
        let found: Vec<f64> = (0..count)
            .flat_map(|row| columns.iter().map(move |column| column[row]))
            .collect();
        found.iter().all(|slope| slope.is_finite()).then_some(found)
    }

    /// The size of each residual with all that rounding can have done to it.
    fn rounded_residuals(&self, place: &[f64]) -> Option<Vec<f64>> {
        let sides: Vec<[Measured; 2]> = self.sides_of(place).ok()?;
        let residual = |[left, right]: &[Measured; 2]| {
            let residual = Measured::minus(*left, *right);
            residual.value.abs() + residual.error
        };
        Some(sides.iter().map(residual).collect())
    }

    /// How far a double root can be off: as far as its residual lets the parabola reach.
    fn double_root(&self, place: &[f64]) -> Option<f64> {
        let [x] = place else { return None };
        let reach = 1e-4 * x.abs().max(f64::MIN_POSITIVE);
        let slope = |x: f64| Some(*self.residuals(&[x]).ok()?.1.first()?);
        let curvature = (slope(x + reach)? - slope(x - reach)?) / (2.0 * reach);
        let residual = *self.rounded_residuals(place)?.first()?;
        let off = 4.0 * (residual / curvature.abs()).sqrt();
        off.is_finite().then_some(off)
    }
}

fn derivative(gradient: &[Partial], input: u32) -> Measured {
    let found = gradient.iter().find(|partial| partial.source == input);
    found.map_or(Measured::exact(0.0), Partial::measured)
}

/// The derivatives of the unknowns that make up for those of the equations, with the inverse of
/// the matrix of the `columns`.
///
/// What the inverse leaves of the equations, rounding and all, moves each unknown by so much, and
/// what is off in the inverse moves that again: while this is less than half of it, all of it
/// together is less than twice.
fn implicit(inverse: &[f64], columns: &[Vec<Measured>], by: &[Measured]) -> Vec<Measured> {
    let product = |row: &[f64], column: &[Measured]| {
        let terms = row.iter().zip(column);
        terms.fold(Measured::exact(0.0), |sum, (slope, entry)| {
            sum.plus(Measured::exact(*slope).times(*entry))
        })
    };
    let size = |number: Measured| number.value.abs() + number.error;
    let rows = || inverse.chunks(columns.len().max(1));
    if inverse.is_empty() {
        return vec![Measured::NONE; columns.len()];
    }
    let values: Vec<f64> = rows().map(|row| -product(row, by).value).collect();
    let left: Vec<f64> = (by.iter().enumerate())
        .map(|(equation, by)| {
            let terms = columns.iter().zip(&values);
            size(terms.fold(*by, |sum, (column, value)| {
                sum.plus(column[equation].times(Measured::exact(*value)))
            }))
        })
        .collect();
    let moved = |row: &[f64]| -> f64 {
        let parts = row.iter().zip(&left);
        parts.map(|(slope, left)| slope.abs() * left).sum()
    };
    let first: Vec<f64> = rows().map(moved).collect();
    let again = rows().enumerate().map(|(at, row)| -> f64 {
        let parts = columns.iter().zip(&first).enumerate();
        parts
            .map(|(column, (entries, first))| {
                let unit = Measured::exact(if column == at { 1.0 } else { 0.0 });
                size(unit.minus(product(row, entries))) * first
            })
            .sum()
    });
    let is_small: Vec<bool> = again
        .zip(&first)
        .map(|(again, first)| again <= first / 2.0)
        .collect();
    let is_bound = is_small.into_iter().all(|is_small| is_small);
    let error = |first: f64| if is_bound { 2.0 * first } else { f64::INFINITY };
    (values.into_iter().zip(first))
        .map(|(value, first)| Measured {
            value,
            error: error(first),
        })
        .collect()
}

/// The roots of an equation nearest to a start, as plain numbers give them: as many as the start
/// has rows.
pub(super) fn nearest(
    sides: &Sides,
    unknown: SymbolId,
    start: &Value,
    values: &dyn Values,
) -> Option<Value> {
    let reads = OnceCell::new();
    let (equations, unknowns) = (std::slice::from_ref(sides), [unknown]);
    let at = At::first(equations, &unknowns, values, &reads);
    let root = |(row, start): (usize, &f64)| match start.is_nan() {
        true => Some(f64::NAN),
        false => Some(at.in_row(row).near(sides, *start).ok()?.value),
    };
    let rows = start.rows.iter().enumerate().map(root);
    Some(Value {
        rows: rows.collect::<Option<_>>()?,
        shape: start.shape,
        ..Value::default()
    })
}

/// The root of one equation: of one with lists one in each row. `seek` says where it is sought in
/// a row.
pub(super) fn root(
    sides: &Sides,
    unknown: SymbolId,
    seek: &dyn Fn(usize) -> Seek,
    values: &dyn Values,
) -> Result<(Value, Convergence), Unsolved> {
    let reads = OnceCell::new();
    let (equations, unknowns) = (std::slice::from_ref(sides), [unknown]);
    let at = At::first(equations, &unknowns, values, &reads);
    let Some((rows, overs)) = at.rows()? else {
        return at.root(sides, seek(0));
    };
    let mut all = ByRow::new(rows);
    for row in 0..all.rows.count {
        let at = at.in_row(row);
        match at.lacks(&all.rows, &overs) {
            true => all.push_missing(),
            false => {
                let found = at.root(sides, seek(row)).map_err(|why| match why {
                    // What the line lacks is lacking for every row.
                    Unsolved::NeedsStart => why,
                    of_row => Unsolved::InRow(row, Box::new(of_row)),
                });
                let (value, convergence) = found?;
                all.push(value, convergence);
            }
        }
    }
    Ok(all.finish())
}

impl At<'_> {
    /// The root of one equation in this row.
    fn root(&self, sides: &Sides, seek: Seek) -> Result<(Value, Convergence), Unsolved> {
        let found = match seek {
            Seek::Near(start) => self.near(sides, start)?,
            Seek::Between(low, high) => roots::between(&mut |x| self.off(sides, x), low, high)?,
            Seek::Anywhere => {
                if !self.is_linear().map_err(Failure::Stopped)? {
                    return Err(Unsolved::NeedsStart);
                }
                self.near(sides, 1.0)?
            }
        };
        let value = self.values(&[found.value]).pop().unwrap_or_default();
        let gradient = value.gradient(0);
        if gradient.iter().any(|partial| !partial.slope.is_finite()) {
            return Err(Unsolved::DoubleRoot);
        }
        let convergence = Convergence {
            iterations: found.iterations,
            difference: self.difference(&[found.value]),
            is_by_row: false,
        };
        Ok((value, convergence))
    }
}

/// The roots of the rows so far.
struct ByRow {
    rows: Rows,
    value: Value,
    made: Vec<Option<Arc<Made>>>,
    convergence: Convergence,
}

impl ByRow {
    fn new(rows: Rows) -> Self {
        Self {
            value: Value {
                shape: rows.shape,
                of: rows.of.clone(),
                ..Value::default()
            },
            rows,
            made: Vec::new(),
            convergence: Convergence {
                iterations: 0,
                difference: 0.0,
                is_by_row: true,
            },
        }
    }

    fn push_missing(&mut self) {
        self.value.rows.push(f64::NAN);
        self.value.errors.push(0.0);
        self.value.gradients.push(Vec::new());
        self.made.push(None);
    }

    fn push(&mut self, root: Value, convergence: Convergence) {
        self.value.rows.push(root.at(0));
        self.value.errors.push(root.error(0));
        self.value.gradients.push(root.gradient(0).to_vec());
        self.made.push(root.made);
        let worst = &mut self.convergence;
        worst.iterations = worst.iterations.max(convergence.iterations);
        worst.difference = worst.difference.max(convergence.difference);
    }

    fn finish(self) -> (Value, Convergence) {
        let mut value = self.value;
        if value.gradients.iter().all(Vec::is_empty) {
            value.gradients = Vec::new();
        }
        value.made = Some(Arc::new(Made::by_row(self.made, self.rows)));
        (value, self.convergence)
    }
}

/// The values that satisfy several equations.
pub(super) fn system(
    equations: &[Sides],
    unknowns: &[SymbolId],
    starts: &[Option<f64>],
    values: &dyn Values,
) -> Result<(Vec<Value>, Convergence), Unsolved> {
    let reads = OnceCell::new();
    let at = At::first(equations, unknowns, values, &reads);
    if at.rows()?.is_some() {
        return Err(Unsolved::NotOneNumber);
    }
    let known: Option<Vec<f64>> = starts.iter().copied().collect();
    let start = match known {
        Some(known) => known,
        None if at.is_linear().map_err(Failure::Stopped)? => {
            starts.iter().map(|start| start.unwrap_or(1.0)).collect()
        }
        None => return Err(Unsolved::NeedsStart),
    };
    let sizes: Vec<f64> = start.iter().map(|value| value.abs()).collect();
    let scales = Scales {
        unknowns: &sizes,
        residuals: &[],
    };
    let found = roots::system_scaled(&mut |place| at.residuals(place), &start, scales)?;
    let convergence = Convergence {
        iterations: found.iterations,
        difference: at.difference(&found.values),
        is_by_row: false,
    };
    Ok((at.values(&found.values), convergence))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn entry() -> impl Strategy<Value = Measured> {
        (-9.0..9.0_f64, 0.0..1e-3_f64).prop_map(|(value, error)| Measured { value, error })
    }

    proptest! {
        /// Wherever the entries lie within their bounds, the solution lies within its own.
        #[test]
        fn derivatives_of_unknowns_lie_within_their_bounds(
            columns in [[entry(), entry()], [entry(), entry()]],
            by in [entry(), entry()],
            shifts in [-1.0..1.0_f64, -1.0..1.0, -1.0..1.0, -1.0..1.0, -1.0..1.0, -1.0..1.0],
        ) {
            let solved = |[a, c, b, d, e, f]: [f64; 6]| {
                let size = a * d - b * c;
                [-(d * e - b * f) / size, -(a * f - c * e) / size]
            };
            let entries: Vec<Measured> = columns.iter().flatten().chain(&by).copied().collect();
            let at = |shifts: [f64; 6]| -> [f64; 6] {
                std::array::from_fn(|at| entries[at].value + shifts[at] * entries[at].error)
            };
            let [a, c, b, d, ..]: [f64; 6] = at([0.0; 6]);
            let size = a * d - b * c;
            let inverse = [d / size, -b / size, -c / size, a / size];
            let columns = columns.map(|column| column.to_vec());
            let found = implicit(&inverse, &columns, &by);
            for (found, exact) in found.iter().zip(solved(at(shifts))) {
                let room = found.error * (1.0 + 1e-9) + 1e-12 * exact.abs();
                prop_assert!(!found.is_known() || (found.value - exact).abs() <= room, "{found:?} {exact}");
            }
            let is_regular = size.abs() > 1.0;
            prop_assert!(!is_regular || found.iter().all(Measured::is_known));
        }
    }
}
