//! A formula that was solved for, held against the equations it solves.

use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::value;
use crate::evaluate::walk::Walk;
use crate::resolve::statement::Origin;
use crate::resolve::{Expr, Stated, SymbolId};
use crate::text::Span;

impl Walk<'_> {
    /// Whether a value that a solved formula gives satisfies the equation and the range at the
    /// data; a root that squaring has brought in, or another angle than was meant, is reported.
    pub(super) fn is_solution(
        &mut self,
        origin: Origin,
        symbol: SymbolId,
        value: f64,
        place: Span,
    ) -> bool {
        let value = value / self.checked.turns(symbol);
        let resolved = self.resolved;
        let statement = |origin: Origin| {
            let block = resolved.blocks.get(origin.block)?;
            block.get(origin.statement)
        };
        let stated = |origin: Origin| statement(origin).map(|line| line.facts().stated);
        let Some(Stated::Solved(solved)) = stated(origin) else {
            return true;
        };
        let at = solved
            .unknowns
            .iter()
            .position(|unknown| *unknown == symbol);
        let range = at.and_then(|at| solved.ranges.get(at).copied().flatten());
        let slack = 1e-9 * value.abs();
        if range.is_some_and(|(low, high)| value < low - slack || value > high + slack) {
            self.report_solution(symbol, place, "lies outside the range that was asked");
            return false;
        }
        let sides: Vec<[&Expr; 2]> = (solved.origins.iter())
            .filter_map(|origin| match stated(*origin)? {
                Stated::Sides(members) => {
                    let (first, rest) = members.split_first()?;
                    Some(
                        rest.iter()
                            .map(move |side| [first, side])
                            .collect::<Vec<_>>(),
                    )
                }
                Stated::Nothing | Stated::Solved(_) | Stated::Work(_) | Stated::Datum(..) => None,
            })
            .flatten()
            .collect();
        for [left, right] in sides {
            let programs = [self.compile(left), self.compile(right)];
            if !self.missing(&programs).is_empty() {
                continue;
            }
            let [one, other] = programs.map(|program| {
                let found = value::run(&program, &self.results);
                found.map_or(f64::NAN, |value| value.at(0))
            });
            let terms = self.largest_term(left, 0).max(self.largest_term(right, 0));
            let size = one.abs().max(other.abs()).max(terms);
            // Not a number where a side has no value there.
            if (one - other).abs() <= 1e-6 * size {
                continue;
            }
            self.report_solution(symbol, place, "does not satisfy the equation");
            return false;
        }
        true
    }

    fn report_solution(&mut self, symbol: SymbolId, place: Span, why: &str) {
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
