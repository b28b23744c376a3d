//! A result as a function of the errors of its sources, for trials (JCGM 101).
//!
//! In go the definitions behind a result, compiled, and the values that they read; out comes the
//! result of each trial, whose errors are a function of its number and of the names of the
//! sources. Nothing is known of rounding or derivatives here.

use std::ops::Range;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::asked::{Choice, Chosen, Told};
use super::lanes::Lanes;
use super::literal::Literal;
use super::number::Dual;
use super::program::{self, Environment, Fault, Lists, Program, Reason, Rows};
use super::solve::{self, Sides};
use super::value::{self, Value, Values};
use crate::resolve::{Shape, SymbolId};
use crate::statistics::philox;
use crate::syntax::Distribution;
use crate::text::Span;

/// What is computed in a trial, in its order.
pub(super) struct Model {
    /// The definitions behind the result.
    pub steps: Vec<Step>,
    /// The result.
    pub subject: Program,
    /// What is read and not defined by formulas, and moved by errors.
    pub fixed: FxHashMap<SymbolId, Value>,
    /// What is read only to be taken together to numbers that are kept.
    pub still: FxHashMap<SymbolId, Value>,
    /// Numbers of which fewer errors are told than they have, by place and row: the results of
    /// scatter without the readings' own errors, and those without any.
    pub kept: FxHashMap<(Span, usize), Dual<f64>>,
    /// The rows that were chosen, by the place of the choice.
    pub decided: FxHashMap<Span, Chosen>,
    /// What was told of uncertainties, by place.
    pub told: FxHashMap<Span, Arc<[f64]>>,
    /// The errors that are drawn.
    pub draws: Vec<Draw>,
    /// How many sources there are.
    pub sources: usize,
}

/// A definition.
pub(super) enum Step {
    /// By a formula.
    Formula(SymbolId, Program),
    /// As a root near this start, or one in each row.
    Root(SymbolId, Sides, Value),
    /// As roots of several equations.
    System(Vec<SymbolId>, Vec<Sides>, Vec<Option<f64>>),
}

/// Errors that are drawn together.
#[derive(Debug, Clone)]
pub(super) struct Draw {
    /// Who draws each of them, and which part of it that is.
    pub from: Vec<(philox::Source, u32)>,
    /// Their sources.
    pub sources: Vec<u32>,
    /// Their standard uncertainties.
    pub sizes: Vec<f64>,
    /// The distribution of one alone.
    pub distribution: Distribution,
    /// Their degrees of freedom.
    pub degrees: f64,
    /// Who draws how far the standard uncertainty that they have in common is off.
    pub common: philox::Source,
    /// The root of the matrix of their correlations, row by row; none where they are independent.
    pub root: Vec<f64>,
}

impl Draw {
    /// The errors in trials one after another.
    fn fill_all(&self, trials: Range<u64>, shifts: &mut [Vec<f64>]) {
        let lanes = (trials.end - trials.start) as usize;
        if let ([source], [size], [(from, part)]) =
            (&self.sources[..], &self.sizes[..], &self.from[..])
            && self.distribution == Distribution::Normal
            && !self.degrees.is_finite()
        {
            let mut errors = vec![0.0; lanes];
            from.normals(trials.start, *part, &mut errors);
            errors.iter_mut().for_each(|error| *error *= size);
            shifts[*source as usize] = errors;
            return;
        }
        let mut one = vec![0.0; shifts.len()];
        for trial in trials {
            self.fill(trial, &mut one);
            for source in &self.sources {
                shifts[*source as usize].push(one[*source as usize]);
            }
        }
    }

