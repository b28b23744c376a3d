//! A formula that was solved for, held against the equations it solves.

use crate::algebra::Wanted;
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::branches::{Unclear, is_as_wanted};
use crate::evaluate::program::Program;
use crate::evaluate::value::{self, Value, Values};
use crate::evaluate::walk::{Lack, Walk};
use crate::evaluate::ways::Solution;
use crate::resolve::statement::{Origin, Solved, Work};
use crate::resolve::{Stated, Statement, SymbolId};
use crate::text::Span;

impl Walk<'_> {
    /// The branch of a solution that holds at the data.
    pub(super) fn branch_at(&mut self, statement: &Statement, work: &Work) -> Result<usize, Lack> {
        let symbol = statement.defines.ok_or(Lack::Refused)?;
        let origin = work.origin.ok_or(Lack::Refused)?;
        let Stated::Solved(solved) = self.stated_at(origin) else {
            return Err(Lack::Refused);
        };
        let branches = self.branches(solved, symbol);
        match branches.value(&self.results) {
            Ok((at, _)) => Ok(at),
            Err(unclear) => {
                let place = work.lead.span;
                let mut diagnostic = self.unclear(&unclear, symbol, &solved.unknowns, place);
                if let Some(line) = (self.resolved.blocks.get(origin.block))
                    .and_then(|block| block.get(origin.statement))
                {
                    diagnostic = diagnostic.with_note("it was solved here", line.span);
                }
                self.diagnostics.push(diagnostic);
                Err(Lack::Refused)
            }
        }
    }

    /// Why no branch can be taken.
    fn unclear(
        &self,
        unclear: &Unclear,
        symbol: SymbolId,
        unknowns: &[SymbolId],
        place: Span,
    ) -> Diagnostic {
        let key = |symbol: SymbolId| &*self.resolved.symbols.symbol(symbol).key;
        let asked = key(symbol);
        let shown = |values: &[f64]| -> String {
            let parts: Vec<String> = (unknowns.iter().zip(values))
                .map(|(unknown, value)| {
                    format!("{} = {}", key(*unknown), self.shown_as(*unknown, *value))
                })
                .collect();
            parts.join(", ")
        };
        let by_numbers =
            format!("`{asked} = ? from label near …`, which solves the equation with the data");
        let refused = |why: String| {
            let message = format!("with these data {why}");
            Diagnostic::error(Code::A07, place, message).with_help(by_numbers.clone())
        };
        match unclear {
            Unclear::Several(all) => {
                let all: Vec<String> = all.iter().map(|values| shown(values)).collect();
                let message = format!(
                    "with these data {} solutions for `{asked}` hold: {}",
                    all.len(),
                    all.join("; or ")
                );
                Diagnostic::error(Code::A04, place, message).with_help(format!(
                    "the sign or range where it is solved: `solve … for {asked} with {asked} > 0`"
                ))
            }
            Unclear::Divided(written) => refused(format!(
                "{written} is zero, and the formula for `{asked}` is for what differs from that"
            )),
            Unclear::Stated(symbol) => refused(format!(
                "`{}` has not the sign with which `{asked}` was solved",
                key(*symbol)
            )),
            Unclear::Fault(fault) => self.of_fault(*fault, Some(place)),
            Unclear::NotSatisfied => refused(format!(
                "the formula for `{asked}` does not satisfy the equation"
            )),
            Unclear::NotWanted => refused(format!(
                "the formula for `{asked}` lies outside the range that was asked"
            )),
            Unclear::Turn(values) => refused(format!(
                "the solution in the range that was asked is further turns away than the formulas: {}",
                shown(values)
            )),
            Unclear::Rows => refused(format!(
                "different formulas for `{asked}` hold for different entries of a list"
            )),
        }
    }

    /// Whether a value that a solved formula gives satisfies the equation and the range, with
    /// these values; a root that squaring has brought in, or another angle than was meant, does
    /// not.
    pub(in crate::evaluate) fn solution(
        &self,
        origin: Origin,
        symbol: SymbolId,
        value: &Value,
        values: &dyn Values,
    ) -> Solution {
        let Stated::Solved(solved) = self.stated_at(origin) else {
            return Solution::NotLookedAt;
        };
        let branches = self.branches(solved, symbol);
        match branches.value(values) {
            Ok((_, only)) if solved.branches.len() > 1 => {
                let is_it = |row: usize| {
                    let (one, other) = (only.at(row), value.at(row));
                    (one - other).abs() <= 1e-9 * one.abs()
                };
                return match value::rows_of_all(&[&only, value]).into_iter().all(is_it) {
                    true => Solution::Holds,
                    false => Solution::Fails("is not the solution that holds"),
                };
            }
            Err(Unclear::Divided(_)) => {
                return Solution::Fails("is for what differs from zero, which was divided by");
            }
            Err(Unclear::Turn(_)) => return Solution::Fails("is of another turn"),
            Err(_) if solved.branches.len() > 1 => {
                return Solution::Fails("is not the only solution");
            }
            _ => {}
        }
        // What counts turns is kept in radians where it was asked so; its equation has turns.
        let turns = self.checked.turns(symbol);
        let mut own = value.clone();
        own.rows.iter_mut().for_each(|row| *row /= turns);
        let value = &own;
        let place = self.start_of(symbol);
        let at = solved
            .unknowns
            .iter()
            .position(|unknown| *unknown == symbol);
        let wanted = at.and_then(|at| solved.wanted.get(at));
        let is_outside = |wanted: &Wanted| {
            value
                .present()
                .any(|(_, value)| !is_as_wanted(wanted, value))
        };
        if wanted.is_some_and(is_outside) {
            return Solution::Fails("lies outside the range that was asked");
        }
        let Some(own) = self.together(solved, symbol, value, values) else {
            return Solution::NotLookedAt;
        };
        let mut looked_at = 0;
        let mut wanted = 0;
        for sides in solved.origins.iter().map(|origin| self.sides_of(*origin)) {
            let Some((left, rest)) = sides.split_first() else {
                continue;
            };
            for right in rest {
                wanted += 1;
                let programs = [self.compile(left), self.compile(right)];
                let is_known = |it: SymbolId| {
                    solved.unknowns.contains(&it)
                        || self.is_above(it, place) && own.value(it).is_some()
                };
                if !programs.iter().flat_map(Program::symbols).all(is_known) {
                    continue;
                }
                let [one, other] = programs.map(|program| {
                    let found = value::run(&program, &own);
                    found.map_or(f64::NAN, |value| value.at(0))
                });
                let terms =
                    (self.largest_term(left, 0, &own)).max(self.largest_term(right, 0, &own));
                let size = one.abs().max(other.abs()).max(terms);
                // Not a number where a side has no value there.
                if (one - other).abs() > 1e-6 * size || (one - other).is_nan() {
                    return Solution::Fails("does not satisfy the equation");
                }
                looked_at += 1;
            }
        }
        match looked_at == wanted {
            true => Solution::Holds,
            false => Solution::NotLookedAt,
        }
    }

    /// The values with those of all that was solved for together.
    fn together<'v>(
        &self,
        solved: &Solved,
        symbol: SymbolId,
        value: &Value,
        values: &'v dyn Values,
    ) -> Option<Together<'v>> {
        let [only] = solved.branches.as_slice() else {
            return None;
        };
        let mut own = Vec::with_capacity(solved.unknowns.len());
        for (unknown, formula) in solved.unknowns.iter().zip(&only.formulas) {
            let found = match *unknown == symbol {
                true => value.clone(),
                false => {
                    let program = self.compile(formula);
                    let has_all = program.symbols().all(|it| values.value(it).is_some());
                    let found = has_all.then(|| value::run(&program, values))?;
                    found.ok()?
                }
            };
            own.push((*unknown, found));
        }
        Some(Together { own, values })
    }

    /// The equations that were solved in a line.
    pub(in crate::evaluate) fn solved_in(&self, origin: Origin) -> &[Origin] {
        match self.stated_at(origin) {
            Stated::Solved(solved) => &solved.origins,
            Stated::Nothing | Stated::Sides(_) | Stated::Work(_) | Stated::Datum(..) => &[],
        }
    }

    pub(in crate::evaluate) fn report_solution(
        &mut self,
        symbol: SymbolId,
        place: Span,
        why: &str,
    ) {
        let key = &self.resolved.symbols.symbol(symbol).key;
        self.diagnostics.push(
            Diagnostic::error(
                Code::A07,
                place,
                format!("with these data the formula for `{key}` {why}"),
            )
            .with_help(format!(
                "`{key} = ? from label near …`, which solves the equation with the data"
            )),
        );
    }
}

/// Values with those of what was solved for.
struct Together<'v> {
    own: Vec<(SymbolId, Value)>,
    values: &'v dyn Values,
}

impl Values for Together<'_> {
    fn value(&self, symbol: SymbolId) -> Option<&Value> {
        let own = self.own.iter().find(|(known, _)| *known == symbol);
        own.map(|(_, value)| value)
            .or_else(|| self.values.value(symbol))
    }

    fn beneath(&self) -> Option<&dyn Values> {
        Some(self.values)
    }
}
