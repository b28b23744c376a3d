//! How a value was made, so that it can be had again with more precision.
//!
//! A value holds what it was made from, and so on down to the literals: nothing else is asked, so
//! that a what-if is as certain as a line of its own. What was found at a level is kept; it cannot
//! change.

use std::sync::{Arc, OnceLock};

use super::asked::{Choice, Chosen, Told};
use super::literal::{Column, Literal};
use super::program::{Environment, Fault, Lists, Program, Progress, Reason, Rows};
use super::solve::Sides;
use super::value::{self, Value, Values, rows_of};
use crate::functions::Function;
use crate::precise::{LEVELS, Precise};
use crate::resolve::{Shape, SymbolId};

/// What is told of uncertainties, or why nothing is.
type Numbers = Result<Arc<[f64]>, Fault>;

/// Numbers at a level, or why there are none.
pub(super) type Found = Result<Arc<[Precise]>, Fault>;

/// How a value was made.
#[derive(Debug)]
pub struct Made {
    how: How,
    rows: Rows,
    /// What was found at each level; few values are ever asked for it.
    found: OnceLock<Box<[OnceLock<Found>; LEVELS.len()]>>,
}

#[derive(Debug)]
enum How {
    /// By a formula from other values.
    Formula(Program, Reads),
    /// They are these numbers.
    Numbers(Vec<Precise>),
    /// They are the readings of a column.
    Column(Column),
    /// Without the sign.
    Magnitude(Arc<Made>, usize),
    /// The numbers of another, in rows of their own.
    Same(Arc<Made>),
    /// As the roots of equations, all of them.
    Roots(Box<Roots>, Arc<Reads>),
    /// Each number by itself, where it has one.
    ByRow(Vec<Option<Arc<Made>>>),
    /// One number of another.
    One(Arc<Made>, usize),
    /// A number and a small part of it more, or less.
    Shifted(Source, Shift),
    /// The slope between what is made of a number shifted up and down.
    Slope([Arc<Made>; 2], Source),
}

/// Where a number is shifted to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shift {
    Up,
    Down,
}

/// Equations with the roots that were found of them in doubles.
#[derive(Debug, Clone)]
pub(super) struct Roots {
    pub unknowns: Vec<SymbolId>,
    pub equations: Vec<Sides>,
    /// The row of the lists in the equations.
    pub row: usize,
    /// The roots, and what a residual of each equation moves each of them by, row by row.
    pub start: Vec<f64>,
    pub inverse: Vec<f64>,
}

/// The most steps towards a root: each of them gains bits.
const MOST_STEPS: usize = 200;

/// A step that gains fewer bits than this does not close in on a root.
const LEAST_GAIN: isize = 3;

/// So many such steps one after the other, and none is found.
const MOST_LOSSES: usize = 12;

/// What was read of symbols, and how far sources of uncertainty were moved.
#[derive(Debug, Default)]
pub(super) struct Reads {
    symbols: Vec<(SymbolId, Source)>,
    shifts: Vec<(u32, f64)>,
    /// The rows that were chosen by each choice.
    chosen: Vec<(Arc<Choice>, Result<Chosen, Fault>)>,
    /// What was told of uncertainties.
    told: Vec<(Arc<Told>, Numbers)>,
}

/// What was read of a symbol; of what was made, whether each row has an entry, where one has none.
#[derive(Debug)]
enum Source {
    Made(Arc<Made>, Option<Arc<[bool]>>),
    /// Numbers that are the doubles they are, and their rows.
    Doubles(Box<(Vec<f64>, Option<Rows>)>),
}

/// Two values are the same by their numbers, however they were made.
impl PartialEq for Made {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Made {
    /// By a formula from values.
    pub(super) fn formula(program: &Program, values: &dyn Values, rows: Rows) -> Self {
        let reads = Reads::of(std::slice::from_ref(program), program.symbols(), values);
        Self::new(How::Formula(program.clone(), reads), rows)
    }

