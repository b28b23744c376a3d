//! The values that an answer may have with a student's own earlier numbers.

use super::field::{Number, Written, WrittenUnit};
use super::printed::Target;
use super::range::{Accepted, about};
use crate::evaluate::{Program, in_unit};
use crate::quantity::to_figures;
use crate::worksheet::{Instead, Replacement, Replay, SymbolId};

/// A student's value of a name.
#[derive(Debug, Clone)]
pub(super) struct Known {
    pub symbol: SymbolId,
    pub numbers: Vec<Number>,
    /// Whether the exact value may stand for it.
    pub is_right: bool,
    /// The part that it is the answer to, where that is a what-if.
    pub of_what_if: Option<usize>,
}

/// A formula of a target.
pub(super) struct Way {
    /// None for its own definition.
    pub program: Option<Program>,
    /// Other parts that it reads and that are asked later.
    pub later: Vec<SymbolId>,
    /// The alternative route that it stands in.
    pub route: Option<usize>,
}

/// A value that is right with numbers of the student.
#[derive(Debug, Clone)]
pub(super) struct Case {
    /// Whose values were put in.
    pub names: Vec<SymbolId>,
    pub is_own: bool,
    pub route: Option<usize>,
    pub values: Vec<f64>,
    pub accepted: Accepted,
    instead: Instead,
    way: usize,
}

/// What came of looking for a number among cases.
pub(super) enum Found {
    /// It is right with one.
    Yes(Case),
    /// It is right with one only as far as that is known.
    Perhaps(Case),
    No,
}

/// A target, evaluated with what a student has otherwise.
pub(super) struct Trial<'t> {
    pub replay: &'t Replay<'t>,
    pub target: &'t Target,
    pub ways: &'t [Way],
    /// Own readings, and the data of a what-if.
    pub base: &'t Instead,
    pub known: &'t [&'t Known],
}

/// What is put in for the data of a what-if.
pub(super) fn with_conditions(
    replay: &Replay<'_>,
    conditions: &[(SymbolId, Replacement)],
    base: &Instead,
) -> Instead {
    let mut instead = base.clone();
    for (symbol, replacement) in conditions {
        let value = match replacement {
            Replacement::Value(shown) => replay.numbers(*symbol, &shown.si),
            Replacement::Formula(formula) => {
                let program = replay.compile(*symbol, formula);
                replay.value_of(&program, base).ok()
            }
        };
        if let Some(value) = value {
            instead = instead.with(*symbol, value);
        }
    }
    instead
}

impl Target {
    /// What is accepted about a value of it, in its unit.
    pub fn about(&self, values: &[f64]) -> Accepted {
        let places: Vec<i32> = match self.figures {
            Some(figures) => (values.iter())
                .map(|value| to_figures(*value, figures).last_place())
                .collect(),
            None => self.places.clone(),
        };
        about(values, &places, &self.unit, &self.within)
    }
}

/// Conversion to coherent units and back moves the last bits.
const SLACK: f64 = 1e-12;

/// Whether numbers lie between ends, these included.
pub(super) fn holds(accepted: &Accepted, values: &[f64]) -> bool {
    values.len() == accepted.ends.len()
        && (values.iter().zip(&accepted.ends)).all(|(value, (low, high))| {
            let slack = SLACK * low.abs().max(high.abs()).max(value.abs());
            low - slack <= *value && *value <= high + slack
        })
}

impl Case {
    /// Whether numbers are off by no more than the tolerance, which is widened by so much. Ends
    /// that are widened are not rounded besides.
    fn is_about(&self, values: &[f64], wider: &[f64]) -> bool {
        values.len() == self.values.len()
            && values.iter().enumerate().all(|(at, value)| {
                let slack = SLACK * value.abs().max(self.values[at].abs());
                let by = self.accepted.reaches[at] + wider.get(at).copied().unwrap_or(0.0);
                (value - self.values[at]).abs() <= by + slack
            })
    }
}

