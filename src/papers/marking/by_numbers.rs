//! What answers earn by their numbers alone: right, carried, rounded or of the other sign.
//!
//! Versions ask it of a copied sheet: the answers of one version, to the figures that are asked,
//! as those of a student who has another.

use crate::evaluate::Program;
use crate::quantity::{Within, to_figures};
use crate::resolve::SymbolId;
use crate::worksheet::{Asked, Body, MarkKind, Placed, Problem, Question, Shown};
use crate::worksheet::{Instead, Replay};

use super::range;

/// An answer as numbers in the unit that is asked, with half a unit of the last place of each.
#[derive(Debug, Clone, PartialEq)]
pub struct Numbers {
    /// One for each component.
    pub values: Vec<f64>,
    /// Half a unit in the last place of each.
    pub halves: Vec<f64>,
}

impl Numbers {
    /// An answer as it is printed.
    pub fn printed(shown: &Shown) -> Self {
        let digits = shown.digits.iter();
        let value = |(at, _): (usize, _)| {
            let digits = shown.digits.get(at);
            let text = digits.map_or_else(String::new, |it| it.ascii());
            text.parse().unwrap_or(shown.values[at])
        };
        Self {
            halves: digits
                .map(|it| 0.5 * 10.0_f64.powi(it.last_place()))
                .collect(),
            values: shown.values.iter().enumerate().map(value).collect(),
        }
    }
}

/// What was found of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Found {
    Right,
    Carried,
    Rounded,
    Direction,
    Wrong,
}

/// A problem of a version with what it takes to mark by it.
pub struct Key<'a> {
    problem: &'a Problem,
    question: &'a Question,
    replay: &'a Replay<'a>,
    /// How far answers may be off where a part says nothing.
    usual: &'a Within,
}

impl<'a> Key<'a> {
    /// The key of a problem; none where it asks nothing.
    pub fn of(placed: &'a Placed, replay: &'a Replay<'a>, usual: &'a Within) -> Option<Self> {
        Some(Self {
            problem: &placed.problem,
            question: placed.problem.question.as_ref()?,
            replay,
            usual,
        })
    }

    /// The names that are asked whose answer rounding on the way, to three figures, moves by more
    /// than the tolerance.
    pub fn rough(&self) -> Vec<SymbolId> {
        let asked = self.question.asked.iter();
        let is_rough = |asked: &&Asked| {
            let nothing = Instead::default();
            let (Some(shown), Ok(moved)) = (
                self.problem.answered(asked),
                self.replay.rounded(asked.symbol, None, &nothing, 3),
            ) else {
                return false;
            };
            let within = asked.within.as_ref().unwrap_or(self.usual);
            let scale = Scale::of(shown);
            let tolerance = scale.size(range::tolerance(&shown.values, within, &shown.unit));
            moved.iter().any(|moved| *moved > tolerance)
        };
        asked.filter(is_rough).map(|asked| asked.symbol).collect()
    }

    /// The marks of answers, one for each part; none where a part has no answer.
    pub fn marks(&self, answers: &[Option<Numbers>]) -> u32 {
        let mut found: Vec<Found> = Vec::new();
        let mut total = 0;
        for (at, asked) in self.question.asked.iter().enumerate() {
            let verdict = match answers.get(at) {
                Some(Some(numbers)) => self.judge(at, asked, numbers, answers, &found),
                _ => Found::Wrong,
            };
            total += earned(&asked.marks, verdict);
            found.push(verdict);
        }
        total
    }