    /// What equations read beside their unknowns.
    pub(super) fn reads_of(roots: &Roots, values: &dyn Values) -> Arc<Reads> {
        let programs: Vec<Program> = roots.equations.iter().flatten().cloned().collect();
        let symbols = programs.iter().flat_map(Program::symbols);
        let known = symbols.filter(|symbol| !roots.unknowns.contains(symbol));
        Arc::new(Reads::of(&programs, known, values))
    }

    /// As the roots of equations: one for each unknown.
    pub(super) fn roots(roots: Roots, reads: &Arc<Reads>) -> Vec<Arc<Self>> {
        let count = roots.unknowns.len();
        let how = How::Roots(Box::new(roots), Arc::clone(reads));
        let all = Arc::new(Self::new(how, Self::one()));
        let one = |at| Arc::new(Self::new(How::One(Arc::clone(&all), at), Self::one()));
        (0..count).map(one).collect()
    }

    /// Each number as another one was made.
    pub(super) fn by_row(made: Vec<Option<Arc<Made>>>, rows: Rows) -> Self {
        Self::new(How::ByRow(made), rows)
    }

    /// They are these numbers.
    pub(super) fn numbers(numbers: Vec<Precise>, rows: Option<Rows>) -> Self {
        Self::new(How::Numbers(numbers), rows.unwrap_or_else(Self::one))
    }

    /// A given, shifted by so little that a slope is not told from the derivative.
    pub(super) fn shifted(value: &Value, shift: Shift) -> Self {
        Self::new(How::Shifted(Source::of(value, None), shift), Self::one())
    }

    /// The derivative by a given of what two values are made of it, shifted up and down.
    pub(super) fn slope(ends: [Arc<Made>; 2], with: &Value) -> Self {
        Self::new(How::Slope(ends, Source::of(with, None)), Self::one())
    }

    /// So many numbers of another without their signs.
    pub(super) fn magnitude(made: &Arc<Made>, count: usize) -> Self {
        Self::new(How::Magnitude(Arc::clone(made), count), made.rows.clone())
    }

    /// The same numbers in other rows.
    pub(super) fn in_rows(made: &Arc<Made>, rows: Option<Rows>) -> Self {
        let rows = rows.unwrap_or_else(Self::one);
        Self::new(How::Same(Arc::clone(made)), rows)
    }

    /// The readings of a column in their unit.
    pub(super) fn column(column: Column, rows: Rows) -> Self {
        Self::new(How::Column(column), rows)
    }

    /// The rows of one number.
    fn one() -> Rows {
        Rows::plain(1, Shape::One)
    }

    fn new(how: How, rows: Rows) -> Self {
        Self {
            how,
            rows,
            found: OnceLock::new(),
        }
    }

    fn found(&self, level: usize) -> &OnceLock<Found> {
        &self.found.get_or_init(Box::default)[level]
    }

    /// One number of it at a level; a single number serves every row.
    pub(super) fn number(&self, row: usize, level: usize) -> Precise {
        let Ok(numbers) = self.at(level) else {
            return Precise::unknown();
        };
        let found = numbers.get(row).or_else(|| numbers.first());
        found.cloned().unwrap_or_else(Precise::unknown)
    }

    /// Its numbers at a level. What it is made from is found first, from the bottom: a chain of
    /// values may be longer than a stack is deep.
    pub(super) fn at(&self, level: usize) -> Found {
        let mut open = vec![self];
        while let Some(made) = open.last().copied() {
            let before = open.len();
            if made.found(level).get().is_none() {
                open.extend(made.beneath().filter(|it| it.found(level).get().is_none()));
            }
            if open.len() == before {
                made.found(level).get_or_init(|| made.compute(level));
                open.pop();
            }
        }
        let found = self.found(level).get_or_init(|| self.compute(level));
        found.clone()
    }

