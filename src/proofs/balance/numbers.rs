//! Whether two equations may be one, by numbers at a few points: they refute it at once, so that
//! algebra is asked to prove what is likely and nothing else.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::super::judge;
use super::super::premises::Premise;
use super::How;
use crate::algebra::{Equation, Id, Point, Samples, Symbol};
use crate::resolve::algebraic::{self, Algebraic};
use crate::resolve::setting::Setting;
use crate::resolve::{Expr, SymbolId};

/// At so many points equations are tried.
const POINTS: usize = 3;

/// Below this part of what is added up, it is zero but for rounding.
const NOTHING: f64 = 1e-7;

/// A fraction has at most so many parts.
const MOST_PARTS: i32 = 60;

/// A number that is a fraction but for less than this part is that.
const SHORT: f64 = 1e-9;

/// So many steps of algebra are enough to read a formula.
const STEPS: u32 = 10_000;

/// An equation with its sides as the algebra reads them; nothing where it does not.
#[derive(Clone)]
pub(super) struct Stated {
    pub members: Vec<Expr>,
    sides: Option<Arc<[Equation]>>,
}

/// Equations with the points at which they were tried.
pub(super) struct Numbers<'q> {
    setting: &'q Setting,
    algebraic: Algebraic<'q>,
    /// All that symbols may stand in.
    beside: Vec<Id>,
    stages: Vec<Known>,
    /// Points at which the premises of a stage hold, and an equation with them.
    held: FxHashMap<Together, Arc<[Values]>>,
    points: Vec<Point>,
}

/// Where the values of a point are among all points.
type Values = usize;

/// The number of a stage, and an equation.
type Together = (usize, Arc<[Equation]>);

/// A number that an equation is multiplied by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ratio {
    /// A whole number over another.
    Of(i32, i32),
    /// Numbers do not tell.
    Unknown,
}

impl Ratio {
    /// The fraction that a number is, if it is a short one.
    fn of(number: f64) -> Option<Self> {
        (1..=MOST_PARTS)
            .map(|below| (number * f64::from(below), below))
            .find(|(above, _)| {
                let off = (above - above.round()).abs();
                above.round() != 0.0 && off < SHORT * above.abs() && above.abs() < 1e6
            })
            .map(|(above, below)| Self::Of(above.round() as i32, below))
    }
}

/// What is put in at a stage.
struct Known {
    equations: Vec<Equation>,
    /// Whether some of its premises were not read.
    is_unread: bool,
    /// Points at which names are what is put in for them; nothing where that was not read.
    same: Option<Arc<[Values]>>,
}

