//! Values, and how a program makes one.

use std::cmp::Ordering;
use std::sync::Arc;

use super::asked::{Choice, Chosen, Holds, Tabulated, Test, Told};
use super::literal::Literal;
use super::made::Made;
use super::number::{Dual, Gradient, Number, Partial, Sloped};
use super::program::{
    self, Environment, Fault, Lists, Over, Program, Progress, Reason, Rows, RowsOf,
};
use super::sources::{self, Sources};
use crate::functions::{Function, Measured};
use crate::precise::{LEVELS, Precise};
use crate::resolve::{Shape, SymbolId};
use crate::text::Span;

/// A value in coherent SI units.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Value {
    /// One number, or one a row or component.
    pub rows: Vec<f64>,
    /// What the numbers are to each other.
    pub shape: Shape,
    /// The rows of a table that the numbers belong to. What has no entry there is not a number.
    pub of: Option<RowsOf>,
    /// For each number its derivatives by the sources of uncertainty; empty where it depends on
    /// none.
    pub gradients: Vec<Gradient>,
    /// For each number its uncertainty of second order, where all derivatives vanish.
    pub second_order: Vec<f64>,
    /// For each number a bound on how far rounding has moved it; empty where it is exact.
    pub(crate) errors: Vec<f64>,
    /// How it was made, so that it can be had with more precision; a number of which that is not
    /// known is the double that it is.
    pub(crate) made: Option<Arc<Made>>,
}

/// What is known to fewer bits than this is computed again with more precision.
const ENOUGH: isize = 40;

/// The most derivatives that the rows of a list have in all.
const MOST_DERIVATIVES: usize = 2_000_000;

/// What more precision has to give, so that a double is the nearest one or its neighbour.
const PLENTY: isize = 60;

impl Value {
    /// A single exact number.
    pub fn one(value: f64) -> Self {
        Self {
            rows: vec![value],
            ..Self::default()
        }
    }

    /// The doubles times a factor, with nothing known of how they came about.
    pub(super) fn scaled_double(&self, factor: f64) -> Self {
        Self {
            rows: self.rows.iter().map(|row| row * factor).collect(),
            errors: Vec::new(),
            made: None,
            ..self.clone()
        }
    }

    /// Whether it has a number in a row.
    pub fn has(&self, row: usize) -> bool {
        !self.at(row).is_nan()
    }

    /// Its numbers, each with its row, without those that are missing.
    pub fn present(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let rows = self.rows.iter().copied().enumerate();
        rows.filter(|(_, number)| !number.is_nan())
    }

    /// Whether its numbers are these, and the same are missing.
    pub fn is_of(&self, numbers: &[f64]) -> bool {
        let is_same = |(one, other): (&f64, &f64)| one == other || one.is_nan() && other.is_nan();
        self.rows.len() == numbers.len() && self.rows.iter().zip(numbers).all(is_same)
    }

    fn push_missing(&mut self, is_uncertain: bool) {
        self.rows.push(f64::NAN);
        self.errors.push(0.0);
        self.gradients.extend(is_uncertain.then(Vec::new));
    }

    /// Its number in a row; a single number serves every row.
    pub fn at(&self, row: usize) -> f64 {
        let found = self.rows.get(row).or_else(|| self.rows.first());
        found.copied().unwrap_or(f64::NAN)
    }

    /// A bound on how far rounding has moved its number in a row.
    pub(super) fn error(&self, row: usize) -> f64 {
        let found = self.errors.get(row).or_else(|| self.errors.first());
        found.copied().unwrap_or(0.0)
    }

    /// Its number in a row with the bound.
    pub(super) fn measured(&self, row: usize) -> Measured {
        Measured {
            value: self.at(row),
            error: self.error(row),
        }
    }

    /// Its number in a row with so much precision; unknown where that is not had.
    pub(super) fn precise(&self, row: usize, level: usize) -> Precise {
        match &self.made {
            None if self.error(row) != 0.0 => Precise::unknown(),
            None => Precise::double(self.at(row)).with_bits(LEVELS[level]),
            Some(made) => made.number(row, level),
        }
    }