    /// The errors in a trial.
    fn fill(&self, trial: u64, shifts: &mut [f64]) {
        if let ([source], [size], [(from, part)]) =
            (&self.sources[..], &self.sizes[..], &self.from[..])
        {
            let standard = alone(self, *from, *part, trial, *size);
            shifts[*source as usize] = standard * size;
            return;
        }
        let scale = match self.degrees.is_finite() {
            true => {
                let square = 2.0 * self.common.gamma(self.degrees / 2.0, trial, 0);
                (self.degrees / square).sqrt()
            }
            false => 1.0,
        };
        let normals = self
            .from
            .iter()
            .map(|(from, part)| from.normal(trial, *part));
        let normals: Vec<f64> = normals.collect();
        let count = self.sources.len();
        for (at, (source, size)) in self.sources.iter().zip(&self.sizes).enumerate() {
            let own = match self.root.get(at * count..(at + 1) * count) {
                Some(row) => row.iter().zip(&normals).map(|(a, b)| a * b).sum(),
                None => normals[at],
            };
            shifts[*source as usize] = own * scale * size;
        }
    }
}

/// The values of trials that are run at once.
struct Together<'a> {
    kept: &'a FxHashMap<(Span, usize), Dual<f64>>,
    /// The errors of each source, trial by trial; none of one that is not drawn.
    shifts: Vec<Vec<f64>>,
    lanes: usize,
    own: FxHashMap<SymbolId, Lanes>,
}

impl Together<'_> {
    /// A number that errors move by so much each, in the order in which one trial adds them.
    fn moved(&self, number: f64, errors: impl Iterator<Item = (u32, f64)>) -> Lanes {
        let mut moved = vec![0.0; self.lanes];
        for (source, by) in errors {
            let shifts = self.shifts.get(source as usize).into_iter().flatten();
            for (moved, shift) in moved.iter_mut().zip(shifts) {
                *moved += by * shift;
            }
        }
        moved.iter_mut().for_each(|moved| *moved += number);
        Lanes::Each(moved.into())
    }
}

impl Environment<Lanes> for Together<'_> {
    fn load(&self, symbol: SymbolId, _: usize) -> Lanes {
        let own = self.own.get(&symbol).cloned();
        own.unwrap_or(Lanes::Same(f64::NAN))
    }

    fn literal(&self, literal: &Literal) -> Lanes {
        Lanes::Same(literal.value())
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> Lanes {
        self.moved(literal.value(), errors.iter().copied())
    }

    fn kept(&self, place: Span, row: usize) -> Option<Lanes> {
        let number = self.kept.get(&(place, row))?;
        let errors = number.gradient.iter().map(|it| (it.source, it.slope));
        Some(self.moved(number.value, errors))
    }
}

/// Single numbers only.
impl Lists for Together<'_> {
    fn rows(&self, _: SymbolId) -> Option<Rows> {
        None
    }

    fn is_missing(&self, _: SymbolId, _: usize) -> bool {
        false
    }

    fn chosen(&self, choice: &Choice) -> Result<Chosen, Fault> {
        Err(nothing_told(choice.place))
    }

    fn told(&self, told: &Told) -> Result<Arc<[f64]>, Fault> {
        Err(nothing_told(told.place))
    }
}

fn nothing_told(span: Span) -> Fault {
    Fault {
        reason: Reason::NoUncertainty,
        span,
    }
}

/// The error of a source of its own, in standard uncertainties (JCGM 101, 6.4).
fn alone(draw: &Draw, from: philox::Source, part: u32, trial: u64, size: f64) -> f64 {
    match draw.distribution {
        Distribution::Rectangular | Distribution::Resolution => {
            3_f64.sqrt() * from.rectangular(trial, part)
        }
        Distribution::Triangular => 6_f64.sqrt() * from.triangular(trial, part),
        Distribution::Arcsine => 2_f64.sqrt() * from.arcsine(trial, part),
        Distribution::Poisson => {
            // The mean of a count that was seen has the gamma distribution (6.4.11).
            let count = size * size;
            (from.gamma(count + 1.0, trial, part) - count) / size
        }
        Distribution::Normal if draw.degrees.is_finite() => {
            from.student_t(draw.degrees, trial, part)
        }
        Distribution::Normal => from.normal(trial, part),
    }
}

