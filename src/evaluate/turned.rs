//! Angles that jump: a list that comes from `atan2` and spans more than half of its period.

use super::value;
use super::walk::Walk;
use crate::diagnostic::{Code, Diagnostic};
use crate::functions::Function;
use crate::resolve::{Expr, ExprKind, Factor, Kind};
use crate::syntax::Operator;
use crate::text::Span;

/// How deep names are looked into.
const MOST_LEVELS: usize = 40;

impl Walk<'_> {
    /// Warns of the mean of a list that jumps.
    pub(super) fn jumps(&mut self, place: Span, list: &Expr) {
        let Some(period) = self.period(list, MOST_LEVELS) else {
            return;
        };
        let before = self.diagnostics.len();
        let value = self.expr(list, &[]);
        // What is wrong with it is said where it is evaluated.
        self.diagnostics.truncate(before);
        let Ok(value) = value else { return };
        let rows = || value.present().map(|(_, number)| number);
        let span = rows().fold(f64::MIN, f64::max) - rows().fold(f64::MAX, f64::min);
        let is_said = |said: &Diagnostic| said.code == Code::K22 && said.span == place;
        if span <= period / 2.0 || self.diagnostics.iter().any(is_said) {
            return;
        }
        let written = list.span.of(self.text);
        let degrees = period.to_degrees().round();
        self.diagnostics.push(
            Diagnostic::warning(
                Code::K22,
                place,
                format!("`{written}` spans more than half of {degrees}°: its mean has no meaning"),
            )
            .with_help("the components averaged first: `atan2(mean(a_i), mean(b_i))`"),
        );
    }

    /// After how much a list of angles begins again, where it comes from `atan2`.
    fn period(&self, expr: &Expr, levels: usize) -> Option<f64> {
        let levels = levels.checked_sub(1)?;
        match &expr.kind {
            ExprKind::Call {
                function: Function::Atan2,
                ..
            } => Some(std::f64::consts::TAU),
            ExprKind::Group(inner) | ExprKind::Negative(inner) | ExprKind::Where(inner, _) => {
                self.period(inner, levels)
            }
            ExprKind::Sum(terms) => {
                let own = terms
                    .iter()
                    .filter_map(|term| self.period(&term.expr, levels));
                own.reduce(f64::min)
            }
            ExprKind::Product(factors) => {
                let own = |(at, factor): (usize, &Factor)| {
                    let is_over = factor.operator == Operator::Divide;
                    let period = (!is_over).then(|| self.period(&factor.expr, levels))??;
                    Some((at, period))
                };
                let (angle, period) = factors.iter().enumerate().find_map(own)?;
                let others = factors.iter().enumerate().filter(|(at, _)| *at != angle);
                let times = others.map(|(_, factor)| {
                    let number = self.plain_number(&factor.expr)?;
                    Some(match factor.operator {
                        Operator::Divide => 1.0 / number,
                        Operator::Juxtapose | Operator::Times => number,
                    })
                });
                let times: f64 = times.product::<Option<f64>>()?;
                Some((period * times).abs())
            }
            ExprKind::Symbol(symbol) => {
                let lines = self.resolved.blocks.iter().flatten();
                let line = lines
                    .into_iter()
                    .find(|line| line.defines == Some(*symbol))?;
                match &line.kind {
                    Some(Kind::Work(work)) => self.period(work.members.first()?, levels),
                    _ => None,
                }
            }
            ExprKind::Number(_)
            | ExprKind::Numeral(_)
            | ExprKind::Quantity(_)
            | ExprKind::Pi
            | ExprKind::Parameter(_)
            | ExprKind::Constant(_)
            | ExprKind::Power(..)
            | ExprKind::Abs(_)
            | ExprKind::Call { .. }
            | ExprKind::Apply { .. }
            | ExprKind::List(_)
            | ExprKind::Vector(_)
            | ExprKind::Component(..)
            | ExprKind::Cases(_)
            | ExprKind::ReadOff(_) => None,
        }
    }

    /// The value of what is one number.
    fn plain_number(&self, expr: &Expr) -> Option<f64> {
        let program = self.compile(expr);
        if !self.missing(std::slice::from_ref(&program)).is_empty() {
            return None;
        }
        let value = value::run(&program, &self.results).ok()?;
        match value.rows.as_slice() {
            [only] => Some(*only),
            _ => None,
        }
    }
}