    /// Its sizes, without signs.
    #[must_use]
    pub fn magnitude(&self) -> Self {
        let made = self.made.as_ref();
        Self {
            rows: self.rows.iter().map(|value| value.abs()).collect(),
            made: made.map(|made| Arc::new(Made::magnitude(made, self.rows.len()))),
            ..self.clone()
        }
    }

    /// Takes more precision for one number whose bound is not small; whether it is known then.
    pub(super) fn settle_alone(&mut self) -> bool {
        let (value, error) = (self.at(0), self.error(0));
        if error == 0.0 || error <= value.abs() * 2_f64.powi(-(ENOUGH as i32)) {
            return true;
        }
        let found = (0..LEVELS.len())
            .map(|level| (level, self.precise(0, level)))
            .find(|(level, number)| match level + 1 == LEVELS.len() {
                true => number.is_known(),
                false => number.is_narrow(PLENTY),
            });
        let Some((_, number)) = found.filter(|_| self.made.is_some()) else {
            return false;
        };
        let (value, error) = number.to_f64();
        (self.rows, self.errors) = (vec![value], vec![error]);
        true
    }

    /// Its derivatives by the sources of uncertainty in a row.
    pub fn gradient(&self, row: usize) -> &[Partial] {
        let found = self.gradients.get(row).or_else(|| self.gradients.first());
        found.map_or(&[], Vec::as_slice)
    }