/// The values of a trial.
struct Trial<'a> {
    model: &'a Model,
    own: FxHashMap<SymbolId, Value>,
    shifts: Vec<f64>,
}

impl Values for Trial<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        self.own
            .get(&symbol)
            .or_else(|| self.model.fixed.get(&symbol))
            .or_else(|| self.model.still.get(&symbol))
    }

    fn shift(&self, source: u32) -> f64 {
        self.shifts.get(source as usize).copied().unwrap_or(0.0)
    }

    fn told(&self, told: &Told, _: &dyn Values) -> Result<Arc<[f64]>, Fault> {
        let found = self.model.told.get(&told.place).cloned();
        found.ok_or(nothing_told(told.place))
    }

    fn kept(&self, place: Span, row: usize) -> Option<f64> {
        let number = self.model.kept.get(&(place, row))?;
        let errors = number.gradient.iter();
        let moved = errors.map(|it| it.slope * self.shift(it.source));
        Some(number.value + moved.sum::<f64>())
    }

    fn decided(&self, place: Span) -> Option<&Chosen> {
        self.model.decided.get(&place)
    }
}

/// So many trials are run at once, and so many by themselves before it is asked whether more may
/// be.
const LANES: u64 = 250;
const ALONE: u64 = 25;

/// What is counted of a trial, in about a nanosecond each: beside all else, for each error that is
/// drawn, for each step in trials that are run at once, and for each step of a trial by itself.
const OF_A_TRIAL: u64 = 60;
const OF_A_DRAW: u64 = 16;
const OF_A_STEP: u64 = 4;
const OF_A_STEP_ALONE: u64 = 80;

impl Model {
    /// The results of trials from the first on, as many as may be run with so much work, and the
    /// work that it was; what has none is no number.
    pub fn run(&self, trials: Range<u64>, most: u64) -> (Vec<f64>, u64) {
        let draws: usize = self.draws.iter().map(|draw| draw.sources.len()).sum();
        let each = OF_A_TRIAL + OF_A_DRAW * draws as u64;
        let mut work = 0;
        let mut found = Vec::with_capacity((trials.end - trials.start) as usize);
        let steps = self.steps_on_numbers();
        let mut start = trials.start;
        let at_once = if steps.is_some() { LANES } else { ALONE };
        while start < trials.end && work < most {
            let some = start..(start + at_once).min(trials.end);
            start = some.end;
            let together = steps.and_then(|_| self.together(some.clone()));
            work += (each + OF_A_STEP * steps.unwrap_or(0)) * (some.end - some.start);
            match together {
                Some(numbers) => {
                    debug_assert!(self.is_found_alone(&numbers, some.start));
                    found.extend(numbers);
                }
                None => {
                    let (alone, steps) = program::counted(|| self.one_by_one(some));
                    found.extend(alone);
                    work += OF_A_STEP_ALONE * steps;
                }
            }
        }
        (found, work)
    }

    /// The steps of formulas, where there is nothing but formulas of single numbers.
    fn steps_on_numbers(&self) -> Option<u64> {
        let is_number = |value: &Value| {
            value.shape == Shape::One
                && value.of.is_none()
                && value.rows.iter().all(|it| it.is_finite())
        };
        if !self.fixed.values().all(is_number) {
            return None;
        }
        let of_formulas = self.steps.iter().map(|step| match step {
            Step::Formula(_, program) => program.steps_on_numbers(),
            Step::Root(..) | Step::System(..) => None,
        });
        let steps = of_formulas.chain([self.subject.steps_on_numbers()]);
        Some(steps.sum::<Option<usize>>()? as u64)
    }

