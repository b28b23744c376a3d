//! The least squares of a formula.

use std::borrow::Cow;
use std::cell::RefCell;

use rustc_hash::FxHashMap;

use super::formula::{Formula, Sought, Weighting};
use super::place::{Graded, Place};
use super::readings::Readings;
use super::response::Response;
use crate::evaluate::number::{Gradient, Partial};
use crate::evaluate::program::{Fault, Program};
use crate::evaluate::sources::Sources;
use crate::evaluate::value::{self, Value, Values};
use crate::functions::Twofold;
use crate::resolve::{Shape, SymbolId, Through};
use crate::statistics::conditions::{self, Condition};
use crate::statistics::linear::Linear;
use crate::statistics::marquardt::Bounds;
use crate::statistics::projection::{self, Digits, Model, Parts};
use crate::statistics::spread::sum_of_squares;
use crate::syntax::Spread;

/// A fit by its numbers, in coherent SI units.
#[derive(Debug, Clone)]
pub struct Solved {
    /// The parameters, in the order of their lines.
    pub parameters: Vec<f64>,
    /// The rows that take part.
    pub rows: Vec<usize>,
    /// What the first list of the right side has there, by which rows are ordered.
    pub abscissae: Vec<f64>,
    /// Which rows have the same entries on the right side: the number of the first of them.
    pub alike: Vec<usize>,
    /// Σ of the squares of what the left sides differ by from their mean.
    pub(super) left_squares: f64,
    /// Left less right, as they are read.
    pub residuals: Vec<f64>,
    /// The root of the weight that each was given.
    pub roots: Vec<f64>,
    /// Σ of the squares of the weighted residuals.
    pub squares: f64,
    /// Rows less parameters.
    pub degrees: f64,
    /// The smallest degrees of freedom of what the weights are from.
    pub weight_degrees: f64,
    /// Whether the weights are the uncertainties of the readings.
    pub is_by_uncertainty: bool,
    /// Whether the readings of both sides are uncertain.
    pub is_both: bool,
    /// Whether all rows weigh alike.
    pub is_equal: bool,
    /// Whether the spread of the parameters is taken from the residuals.
    pub is_from_residuals: bool,
    /// Whether a linear parameter is a constant.
    pub has_constant: bool,
    /// How many steps the search took.
    pub steps: u32,
    /// What each parameter changes by with the left side of each row.
    pub(super) by_row: Vec<Vec<f64>>,
    /// What each parameter changes by with each source that goes through the fit.
    pub(super) by_source: Vec<Gradient>,
}

impl Solved {
    /// The residual standard deviation of a row of weight 1.
    pub fn deviation(&self) -> f64 {
        (self.squares / self.degrees).sqrt()
    }

    /// The standard deviation of each row as the residuals tell it.
    pub fn scatter(&self) -> Vec<f64> {
        self.roots
            .iter()
            .map(|root| self.deviation() / root)
            .collect()
    }
}

/// Why there is no fit.
#[derive(Debug, Clone, PartialEq)]
pub enum Failure {
    /// A program stopped.
    Fault(Fault),
    /// No list.
    NoRows,
    /// More parameters than rows: how many there are of these.
    TooFew(usize),
    /// A row has no value at the start.
    Start(usize),
    /// It did not end; where it was.
    Endless(Vec<(usize, f64)>),
    /// Parameters that cannot be told apart.
    Dependent(Vec<usize>),
    /// A parameter that ends at its bound.
    AtBound(usize, f64),
    /// Own uncertainties on the right only.
    RightOnly,
    /// A row has no uncertainty.
    Exact(usize),
    /// The uncertainties of a row come from the scatter of its few readings.
    ByScatter(usize),
    /// A row is a count of 0, and so is what is fitted there.
    NoCounts(usize),
    /// The weight of a row is negative or no number.
    Weight(usize),
    /// What is fitted has no parameter that gives it.
    NoParameter(usize),
}

impl From<Fault> for Failure {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}

/// A formula with its rows.
pub(super) struct Case<'a> {
    pub formula: &'a Formula,
    pub symbols: Vec<SymbolId>,
    pub values: &'a dyn Values,
    pub readings: Cow<'a, Readings>,
    /// Whether the rows weigh by their own uncertainties.
    is_by_uncertainty: bool,
    /// The places among all parameters of those that are linear, and of the others.
    linear: Vec<(usize, Through)>,
    pub sought: Vec<usize>,
    /// The first fault met, and its row.
    stopped: RefCell<Option<(Fault, usize)>>,
}