    /// The standard uncertainty of its number in a row, from those of the sources; `None` where
    /// it depends on none, or where what it depends on cancels.
    pub fn uncertainty(&self, row: usize, sources: &Sources) -> Option<Uncertainty> {
        let gradient = self.gradient(row);
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
        let size = sources.uncertainty(gradient);
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

    /// The rows that were chosen at a place, where these values do not say otherwise: an error does
    /// not make other rows chosen.
    fn decided(&self, _place: Span) -> Option<&Chosen> {
        None
    }

    /// The number at a place of which fewer errors are told than it has, where these values have
    /// moved it by those.
    fn kept(&self, place: Span, row: usize) -> Option<f64> {
        self.beneath().and_then(|it| it.kept(place, row))
    }

    /// The values that these change, where they are not the first.
    fn beneath(&self) -> Option<&dyn Values> {
        None
    }

    /// What is told of the uncertainty of values, on these or on others above them.
    fn told(&self, told: &Told, on: &dyn Values) -> Result<Arc<[f64]>, Fault> {
        let nothing = Fault {
            reason: Reason::NoUncertainty,
            span: told.place,
        };
        self.beneath().map_or(Err(nothing), |it| it.told(told, on))
    }
}

/// How far the errors of a number are moved in all.
pub(super) fn shift(values: &dyn Values, errors: &[(u32, f64)]) -> f64 {
    let moved = errors.iter().map(|(source, by)| by * values.shift(*source));
    moved.sum()
}

/// Runs a program on values.
///
/// Each number carries a bound on its rounding. Where the bound is not small beside the number, or
/// does not tell how a decision falls, all is computed again with more precision.
pub fn run(program: &Program, values: &dyn Values) -> Result<Value, Fault> {
    for table in program.tables() {
        in_order(table, values)?;
    }
    let over = program.over(&Plain(values))?;
    let rows = (over.rows.clone()).unwrap_or_else(|| Rows::plain(1, Shape::One));
    let count = rows.count;
    let uncertain = program.has_inputs()
        || program.symbols().any(|symbol| {
            values
                .value(symbol)
                .is_some_and(|value| !value.gradients.is_empty())
        });
    let mut value = Value {
        shape: rows.shape,
        of: rows.of.clone(),
        rows: Vec::with_capacity(count),
        errors: Vec::with_capacity(count),
        gradients: Vec::new(),
        second_order: Vec::new(),
        made: Some(Arc::new(Made::formula(program, values, rows))),
    };
    let mut is_sure = true;
    let mut derivatives = 0;
    let (mut measured, mut slopes) = (
        Progress::default(),
        (Progress::default(), Progress::default()),
    );
    for row in 0..count {
        if program.lacks(row, &over, &Plain(values)) {
            value.push_missing(uncertain);
            continue;
        }
        let found = if uncertain {
            let (number, gradient) = graded_on(program, row, values, &mut slopes)?;
            derivatives += gradient.len();
            if derivatives > MOST_DERIVATIVES {
                return Err(Fault {
                    reason: Reason::TooManyDerivatives,
                    span: program.place(),
                });
            }
            value.gradients.push(gradient);
            number
        } else {
            let found = program.go_on::<Measured>(row, &Sourced(values), &mut measured);
            told(found)?
        };
        is_sure &= found.value.abs() >= found.error * 2_f64.powi(ENOUGH as i32)
            || (found.value == 0.0 && found.error == 0.0);
        value.rows.push(found.value);
        value.errors.push(found.error);
    }
    if !is_sure {
        settle(&mut value, program, values)?;
    }
    Ok(value)
}

/// A number, of which nothing is known where the bound did not tell how a decision falls.
fn told(found: Result<Measured, Fault>) -> Result<Measured, Fault> {
    match found {
        Err(fault) if fault.reason == Reason::InDoubt => Ok(Measured::NONE),
        found => found,
    }
}

/// A number with its derivatives; those are as a plain number decides where the bound does not.
pub(super) fn graded(
    program: &Program,
    row: usize,
    values: &dyn Values,
) -> Result<(Measured, Gradient), Fault> {
    graded_on(program, row, values, &mut Default::default())
}

fn graded_on(
    program: &Program,
    row: usize,
    values: &dyn Values,
    (sourced, plain): &mut (Progress<Dual<Measured>>, Progress<Dual<f64>>),
) -> Result<(Measured, Gradient), Fault> {
    let found = program.go_on(row, &Graded(Sourced(values)), sourced);
    match found {
        Err(fault) if fault.reason == Reason::InDoubt => {
            let plain = program.go_on(row, &Graded(Plain(values)), plain)?;
            Ok((Measured::NONE, plain.gradient))
        }
        found => found.map(|dual| (dual.value, dual.gradient)),
    }
}

/// Computes the numbers of a value again with more and more precision, until they are known.
fn settle(value: &mut Value, program: &Program, values: &dyn Values) -> Result<(), Fault> {
    let Some(made) = value.made.clone() else {
        return Ok(());
    };
    // What is not known yet is no number either, but not for certain.
    let lacking: Vec<bool> = (value.rows.iter().zip(&value.errors))
        .map(|(row, error)| row.is_nan() && *error == 0.0)
        .collect();
    for level in 0..LEVELS.len() {
        let is_last = level + 1 == LEVELS.len();
        match made.at(level) {
            Err(fault) if fault.reason == Reason::InDoubt => {}
            Err(fault) => return Err(fault),
            Ok(numbers) => {
                let is_known = |number: &Precise| match is_last {
                    true => number.is_known(),
                    false => number.is_narrow(PLENTY),
                };
                let mut known = numbers.iter().zip(&lacking);
                if known.all(|(number, is_lacking)| *is_lacking || is_known(number)) {
                    let found = numbers.iter().zip(&lacking);
                    let found = found.map(|(number, is_lacking)| match is_lacking {
                        true => (f64::NAN, 0.0),
                        false => number.to_f64(),
                    });
                    (value.rows, value.errors) = found.unzip();
                    return Ok(());
                }
            }
        }
    }
    // Nothing is certain of it but what plain numbers say.
    let mut progress = Progress::default();
    for (row, _) in lacking.iter().enumerate().filter(|(_, lacks)| !**lacks) {
        value.rows[row] = program.go_on::<f64>(row, &Plain(values), &mut progress)?;
        value.errors[row] = f64::INFINITY;
    }
    Ok(())
}

/// The rows in which each of some values has a number.
pub(super) fn rows_of_all(values: &[&Value]) -> Vec<usize> {
    let count = values.iter().map(|value| value.rows.len()).max();
    let rows = 0..count.unwrap_or(0);
    rows.filter(|row| values.iter().all(|value| value.has(*row)))
        .collect()
}

/// How the numbers of two values in a row compare: by their bounds, and where these do not tell,
/// with more precision. What the last level does not tell apart is equal.
pub(super) fn order(left: &Value, right: &Value, row: usize) -> Judged<Ordering> {
    let found = judged(
        [left, right],
        row,
        |[left, right]| left.compare(right),
        |[left, right]| left.compare(right),
    );
    Judged::of(found, || plain_order(left.at(row), right.at(row)))
}

/// How the numbers of a value in two rows compare.
fn order_of_rows(value: &Value, one: usize, other: usize) -> Ordering {
    let found = (value.measured(one).compare(&value.measured(other))).or_else(|| {
        let mut levels = 0..LEVELS.len();
        levels.find_map(|level| {
            let [one, other] = [one, other].map(|row| value.precise(row, level));
            one.compare(&other)
        })
    });
    found.unwrap_or_else(|| plain_order(value.at(one), value.at(other)))
}

/// Whether the places of a table rise, or fall, from row to row.
pub(super) fn in_order(table: &Tabulated, values: &dyn Values) -> Result<(), Fault> {
    let fault = |reason| Fault {
        reason,
        span: table.made.0,
    };
    let lists = Plain(values);
    let rows = table.rows(&lists)?;
    let places = values.value(table.places);
    let places = places.ok_or_else(|| fault(Reason::NoLists))?;
    let (mut before, mut way) = (None, None);
    for row in (0..rows.count).filter(|row| rows.has(table, *row, &lists)) {
        if let Some(before) = before {
            let order = order_of_rows(places, before, row);
            if order.is_eq() || way.is_some_and(|way| way != order) {
                return Err(fault(Reason::OutOfOrder(row)));
            }
            way = Some(order);
        }
        before = Some(row);
    }
    way.map(|_| ()).ok_or_else(|| fault(Reason::TooFewRows))
}

/// A judgement on values.
#[derive(Debug, Clone, Copy)]
pub(super) struct Judged<T> {
    /// What it is; where it is not certain, what plain numbers say.
    pub found: T,
    /// Whether the bounds of the values tell.
    pub is_certain: bool,
}

impl<T> Judged<T> {
    fn of(found: Option<T>, plain: impl FnOnce() -> T) -> Self {
        let is_certain = found.is_some();
        Self {
            found: found.unwrap_or_else(plain),
            is_certain,
        }
    }

