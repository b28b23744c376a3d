//! Which of the solutions of equations holds at the data.
//!
//! Formulas for the unknowns go in, one set a branch, with the equations that they solve; out
//! comes the one branch that satisfies these and what was asked of the unknowns. Where several do,
//! or none, that is said; and where the data make a divisor zero, by which other solutions may be
//! lost, none is taken.

use rustc_hash::FxHashMap;

use super::program::{Fault, Program};
use super::solve::Sides;
use super::value::{self, Value, Values};
use super::walk::Walk;
use crate::algebra::{Sign, Wanted};
use crate::resolve::statement::Solved;
use crate::resolve::{Expr, ExprKind, Stated, SymbolId, Typed};

/// Two solutions that differ by less, as a part of their size, are one.
const SAME: f64 = 1e-9;

/// A root is believed within this part of its size.
const NEAR: f64 = 1e-7;

/// Turns of an angle that are looked for in a range.
const MOST_TURNS: i64 = 64;

/// The branches of a solution, compiled.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Branches {
    unknowns: Vec<SymbolId>,
    /// Its formulas, one a branch, in the unit of turning in which it is asked.
    formulas: Vec<Program>,
    wanted: Vec<Wanted>,
    stated: Vec<(SymbolId, Sign)>,
    equations: Vec<Equation>,
    branches: Vec<Branch>,
}

/// The sides of an equation, and the terms of their sums.
#[derive(Debug, Clone, PartialEq)]
struct Equation {
    sides: Sides,
    terms: Vec<Program>,
}

#[derive(Debug, Clone, PartialEq)]
struct Branch {
    values: Vec<Program>,
    /// What was divided by, with the terms of its sum, and how it is written.
    not_zero: Vec<(Program, Vec<Program>, String)>,
    periods: Vec<Option<Program>>,
}

/// Why there is no one branch.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Unclear {
    /// Something that was divided by is zero.
    Divided(String),
    /// A name has not the sign that was stated.
    Stated(SymbolId),
    /// So many solutions hold, by the values of the asked unknown.
    Several(Vec<Vec<f64>>),
    /// None holds: the only formula has no value.
    Fault(Fault),
    /// None satisfies the equations.
    NotSatisfied,
    /// Some satisfy the equations, and none is as was asked.
    NotWanted,
    /// The one in the range is of another turn than was tried.
    Turn(Vec<f64>),
    /// Different rows of a list have different ones.
    Rows,
}

/// A solution at the data: by which branch, unless it is further turns away.
struct Found {
    branch: Option<usize>,
    values: Vec<f64>,
}

impl Branches {
    /// What the asked unknown is, and by which branch.
    pub fn value(&self, values: &dyn Values) -> Result<(usize, Value), Unclear> {
        let at = self.which(values)?;
        let value = value::run(&self.formulas[at], values).map_err(Unclear::Fault)?;
        Ok((at, value))
    }

    /// The branch that holds.
    fn which(&self, values: &dyn Values) -> Result<usize, Unclear> {
        self.allowed(values)?;
        let computed: Vec<Option<Vec<Value>>> = (self.branches.iter())
            .map(|branch| branch.computed(values))
            .collect();
        let all: Vec<&Value> = computed.iter().flatten().flatten().collect();
        let rows = match all.is_empty() {
            true => vec![0],
            false => value::rows_of_all(&all),
        };
        let mut chosen = None;
        for row in rows {
            let at = self.in_row(values, &computed, row)?;
            if *chosen.get_or_insert(at) != at {
                return Err(Unclear::Rows);
            }
        }
        chosen.ok_or(Unclear::NotSatisfied)
    }

    /// Whether the data are such as the formulas were found for.
    fn allowed(&self, values: &dyn Values) -> Result<(), Unclear> {
        for (symbol, sign) in &self.stated {
            let Some(known) = values.value(*symbol) else {
                continue;
            };
            if !known.present().all(|(_, value)| allows(*sign, value)) {
                return Err(Unclear::Stated(*symbol));
            }
        }
        for (program, terms, written) in self.branches.iter().flat_map(|one| &one.not_zero) {
            let Some(divisor) = known(program, values) else {
                continue;
            };
            for (row, value) in divisor.present() {
                let size = size_of(terms, values, row).max(value.abs());
                if value.abs() <= 1e-12 * size {
                    return Err(Unclear::Divided(written.clone()));
                }
            }
        }
        Ok(())
    }

