//! Chains of equals: the first formula gives the value, the others verify it.

use super::definitions::Definition;
use super::program::Program;
use super::value::{self, Value};
use super::walk::{Outcome, Walk};
use super::{convert, mend};
use crate::diagnostic::{Code, Diagnostic};
use crate::dimensions::Type;
use crate::quantity::{self, Family, Unit};
use crate::resolve::statement::{Condition, Tail};
use crate::resolve::{Expr, ExprKind, Kind, Resolved, Shape, Statement, SymbolId};

impl Walk<'_> {
    /// A definition: the first formula gives the value, the others verify it.
    pub(super) fn define(
        &mut self,
        statement: &Statement,
        members: &[Expr],
        found: &Type,
    ) -> Outcome {
        let programs: Vec<Program> = members.iter().map(|member| self.compile(member)).collect();
        let missing = self.missing(&programs);
        if !missing.is_empty() {
            return Outcome::Needs(missing);
        }
        let Some(value) = self.verified(statement, members, &programs, found) else {
            return Outcome::Failed;
        };
        if let (Some(symbol), Some(first)) = (statement.defines, programs.into_iter().next()) {
            if value.shape == Shape::List && !is_list_name(self.resolved, symbol) {
                self.report_list_name(statement, symbol);
                return Outcome::Failed;
            }
            let definition = Definition::Formula {
                symbol,
                program: first,
            };
            self.know(definition, std::slice::from_ref(&value));
        }
        Outcome::Value(value)
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
    ) -> Option<Value> {
        let mut values = Vec::with_capacity(programs.len());
        for program in programs {
            values.push(self.run(program)?);
        }
        let first = values.first()?.clone();
        for (at, value) in values.iter().enumerate().skip(1) {
            if !self.agree(&members[0], &members[at], &first, value) {
                let unit = shown_unit(statement, found, first.at(0));
                let sides = [(&members[0], &first), (&members[at], value)];
                self.report_disagreement(sides, found, &unit);
                return None;
            }
        }
        Some(first)
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
            let size = convert::in_unit(value.at(0), found.reading, unit);
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

    /// A chain that defines nothing: an ask of an expression, or a what-if.
    pub(super) fn ask(
        &mut self,
        statement: &Statement,
        lead: &Expr,
        members: &[Expr],
        conditions: &[Condition],
        found: &Type,
    ) -> Outcome {
        if !conditions.is_empty() {
            return self.expr(members.first().unwrap_or(lead), conditions);
        }
        let mut all = vec![lead.clone()];
        all.extend_from_slice(members);
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
    let asked = match &statement.kind {
        Some(Kind::Work { tail, .. }) => match tail {
            Tail::Ask(ask) | Tail::Filled(_, ask) => ask.unit.clone(),
            Tail::Claim(literal) => Some(literal.unit.clone()),
            Tail::None => None,
        },
        _ => None,
    };
    asked.unwrap_or_else(|| {
        let dimension = found.form.dimension().unwrap_or_default();
        quantity::automatic(dimension, Family::Si, &[], si)
    })
}

fn is_list_name(resolved: &Resolved, symbol: SymbolId) -> bool {
    resolved.symbols.symbol(symbol).key.ends_with("_i")
}
