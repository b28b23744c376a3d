//! In which units numbers are put in, so that they give the result as they stand.
//!
//! Where the units that were given do not cohere with each other and with the result, as few of
//! them as will do are changed for those of one system; where the result itself is in another
//! unit than the system has, it is told in both.

use std::cell::OnceCell;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::operands::{self, Operand, Printed};
use crate::calculator;
use crate::dimensions::{Counts, Reading, Type};
use crate::evaluate::{self, Program, Value, Values};
use crate::functions::{Dimensions, Function};
use crate::quantity::{Family, Mark, System, Unit};
use crate::resolve::{Expr, ExprKind, Factor, Quantity, SymbolId};
use crate::syntax::Operator;
use crate::worksheet::model::Shown;

/// What a line is put in from.
pub(super) struct Line<'a> {
    /// Its formulas, each of which gives the result.
    pub formulas: &'a [Expr],
    /// What stands in them.
    pub operands: &'a [Operand],
    /// What its result counts.
    pub found: &'a Type,
    /// The result.
    pub result: &'a Shown,
    /// Other values.
    pub values: &'a dyn Values,
    /// A formula as a program.
    pub compile: &'a dyn Fn(&Expr) -> Program,
    /// The formulas as programs, which give the result as it is asked.
    pub programs: &'a [Program],
    /// The same without what is asked of turns.
    pub plain: &'a [Program],
    /// A program that gives the result as it is asked.
    pub turned: &'a dyn Fn(Program) -> Program,
    /// What the formulas come to at each of [`STEPS`]; `None` outside of a domain.
    pub expected: [OnceCell<Option<Vec<Value>>>; STEPS.len()],
}

/// By which part numbers are moved where they are tried: the first two a little, so that no chance
/// decides, the last not at all.
const STEPS: [f64; 3] = [1e-3, -7e-4, 0.0];

/// What a choice weighs that changes one unit.
const ONE_UNIT: usize = 2;

/// A number, moved as one of [`STEPS`] says, each by another part.
fn moved(step: usize, at: usize, si: f64) -> f64 {
    si * (1.0 + STEPS[step] * (at + 1) as f64)
}

/// The units that a line is put in with.
#[derive(Debug, Default, Clone, PartialEq)]
pub(super) struct Choice {
    /// Those that are changed, with what stands for them.
    pub changed: Vec<(Unit, Unit)>,
    /// The unit in which the numbers give the result, where that is another than its own.
    pub between: Option<Unit>,
}

impl Choice {
    /// What stands for a unit.
    pub fn of(&self, unit: &Unit) -> Option<&Unit> {
        let known = self.changed.iter().find(|(given, _)| given == unit);
        known.map(|(_, instead)| instead)
    }
}