    fn in_row(
        &self,
        values: &dyn Values,
        computed: &[Option<Vec<Value>>],
        row: usize,
    ) -> Result<usize, Unclear> {
        let mut found: Vec<Found> = Vec::new();
        let mut satisfied = false;
        for (at, unknowns) in computed.iter().enumerate() {
            let Some(unknowns) = unknowns else {
                continue;
            };
            let numbers: Vec<f64> = unknowns.iter().map(|value| value.at(row)).collect();
            if !self.holds(values, unknowns, row) {
                continue;
            }
            satisfied = true;
            for found_here in self.turns(values, at, numbers, row) {
                let known =
                    (found.iter_mut()).find(|known| are_one(&known.values, &found_here.values));
                match known {
                    Some(known) => known.branch = known.branch.or(found_here.branch),
                    None => found.push(found_here),
                }
            }
        }
        match found.as_slice() {
            [
                Found {
                    branch: Some(at), ..
                },
            ] => Ok(*at),
            [Found { values, .. }] => Err(Unclear::Turn(values.clone())),
            [] if satisfied => Err(Unclear::NotWanted),
            [] => Err(self.why_none(values)),
            several => Err(Unclear::Several(
                several.iter().map(|one| one.values.clone()).collect(),
            )),
        }
    }

    /// Why no formula gives a solution: of a single one, what stops it.
    fn why_none(&self, values: &dyn Values) -> Unclear {
        let [only] = self.branches.as_slice() else {
            return Unclear::NotSatisfied;
        };
        let stop = (only.values.iter()).find_map(|program| value::run(program, values).err());
        stop.map_or(Unclear::NotSatisfied, Unclear::Fault)
    }

    /// The solution of a branch and, of an angle in a range, those by further turns, as far as they
    /// are as was asked.
    fn turns(
        &self,
        values: &dyn Values,
        branch: usize,
        numbers: Vec<f64>,
        row: usize,
    ) -> Vec<Found> {
        let mut found = Vec::new();
        let is_wanted = |numbers: &[f64]| {
            (numbers.iter().zip(&self.wanted)).all(|(value, wanted)| is_as_wanted(wanted, *value))
        };
        for (at, wanted) in self.wanted.iter().enumerate() {
            let Some((low, high)) = wanted.range() else {
                continue;
            };
            let Some(period) = self.branches[branch].periods[at].as_ref() else {
                continue;
            };
            let Some(period) = known(period, values).map(|period| period.at(row).abs()) else {
                continue;
            };
            let first = ((low - numbers[at]) / period).floor();
            let last = ((high - numbers[at]) / period).ceil();
            if !(first.abs() + last.abs()).is_finite() {
                continue;
            }
            for turn in (first as i64)..=(last as i64).min(first as i64 + MOST_TURNS) {
                let mut turned = numbers.clone();
                turned[at] += turn as f64 * period;
                if turn != 0 && is_wanted(&turned) {
                    found.push(Found {
                        branch: None,
                        values: turned,
                    });
                }
            }
        }
        if is_wanted(&numbers) {
            found.push(Found {
                branch: Some(branch),
                values: numbers,
            });
        }
        found
    }

    /// Whether the equations hold with these unknowns, as far as their other names have values.
    fn holds(&self, values: &dyn Values, unknowns: &[Value], row: usize) -> bool {
        let with = |value_of: &dyn Fn(usize, &Value) -> Value| {
            let by = self.unknowns.iter().zip(unknowns).enumerate();
            let by = by.map(|(index, (symbol, value))| {
                let mut value = value_of(index, value);
                value.gradients.clear();
                (*symbol, value)
            });
            Beside {
                by: by.collect(),
                beneath: values,
            }
        };
        let here = with(&|_, value| value.clone());
        // What vanishes for all that more precision tells can be too small for a power of it.
        let as_doubles = with(&|_, value| value.scaled_double(1.0));
        let beside = |at: usize| {
            with(&|index, value| match index == at {
                true => value.scaled_double(1.0 + NEAR),
                false => value.clone(),
            })
        };
        self.equations.iter().all(|equation| {
            if !equation.is_known(&here) {
                return true;
            }
            let sides = equation.at(&here, row);
            let Some([left, right]) = sides.or_else(|| equation.at(&as_doubles, row)) else {
                return false;
            };
            let off = left - right;
            let terms = size_of(&equation.terms, &here, row);
            if off.abs() <= 1e-6 * left.abs().max(right.abs()).max(terms) {
                return true;
            }
            // Where both sides nearly vanish: a root nearby explains what is left.
            let steps = (0..unknowns.len()).map(|at| {
                let beside = equation.at(&beside(at), row);
                beside.map_or(0.0, |[left, right]| (left - right - off).abs())
            });
            off.abs() <= steps.sum()
        })
    }
}