    fn judge(
        &self,
        at: usize,
        asked: &Asked,
        numbers: &Numbers,
        answers: &[Option<Numbers>],
        before: &[Found],
    ) -> Found {
        let Some(shown) = self.problem.answered(asked) else {
            return Found::Wrong;
        };
        let within = asked.within.as_ref().unwrap_or(self.usual);
        let scale = Scale::of(shown);
        let is_in = |values: &[f64], slack: &[f64]| scale.accepts(values, slack, within, numbers);
        if is_in(&shown.values, &[]) {
            return Found::Right;
        }
        let mut targets = vec![shown.values.clone()];
        for with in self.put_in(at, asked, answers, before) {
            for (values, slack) in self.with(asked, &with, &scale) {
                if is_in(&values, &slack) {
                    return Found::Carried;
                }
                targets.push(values);
            }
        }
        let is_rounded = |values: &Vec<f64>| {
            let mut pairs = values.iter().zip(&numbers.values);
            pairs.all(|(value, written)| {
                let two = to_figures(*value, 2).ascii().parse::<f64>();
                two.is_ok_and(|two| (two - written).abs() <= 1e-9 * two.abs())
            })
        };
        if targets.iter().any(is_rounded) {
            return Found::Rounded;
        }
        let turned = Numbers {
            values: numbers.values.iter().map(|it| -it).collect(),
            halves: numbers.halves.clone(),
        };
        let is_turned = |values: &Vec<f64>| scale.accepts(values, &[], within, &turned);
        match targets.iter().any(is_turned) {
            true => Found::Direction,
            false => Found::Wrong,
        }
    }

    /// The sets of earlier answers that are put in for the values of the worksheet, each with half a
    /// unit of its last place: the wrong ones, all of them, each wrong one alone.
    fn put_in(
        &self,
        at: usize,
        asked: &Asked,
        answers: &[Option<Numbers>],
        before: &[Found],
    ) -> Vec<Vec<(SymbolId, Vec<f64>, Vec<f64>)>> {
        let is_what_if = |asked: &Asked| match &self.problem.line(asked.at).body {
            Body::Required { conditions, .. } => !conditions.is_empty(),
            _ => true,
        };
        if is_what_if(asked) {
            return Vec::new();
        }
        let mut wrong = Vec::new();
        let mut all = Vec::new();
        for (part, other) in self.question.asked.iter().enumerate().take(at) {
            let (Some(Some(numbers)), Some(shown)) =
                (answers.get(part), self.problem.answered(other))
            else {
                continue;
            };
            if is_what_if(other) {
                continue;
            }
            let scale = Scale::of(shown);
            let si = numbers.values.iter().map(|it| scale.si(*it)).collect();
            let halves = numbers.halves.iter().map(|it| scale.size(*it)).collect();
            let one = (other.symbol, si, halves);
            if !matches!(before[part], Found::Right | Found::Rounded) {
                wrong.push(one.clone());
            }
            all.push(one);
        }
        let mut sets = Vec::new();
        if !wrong.is_empty() {
            sets.push(wrong.clone());
        }
        if !all.is_empty() {
            sets.push(all);
        }
        if wrong.len() > 1 {
            sets.extend(wrong.into_iter().map(|one| vec![one]));
        }
        sets
    }

    /// What a part comes to by each of its formulas with other values, in the unit that is asked,
    /// and how far half a unit in the last places of those moves it.
    fn with(
        &self,
        asked: &Asked,
        with: &[(SymbolId, Vec<f64>, Vec<f64>)],
        scale: &Scale,
    ) -> Vec<(Vec<f64>, Vec<f64>)> {
        let instead = |moved: Option<usize>| {
            let mut instead = Instead::default();
            for (at, (symbol, values, halves)) in with.iter().enumerate() {
                let values: Vec<f64> = match moved == Some(at) {
                    true => values.iter().zip(halves).map(|(it, by)| it + by).collect(),
                    false => values.clone(),
                };
                let value = self.replay.numbers(*symbol, &values)?;
                instead = instead.with(*symbol, value);
            }
            Some(instead)
        };
        let formulas = self.replay.formulas(asked.symbol);
        let programs: Vec<Option<Program>> = match formulas.is_empty() {
            true => vec![None],
            false => formulas.into_iter().map(|it| Some(it.program)).collect(),
        };
        let come = |program: &Option<Program>, moved: Option<usize>| {
            let instead = instead(moved)?;
            let value = match program {
                Some(program) => self.replay.value_of(program, &instead),
                None => self.replay.value(asked.symbol, &instead),
            };
            let rows = value.ok()?.rows;
            Some(
                rows.into_iter()
                    .map(|it| scale.shown(it))
                    .collect::<Vec<f64>>(),
            )
        };
        let mut out = Vec::new();
        for program in &programs {
            let Some(values) = come(program, None) else {
                continue;
            };
            let mut squares = vec![0.0; values.len()];
            for moved in 0..with.len() {
                let Some(other) = come(program, Some(moved)) else {
                    continue;
                };
                for (square, (other, value)) in squares.iter_mut().zip(other.iter().zip(&values)) {
                    *square += (other - value) * (other - value);
                }
            }
            let slack = squares.into_iter().map(f64::sqrt).collect();
            out.push((values, slack));
        }
        out
    }
}