impl Line<'_> {
    /// The units to put its numbers in with; `None` where none give the result.
    pub fn choice(&self, always_base: bool) -> Option<Choice> {
        let own = Choice::default();
        let units = self.units();
        if self.is_coherent(&units) || (!always_base && self.coheres(&own)) {
            return Some(own);
        }
        let is_us = |unit: &Unit| unit.family() == Some(Family::Us);
        let systems: &[System] = match (
            always_base,
            units.iter().chain([&self.result.unit]).any(is_us),
        ) {
            (true, false) => &[System::Si],
            (true, true) => &[System::Us],
            (false, false) => &[System::Si, System::Millimetre],
            (false, true) => &[System::Us, System::Si],
        };
        let mut found: Vec<Choice> = Vec::new();
        for system in systems {
            let whole: Vec<(Unit, Unit)> = (units.iter())
                .filter_map(|unit| Some((unit.clone(), system.unit(unit)?)))
                .filter(|(given, instead)| !is_same(given, instead))
                .collect();
            for between in self.targets(*system, always_base) {
                let with = |changed: &[(Unit, Unit)]| Choice {
                    changed: changed.to_vec(),
                    between: between.clone(),
                };
                let tried = [with(&whole), with(&[])];
                let tried = tried.into_iter().take(1 + usize::from(between.is_some()));
                let coherent = tried.into_iter().find(|choice| self.coheres(choice));
                found.extend(coherent.map(|choice| match always_base {
                    true => choice,
                    false => self.with_fewest(choice),
                }));
                // Nothing changes less than one unit.
                if found.iter().any(|choice| choice.weight() <= ONE_UNIT) {
                    return found.pop();
                }
            }
        }
        found.into_iter().min_by_key(Choice::weight)
    }

    /// Whether all stands in coherent SI units, so that nothing has to be tried; what counts turns may
    /// be asked as an angle.
    fn is_coherent(&self, units: &[Unit]) -> bool {
        let mut all = units.iter().chain([&self.result.unit]);
        all.all(|unit| {
            unit.mark() == Mark::None && unit.factor() == 1.0 && unit.turning().is_none()
        })
    }

    /// The units in which the numbers of a system may give the result; `None` for its own.
    fn targets(&self, system: System, always_base: bool) -> Vec<Option<Unit>> {
        let own = &self.result.unit;
        let of_result = system.unit(own).filter(|unit| !is_same(unit, own));
        let mut targets = match (always_base, &of_result) {
            (true, Some(_)) => vec![of_result, None],
            (false, Some(_)) => vec![None, of_result],
            (_, None) => vec![None],
        };
        targets.extend(of_turns(own).into_iter().map(Some));
        targets
    }

    /// The same without the changes that are not needed.
    fn with_fewest(&self, mut choice: Choice) -> Choice {
        for (given, _) in choice.changed.clone() {
            let mut fewer = choice.clone();
            fewer.changed.retain(|(own, _)| *own != given);
            if self.coheres(&fewer) {
                choice = fewer;
            }
        }
        choice
    }

    /// The units of its numbers, each once.
    fn units(&self) -> Vec<Unit> {
        let mut units: Vec<Unit> = Vec::new();
        let mut note = |unit: &Unit| {
            if !unit.is_share() && !units.contains(unit) {
                units.push(unit.clone());
            }
        };
        for operand in self.operands {
            note(&operand.shown.unit);
        }
        for formula in self.formulas {
            for_each_quantity(formula, &mut |quantity| note(&quantity.unit));
        }
        units
    }

    /// Whether the numbers give the result whatever they are: tried where all of them are a little
    /// other than they are, so that no chance decides.
    fn coheres(&self, choice: &Choice) -> bool {
        let mut is_told = false;
        for at in [0, 1] {
            match self.is_alike(choice, at) {
                Some(false) => return false,
                Some(true) => is_told = true,
                // Outside of a domain nothing can be told.
                None => {}
            }
        }
        is_told || self.is_alike(choice, 2) == Some(true)
    }

    /// Whether plain numbers give the result where each of them is moved by one of [`STEPS`].
    fn is_alike(&self, choice: &Choice, step: usize) -> Option<bool> {
        let expected = self.expected(step)?;
        let moved = |at: usize, si: f64| moved(step, at, si);
        let unit = choice.between.as_ref().unwrap_or(&self.result.unit);
        let plain = Plain {
            line: self,
            choice,
            setting: calculator::setting(unit.text()),
            moved: &moved,
        };
        let own = plain.programs();
        let in_numbers = self.with(&|at, operand, si| {
            let own = &operand.shown.unit;
            let unit = choice.of(own).unwrap_or(own);
            number(moved(at, si), (operand.reading, operand.counts), unit)
        });
        let reading = (self.found.reading, self.found.counts);
        for (at, expected) in expected.iter().enumerate() {
            let program = own.as_ref().map_or(&self.plain[at], |own| &own[at]);
            let given = evaluate::run(program, &in_numbers).ok()?;
            let is_alike = (0..expected.rows.len()).all(|row| {
                /// Far above rounding, far below a factor or a datum.
                const SLACK: f64 = 1e-9;
                let expected = number(expected.at(row), reading, unit);
                let size = expected.abs().max(given.at(row).abs());
                (given.at(row) - expected).abs() <= SLACK * size
            });
            if !is_alike {
                return Some(false);
            }
        }
        Some(true)
    }

    /// What the formulas come to where each number is moved by a step, whatever it is put in with.
    fn expected(&self, step: usize) -> Option<&[Value]> {
        let found = self.expected[step].get_or_init(|| {
            let in_si = self.with(&|at, _, si| moved(step, at, si));
            let run = |(formula, program): (&Expr, &Program)| {
                let mut at = self.operands.len();
                let own = with_moved(formula, &mut |si| {
                    at += 1;
                    moved(step, at, si)
                });
                match own {
                    Some(own) => evaluate::run(&(self.turned)((self.compile)(&own)), &in_si).ok(),
                    None => evaluate::run(program, &in_si).ok(),
                }
            };
            self.formulas.iter().zip(self.programs).map(run).collect()
        });
        found.as_deref()
    }

    /// Adds digits to the operands until their numbers give what is printed behind them.
    pub fn guard(&self, operands: &mut [Operand], choice: &Choice, target: &Shown) {
        // More digits only bring a zero that is one as far as is known nearer to its bound.
        if target.digits.iter().any(|digits| digits.within().is_some()) {
            return;
        }
        let unit = choice.between.as_ref().unwrap_or(&self.result.unit);
        let plain = Plain {
            line: self,
            choice,
            setting: calculator::setting(unit.text()),
            moved: &|_, si| si,
        };
        let own = plain.programs();
        for at in 0..self.formulas.len() {
            let program = own.as_ref().map_or(&self.plain[at], |own| &own[at]);
            let off = |operands: &[Operand], exact: Option<usize>| {
                let by = operands.iter().enumerate().map(|(at, operand)| {
                    let value = match exact == Some(at) {
                        true => operand.exactly(choice),
                        false => operand.keyed(choice),
                    };
                    (operand.symbol, Arc::new(value))
                });
                let numbers = Printed {
                    by: by.collect(),
                    beneath: self.values,
                };
                let Ok(found) = evaluate::run(program, &numbers) else {
                    return f64::INFINITY;
                };
                let factor = match unit.is_share() {
                    true => unit.factor(),
                    false => target.unit.ratio(unit),
                };
                // In units of the last place, because one such as 1e-12 leaves no room for an
                // absolute slack; the worst of several components.
                let off = target.digits.iter().enumerate().map(|(row, digits)| {
                    let number = found.at(row) / factor;
                    (number - digits.value()).abs() / digits.unit_in_last_place()
                });
                off.fold(0.0, f64::max)
            };
            operands::guard(operands, &off);
        }
    }

    /// The operands with other numbers.
    fn with(&self, number: &dyn Fn(usize, &Operand, f64) -> f64) -> Printed<'_> {
        let by = self.operands.iter().enumerate().map(|(at, operand)| {
            let rows = operand.shown.si.iter();
            let rows = rows.map(|si| number(at, operand, *si)).collect();
            (operand.symbol, Arc::new(operand.value(rows)))
        });
        Printed {
            by: by.collect::<FxHashMap<SymbolId, Arc<Value>>>(),
            beneath: self.values,
        }
    }
}