/// Finds the parameters.
pub fn solve(formula: &Formula, values: &dyn Values, sources: &Sources) -> Result<Solved, Failure> {
    let symbols: Vec<SymbolId> = formula.parameters.iter().map(|it| it.symbol).collect();
    let lists = |programs: &[Program]| {
        let mut found: Vec<SymbolId> = Vec::new();
        for symbol in programs.iter().flat_map(Program::symbols) {
            let is_list =
                value::rows_of(values, symbol).is_some_and(|rows| rows.shape == Shape::List);
            if is_list && !symbols.contains(&symbol) && !found.contains(&symbol) {
                found.push(symbol);
            }
        }
        found
    };
    let all = lists(&formula.sides);
    let here = Place {
        symbols: &symbols,
        parameters: &[],
        lists: &[],
        row: 0,
        entries: &[],
        beneath: values,
    };
    let rows = |program: &Program| Ok::<_, Fault>(program.over(&here)?.rows);
    let [left, right] = &formula.sides;
    let span = formula.span;
    let found = match (rows(left)?, rows(right)?) {
        (Some(left), Some(right)) => {
            let beside = left.beside(right);
            Some(beside.map_err(|reason| Fault { reason, span })?)
        }
        (left, right) => left.or(right),
    };
    let found = found.filter(|_| !all.is_empty()).ok_or(Failure::NoRows)?;
    let right = lists(&formula.sides[1..]);
    let left = lists(&formula.sides[..1]);
    let chosen = match &formula.which {
        Some(test) => Some(value::holds(test, &found, values, &mut |_| {})?),
        None => None,
    };
    let readings = Readings::of(all, &found, chosen.as_deref(), values, sources);
    if readings.rows.len() < symbols.len() {
        return Err(Failure::TooFew(readings.rows.len()));
    }
    let place = |(j, sought): (usize, &Sought)| sought.through.map(|through| (j, through));
    let linear: Vec<_> = formula
        .parameters
        .iter()
        .enumerate()
        .filter_map(place)
        .collect();
    let sought = (0..symbols.len()).filter(|j| linear.iter().all(|(own, _)| own != j));
    let is_stated = formula.weighting == Weighting::Uncertainty;
    let case = Case {
        formula,
        symbols,
        values,
        sought: sought.collect(),
        linear,
        is_by_uncertainty: is_stated && readings.have_own(&left),
        readings: Cow::Owned(readings),
        stopped: RefCell::new(None),
    };
    case.solve(&left, &right, sources)
}