    /// The results of trials that all go the same way.
    fn together(&self, trials: Range<u64>) -> Option<Vec<f64>> {
        let mut shifts = vec![Vec::new(); self.sources];
        for draw in &self.draws {
            draw.fill_all(trials.clone(), &mut shifts);
        }
        let lanes = (trials.end - trials.start) as usize;
        let mut here = Together {
            kept: &self.kept,
            shifts,
            lanes,
            own: FxHashMap::default(),
        };
        for (symbol, value) in &self.fixed {
            let number = value.at(0);
            let moved = match value.gradient(0) {
                [] => Lanes::Same(number),
                errors => {
                    let errors = errors.iter().map(|it| (it.source, it.slope));
                    here.moved(number, errors)
                }
            };
            here.own.insert(*symbol, moved);
        }
        for step in &self.steps {
            match step {
                Step::Formula(symbol, program) => {
                    let found = program.run::<Lanes>(0, &here).ok()?;
                    here.own.insert(*symbol, found);
                }
                Step::Root(..) | Step::System(..) => return None,
            }
        }
        let found = self.subject.run::<Lanes>(0, &here).ok()?;
        Some((0..lanes).map(|lane| found.at(lane)).collect())
    }

    /// Whether the first of some trials has the same result by itself, to the last bit.
    fn is_found_alone(&self, numbers: &[f64], first: u64) -> bool {
        let alone = self.one_by_one(first..first + 1);
        numbers.first().map(|it| it.to_bits()) == alone.first().map(|it| it.to_bits())
    }

    fn one_by_one(&self, trials: Range<u64>) -> Vec<f64> {
        let mut here = Trial {
            model: self,
            own: FxHashMap::default(),
            shifts: vec![0.0; self.sources],
        };
        trials
            .map(|trial| {
                for draw in &self.draws {
                    draw.fill(trial, &mut here.shifts);
                }
                here.result().unwrap_or(f64::NAN)
            })
            .collect()
    }

    /// How far the errors of a trial are from 0, in standard uncertainties: the farthest.
    pub fn farthest(&self, trial: u64) -> Option<(u32, f64)> {
        let mut shifts = vec![0.0; self.sources];
        self.draws
            .iter()
            .for_each(|draw| draw.fill(trial, &mut shifts));
        let sizes = self.draws.iter().flat_map(|draw| {
            let sizes = draw.sizes.iter();
            draw.sources.iter().zip(sizes)
        });
        sizes
            .map(|(source, size)| (*source, shifts[*source as usize] / size))
            .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
    }
}

impl Trial<'_> {
    fn result(&mut self) -> Option<f64> {
        self.own.clear();
        for (symbol, value) in &self.model.fixed {
            if !value.gradients.is_empty() {
                let moved = self.moved(value);
                self.own.insert(*symbol, moved);
            }
        }
        for step in &self.model.steps {
            match step {
                Step::Formula(symbol, program) => {
                    let value = self.formula(program)?;
                    self.own.insert(*symbol, value);
                }
                Step::Root(symbol, sides, start) => {
                    let root = solve::nearest(sides, *symbol, start, self)?;
                    self.own.insert(*symbol, root);
                }
                Step::System(symbols, equations, starts) => {
                    let (values, _) = solve::system(equations, symbols, starts, self).ok()?;
                    self.own.extend(symbols.iter().copied().zip(values));
                }
            }
        }
        let found = self.formula(&self.model.subject)?;
        found
            .rows
            .first()
            .copied()
            .filter(|value| value.is_finite())
    }

    /// A value that has no formula, moved by its errors to first order.
    fn moved(&self, value: &Value) -> Value {
        let moved = |(row, number): (usize, &f64)| {
            let errors = value.gradient(row).iter();
            number
                + errors
                    .map(|it| it.slope * self.shift(it.source))
                    .sum::<f64>()
        };
        Value {
            rows: value.rows.iter().enumerate().map(moved).collect(),
            shape: value.shape,
            ..Value::default()
        }
    }

    fn formula(&self, program: &Program) -> Option<Value> {
        let over = value::over(program, self).ok()?;
        Some(Value {
            rows: value::plain(program, &over, self).ok()?,
            shape: over.rows.map_or(Shape::One, |rows| rows.shape),
            ..Value::default()
        })
    }
}