/// How an answer counts in the unit that is asked.
struct Scale {
    /// Of one unit, in coherent SI units.
    factor: f64,
    /// What counts as 0.
    zero: f64,
    /// With how many figures each component is asked.
    figures: Vec<u8>,
    unit: crate::quantity::Unit,
}

impl Scale {
    fn of(shown: &Shown) -> Self {
        let (si, value) = (shown.si.first(), shown.values.first());
        let unit = &shown.unit;
        let zero = match (si, value) {
            // A point of a scale counts from its zero, an interval from nothing.
            (Some(si), Some(value)) if unit.offset() != 0.0 => {
                let is_point = (unit.from_si(*si) - value).abs() <= 1e-9 * value.abs().max(1.0);
                if is_point { unit.to_si(0.0) } else { 0.0 }
            }
            _ => 0.0,
        };
        let pairs = shown.si.iter().zip(&shown.values);
        let mut told = pairs.filter(|(_, value)| **value != 0.0);
        let factor = told
            .next()
            .map_or(unit.factor(), |(si, value)| (si - zero) / value);
        Self {
            factor,
            zero,
            figures: shown.digits.iter().map(|it| it.figures() as u8).collect(),
            unit: unit.clone(),
        }
    }

    fn si(&self, value: f64) -> f64 {
        value * self.factor + self.zero
    }

    fn size(&self, size: f64) -> f64 {
        size * self.factor.abs()
    }

    fn shown(&self, si: f64) -> f64 {
        (si - self.zero) / self.factor
    }

    /// Whether an answer lies in the range about values, widened by some slack, at most by the
    /// tolerance once more.
    fn accepts(&self, values: &[f64], slack: &[f64], within: &Within, answer: &Numbers) -> bool {
        let tolerance = range::tolerance(values, within, &self.unit);
        let ends = values.iter().enumerate().map(|(at, value)| {
            let figures = self.figures.get(at).copied().unwrap_or(3);
            let place = to_figures(*value, figures).last_place();
            let (low, high) = range::ends(*value, tolerance, place).0;
            let wider = slack.get(at).copied().unwrap_or(0.0).min(tolerance);
            (low - wider, high + wider)
        });
        values.len() == answer.values.len()
            && ends
                .zip(&answer.values)
                .all(|((low, high), written)| low <= *written && *written <= high)
    }
}

/// The marks of a part by what was found; those that a person decides are none.
fn earned(marks: &[(u32, MarkKind)], found: Found) -> u32 {
    let of = |wanted: MarkKind| {
        let own = marks.iter().find(|(_, kind)| *kind == wanted);
        own.map_or(0, |(count, _)| *count)
    };
    let all: u32 = marks.iter().map(|(count, _)| count).sum::<u32>() - of(MarkKind::ByHand);
    match found {
        Found::Right => all,
        Found::Carried => all - of(MarkKind::AnswerAlone),
        Found::Rounded => all.saturating_sub(1),
        Found::Direction => match of(MarkKind::Direction) {
            0 => all.saturating_sub(1),
            direction => all - direction,
        },
        Found::Wrong => 0,
    }
}

/// Whether a sheet with the answers of another version has more than half of the marks.
pub fn has_too_much(key: &Key<'_>, other: &Problem) -> bool {
    let Some(question) = &other.question else {
        return false;
    };
    let asked = question.asked.iter();
    let answers: Vec<Option<Numbers>> = asked
        .map(|asked| other.answered(asked).map(Numbers::printed))
        .collect();
    2 * key.marks(&answers) > key.question.total()
}