impl<'q> Numbers<'q> {
    /// For equations of these formulas.
    pub fn new<'e>(setting: &'q Setting, formulas: impl Iterator<Item = &'e Expr>) -> Self {
        let mut found = Self {
            setting,
            algebraic: Algebraic::new(setting, &setting.signs),
            beside: Vec::new(),
            stages: Vec::new(),
            held: FxHashMap::default(),
            points: Vec::new(),
        };
        for formula in formulas {
            let sides = found.read(&[formula.clone(), formula.clone()]);
            let sides = sides.into_iter().flatten();
            found.beside.extend(sides.map(|(side, _)| side));
        }
        found
    }

    fn read(&mut self, members: &[Expr]) -> Option<Vec<Equation>> {
        let algebra = &mut self.algebraic.algebra;
        algebra.rest();
        algebra.allow(STEPS);
        judge::pairs(self.setting, members.iter(), &mut self.algebraic).ok()
    }

    /// An equation, as its sides are read.
    pub fn stated(&mut self, members: Vec<Expr>) -> Stated {
        let sides = self.read(&members).map(Into::into);
        Stated { members, sides }
    }

    /// The number of a stage.
    pub fn stage(&mut self, premises: &[Premise<'_>], made: &[(SymbolId, Expr)]) -> usize {
        let mut equations = Vec::new();
        let mut is_unread = false;
        for premise in premises {
            match self.read(&premise.members()) {
                Some(read) => equations.extend(read),
                None => is_unread = true,
            }
        }
        let same = self.put_in(made);
        self.stages.push(Known {
            equations,
            is_unread,
            same,
        });
        self.stages.len() - 1
    }

    /// Whether the algebra reads a formula.
    pub fn reads(&mut self, formula: &Expr) -> bool {
        self.formula(formula).is_some()
    }

    /// A formula as the algebra reads it; nothing where it does not.
    pub fn formula(&mut self, formula: &Expr) -> Option<Id> {
        let sides = self.read(&[formula.clone(), formula.clone()])?;
        match sides.as_slice() {
            [(side, _)] => Some(*side),
            _ => None,
        }
    }

    /// Points at which names are what they are made of, put in one after the other: what is put in
    /// later has its own value there, and what was put in before any.
    fn put_in(&mut self, made: &[(SymbolId, Expr)]) -> Option<Arc<[Values]>> {
        let mut all: Vec<(Symbol, Id)> = Vec::with_capacity(made.len());
        for (name, side) in made {
            all.push((algebraic::symbol(*name, None), self.formula(side)?));
        }
        let sides: Vec<Id> = all.iter().map(|(_, side)| *side).collect();
        let points = self.points_where(&[], &sides);
        for at in &*points {
            for (symbol, side) in all.iter().rev() {
                let algebra = &self.algebraic.algebra;
                let value = self.points[*at].value(algebra, *side);
                self.points[*at].set(*symbol, value);
            }
        }
        Some(points)
    }

    fn points_where(&mut self, equations: &[Equation], beside: &[Id]) -> Arc<[Values]> {
        let fixed = self.algebraic.fixed().into_iter();
        let samples = Samples::new(fixed.map(|(it, value)| (it, (value, value))).collect());
        let algebra = &self.algebraic.algebra;
        let beside = [&self.beside, beside].concat();
        let found = algebra.points_where(equations, &beside, &samples, POINTS);
        let first = self.points.len();
        self.points.extend(found);
        (first..self.points.len()).collect()
    }

    /// By what number an equation is another one multiplied, with what is put in at a stage; nothing
    /// where it is not.
    pub fn proportion(&mut self, stage: usize, left: &Stated, right: &Stated) -> Option<Ratio> {
        let unknown = Some(Ratio::Unknown);
        let (Some(left), Some(right)) = (&left.sides, &right.sides) else {
            return unknown;
        };
        let ([left], [right]) = (&left[..], &right[..]) else {
            return None;
        };
        let Some(points) = self.stages[stage].same.clone() else {
            return unknown;
        };
        let mut ratio: Option<f64> = None;
        for at in &*points {
            let (one, size) = self.off(*at, *left);
            let (two, other) = self.off(*at, *right);
            if !(one + two + size + other).is_finite() {
                continue;
            }
            // What is nothing is nothing times anything.
            if two.abs() <= NOTHING * other {
                match one.abs() <= NOTHING * size {
                    true => continue,
                    false => return None,
                }
            }
            let own = *ratio.get_or_insert(one / two);
            if (one - own * two).abs() > NOTHING * (size + own.abs() * other) {
                return None;
            }
        }
        match ratio {
            None => unknown,
            Some(ratio) => Ratio::of(ratio),
        }
    }

    /// The left side less the right one at a point, and how much is added up.
    fn off(&mut self, at: Values, (left, right): Equation) -> (f64, f64) {
        let algebra = &self.algebraic.algebra;
        let point = &mut self.points[at];
        let (left, size) = algebra.value_and_size(point, left);
        let (right, other) = algebra.value_and_size(point, right);
        (left - right, size + other)
    }

    /// Whether an equation may follow from another with the premises of a stage: it holds wherever
    /// these do. Nothing where no such point was found.
    pub fn may_follow(&mut self, stage: usize, from: Option<&Stated>, to: &Stated) -> Option<bool> {
        let to = to.sides.clone()?;
        let points = self.held(stage, from)?;
        let may = points.iter().all(|at| {
            to.iter().all(|equation| {
                let (off, size) = self.off(*at, *equation);
                is_nothing(off, NOTHING * size)
            })
        });
        Some(may)
    }

    /// Points at which the premises of a stage hold, and an equation.
    fn held(&mut self, stage: usize, from: Option<&Stated>) -> Option<Arc<[Values]>> {
        let from = match from {
            Some(from) => from.sides.clone()?,
            None => Arc::default(),
        };
        let key = (stage, from);
        let known = self.held.get(&key).cloned();
        let points = known.unwrap_or_else(|| {
            let mut equations = self.stages[stage].equations.clone();
            equations.extend(key.1.iter().copied());
            let found = self.points_where(&equations, &[]);
            self.held.insert(key, Arc::clone(&found));
            found
        });
        (!points.is_empty()).then_some(points)
    }

    /// Where an equation is held against changes of another: where names are what is put in for them
    /// at a stage, or where the equation holds with its premises. Nothing where there is no such
    /// point.
    pub fn places(&mut self, how: How, stage: usize, equation: &Stated) -> Option<Arc<[Values]>> {
        let points = match how {
            How::Same => self.stages[stage].same.clone(),
            How::Following => self.held(stage, Some(equation)),
        };
        points.filter(|it| !it.is_empty())
    }

    /// What a formula is at points; nothing where that is no number.
    pub fn column(&mut self, points: &[Values], formula: Id) -> Option<Column> {
        let algebra = &self.algebraic.algebra;
        let at = |at: &Values| algebra.value_and_size(&mut self.points[*at], formula);
        Column::of(points.iter().map(at).collect())
    }

    /// The left side less the right one at points.
    pub fn column_of(&mut self, points: &[Values], stated: &Stated) -> Option<Column> {
        let [equation] = stated.sides.as_deref()? else {
            return None;
        };
        Column::of(points.iter().map(|at| self.off(*at, *equation)).collect())
    }

    /// Whether some premises of a stage were not read, and may say more.
    pub fn is_unread(&self, stage: usize) -> bool {
        self.stages[stage].is_unread
    }
}