impl Trial<'_> {
    fn value(&self, way: usize, instead: &Instead) -> Option<Vec<f64>> {
        let value = match self.ways.get(way).and_then(|way| way.program.as_ref()) {
            None => self.replay.value(self.target.symbol, instead),
            Some(program) => self.replay.value_of(program, instead),
        };
        let value = value.ok()?;
        Some(
            value
                .rows
                .iter()
                .map(|si| self.target.in_unit(*si))
                .collect(),
        )
    }

    fn with(&self, known: &[&Known]) -> Instead {
        known.iter().fold(self.base.clone(), |instead, known| {
            let own: Vec<f64> = known.numbers.iter().map(|it| it.si).collect();
            match self.replay.numbers(known.symbol, &own) {
                Some(value) => instead.with(known.symbol, value),
                None => instead,
            }
        })
    }

    fn case(&self, way: usize, known: &[&Known], is_own: bool) -> Option<Case> {
        let instead = self.with(known);
        let values = self.value(way, &instead)?;
        Some(Case {
            names: known.iter().map(|known| known.symbol).collect(),
            is_own,
            route: self.ways.get(way).and_then(|way| way.route),
            accepted: self.target.about(&values),
            values,
            instead,
            way,
        })
    }

    /// What is put in place: the wrong ones, all of them, each wrong one alone.
    fn choices(&self) -> Vec<(Vec<&Known>, bool)> {
        let wrong: Vec<&Known> = (self.known.iter().copied())
            .filter(|known| !known.is_right)
            .collect();
        let mut found = Vec::new();
        if !wrong.is_empty() {
            found.push((wrong.clone(), false));
        }
        if self.known.len() > wrong.len() {
            found.push((self.known.to_vec(), true));
        }
        if wrong.len() > 1 {
            found.extend(wrong.into_iter().map(|one| (vec![one], false)));
        }
        found
    }

    /// All cases of formulas that read nothing that is asked later.
    pub fn cases(&self) -> Vec<Case> {
        let mut found = Vec::new();
        for (known, is_own) in self.choices() {
            for (at, way) in self.ways.iter().enumerate() {
                if way.program.is_none() || way.later.is_empty() {
                    found.extend(self.case(at, &known, is_own));
                }
            }
        }
        found
    }

    /// The wrong ones put in, for what is computed exactly besides.
    pub fn exact(&self) -> Instead {
        let wrong: Vec<&Known> = (self.known.iter().copied())
            .filter(|known| !known.is_right)
            .collect();
        self.with(&wrong)
    }

    /// The same with the exact values of the right ones: what has led to them is not asked again.
    pub fn fixed(&self) -> Instead {
        let exact = self.exact();
        let right = self.known.iter().filter(|known| known.is_right);
        right.fold(exact.clone(), |instead, known| {
            match self.replay.value(known.symbol, &exact) {
                Ok(value) => instead.with(known.symbol, value),
                Err(_) => instead,
            }
        })
    }

    /// All own numbers put in.
    pub fn own(&self) -> Instead {
        self.with(self.known)
    }

    /// The case that a number is right with.
    pub fn find(&self, cases: &[Case], values: &[f64]) -> Found {
        let mut perhaps = None;
        for case in cases {
            if holds(&case.accepted, values) {
                return Found::Yes(self.that_matter(case));
            }
            let whole = self.wider(case);
            let most = case.accepted.reaches.iter();
            let bounded: Vec<f64> = whole.iter().zip(most).map(|(a, b)| a.min(*b)).collect();
            if case.is_about(values, &bounded) {
                return Found::Yes(self.that_matter(case));
            }
            if perhaps.is_none() && case.is_about(values, &whole) {
                perhaps = Some(case.clone());
            }
        }
        perhaps.map_or(Found::No, Found::Perhaps)
    }

    /// A case without the names behind others that are put in: they move nothing.
    fn that_matter(&self, case: &Case) -> Case {
        let mut put_in: Vec<&Known> = (self.known.iter().copied())
            .filter(|known| case.names.contains(&known.symbol))
            .collect();
        let mut own = case.clone();
        for name in &case.names {
            let others: Vec<&Known> = (put_in.iter().copied())
                .filter(|known| known.symbol != *name)
                .collect();
            let without = self.value(case.way, &self.with(&others));
            if !others.is_empty() && without.as_ref() == Some(&case.values) {
                put_in = others;
                own.names.retain(|it| it != name);
            }
        }
        own
    }

    /// What half a unit in the last places of the numbers in place can make of a case.
    fn wider(&self, case: &Case) -> Vec<f64> {
        let mut whole = vec![0.0; case.values.len()];
        let put_in = self
            .known
            .iter()
            .filter(|it| case.names.contains(&it.symbol));
        for known in put_in {
            for row in 0..known.numbers.len() {
                let moved = |sign: f64| {
                    let mut own: Vec<f64> = known.numbers.iter().map(|it| it.si).collect();
                    own[row] += sign * known.numbers[row].half;
                    let value = self.replay.numbers(known.symbol, &own)?;
                    self.value(case.way, &case.instead.clone().with(known.symbol, value))
                };
                let sides = [moved(1.0), moved(-1.0)];
                for (at, whole) in whole.iter_mut().enumerate() {
                    let by = sides.iter().flatten().filter_map(|side| side.get(at));
                    let by = by.map(|it| (it - case.values[at]).abs());
                    *whole += by.filter(|it| it.is_finite()).fold(0.0, f64::max);
                }
            }
        }
        whole
    }

    /// Formulas that read what is asked later, with the student's own numbers for that.
    pub fn by_later(&self, later: &[Known], values: &[f64]) -> Option<Case> {
        for (at, way) in self.ways.iter().enumerate() {
            let own: Vec<&Known> = (later.iter())
                .filter(|known| way.later.contains(&known.symbol))
                .collect();
            if way.later.is_empty() || own.len() != way.later.len() {
                continue;
            }
            let wrong = self.known.iter().copied().filter(|known| !known.is_right);
            let all: Vec<&Known> = wrong.chain(own.iter().copied()).collect();
            let Some(mut case) = self.case(at, &all, true) else {
                continue;
            };
            case.names = own.iter().map(|known| known.symbol).collect();
            if holds(&case.accepted, values) {
                return Some(case);
            }
        }
        None
    }
}

