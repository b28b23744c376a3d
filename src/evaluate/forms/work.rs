//! Chains of equals: the first formula gives the value, the others verify it.

use crate::diagnostic::{Code, Diagnostic, Note};
use crate::dimensions::Type;
use crate::evaluate::definitions::Definition;
use crate::evaluate::program::Program;
use crate::evaluate::value::{self, Value};
use crate::evaluate::walk::{Lack, Walk};
use crate::evaluate::{convert, mend};
use crate::quantity::{self, Family, Unit};
use crate::resolve::statement::{Tail, Work};
use crate::resolve::{Expr, ExprKind, Resolved, Shape, Statement, SymbolId};
use crate::text::Span;

impl Walk<'_> {
    /// A definition: the first formula gives the value, the others verify it.
    pub(super) fn define(
        &mut self,
        statement: &Statement,
        members: &[Expr],
        found: &Type,
    ) -> Result<Value, Lack> {
        let turns = statement
            .defines
            .map_or(1.0, |symbol| self.checked.turns(symbol));
        let programs: Vec<Program> = (members.iter())
            .map(|member| self.compile(member).scaled(turns, member.span))
            .collect();
        self.needs(&programs, &[])?;
        let value = self.verified(statement, members, &programs, found)?;
        if let (Some(symbol), Some(first)) = (statement.defines, programs.into_iter().next()) {
            if value.shape == Shape::List && !is_list_name(self.resolved, symbol) {
                self.report_list_name(statement, symbol);
                return Err(Lack::Refused);
            }
            let definition = Definition::Formula {
                symbol,
                program: first,
            };
            self.know(definition, std::slice::from_ref(&value));
        }
        Ok(value)
    }

    fn report_list_name(&mut self, statement: &Statement, symbol: SymbolId) {
        let key = &self.resolved.symbols.symbol(symbol).key;
        self.diagnostics.push(
            Diagnostic::error(
                Code::N09,
                statement.span,
                format!("`{key}` is a list, but its name does not end in `_i`"),
            )
            .with_help(format!("`{key}_i = …`"))
            .with_fixes(mend::list_name(self.text, &self.resolved.symbols, symbol)),
        );
    }

    /// The value of the first formula, when all the others agree with it.
    fn verified(
        &mut self,
        statement: &Statement,
        members: &[Expr],
        programs: &[Program],
        found: &Type,
    ) -> Result<Value, Lack> {
        let mut values = Vec::with_capacity(programs.len());
        for program in programs {
            values.push(self.run(program)?);
        }
        let first = values.first().ok_or(Lack::Refused)?.clone();
        for (at, value) in values.iter().enumerate().skip(1) {
            if !self.agree(&members[0], &members[at], &first, value) {
                let unit = shown_unit(statement, found, first.at(0));
                let sides = [(&members[0], &first), (&members[at], value)];
                self.report_disagreement(sides, found, &unit);
                return Err(Lack::Refused);
            }
        }
        Ok(first)
    }

    /// Relative 1e-9; where large terms nearly cancel, 1e-12 of the largest term.
    fn agree(&self, left: &Expr, right: &Expr, one: &Value, other: &Value) -> bool {
        let rows = one.rows.len().max(other.rows.len());
        (0..rows).all(|row| {
            let (a, b) = (one.at(row), other.at(row));
            let difference = (a - b).abs();
            difference <= 1e-9 * a.abs().max(b.abs())
                || difference
                    <= 1e-12
                        * self
                            .largest_term(left, row)
                            .max(self.largest_term(right, row))
        })
    }

    fn report_disagreement(&mut self, sides: [(&Expr, &Value); 2], found: &Type, unit: &Unit) {
        let [(left, one), (right, other)] = sides;
        let text = |expr: &Expr| expr.span.of(self.text);
        let shown = |value: &Value| {
            let size = convert::in_unit(value.at(0), found.reading, found.counts, unit);
            format!("{} {}", quantity::to_figures(size, 6).text(), unit.text())
        };
        let message = format!(
            "`{}` and `{}` do not agree: {} and {}",
            text(left),
            text(right),
            shown(one).trim_end(),
            shown(other).trim_end()
        );
        self.diagnostics.push(
            Diagnostic::error(Code::E05, right.span, message)
                .with_note("the first formula", left.span)
                .with_help("the member that is wrong put right, or a line of its own for it"),
        );
    }

    /// A chain of `work`, whose value is a solution and what is claimed.
    pub(super) fn work(
        &mut self,
        statement: &Statement,
        work: &Work,
        found: &Type,
    ) -> Result<Value, Lack> {
        (work.members.iter()).for_each(|member| self.number_inputs(member));
        let result = match statement.defines {
            Some(_) if work.conditions.is_empty() => self.define(statement, &work.members, found),
            _ => self.ask(statement, work, found),
        };
        if let (Ok(value), Tail::Claim(claim)) = (&result, &work.tail) {
            self.claim(value, found, claim);
        }
        if work.origin.is_some() && result == Err(Lack::Refused) {
            self.place_last(work.lead.span);
        }
        let value = result?;
        if let (Some(origin), Some(symbol)) = (work.origin, statement.defines)
            && !self.is_solution(origin, symbol, value.at(0), work.lead.span)
        {
            self.forget(symbol);
            return Err(Lack::Refused);
        }
        Ok(value)
    }

    /// A restated formula fails where it is asked, not where it stands.
    fn place_last(&mut self, span: Span) {
        if let Some(diagnostic) = self.diagnostics.last_mut() {
            let stands = std::mem::replace(&mut diagnostic.span, span);
            diagnostic.notes.push(Note {
                message: "the formula stands here".to_owned(),
                span: Some(stands),
            });
        }
    }

    /// A chain that defines nothing: an ask of an expression, or a what-if.
    fn ask(&mut self, statement: &Statement, work: &Work, found: &Type) -> Result<Value, Lack> {
        if !work.conditions.is_empty() {
            let asked = work.members.first().unwrap_or(&work.lead);
            return self.expr(asked, &work.conditions);
        }
        let mut all = vec![work.lead.clone()];
        all.extend_from_slice(&work.members);
        self.define(statement, &all, found)
    }

    pub(super) fn largest_term(&self, expr: &Expr, row: usize) -> f64 {
        let ExprKind::Sum(terms) = &expr.inside().kind else {
            return 0.0;
        };
        let size = |expr: &Expr| {
            let value = value::run(&self.compile(expr), &self.results);
            value.map_or(0.0, |value| value.at(row).abs())
        };
        terms
            .iter()
            .map(|term| size(&term.expr))
            .fold(0.0, f64::max)
    }
}

/// The unit in which a statement shows its value.
fn shown_unit(statement: &Statement, found: &Type, si: f64) -> Unit {
    statement.facts().unit.cloned().unwrap_or_else(|| {
        let dimension = found.form.dimension().unwrap_or_default();
        quantity::automatic(dimension, Family::Si, &[], si)
    })
}

fn is_list_name(resolved: &Resolved, symbol: SymbolId) -> bool {
    resolved.symbols.symbol(symbol).key.ends_with("_i")
}