    fn beneath(&self) -> impl Iterator<Item = &Made> {
        let (reads, own, sources): (&[(SymbolId, Source)], &[Arc<Made>], _) = match &self.how {
            How::Formula(_, reads) => (&reads.symbols, &[], None),
            How::Roots(_, reads) => (&reads.symbols, &[], None),
            How::ByRow(_) => (&[], &[], None),
            How::Magnitude(made, _) | How::One(made, _) | How::Same(made) => {
                (&[], std::slice::from_ref(made), None)
            }
            How::Numbers(_) | How::Column(_) => (&[], &[], None),
            How::Shifted(source, _) => (&[], &[], Some(source)),
            How::Slope(ends, source) => (&[], ends, Some(source)),
        };
        let by_row: &[Option<Arc<Made>>] = match &self.how {
            How::ByRow(rows) => rows,
            How::Formula(..)
            | How::Numbers(_)
            | How::Column(_)
            | How::Magnitude(..)
            | How::Same(_)
            | How::Roots(..)
            | How::One(..)
            | How::Shifted(..)
            | How::Slope(..) => &[],
        };
        let sources = reads.iter().map(|(_, source)| source).chain(sources);
        let sources = sources.filter_map(|source| match source {
            Source::Made(made, _) => Some(&**made),
            Source::Doubles(..) => None,
        });
        let own = own.iter().chain(by_row.iter().flatten());
        sources.chain(own.map(|made| &**made))
    }