    /// What follows from it, as certain as it is.
    pub fn map<U>(self, to: impl FnOnce(T) -> U) -> Judged<U> {
        Judged {
            found: to(self.found),
            is_certain: self.is_certain,
        }
    }
}

/// Whether two values differ by no more than a third in a row, which may be a part of the second.
pub(super) fn within(values: [&Value; 3], row: usize, is_relative: bool) -> Judged<bool> {
    fn order<N: Number>([left, right, size]: &[N; 3], is_relative: bool) -> Option<Ordering> {
        let size = match is_relative {
            true => size.times(&N::call(Function::Abs, std::slice::from_ref(right))),
            false => size.clone(),
        };
        N::call(Function::Abs, &[left.minus(right)]).compare(&size)
    }
    let found = judged(
        values,
        row,
        |numbers| order(numbers, is_relative),
        |numbers| order(numbers, is_relative),
    );
    let plain = || order(&values.map(|value| value.at(row)), is_relative);
    let found = Judged::of(found.map(Some), plain);
    found.map(|order| order.is_some_and(Ordering::is_le))
}

/// A judgement on values by their bounds, or with as much precision as it takes.
fn judged<const N: usize>(
    values: [&Value; N],
    row: usize,
    measured: impl Fn(&[Measured; N]) -> Option<Ordering>,
    precise: impl Fn(&[Precise; N]) -> Option<Ordering>,
) -> Option<Ordering> {
    measured(&values.map(|value| value.measured(row))).or_else(|| {
        let mut levels = 0..LEVELS.len();
        levels.find_map(|level| precise(&values.map(|value| value.precise(row, level))))
    })
}

fn plain_order(left: f64, right: f64) -> Ordering {
    Number::compare(&left, &right).unwrap_or(Ordering::Equal)
}

/// How many rows a symbol has; `None` for one number.
pub fn rows_of(values: &dyn Values, symbol: SymbolId) -> Option<Rows> {
    let value = values.value(symbol)?;
    (value.shape != Shape::One).then(|| Rows {
        of: value.of.clone(),
        ..Rows::plain(value.rows.len(), value.shape)
    })
}

/// Whether a symbol has no number in a row.
pub fn is_missing(values: &dyn Values, symbol: SymbolId, row: usize) -> bool {
    let value = values.value(symbol);
    value.is_some_and(|value| value.shape == Shape::List && !value.has(row))
}

/// The number of a symbol in a row.
pub fn number(values: &dyn Values, symbol: SymbolId, row: usize) -> f64 {
    values.value(symbol).map_or(f64::NAN, |value| value.at(row))
}

/// The rows that are chosen of a list.
pub(super) fn chosen(choice: &Choice, values: &dyn Values) -> Result<Chosen, Fault> {
    match values.decided(choice.place) {
        Some(found) => Ok(found.clone()),
        None => decide(choice, values, &mut |_| {}),
    }
}

/// The same from the beginning; hands on where a comparison is not certain.
pub(super) fn decide(
    choice: &Choice,
    values: &dyn Values,
    in_doubt: &mut dyn FnMut(Span),
) -> Result<Chosen, Fault> {
    let over = over(&choice.list, values)?;
    let rows = (over.rows.clone()).filter(|rows| rows.shape == Shape::List);
    let rows = rows.ok_or(Fault {
        reason: Reason::NoList,
        span: choice.place,
    })?;
    let holds = holds(&choice.test, &rows, values, in_doubt)?;
    let lists = Plain(values);
    let mask = |row: usize| rows.has(row) && holds[row] != Some(false);
    let has =
        |row: usize| mask(row) && holds[row].is_some() && !choice.list.lacks(row, &over, &lists);
    let has = (0..rows.count).map(has).collect();
    let of = RowsOf {
        table: rows.of.as_ref().and_then(|of| of.table),
        chosen: Some((0..rows.count).map(mask).collect()),
    };
    let rows = Rows {
        of: Some(of),
        ..rows
    };
    Ok(Chosen { rows, has })
}

/// For each row whether a condition holds; nothing where a reading that it asks for is missing.
/// Hands on where a comparison is not certain.
pub(super) fn holds(
    test: &Test,
    rows: &Rows,
    values: &dyn Values,
    in_doubt: &mut dyn FnMut(Span),
) -> Result<Holds, Fault> {
    test.holds(rows, &mut |compared| {
        let members = compared.members.iter().map(|member| {
            let value = run(member, values)?;
            same_table(&value, rows).map_err(|reason| Fault {
                reason,
                span: compared.place,
            })?;
            Ok(value)
        });
        let members: Vec<Value> = members.collect::<Result<_, Fault>>()?;
        let mut is_certain = true;
        let mut of_row = |row: usize| {
            if !members.iter().all(|member| member.has(row)) {
                return None;
            }
            let mut pairs = members.windows(2).zip(&compared.relations);
            Some(pairs.all(|(pair, relation)| {
                let order = order(&pair[0], &pair[1], row);
                is_certain &= order.is_certain;
                program::holds(*relation, order.found)
            }))
        };
        let holds = (0..rows.count).map(&mut of_row).collect();
        if !is_certain {
            in_doubt(compared.place);
        }
        Ok(holds)
    })
}

/// Whether a side of a condition can be held against rows: a number, or a list of their table.
fn same_table(side: &Value, rows: &Rows) -> Result<(), Reason> {
    if side.shape == Shape::One {
        return Ok(());
    }
    if side.rows.len() != rows.count {
        return Err(Reason::Lengths(rows.count, side.rows.len()));
    }
    let table = |of: &Option<RowsOf>| of.as_ref().and_then(|of| of.table);
    match (table(&rows.of), table(&side.of)) {
        (Some(one), Some(other)) if one != other => {
            Err(Reason::OtherRows([Some(one), Some(other)]))
        }
        _ => Ok(()),
    }
}

pub(super) struct Plain<'a>(pub &'a dyn Values);