impl Branch {
    /// The unknowns by its formulas; nothing where one has no value.
    fn computed(&self, values: &dyn Values) -> Option<Vec<Value>> {
        let computed = self.values.iter().map(|program| known(program, values));
        computed.collect()
    }
}

impl Equation {
    fn is_known(&self, values: &dyn Values) -> bool {
        let mut symbols = self.sides.iter().flat_map(Program::symbols);
        symbols.all(|symbol| values.value(symbol).is_some())
    }

    /// The values of the sides.
    fn at(&self, values: &dyn Values, row: usize) -> Option<[f64; 2]> {
        let [left, right] = &self.sides;
        let sides = [known(left, values)?.at(row), known(right, values)?.at(row)];
        sides.iter().all(|side| side.is_finite()).then_some(sides)
    }
}

/// Values with those of the unknowns.
struct Beside<'a> {
    by: FxHashMap<SymbolId, Value>,
    beneath: &'a dyn Values,
}

impl Values for Beside<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        self.by.get(&symbol).or_else(|| self.beneath.value(symbol))
    }

    fn beneath(&self) -> Option<&dyn Values> {
        Some(self.beneath)
    }
}

fn known(program: &Program, values: &dyn Values) -> Option<Value> {
    let mut symbols = program.symbols();
    let is_ready = symbols.all(|symbol| values.value(symbol).is_some());
    let value = is_ready.then(|| value::run(program, values).ok())??;
    let is_finite = value.present().all(|(_, number)| number.is_finite());
    is_finite.then_some(value)
}

/// The largest of some terms.
fn size_of(terms: &[Program], values: &dyn Values, row: usize) -> f64 {
    let sizes = terms.iter().filter_map(|term| known(term, values));
    sizes.map(|value| value.at(row).abs()).fold(0.0, f64::max)
}

fn are_one(one: &[f64], other: &[f64]) -> bool {
    one.iter()
        .zip(other)
        .all(|(a, b)| (a - b).abs() <= SAME * a.abs().max(b.abs()))
}

fn allows(sign: Sign, value: f64) -> bool {
    (value < 0.0 && sign.negative) || (value == 0.0 && sign.zero) || (value > 0.0 && sign.positive)
}

pub(super) fn is_as_wanted(wanted: &Wanted, value: f64) -> bool {
    wanted.allows(value, SAME * value.abs())
}

impl Walk<'_> {
    /// The branches of a solution, for one of its unknowns.
    pub(super) fn branches(&self, solved: &Solved, asked: SymbolId) -> Branches {
        let typed = Typed {
            text: self.text,
            symbols: &self.resolved.symbols,
        };
        let terms = |expr: &Expr| -> Vec<Program> {
            match &expr.inside().kind {
                ExprKind::Sum(terms) => terms.iter().map(|term| self.compile(&term.expr)).collect(),
                _ => Vec::new(),
            }
        };
        let mut equations = Vec::new();
        for origin in &solved.origins {
            let (first, rest) = match self.stated_at(*origin) {
                Stated::Sides([first, rest @ ..]) => (first, rest),
                Stated::Sides([])
                | Stated::Nothing
                | Stated::Solved(_)
                | Stated::Work(_)
                | Stated::Datum(..) => continue,
            };
            equations.extend(rest.iter().map(|side| Equation {
                sides: [self.compile(first), self.compile(side)],
                terms: [terms(first), terms(side)].concat(),
            }));
        }
        let branches = solved.branches.iter().map(|branch| Branch {
            values: branch
                .formulas
                .iter()
                .map(|one| self.compile(one))
                .collect(),
            not_zero: (branch.not_zero.iter())
                .map(|one| (self.compile(one), terms(one), typed.written(one)))
                .collect(),
            periods: (branch.periods.iter())
                .map(|one| one.as_ref().map(|one| self.compile(one)))
                .collect(),
        });
        // One that all problems share is each problem's own by its name.
        let key = |symbol| &self.resolved.symbols.symbol(symbol).key;
        let at = (solved.unknowns.iter()).position(|unknown| key(*unknown) == key(asked));
        let turns = self.checked.turning_power(asked);
        let formulas = (solved.branches.iter())
            .filter_map(|branch| branch.formulas.get(at?))
            .map(|formula| self.compile(formula).turned(turns, formula.span));
        Branches {
            formulas: formulas.collect(),
            unknowns: solved.unknowns.clone(),
            wanted: solved.wanted.clone(),
            stated: solved.stated.clone(),
            equations,
            branches: branches.collect(),
        }
    }
}