    fn compute(&self, level: usize) -> Found {
        match &self.how {
            How::Formula(program, reads) => {
                let count = self.rows.count;
                let here = Level {
                    reads,
                    level,
                    tried: (&[], &[]),
                };
                let over = program.over(&here)?;
                let mut progress = Progress::default();
                let number = |row| match program.lacks(row, &over, &here) {
                    true => Ok(Precise::unknown()),
                    false => program.go_on(row, &here, &mut progress),
                };
                (0..count).map(number).collect()
            }
            How::Magnitude(made, count) => {
                let size = |row| Precise::call(Function::Abs, &[made.number(row, level)]);
                Ok((0..*count).map(size).collect())
            }
            How::Same(made) => made.at(level),
            How::Roots(roots, reads) => roots.found(reads, level),
            How::ByRow(rows) => {
                let number = |made: &Option<Arc<Made>>| match made {
                    Some(made) => made.number(0, level),
                    None => Precise::unknown(),
                };
                Ok(rows.iter().map(number).collect())
            }
            How::Numbers(numbers) => {
                let numbers = numbers.iter().cloned();
                Ok(numbers.map(|it| it.with_bits(LEVELS[level])).collect())
            }
            How::Column(column) => Ok(column.precise(LEVELS[level]).collect()),
            How::Shifted(source, shift) => {
                let number = source.number(0, level);
                let part = part(&number, level);
                Ok(Arc::new([match shift {
                    Shift::Up => number.plus(&part),
                    Shift::Down => number.minus(&part),
                }]))
            }
            How::Slope([up, down], source) => {
                let part = part(&source.number(0, level), level);
                let rise = up.number(0, level).minus(&down.number(0, level));
                let slope = rise.over(&part.times(&Precise::whole(2)));
                // What the curvature leaves of it is far less than this.
                let half = Precise::whole(2).power(&Precise::whole(-(LEVELS[level] as i64) / 2));
                let is_zero = slope.exponent().is_none();
                Ok(Arc::new([match is_zero {
                    true => slope,
                    false => slope.widened(&slope.times(&half)),
                }]))
            }
            How::One(made, at) => Ok(Arc::new([made.number(*at, level)])),
        }
    }
}

/// The part of a number by which it is shifted at a level: a third of the bits below it, so that
/// the square of it is lost in what two thirds of them tell.
fn part(number: &Precise, level: usize) -> Precise {
    let size = number.exponent().unwrap_or(0) as i64;
    let power = size - (LEVELS[level] / 3) as i64;
    Precise::whole(2).power(&Precise::whole(power))
}

impl Reads {
    /// What programs read of symbols, each once.
    fn of(
        programs: &[Program],
        symbols: impl Iterator<Item = SymbolId>,
        values: &dyn Values,
    ) -> Self {
        let mut reads = Self::default();
        for symbol in symbols {
            if reads.symbols.iter().any(|(known, _)| *known == symbol) {
                continue;
            }
            if let Some(value) = values.value(symbol) {
                let source = Source::of(value, rows_of(values, symbol));
                reads.symbols.push((symbol, source));
            }
        }
        reads.symbols.shrink_to_fit();
        let inputs = programs.iter().flat_map(Program::inputs);
        let shifts = inputs.map(|input| (input, values.shift(input)));
        let choices = programs.iter().flat_map(Program::choices);
        let told = programs.iter().flat_map(Program::told);
        reads.told = told
            .map(|told| {
                let found = values.told(&told, values);
                (told, found)
            })
            .collect();
        reads.chosen = choices
            .map(|choice| {
                let found = value::chosen(&choice, values);
                (choice, found)
            })
            .collect();
        reads.shifts = shifts.filter(|(_, shift)| *shift != 0.0).collect();
        reads
    }
}

impl Roots {
    /// The roots at a level, by Newton's method with the derivatives of the start, and for one
    /// unknown by the secant through the last two places. Steps get shorter by a factor that is
    /// seen on the way; a root lies within twice the last of them, which holds what the residuals
    /// leave open.
    fn found(&self, reads: &Reads, level: usize) -> Found {
        let bits = LEVELS[level];
        let double = |value: &f64| Precise::double(*value).with_bits(bits);
        let mut place: Vec<Precise> = self.start.iter().map(double).collect();
        let mut inverse: Vec<Precise> = self.inverse.iter().map(double).collect();
        let mut last: Option<(Precise, Precise)> = None;
        let (mut shortest, mut gains, mut losses) = (isize::MAX, 0, 0);
        for _ in 0..MOST_STEPS {
            let residuals = self.residuals(&Level {
                reads,
                level,
                tried: (&self.unknowns, &place),
            })?;
            if let ([slope], [at], [residual]) = (&mut inverse[..], &place[..], &residuals[..]) {
                let before = last.replace((at.clone(), residual.clone()));
                let secant = before.map(|(x, y)| at.minus(&x).over(&residual.minus(&y)));
                if let Some(secant) = secant.filter(Precise::is_known) {
                    *slope = secant.middle();
                }
            }
            let steps = steps(&inverse, &residuals);
            let sizes = steps.iter().zip(&place).filter_map(|(step, place)| {
                let size = step.exponent()?;
                Some(size - place.exponent().unwrap_or(0))
            });
            let Some(size) = sizes.max() else {
                return Ok(place.into());
            };
            match shortest != isize::MAX && shortest - size >= LEAST_GAIN {
                true => (gains, losses) = (gains + 1, 0),
                false => losses += 1,
            }
            let is_found = gains > 1 && (losses > 0 || size < 16 - bits as isize);
            if is_found || losses > MOST_LOSSES {
                let within = |(place, step): (&Precise, &Precise)| match is_found {
                    true => place.widened(&step.times(&Precise::whole(2))),
                    false => Precise::unknown(),
                };
                return Ok(place.iter().zip(&steps).map(within).collect());
            }
            shortest = shortest.min(size);
            let moved = |(place, step): (&Precise, &Precise)| place.minus(step).middle();
            place = place.iter().zip(&steps).map(moved).collect();
        }
        Ok(place.iter().map(|_| Precise::unknown()).collect())
    }

    /// How far the sides of each equation are apart.
    fn residuals(&self, here: &Level<'_>) -> Result<Vec<Precise>, Fault> {
        let side = |program: &Program| program.run::<Precise>(self.row, here);
        (self.equations.iter())
            .map(|[left, right]| Ok(side(left)?.minus(&side(right)?)))
            .collect()
    }
}

/// How far residuals move each unknown.
fn steps(inverse: &[Precise], residuals: &[Precise]) -> Vec<Precise> {
    let step = |row: &[Precise]| {
        let parts = row.iter().zip(residuals);
        parts.fold(Precise::whole(0), |sum, (slope, residual)| {
            sum.plus(&slope.times(residual))
        })
    };
    inverse.chunks(residuals.len().max(1)).map(step).collect()
}

impl Source {
    fn of(value: &Value, rows: Option<Rows>) -> Self {
        match &value.made {
            Some(made) => {
                let is_whole = value.rows.iter().all(|row| !row.is_nan());
                let has = || value.rows.iter().map(|row| !row.is_nan()).collect();
                Self::Made(Arc::clone(made), (!is_whole).then(has))
            }
            None => Self::Doubles(Box::new((value.rows.clone(), rows))),
        }
    }

