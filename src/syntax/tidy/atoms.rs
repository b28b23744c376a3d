//! The parts of a statement that are never touched: names, numbers with their units, labels.
//!
//! In goes the tree of a statement, out come places in order, none within another.

use super::super::{
    Ask, Check, Condition, Expr, ExprKind, Literal, Name, Start, Statement, Tail, UnitExpr, Way,
    Word,
};
use crate::text::Span;

/// The places of all parts that are kept byte for byte.
pub(super) fn of(statement: &Statement) -> Vec<Span> {
    let mut atoms = Atoms(Vec::new());
    atoms.statement(statement);
    let mut places = atoms.0;
    places.retain(|place| !place.is_empty());
    places.sort_by_key(|place| (place.start, std::cmp::Reverse(place.end)));
    let mut end = 0;
    places.retain(|place| {
        let outside = place.start >= end;
        end = end.max(place.end);
        outside
    });
    places
}

struct Atoms(Vec<Span>);

impl Atoms {
    fn statement(&mut self, statement: &Statement) {
        match statement {
            Statement::Chain(chain) => {
                self.exprs(&chain.members);
                self.tail(&chain.tail);
                self.conditions(&chain.conditions);
                if let Some(from) = &chain.from {
                    self.word(&from.label);
                    self.start(&from.start);
                }
            }
            Statement::Required(required) => {
                self.name(&required.name);
                self.ask(&required.ask);
                let words = required.positive.iter().chain(&required.negative);
                words.for_each(|word| self.word(word));
            }
            Statement::Check(check) => self.check(check),
            Statement::Answer(answer) => {
                self.expr(&answer.expr);
                answer.ask.iter().for_each(|ask| self.ask(ask));
                answer.filled.iter().for_each(|it| self.literal(it));
            }
            Statement::Therefore(step) => self.exprs(&step.members),
            Statement::Solve(solve) => {
                solve.labels.iter().for_each(|label| self.word(label));
                for unknown in &solve.unknowns {
                    self.name(&unknown.name);
                    self.start(&unknown.start);
                }
                solve.conditions.iter().for_each(|it| self.check(it));
            }
            Statement::Component(component) => self.word(&component.label),
            Statement::Trend(trend) => {
                self.expr(&trend.subject);
                self.name(&trend.with);
                if let Way::Power(Some(exponent)) = &trend.way {
                    self.expr(exponent);
                }
                trend.within.iter().for_each(|it| self.expr(it));
            }
            Statement::Limit(limit) => {
                self.expr(&limit.subject);
                self.expr(&limit.value);
                self.name(&limit.with);
                self.expr(&limit.at);
            }
            Statement::Sensitivity(expr) => self.expr(expr),
            Statement::ShowDimensions | Statement::Broken(_) => {}
        }
    }

    fn tail(&mut self, tail: &Tail) {
        match tail {
            Tail::None => {}
            Tail::Ask(ask) => self.ask(ask),
            Tail::Filled(literal, ask) => {
                self.literal(literal);
                self.ask(ask);
            }
            Tail::Claim(literal) => self.literal(literal),
        }
    }

    fn conditions(&mut self, conditions: &[Condition]) {
        for condition in conditions {
            self.name(&condition.name);
            self.expr(&condition.value);
        }
    }

    fn start(&mut self, start: &Start) {
        start.values().for_each(|value| self.expr(value));
    }

    fn check(&mut self, check: &Check) {
        self.exprs(&check.members);
        check.within.iter().for_each(|it| self.expr(it));
    }

    fn exprs(&mut self, exprs: &[Expr]) {
        exprs.iter().for_each(|expr| self.expr(expr));
    }

    fn expr(&mut self, expr: &Expr) {
        match &expr.kind {
            ExprKind::Number(number) => self.0.push(number.span),
            ExprKind::Quantity(literal) => self.literal(literal),
            ExprKind::Name(name) => self.name(name),
            ExprKind::Component(..) | ExprKind::Constant(_) => self.0.push(expr.span),
            ExprKind::Call { name, .. } => self.name(name),
            _ => {}
        }
        expr.for_each_part(&mut |part| self.expr(part));
    }

    fn ask(&mut self, ask: &Ask) {
        ask.unit.iter().for_each(|unit| self.unit(unit));
    }

    fn unit(&mut self, unit: &UnitExpr) {
        self.0.push(unit.span);
    }

    fn literal(&mut self, literal: &Literal) {
        self.0.push(literal.span);
    }

    fn name(&mut self, name: &Name) {
        self.0.push(name.span);
    }

    fn word(&mut self, word: &Word) {
        self.0.push(word.span);
    }
}
