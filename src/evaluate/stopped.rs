//! Why a value could not be had, in the author's words.

use super::definitions::Stop;
use super::said::{Barred, Disagreement};
use super::walk::Walk;
use super::{convert, unsolved};
use crate::algebra::Sign;
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::Type;
use crate::proofs::Proviso;
use crate::quantity::{self, Unit};
use crate::resolve::SymbolId;
use crate::text::Span;

impl Walk<'_> {
    /// Reports why a value could not be had with other data.
    pub(super) fn report_stop(&mut self, stop: Stop, place: Span) {
        let diagnostic = match stop {
            Stop::Fault(fault) => self.of_fault(fault, Some(place)),
            Stop::Unsolved(unsolved, symbols) => {
                let names: Vec<String> = symbols
                    .iter()
                    .map(|symbol| self.resolved.symbols.symbol(*symbol).key.to_string())
                    .collect();
                let shown = |at: usize, value: f64| {
                    symbols
                        .get(at)
                        .map_or_else(String::new, |symbol| self.shown_as(*symbol, value))
                };
                unsolved::diagnostic(
                    &unsolved,
                    &unsolved::Line {
                        place,
                        unknowns: &names,
                        shown: &shown,
                        stopped: &|fault| self.of_fault(fault, Some(place)),
                    },
                )
            }
            Stop::Disagree(found) => self.disagreement_elsewhere(&found, place),
            Stop::Barred(barred) => self.barred(&barred, place),
            Stop::NoSolution(symbol, why) => return self.report_solution(symbol, place, why),
        };
        self.diagnostics.push(diagnostic);
    }

    /// Members that agree with the data, but not with other data.
    fn disagreement_elsewhere(&self, found: &Disagreement, place: Span) -> Diagnostic {
        let [(left, one), (right, other)] = &found.sides;
        let text = |span: &Span| span.of(self.text);
        let [first, second] = apart(one.at(found.row), other.at(found.row));
        let how = if first == second {
            "agree here, but not where the data change".to_owned()
        } else {
            format!("agree with the data, but not here: {first} and {second} in SI units")
        };
        Diagnostic::error(
            Code::E05,
            place,
            format!("`{}` and `{}` {how}", text(left), text(right)),
        )
        .with_note("the first formula", *left)
        .with_note("the other formula", *right)
        .with_help("the formula that is right for these data only left out, or put right")
    }

    /// Members that do not agree with the data.
    pub(super) fn disagreement(
        &self,
        found: &Disagreement,
        what: &Type,
        unit: &Unit,
    ) -> Diagnostic {
        let [(left, one), (right, other)] = &found.sides;
        let text = |span: &Span| span.of(self.text);
        let size = |value: f64| convert::in_unit(value, what.reading, what.counts, unit);
        let [first, second] = apart(size(one.at(found.row)), size(other.at(found.row)));
        let shown = |number: String| format!("{number} {}", unit.text()).trim_end().to_owned();
        let how = if first == second {
            "give the same value, but go another way with what is uncertain".to_owned()
        } else {
            format!("do not agree: {} and {}", shown(first), shown(second))
        };
        let message = format!("`{}` and `{}` {how}", text(left), text(right));
        Diagnostic::error(Code::E05, *right, message).with_note("the first formula", *left)
    }

    /// A step that holds only with what the data are.
    pub(super) fn barred(&self, barred: &Barred, place: Span) -> Diagnostic {
        let key = |symbol: SymbolId| &*self.resolved.symbols.symbol(symbol).key;
        let step = barred.provided.step;
        let block = self.resolved.blocks.get(step.block);
        let line = block.and_then(|block| block.get(step.statement));
        let line = line.map_or_else(Span::default, |line| line.span);
        let only = match &barred.provided.proviso {
            Proviso::Value(symbol) => format!("with the value that `{}` is given", key(*symbol)),
            Proviso::Definition(symbol) => {
                format!("with what `{}` is defined to be", key(*symbol))
            }
            Proviso::Sign(symbol, sign) => format!("where `{}` is {}", key(*symbol), words(*sign)),
            Proviso::Undecided => "with the given data, as far as is known".to_owned(),
            Proviso::NotZero(_) => "where what it divides by is not zero".to_owned(),
            Proviso::Equation(origin) => {
                let sides = self.sides_of(*origin).iter().map(|side| side.span);
                let equation = sides.reduce(Span::cover).unwrap_or_default();
                format!("where `{}`", equation.of(self.text))
            }
        };
        let name = barred.symbol.map_or("what follows from it", key);
        Diagnostic::error(
            Code::A08,
            place,
            format!(
                "`{}` holds only {only}, which is not so here",
                line.of(self.text)
            ),
        )
        .with_note("this step is what is used", line)
        .with_help(format!(
            "an equation above that step with `{name}` alone on one side, which is then taken"
        ))
    }
}

/// Two numbers to six figures, or to as many as it takes to tell them apart.
fn apart(one: f64, other: f64) -> [String; 2] {
    let shown = |figures: u8| [one, other].map(|it| quantity::to_figures(it, figures).text());
    (6..15)
        .map(shown)
        .find(|[first, second]| first != second)
        .unwrap_or_else(|| shown(6))
}

fn words(sign: Sign) -> &'static str {
    match (sign.negative, sign.zero, sign.positive) {
        (false, false, true) => "positive",
        (true, false, false) => "negative",
        (false, true, false) => "zero",
        (false, true, true) => "not negative",
        (true, true, false) => "not positive",
        (true, false, true) => "not zero",
        (true, true, true) | (false, false, false) => "what it is",
    }
}