impl Case<'_> {
    fn count(&self) -> usize {
        self.readings.rows.len()
    }

    fn solve(
        &self,
        left: &[SymbolId],
        right: &[SymbolId],
        sources: &Sources,
    ) -> Result<Solved, Failure> {
        let by_left = self.readings.have_own(left);
        let by_right = self.readings.have_own(right);
        let spread = self.formula.spread;
        let is_stated = self.formula.weighting == Weighting::Uncertainty;
        if is_stated && by_right && !by_left && spread != Some(Spread::Residuals) {
            return Err(Failure::RightOnly);
        }
        let is_by_uncertainty = self.is_by_uncertainty;
        if let Some(row) = (self.readings.by_scatter).filter(|_| is_by_uncertainty) {
            return Err(Failure::ByScatter(row));
        }
        let is_both = is_by_uncertainty && by_right;
        let is_adjusted = is_by_uncertainty && (is_both || self.readings.grows);
        // Rows that adjust themselves start from those that weigh alike.
        let roots = match is_adjusted {
            true => vec![1.0; self.count()],
            false => self.roots(self.values)?,
        };
        let mut found = self.first(&roots)?;
        if is_adjusted {
            found = self.adjusted(&found.parameters)?;
        }
        let is_from_residuals = match (spread, is_by_uncertainty) {
            (Some(Spread::Residuals), _) => true,
            (Some(Spread::Uncertainty), _) => !(by_left || by_right),
            (None, by_uncertainty) => !by_uncertainty,
        };
        let degrees = (self.count() - self.symbols.len()) as f64;
        if is_from_residuals && degrees == 0.0 {
            return Err(Failure::TooFew(self.count()));
        }
        let by_source = self.by_source(&found, is_from_residuals, sources)?;
        let squares = found.residuals.iter().zip(&found.roots);
        let squares = squares
            .map(|(residual, root)| (residual * root).powi(2))
            .sum();
        let (abscissae, alike) = self.abscissae(right);
        Ok(Solved {
            rows: self.readings.rows.clone(),
            abscissae,
            alike,
            is_equal: found.roots.iter().all(|root| *root == found.roots[0]),
            parameters: found.parameters,
            residuals: found.residuals,
            roots: found.roots,
            squares,
            degrees,
            weight_degrees: self.readings.degrees,
            is_by_uncertainty,
            is_both,
            is_from_residuals,
            left_squares: found.left_squares,
            has_constant: found.has_constant,
            steps: found.steps,
            by_row: found.by_row,
            by_source,
        })
    }

    /// The same with other values.
    pub(super) fn with_values<'b>(&'b self, values: &'b dyn Values) -> Case<'b> {
        Case {
            formula: self.formula,
            symbols: self.symbols.clone(),
            values,
            readings: Cow::Borrowed(&self.readings),
            is_by_uncertainty: self.is_by_uncertainty,
            linear: self.linear.clone(),
            sought: self.sought.clone(),
            stopped: RefCell::new(None),
        }
    }

    /// The root of the weight of each row that does not adjust itself; a formula for it has these
    /// values.
    pub(super) fn roots(&self, values: &dyn Values) -> Result<Vec<f64>, Failure> {
        match &self.formula.weighting {
            Weighting::By(weight) => self.weights(weight, values),
            Weighting::Uncertainty if self.is_by_uncertainty => self.own_roots(),
            Weighting::Uncertainty | Weighting::Equally => Ok(vec![1.0; self.count()]),
        }
    }

    fn weights(&self, weight: &Program, values: &dyn Values) -> Result<Vec<f64>, Failure> {
        let found = value::run(weight, &Beneath(values))?;
        let rows = self.readings.rows.iter().enumerate();
        let root = |(at, row): (usize, &usize)| {
            let weight = found.at(*row);
            match weight > 0.0 && weight.is_finite() {
                true => Ok(weight.sqrt()),
                false => Err(Failure::Weight(self.readings.rows[at])),
            }
        };
        rows.map(root).collect()
    }

    /// One over the uncertainty of each left side.
    fn own_roots(&self) -> Result<Vec<f64>, Failure> {
        let parameters: Vec<f64> = self.formula.parameters.iter().map(|it| it.start).collect();
        let rows = 0..self.count();
        let root = |at: usize| {
            let own = &self.readings.own[at];
            let graded = self.side(0, at, &own.entries, &parameters)?;
            let part = |(error, size): (&conditions::Own, &f64)| {
                let slopes = error.by_entry.iter().zip(&graded.by_entry);
                let slope: f64 = slopes.map(|(a, b)| a * b).sum();
                (slope * size).powi(2)
            };
            let square: f64 = own
                .errors
                .iter()
                .zip(&self.readings.sizes[at])
                .map(part)
                .sum();
            match square > 0.0 && square.is_finite() {
                true => Ok(1.0 / square.sqrt()),
                false => Err(self.exact(at)),
            }
        };
        rows.map(root).collect()
    }

    fn side(
        &self,
        side: usize,
        at: usize,
        entries: &[f64],
        parameters: &[f64],
    ) -> Result<Graded, Fault> {
        let place = self.place(at, entries, parameters);
        place.run(&self.formula.sides[side])
    }

    /// The formula in a row, with these entries and parameters.
    fn place<'b>(&'b self, at: usize, entries: &'b [f64], parameters: &'b [f64]) -> Place<'b> {
        Place {
            symbols: &self.symbols,
            parameters,
            lists: &self.readings.lists,
            row: self.readings.rows[at],
            entries,
            beneath: self.values,
        }
    }

    /// A side in every row; nothing where one has no value, which is noted.
    pub(super) fn rows(&self, side: usize, parameters: &[f64]) -> Option<Vec<Graded>> {
        let row = |at: usize| {
            let found = self.side(side, at, &self.readings.own[at].entries, parameters);
            found.map_err(|fault| {
                let mut stopped = self.stopped.borrow_mut();
                stopped.get_or_insert((fault, self.readings.rows[at]));
            })
        };
        (0..self.count()).map(|at| row(at).ok()).collect()
    }

    /// All parameters from the linear ones as they are fitted, and the others.
    fn parameters(&self, nonlinear: &[f64], linear: &[f64]) -> Vec<f64> {
        let mut all = vec![0.0; self.symbols.len()];
        for ((j, through), fitted) in self.linear.iter().zip(linear) {
            all[*j] = through.back(*fitted);
        }
        for (j, value) in self.sought.iter().zip(nonlinear) {
            all[*j] = *value;
        }
        all
    }

    /// The least squares with these roots of weights.
    fn first(&self, roots: &[f64]) -> Result<Found, Failure> {
        let left = self.rows(0, &self.starts());
        let left: Vec<f64> = match left {
            Some(left) => left.iter().map(|row| row.value).collect(),
            None => return Err(self.stop()),
        };
        let bound = |j: &usize| self.formula.parameters[*j].bounds;
        let bounds: Vec<Bounds> = self.sought.iter().map(bound).collect();
        let start: Vec<f64> = self
            .sought
            .iter()
            .map(|j| self.formula.parameters[*j].start)
            .collect();
        let readings = projection::Readings { left: &left, roots };
        let fitted = projection::fit(self, &readings, &start, &bounds);
        let fitted = fitted.map_err(|failure| self.failure(failure))?;
        let parameters = self.parameters(&fitted.nonlinear, &fitted.linear);
        if let Some(j) = parameters.iter().position(|value| !value.is_finite()) {
            return Err(Failure::NoParameter(j));
        }
        let by_row = self.by_row(&fitted.tangent, roots, &parameters);
        let residuals = fitted.residuals.iter().zip(roots);
        let constant = |parts: Parts| {
            let is_constant = |column: &Vec<f64>| column.iter().all(|entry| *entry == column[0]);
            parts.columns.iter().any(is_constant)
        };
        Ok(Found {
            has_constant: self
                .parts(&fitted.nonlinear, Digits::Double)
                .is_some_and(constant),
            residuals: residuals.map(|(residual, root)| residual / root).collect(),
            roots: roots.to_vec(),
            entries: self
                .readings
                .own
                .iter()
                .map(|row| row.entries.clone())
                .collect(),
            sizes: self.readings.sizes.clone(),
            is_adjusted: false,
            adjustments: Vec::new(),
            by_row,
            steps: fitted.steps,
            left_squares: sum_of_squares(&left),
            parameters,
        })
    }

    /// The columns of the linear parameters with more digits than a double has: what the right side
    /// changes by from here with each of them, which is the same from anywhere.
    fn finer(&self, here: &[f64], fitted: &[f64]) -> Option<Vec<Vec<Twofold>>> {
        let here_rows = self.finer_rows(here)?;
        let column = |((j, through), fitted): (&(usize, Through), &f64)| {
            let mut there = here.to_vec();
            there[*j] = through.back(fitted + 1.0);
            let step = Twofold::from(through.of(there[*j]) - fitted);
            let rows = self.finer_rows(&there)?.into_iter().zip(&here_rows);
            let change = |(there, here): (Twofold, &Twofold)| there.plus(here.negated()).over(step);
            Some(rows.map(change).collect())
        };
        self.linear.iter().zip(fitted).map(column).collect()
    }

    fn finer_rows(&self, parameters: &[f64]) -> Option<Vec<Twofold>> {
        let row = |at: usize| {
            let place = self.place(at, &self.readings.own[at].entries, parameters);
            let program = &self.formula.sides[1];
            program.run(place.row, &place).ok()
        };
        (0..self.count()).map(row).collect()
    }

    fn starts(&self) -> Vec<f64> {
        let start = |sought: &Sought| sought.through.map_or(sought.start, Through::somewhere);
        self.formula.parameters.iter().map(start).collect()
    }

    /// What each parameter changes by with the left side of each row.
    fn by_row(&self, tangent: &Linear, roots: &[f64], parameters: &[f64]) -> Vec<Vec<f64>> {
        let mut all = vec![Vec::new(); self.symbols.len()];
        let linear = self.linear.iter().map(|(j, through)| (*j, *through));
        let sought = self.sought.iter().map(|j| (*j, Through::Itself));
        for (column, (j, through)) in linear.chain(sought).enumerate() {
            let slope = through.slope_back(parameters[j]);
            let rows = tangent.by_right_side(column).into_iter().zip(roots);
            all[j] = rows.map(|(by, root)| by * root * slope).collect();
        }
        all
    }

    /// Left less right of a row with these entries and parameters.
    pub(super) fn condition(
        &self,
        at: usize,
        entries: &[f64],
        parameters: &[f64],
    ) -> Option<Condition> {
        let left = self.side(0, at, entries, parameters).ok()?;
        let right = self.side(1, at, entries, parameters).ok()?;
        let minus =
            |left: &[f64], right: &[f64]| left.iter().zip(right).map(|(a, b)| a - b).collect();
        Some(Condition {
            value: left.value - right.value,
            by_entry: minus(&left.by_entry, &right.by_entry),
            by_parameter: minus(&left.by_parameter, &right.by_parameter),
        })
    }

    /// The parameters with which each row adjusts its own readings.
    fn adjusted(&self, start: &[f64]) -> Result<Found, Failure> {
        let condition = |at: usize, entries: &[f64], parameters: &[f64]| {
            self.condition(at, entries, parameters)
        };
        let adjusted = conditions::adjust(&self.readings.own, start, condition);
        let adjusted = adjusted.map_err(|failure| match failure {
            conditions::Failure::Value(at) => Failure::Start(self.readings.rows[at]),
            conditions::Failure::Exact(at) => self.exact(at),
            conditions::Failure::Dependent(columns) => Failure::Dependent(columns),
            conditions::Failure::Endless => Failure::Endless(Vec::new()),
        })?;
        let roots: Vec<f64> = adjusted
            .uncertainties
            .iter()
            .map(|size| 1.0 / size)
            .collect();
        let by_row = (0..self.symbols.len()).map(|j| {
            let rows = adjusted.tangent.by_right_side(j).into_iter().zip(&roots);
            rows.map(|(by, root)| by * root).collect()
        });
        let entries = self.readings.own.iter().zip(&adjusted.adjustments);
        let entries = entries.map(|(row, adjustments)| {
            let mut entries = row.entries.clone();
            for (error, [by, _]) in row.errors.iter().zip(adjustments) {
                for (entry, slope) in entries.iter_mut().zip(&error.by_entry) {
                    *entry += slope * by;
                }
            }
            entries
        });
        let sizes = adjusted.adjustments.iter();
        let sizes = sizes.map(|row| row.iter().map(|[_, size]| *size).collect());
        Ok(Found {
            by_row: by_row.collect(),
            entries: entries.collect(),
            sizes: sizes.collect(),
            is_adjusted: true,
            adjustments: adjusted.adjustments,
            residuals: adjusted.residuals,
            roots,
            parameters: adjusted.parameters,
            has_constant: false,
            left_squares: 0.0,
            steps: adjusted.steps,
        })
    }

    /// What each parameter changes by with each source: those that several rows have in common,
    /// and the rows' own where these are what the spread is from.
    fn by_source(
        &self,
        found: &Found,
        is_from_residuals: bool,
        sources: &Sources,
    ) -> Result<Vec<Gradient>, Failure> {
        let known = Known {
            case: self,
            parameters: self
                .symbols
                .iter()
                .zip(&found.parameters)
                .map(|(symbol, value)| (*symbol, Value::one(*value)))
                .collect(),
            lists: self.adjusted_lists(found),
        };
        let [left, right] = [
            value::run(&self.formula.sides[0], &known)?,
            value::run(&self.formula.sides[1], &known)?,
        ];
        let mut all = vec![FxHashMap::<u32, Partial>::default(); self.symbols.len()];
        // What a source that rows have in common moves one of them by at most.
        let mut common: FxHashMap<u32, f64> = FxHashMap::default();
        for (at, &row) in self.readings.rows.iter().enumerate() {
            let parts = [(left.gradient(row), 1.0), (right.gradient(row), -1.0)];
            for (partial, sign) in parts
                .iter()
                .flat_map(|(of, sign)| of.iter().map(move |it| (it, sign)))
            {
                let own = self.readings.numbers[at]
                    .iter()
                    .position(|it| *it == partial.source);
                if own.is_some() && is_from_residuals {
                    continue;
                }
                if own.is_none() {
                    let most = common.entry(partial.source).or_insert(0.0);
                    *most = most.max(partial.slope.abs());
                }
                // What grows with its reading is as large as the fitted reading says.
                let grown = own.map_or(1.0, |own| {
                    let size = sources.size(partial.source).unwrap_or(0.0);
                    if size > 0.0 {
                        found.sizes[at][own] / size
                    } else {
                        1.0
                    }
                });
                for (by_row, gradient) in found.by_row.iter().zip(&mut all) {
                    let slope = by_row[at] * grown;
                    let sum = gradient.entry(partial.source).or_insert(Partial {
                        source: partial.source,
                        slope: 0.0,
                        error: 0.0,
                        parts: 0.0,
                    });
                    sum.slope += sign * slope * partial.slope;
                    sum.parts += slope.abs() * partial.parts;
                }
            }
        }
        self.grow(found, common, &mut all)?;
        let sorted = |gradient: FxHashMap<u32, Partial>| {
            let mut gradient: Gradient = gradient.into_values().collect();
            gradient.sort_by_key(|partial| partial.source);
            gradient
        };
        Ok(all.into_iter().map(sorted).collect())
    }

    /// What is common moves the parameters as it moves the solution.
    fn grow(
        &self,
        found: &Found,
        common: FxHashMap<u32, f64>,
        all: &mut [FxHashMap<u32, Partial>],
    ) -> Result<(), Failure> {
        if common.is_empty() {
            return Ok(());
        }
        let mut sources: Vec<(u32, f64)> = common.into_iter().collect();
        sources.sort_unstable_by_key(|(source, _)| *source);
        let response = Response::of(self, found, &sources);
        let response = response.ok_or_else(|| Failure::Dependent(self.sought.clone()))?;
        for (source, _) in sources {
            let step: Option<Vec<Partial>> =
                all.iter().map(|own| own.get(&source).copied()).collect();
            let grown = step.map(|step| response.grown(source, step));
            for (own, grown) in all.iter_mut().zip(grown.into_iter().flatten()) {
                own.insert(source, grown);
            }
        }
        Ok(())
    }

    /// The lists with their adjusted entries.
    fn adjusted_lists(&self, found: &Found) -> Vec<(SymbolId, Value)> {
        let lists = self.readings.lists.iter().enumerate();
        lists
            .filter_map(|(k, symbol)| {
                let mut list = self.values.value(*symbol)?.clone();
                for (entries, row) in found.entries.iter().zip(&self.readings.rows) {
                    if let Some(entry) = list.rows.get_mut(*row) {
                        *entry = entries[k];
                    }
                }
                list.made = None;
                Some((*symbol, list))
            })
            .collect()
    }

    /// What the first list of the right side has in each row, and the first row with the same
    /// entries on the right side.
    fn abscissae(&self, right: &[SymbolId]) -> (Vec<f64>, Vec<usize>) {
        let places: Vec<usize> = (self.readings.lists.iter().enumerate())
            .filter(|(_, list)| right.contains(list))
            .map(|(k, _)| k)
            .collect();
        let entries = |at: usize| {
            places
                .iter()
                .map(move |k| self.readings.own[at].entries[*k])
        };
        let first = |at: usize| entries(at).next().unwrap_or(at as f64);
        let mut met: FxHashMap<Vec<u64>, usize> = FxHashMap::default();
        let rows = 0..self.count();
        let alike = rows.clone().map(|at| {
            let key = entries(at).map(f64::to_bits).collect();
            *met.entry(key).or_insert(at)
        });
        let alike = alike.collect();
        (rows.map(first).collect(), alike)
    }

    /// A row without an uncertainty: perhaps because it is a count of 0.
    fn exact(&self, at: usize) -> Failure {
        let mut errors = self.readings.own[at].errors.iter();
        let row = self.readings.rows[at];
        match errors.any(|error| matches!(error.size, conditions::Size::Root(..))) {
            true => Failure::NoCounts(row),
            false => Failure::Exact(row),
        }
    }

    fn stop(&self) -> Failure {
        match self.stopped.take() {
            Some((fault, _)) => Failure::Fault(fault),
            None => Failure::Start(0),
        }
    }

    fn failure(&self, failure: projection::Failure) -> Failure {
        let linear = self.linear.iter().map(|(j, _)| *j);
        let order: Vec<usize> = linear.chain(self.sought.iter().copied()).collect();
        match failure {
            projection::Failure::Start => match self.stopped.take() {
                Some((fault, _)) if self.sought.is_empty() => Failure::Fault(fault),
                Some((_, row)) => Failure::Start(row),
                None => Failure::Start(self.readings.rows[0]),
            },
            projection::Failure::Dependent(columns) => {
                let mut places: Vec<usize> = columns.iter().map(|at| order[*at]).collect();
                places.sort_unstable();
                Failure::Dependent(places)
            }
            projection::Failure::Endless { nonlinear } => {
                Failure::Endless(self.sought.iter().copied().zip(nonlinear).collect())
            }
            projection::Failure::AtBound(at, bound) => Failure::AtBound(self.sought[at], bound),
        }
    }
}