    fn number(&self, row: usize, level: usize) -> Precise {
        match self {
            Self::Made(made, _) => made.number(row, level),
            Self::Doubles(own) => {
                let (numbers, _) = &**own;
                let found = numbers.get(row).or_else(|| numbers.first());
                let number = found.map_or_else(Precise::unknown, |it| Precise::double(*it));
                number.with_bits(LEVELS[level])
            }
        }
    }

    fn rows(&self) -> Option<Rows> {
        let rows = match self {
            Self::Made(made, _) => Some(made.rows.clone()),
            Self::Doubles(own) => own.1.clone(),
        };
        rows.filter(|rows| rows.shape != Shape::One)
    }

    fn is_missing(&self, row: usize) -> bool {
        match self {
            Self::Made(_, has) => {
                (has.as_ref()).is_some_and(|has| has.get(row).is_some_and(|has| !has))
            }
            Self::Doubles(own) => own.0.get(row).is_some_and(|number| number.is_nan()),
        }
    }
}

/// What a formula reads, at a level.
struct Level<'a> {
    reads: &'a Reads,
    level: usize,
    /// Unknowns with the numbers that are tried for them.
    tried: (&'a [SymbolId], &'a [Precise]),
}

impl Level<'_> {
    fn source(&self, symbol: SymbolId) -> Option<&Source> {
        let mut reads = self.reads.symbols.iter();
        reads.find_map(|(own, source)| (*own == symbol).then_some(source))
    }
}

impl Environment<Precise> for Level<'_> {
    fn load(&self, symbol: SymbolId, row: usize) -> Precise {
        let (unknowns, numbers) = self.tried;
        let at = unknowns.iter().position(|own| *own == symbol);
        if let Some(number) = at.and_then(|at| numbers.get(at)) {
            return number.clone();
        }
        let source = self.source(symbol);
        source.map_or_else(Precise::unknown, |source| source.number(row, self.level))
    }

    fn literal(&self, literal: &Literal) -> Precise {
        literal.precise(LEVELS[self.level])
    }

    fn input(&self, literal: &Literal, errors: &[(u32, f64)]) -> Precise {
        let number = literal.precise(LEVELS[self.level]);
        let moved = errors.iter().filter_map(|(source, by)| {
            let mut shifts = self.reads.shifts.iter();
            let (_, shift) = shifts.find(|(own, _)| own == source)?;
            Some(Precise::double(*shift).times(&Precise::double(*by)))
        });
        moved.fold(number, |number, shift| number.plus(&shift))
    }
}

/// What was answered when the same was asked.
fn recorded<K: PartialEq, V: Clone>(all: &[(Arc<K>, V)], asked: &K) -> Option<V> {
    let found = all.iter().find(|(own, _)| **own == *asked);
    found.map(|(_, answer)| answer.clone())
}

impl Lists for Level<'_> {
    fn told(&self, told: &Told) -> Result<Arc<[f64]>, Fault> {
        recorded(&self.reads.told, told).unwrap_or(Err(Fault {
            reason: Reason::NoUncertainty,
            span: told.place,
        }))
    }

    fn rows(&self, symbol: SymbolId) -> Option<Rows> {
        self.source(symbol)?.rows()
    }

    fn is_missing(&self, symbol: SymbolId, row: usize) -> bool {
        let source = self.source(symbol);
        source.is_some_and(|source| source.is_missing(row))
    }

    fn chosen(&self, choice: &Choice) -> Result<Chosen, Fault> {
        recorded(&self.reads.chosen, choice).unwrap_or(Err(Fault {
            reason: Reason::NoList,
            span: choice.place,
        }))
    }
}