/// Whether a number is another to two figures, as it was written.
pub(super) fn is_rounded(
    target: &Target,
    case: &[f64],
    accepted: &Accepted,
    own: &Written,
) -> bool {
    let unit = match &own.unit {
        WrittenUnit::Asked(unit) => unit,
        WrittenUnit::None | WrittenUnit::Other(_) => &target.field.unit,
    };
    let found = &target.found;
    let mut rounded = 0;
    let all = own.numbers.iter().enumerate().all(|(at, number)| {
        let (Some(number), Some(value), Some(ends)) = (number, case.get(at), accepted.ends.get(at))
        else {
            return false;
        };
        let shown = target.in_unit(number.si);
        if ends.0 <= shown && shown <= ends.1 {
            return true;
        }
        let si = crate::evaluate::to_si(*value, found.reading, found.counts, &target.unit);
        let exact = in_unit(si, found.reading, found.counts, unit);
        let written = in_unit(number.si, found.reading, found.counts, unit);
        let figures = number.figures;
        if exact == 0.0 || !(figures.least <= 2 && 2 <= figures.most) {
            return false;
        }
        let place = 10.0_f64.powi(exact.abs().log10().floor() as i32 - 1);
        let is_whole = |it: f64| (it - it.round()).abs() < 1e-6;
        let is_it = (exact - written).abs() <= place * (0.5 + 1e-9) && is_whole(written / place);
        rounded += usize::from(is_it);
        is_it
    });
    all && rounded > 0
}