/// Parameters with what they were found from.
pub(super) struct Found {
    pub parameters: Vec<f64>,
    pub residuals: Vec<f64>,
    pub roots: Vec<f64>,
    /// The entries of each row, adjusted.
    entries: Vec<Vec<f64>>,
    /// How large the errors of each row are there.
    sizes: Vec<Vec<f64>>,
    /// Whether each row adjusted its own readings, and what it adjusted each of its errors by.
    pub is_adjusted: bool,
    pub adjustments: Vec<Vec<[f64; 2]>>,
    pub by_row: Vec<Vec<f64>>,
    has_constant: bool,
    left_squares: f64,
    steps: u32,
}

impl Model for Case<'_> {
    fn parts(&self, nonlinear: &[f64], digits: Digits) -> Option<Parts> {
        let fitted: Vec<f64> = (self.linear.iter())
            .map(|(_, through)| through.of(through.somewhere()))
            .collect();
        let parameters = self.parameters(nonlinear, &fitted);
        let rows = self.rows(1, &parameters)?;
        let column = |(j, through): &(usize, Through)| {
            let slope = through.slope_back(parameters[*j]);
            rows.iter()
                .map(|row| row.by_parameter[*j] * slope)
                .collect()
        };
        let mut columns: Vec<Vec<f64>> = self.linear.iter().map(column).collect();
        let offset = rows.iter().enumerate().map(|(at, row)| {
            let terms = columns.iter().zip(&fitted);
            row.value
                - terms
                    .map(|(column, fitted)| column[at] * fitted)
                    .sum::<f64>()
        });
        let offset = offset.collect();
        let mut beyond = Vec::new();
        let finer = (digits == Digits::More).then(|| self.finer(&parameters, &fitted));
        if let Some(finer) = finer.flatten() {
            let parts = |part: fn(&Twofold) -> f64| {
                let column = |column: &Vec<Twofold>| column.iter().map(part).collect();
                finer.iter().map(column).collect()
            };
            (columns, beyond) = (parts(|entry| entry.high), parts(|entry| entry.low));
        }
        Some(Parts {
            offset,
            columns,
            beyond,
        })
    }

    fn slopes(&self, nonlinear: &[f64], linear: &[f64]) -> Option<Vec<Vec<f64>>> {
        if self.sought.is_empty() {
            return Some(Vec::new());
        }
        let rows = self.rows(1, &self.parameters(nonlinear, linear))?;
        let column = |j: &usize| rows.iter().map(|row| row.by_parameter[*j]).collect();
        Some(self.sought.iter().map(column).collect())
    }
}

/// The values beneath, as they are.
struct Beneath<'a>(&'a dyn Values);

impl Values for Beneath<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        self.0.value(symbol)
    }

    fn shift(&self, source: u32) -> f64 {
        self.0.shift(source)
    }

    fn beneath(&self) -> Option<&dyn Values> {
        Some(self.0)
    }
}

/// Values with the parameters, and with adjusted lists.
struct Known<'a> {
    case: &'a Case<'a>,
    parameters: Vec<(SymbolId, Value)>,
    lists: Vec<(SymbolId, Value)>,
}

impl Values for Known<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        let mut own = self.parameters.iter().chain(&self.lists);
        let own = own.find(|(known, _)| *known == symbol);
        own.map(|(_, value)| value)
            .or_else(|| self.case.values.value(symbol))
    }

    fn shift(&self, source: u32) -> f64 {
        self.case.values.shift(source)
    }

    fn beneath(&self) -> Option<&dyn Values> {
        Some(self.case.values)
    }
}