impl Operand {
    /// Its unit as it is put in.
    fn unit<'a>(&'a self, choice: &'a Choice) -> &'a Unit {
        choice.of(&self.shown.unit).unwrap_or(&self.shown.unit)
    }

    /// Its numbers as they are keyed in, with the digits that are printed.
    fn keyed(&self, choice: &Choice) -> Value {
        let (own, unit) = (&self.shown.unit, self.unit(choice));
        self.printed(match own.is_share() {
            true => own.factor(),
            false => own.ratio(unit),
        })
    }

    /// Its numbers with all their digits.
    fn exactly(&self, choice: &Choice) -> Value {
        let reading = (self.reading, self.counts);
        let unit = self.unit(choice);
        match &self.shown.origin {
            Some(origin) if unit.factor() == 1.0 && unit.offset() == 0.0 => (*origin.0).clone(),
            _ => {
                let rows = self.shown.si.iter();
                self.value(rows.map(|si| number(*si, reading, unit)).collect())
            }
        }
    }
}

impl Choice {
    /// How much it changes, by what a reader has to follow.
    fn weight(&self) -> usize {
        ONE_UNIT * self.changed.len() + 3 * usize::from(self.between.is_some())
    }
}

/// Whether numbers are the same in two units.
fn is_same(one: &Unit, other: &Unit) -> bool {
    one.ratio(other) == 1.0 && one.offset() == other.offset()
}

/// The units of turns and of the angle of them, where a unit is one of these: what counts turns may
/// be asked in radians, and the other way round.
fn of_turns(unit: &Unit) -> Vec<Unit> {
    if unit.turning().is_none() {
        return Vec::new();
    }
    ["rev", "rad", "rev/s", "rad/s", "rev/s^2", "rad/s^2"]
        .into_iter()
        .filter_map(|source| Unit::from_source(source).ok())
        .filter(|own| own.dimension() == unit.dimension() && own != unit)
        .collect()
}

/// What is keyed in for a value: of `%` and the like its whole value.
fn number(si: f64, (reading, counts): (Reading, Counts), unit: &Unit) -> f64 {
    match unit.is_share() {
        true => si,
        false => evaluate::in_unit(si, reading, counts, unit),
    }
}