impl Environment<f64> for Plain<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> f64 {
        number(self.0, symbol, row)
    }

    fn literal(&self, literal: &Literal) -> f64 {
        literal.value()
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> f64 {
        literal.value() + shift(self.0, errors)
    }

    fn kept(&self, place: Span, row: usize) -> Option<f64> {
        self.0.kept(place, row)
    }
}

impl Lists for Plain<'_> {
    fn told(&self, told: &Told) -> Result<Arc<[f64]>, Fault> {
        self.0.told(told, self.0)
    }

    fn rows(&self, symbol: SymbolId) -> Option<Rows> {
        rows_of(self.0, symbol)
    }

    fn is_missing(&self, symbol: SymbolId, row: usize) -> bool {
        is_missing(self.0, symbol, row)
    }

    fn chosen(&self, choice: &Choice) -> Result<Chosen, Fault> {
        chosen(choice, self.0)
    }
}

/// The rows of a program, as values have them.
pub(super) fn over(program: &Program, values: &dyn Values) -> Result<Over, Fault> {
    program.over(&Plain(values))
}

/// The numbers of a program in its rows as plain numbers give them.
pub(super) fn plain(
    program: &Program,
    over: &Over,
    values: &dyn Values,
) -> Result<Vec<f64>, Fault> {
    let mut progress = Progress::default();
    let count = over.rows.as_ref().map_or(1, |rows| rows.count);
    (0..count)
        .map(|row| match program.lacks(row, over, &Plain(values)) {
            true => Ok(f64::NAN),
            false => program.go_on::<f64>(row, &Plain(values), &mut progress),
        })
        .collect()
}