/// What is added up at each of some points, and how much of it there is.
#[derive(Debug, Clone)]
pub(super) struct Column(Vec<(f64, f64)>);

impl Column {
    fn of(all: Vec<(f64, f64)>) -> Option<Self> {
        let is_finite = all
            .iter()
            .all(|(value, size)| value.is_finite() && size.is_finite());
        is_finite.then_some(Self(all))
    }

    /// So many times another is added.
    #[must_use]
    pub fn plus(&self, times: f64, other: &Self) -> Self {
        let both = self.0.iter().zip(&other.0);
        Self(
            both.map(|((value, size), (own, other))| {
                (value + times * own, size + times.abs() * other)
            })
            .collect(),
        )
    }

    /// Whether it is nothing everywhere, but for rounding.
    pub fn is_nothing(&self) -> bool {
        let mut all = self.0.iter();
        all.all(|(value, size)| value.abs() <= NOTHING * size)
    }

    /// Whether it is another, or its opposite, and is not nothing.
    pub fn is_or_opposes(&self, other: &Self) -> bool {
        let is = |sign: f64| {
            let mut both = self.0.iter().zip(&other.0);
            both.all(|(one, two)| (one.0 + sign * two.0).abs() <= NOTHING * (one.1 + two.1))
        };
        (is(-1.0) || is(1.0)) && !self.is_nothing()
    }
}

/// Also where that cannot be told.
fn is_nothing(off: f64, limit: f64) -> bool {
    off.is_nan() || limit.is_nan() || off.abs() <= limit
}
