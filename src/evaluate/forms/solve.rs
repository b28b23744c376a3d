//! A formula that was solved for, held against the equations it solves.

use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::program::Program;
use crate::evaluate::value::{self, Value, Values};
use crate::evaluate::walk::Walk;
use crate::evaluate::ways::Solution;
use crate::resolve::statement::{Origin, Solved};
use crate::resolve::{Stated, SymbolId};
use crate::text::Span;

impl Walk<'_> {
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
        let range = at.and_then(|at| solved.ranges.get(at).copied().flatten());
        let is_outside = |(low, high): (f64, f64)| {
            (value.rows.iter()).any(|value| {
                let slack = 1e-9 * value.abs();
                *value < low - slack || *value > high + slack
            })
        };
        if range.is_some_and(is_outside) {
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
}