/// Runs a program on values in plain doubles: nothing is known of the rounding, or of what is
/// uncertain.
pub(super) fn in_doubles(program: &Program, values: &dyn Values) -> Result<Value, Fault> {
    for table in program.tables() {
        in_order(table, values)?;
    }
    let over = over(program, values)?;
    let numbers = plain(program, &over, values)?;
    let rows = over.rows.unwrap_or_else(|| Rows::plain(1, Shape::One));
    Ok(Value {
        rows: numbers,
        shape: rows.shape,
        of: rows.of,
        ..Value::default()
    })
}

/// Numbers with the bounds on their rounding.
struct Sourced<'a>(&'a dyn Values);

impl Environment<Measured> for Sourced<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> Measured {
        let value = self.0.value(symbol);
        value.map_or(Measured::NONE, |value| value.measured(row))
    }

    fn literal(&self, literal: &Literal) -> Measured {
        literal.measured()
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> Measured {
        literal.shifted(shift(self.0, errors))
    }
}

impl Lists for Sourced<'_> {
    fn told(&self, told: &Told) -> Result<Arc<[f64]>, Fault> {
        self.0.told(told, self.0)
    }

    fn rows(&self, symbol: SymbolId) -> Option<Rows> {
        rows_of(self.0, symbol)
    }

    fn is_missing(&self, symbol: SymbolId, row: usize) -> bool {
        is_missing(self.0, symbol, row)
    }

    fn chosen(&self, choice: &Choice) -> Result<Chosen, Fault> {
        chosen(choice, self.0)
    }
}

/// Numbers with their derivatives by the uncertain inputs.
pub(super) struct Graded<E>(pub E);

impl<N: Sloped, E: Environment<N> + Beneath> Environment<Dual<N>> for Graded<E> {
    fn load(&self, symbol: SymbolId, row: usize) -> Dual<N> {
        let value = self.0.values().value(symbol);
        Dual {
            value: self.0.load(symbol, row),
            gradient: value
                .map(|value| value.gradient(row).to_vec())
                .unwrap_or_default(),
        }
    }

    fn literal(&self, literal: &Literal) -> Dual<N> {
        Dual {
            value: self.0.literal(literal),
            gradient: Vec::new(),
        }
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> Dual<N> {
        Dual {
            value: self.0.input(literal, errors),
            gradient: sources::gradient(errors),
        }
    }
}

impl<E: Lists> Lists for Graded<E> {
    fn told(&self, told: &Told) -> Result<Arc<[f64]>, Fault> {
        self.0.told(told)
    }

    fn rows(&self, symbol: SymbolId) -> Option<Rows> {
        self.0.rows(symbol)
    }

    fn is_missing(&self, symbol: SymbolId, row: usize) -> bool {
        self.0.is_missing(symbol, row)
    }

    fn chosen(&self, choice: &Choice) -> Result<Chosen, Fault> {
        self.0.chosen(choice)
    }
}

/// The values beneath an environment.
trait Beneath {
    fn values(&self) -> &dyn Values;
}

impl Beneath for Plain<'_> {
    fn values(&self) -> &dyn Values {
        self.0
    }
}

impl Beneath for Sourced<'_> {
    fn values(&self) -> &dyn Values {
        self.0
    }
}
