//! The numbers that are put in for the symbols of a line.
//!
//! What is printed gives the result when it is keyed in as it stands: calls are written out, units
//! cohere, and numbers have the digits that the result needs.

mod cohere;
mod operands;
mod shown;
mod written;

use std::sync::Arc;

use cohere::{Choice, Line};
use operands::Operand;

use super::build::Builder;
use super::model::{PutIn, Shown};
use crate::dimensions::{Counts, Reading, Type};
use crate::document::Numbers;
use crate::evaluate::Program;
use crate::quantity::Exponent;
use crate::resolve::{Expr, Shape};
use crate::syntax::ATMOSPHERE;
use crate::text::Span;

impl Builder<'_> {
    /// The numbers to put in for the symbols of formulas that all give a result; `None` where that
    /// would show nothing new. The `lead` is what stands left of them, where it is no name.
    pub(super) fn put_in(
        &self,
        problem: usize,
        (lead, members): (Option<&Expr>, &[Expr]),
        (found, turns): (&Type, Exponent),
        shown: &Shown,
    ) -> Option<PutIn> {
        let atmosphere = self.resolved.symbols.find(problem, ATMOSPHERE);
        let formulas = || lead.into_iter().chain(members);
        let is_worthwhile = formulas().any(|formula| formula.inside().as_symbol().is_none());
        if !is_worthwhile || formulas().any(operands::is_of_uncertainty) {
            return None;
        }
        let written: Vec<Option<Expr>> = (members.iter())
            .map(|member| self.written_out(member, atmosphere))
            .collect();
        let is_other = written.iter().any(Option::is_some);
        let own = written.into_iter().zip(members);
        let own: Vec<Expr> = own
            .map(|(own, member)| own.unwrap_or_else(|| member.clone()))
            .collect();
        let formulas: Vec<Expr> = lead.into_iter().chain(&own).cloned().collect();
        let mut operands = self.operands(&formulas);
        if operands
            .iter()
            .any(|operand| operand.shown.shape == Shape::List)
        {
            return None;
        }
        let compile = |formula: &Expr| self.results.compile(formula, &self.formulas, atmosphere);
        let turned = |program: Program| program.turned(turns, formulas[0].span);
        let plain: Vec<Program> = formulas.iter().map(compile).collect();
        let programs: Vec<Program> = plain.iter().cloned().map(turned).collect();
        let given = operands.clone();
        let line = Line {
            formulas: &formulas,
            operands: &given,
            found,
            result: shown,
            values: self.results,
            compile: &compile,
            programs: &programs,
            plain: &plain,
            turned: &turned,
            expected: Default::default(),
        };
        let choice = line.choice(self.front.numbers == Numbers::BaseUnits);
        let choice = choice.unwrap_or_default();
        let literals = self.in_units(&mut operands, &formulas, &choice);
        let between = (choice.between.as_ref()).map(|unit| shown::between(shown, unit));
        let target = between.as_ref().filter(|it| !it.digits.is_empty());
        line.guard(&mut operands, &choice, target.unwrap_or(shown));
        let mut operands: Vec<_> = (operands.into_iter())
            .map(|operand| {
                let unit = choice.of(&operand.shown.unit);
                let shown = match unit.and_then(|unit| shown::shifted(&operand.shown, unit)) {
                    Some(shifted) => Arc::new(shifted),
                    None => operand.shown,
                };
                (operand.symbol, shown)
            })
            .collect();
        // They are kept where the operands were, which took more room.
        operands.shrink_to_fit();
        Some(PutIn {
            members: is_other.then_some(own),
            operands,
            literals,
            between: between.map(Arc::new),
        })
    }

    /// What stands for the symbols of formulas, as it was printed.
    fn operands(&self, formulas: &[Expr]) -> Vec<Operand> {
        let mut operands: Vec<Operand> = Vec::new();
        for formula in formulas {
            formula.for_each_symbol(&mut |symbol, _| {
                if operands.iter().any(|operand| operand.symbol == symbol) {
                    return;
                }
                if let Some(shown) = self.tables.shown.get(symbol) {
                    let found = self.checked.symbols.get(symbol);
                    operands.push(Operand {
                        symbol,
                        shown: Arc::clone(shown),
                        reading: found.map_or(Reading::Plain, |found| found.reading),
                        counts: found.map_or(Counts::NOTHING, |found| found.counts),
                    });
                }
            });
        }
        operands
    }

    /// Shows numbers in other units where these have digits of their own there, and gives those
    /// that the formulas write themselves.
    fn in_units(
        &self,
        operands: &mut [Operand],
        formulas: &[Expr],
        choice: &Choice,
    ) -> Vec<(Span, Arc<Shown>)> {
        for operand in operands {
            if let Some(unit) = choice.of(&operand.shown.unit)
                && shown::shifted(&operand.shown, unit).is_none()
            {
                shown::convert(Arc::make_mut(&mut operand.shown), unit);
            }
        }
        let mut literals = Vec::new();
        for formula in formulas {
            cohere::for_each_quantity(formula, &mut |quantity| {
                if let Some(unit) = choice.of(&quantity.unit) {
                    let shown = shown::literal(self.text, quantity, unit);
                    literals.push((quantity.number, Arc::new(shown)));
                }
            });
        }
        literals
    }
}