pub(super) fn for_each_quantity<'e>(expr: &'e Expr, visit: &mut dyn FnMut(&'e Quantity)) {
    if let ExprKind::Quantity(quantity) = &expr.kind {
        visit(quantity);
    }
    expr.for_each_part(|part| for_each_quantity(part, visit));
}

/// Formulas as a calculator has them: numbers alone, and angles in degrees in functions of angles.
struct Plain<'a> {
    line: &'a Line<'a>,
    choice: &'a Choice,
    /// How many radians there are in one of what functions give, where the calculator is not set to
    /// radians.
    setting: Option<f64>,
    moved: &'a dyn Fn(usize, f64) -> f64,
}

impl Plain<'_> {
    /// Whether a formula is another one on a calculator.
    fn differs(&self, formula: &Expr) -> bool {
        let own = match &formula.kind {
            ExprKind::Quantity(_) => true,
            ExprKind::Symbol(symbol) => self.angle(*symbol).is_some(),
            ExprKind::Call { function, .. } => self.setting.is_some() && gives_an_angle(*function),
            _ => false,
        };
        let mut found = own;
        formula.for_each_part(|part| found = found || self.differs(part));
        found
    }

    /// The formulas as programs of numbers alone, where one of them is another one there.
    fn programs(&self) -> Option<Vec<Program>> {
        let line = self.line;
        let differs = line.formulas.iter().any(|formula| self.differs(formula));
        let plain = |formula: &Expr| (line.compile)(&self.in_numbers(formula));
        differs.then(|| line.formulas.iter().map(plain).collect())
    }

    /// How many radians one of the unit of a symbol is, where a calculator is set to that.
    fn angle(&self, symbol: SymbolId) -> Option<f64> {
        let mut operands = self.line.operands.iter();
        let own = &operands
            .find(|operand| operand.symbol == symbol)?
            .shown
            .unit;
        let unit = self.choice.of(own).unwrap_or(own);
        calculator::setting(unit.text())
    }

    fn in_numbers(&self, formula: &Expr) -> Expr {
        let mut own = formula.clone();
        let mut at = self.line.operands.len();
        self.put(&mut own, false, &mut at);
        own
    }

    /// Makes numbers of a part; `in_angle` within the argument of a function of an angle.
    fn put(&self, part: &mut Expr, in_angle: bool, at: &mut usize) {
        let mut factor = None;
        let mut in_angle = in_angle;
        match &part.kind {
            ExprKind::Quantity(quantity) => {
                let [value] = quantity.values.as_slice() else {
                    return;
                };
                *at += 1;
                let own = &quantity.unit;
                let unit = self.choice.of(own).unwrap_or(own);
                let si = (self.moved)(*at, own.to_si(*value));
                let number = match unit.is_share()
                    || (in_angle && calculator::setting(unit.text()).is_some())
                {
                    true => si,
                    false => unit.from_si(si),
                };
                part.kind = ExprKind::Numeral(number);
                return;
            }
            ExprKind::Symbol(symbol) if in_angle => factor = self.angle(*symbol),
            ExprKind::Call { function, .. } if function.dimensions() == Dimensions::Angle => {
                in_angle = true;
            }
            ExprKind::Call { function, .. } if gives_an_angle(*function) => {
                factor = self.setting.filter(|_| !in_angle).map(f64::recip);
                in_angle = false;
            }
            _ => {}
        }
        part.for_each_part_mut(|inner| self.put(inner, in_angle, at));
        if let Some(factor) = factor {
            let span = part.span;
            let of = |expr| Factor {
                operator: Operator::Times,
                expr,
            };
            let own = part.clone();
            let kind = ExprKind::Numeral(factor);
            let factors = [of(own), of(Expr { span, kind })];
            part.kind = ExprKind::Product(factors.into());
        }
    }
}

/// A formula in which the numbers that it writes itself are moved; `None` where it writes none.
fn with_moved(formula: &Expr, moved: &mut dyn FnMut(f64) -> f64) -> Option<Expr> {
    let mut is_other = false;
    let mut own = formula.clone();
    own.change(&mut |part| {
        if let ExprKind::Quantity(quantity) = &part.kind
            && let [value] = quantity.values.as_slice()
        {
            is_other = true;
            part.kind = ExprKind::Numeral(moved(quantity.unit.to_si(*value)));
        }
    });
    is_other.then_some(own)
}

fn gives_an_angle(function: Function) -> bool {
    matches!(
        function,
        Function::Asin | Function::Acos | Function::Atan | Function::Atan2 | Function::Direction
    )
}
