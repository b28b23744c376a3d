//! What is printed of each kind of statement.

use std::sync::Arc;

use super::build::Builder;
use super::model::{Body, Shown, Work};
use super::show;
use crate::dimensions::Type;
use crate::evaluate::Value;
use crate::quantity::Unit;
use crate::resolve::statement::{Ask, Condition, Tail};
use crate::resolve::{Expr, ExprKind, Kind, SymbolId, statement};
use crate::syntax::Precision;

impl<'a> Builder<'a> {
    pub(super) fn given(
        &mut self,
        problem: usize,
        statement: &statement::Statement,
        value: &Expr,
        result: &Value,
        found: &Type,
    ) -> Body {
        let Some(symbol) = statement.defines else {
            return Body::Refused;
        };
        let (shown, formula) = match &value.kind {
            ExprKind::Quantity(quantity) => (show::literal(self.text, quantity, result), None),
            ExprKind::Number(number) => (show::number(value.span.of(self.text), *number), None),
            ExprKind::Constant(constant) => (constant_shown(constant), Some(value.clone())),
            _ => {
                let shown = self.result(problem, result, found, &Ask::default());
                (shown, Some(value.clone()))
            }
        };
        let shown = Arc::new(shown);
        self.tables.shown.insert(symbol, Arc::clone(&shown));
        Body::Given {
            symbol,
            formula,
            shown,
        }
    }

    pub(super) fn work(
        &mut self,
        problem: usize,
        statement: &'a statement::Statement,
        kind: &'a Kind,
        result: &Value,
        found: &Type,
    ) -> Body {
        let Kind::Work {
            lead,
            members,
            from,
            tail,
            conditions,
            ..
        } = kind
        else {
            return Body::Refused;
        };
        let mut shown = self.work_shown(problem, lead, tail, result, found);
        if members.first().is_some_and(is_count) && is_automatic(tail) {
            shown.digits = (shown.values.iter())
                .map(|value| crate::quantity::to_decimals(*value, 0))
                .collect();
        }
        let shown = Arc::new(shown);
        if let Some(symbol) = statement.defines {
            self.tables.shown.insert(symbol, Arc::clone(&shown));
        }
        Body::Work(Box::new(Work {
            lead: lead.clone(),
            members: members.clone(),
            from: *from,
            convergence: None,
            conditions: self.conditions(conditions),
            operands: Vec::new(),
            shown,
            claim: match tail {
                Tail::Claim(literal) => Some(claim_shown(self.text, literal)),
                _ => None,
            },
        }))
    }

    pub(super) fn work_shown(
        &self,
        problem: usize,
        lead: &Expr,
        tail: &Tail,
        result: &Value,
        found: &Type,
    ) -> Shown {
        match tail {
            Tail::Ask(ask) | Tail::Filled(_, ask) => {
                let ask = self.with_unit(lead, ask);
                self.result(problem, result, found, &ask)
            }
            Tail::None => {
                let ask = self.with_unit(lead, &Ask::default());
                self.result(problem, result, found, &ask)
            }
            Tail::Claim(literal) => {
                let ask = Ask {
                    unit: Some(literal.unit.clone()),
                    datum: literal.datum,
                    precision: claim_precision(literal.number.of(self.text)),
                    span: literal.span,
                };
                self.result(problem, result, found, &ask)
            }
        }
    }

    /// An ask without a unit takes the one that `required` names, or the one the name was
    /// printed in before.
    pub fn with_unit(&self, expr: &Expr, ask: &Ask) -> Ask {
        let symbol = match &expr.inside().kind {
            ExprKind::Symbol(symbol) => Some(*symbol),
            ExprKind::Abs(inner) => inner.as_symbol(),
            _ => None,
        };
        let (None, Some(symbol)) = (&ask.unit, symbol) else {
            return ask.clone();
        };
        let wanted = self.tables.wanted.get(&symbol);
        let unit = wanted
            .and_then(|wanted| wanted.ask.unit.clone())
            .or_else(|| Some(self.tables.shown.get(&symbol)?.unit.clone()));
        Ask {
            unit,
            datum: ask.datum.or(wanted.and_then(|wanted| wanted.ask.datum)),
            precision: ask
                .precision
                .or(wanted.and_then(|wanted| wanted.ask.precision)),
            span: ask.span,
        }
    }

    /// A value that was printed before is printed the same way again, unless it is asked
    /// otherwise.
    pub fn asked(
        &self,
        problem: usize,
        expr: &Expr,
        ask: &Ask,
        result: &Value,
        found: &Type,
    ) -> Shown {
        if let (Some(symbol), None) = (expr.inside().as_symbol(), ask.precision)
            && let Some(shown) = self.tables.shown.get(&symbol)
            && shown.si == result.rows
            && ask.unit.as_ref().is_none_or(|unit| *unit == shown.unit)
        {
            return Shown::clone(shown);
        }
        self.result(problem, result, found, &self.with_unit(expr, ask))
    }

    /// The replaced givens, as the author wrote them.
    pub fn conditions(&self, conditions: &[Condition]) -> Vec<(SymbolId, Shown)> {
        conditions
            .iter()
            .filter_map(|condition| {
                let shown = match &condition.value.kind {
                    ExprKind::Quantity(quantity) => {
                        let si = quantity
                            .values
                            .iter()
                            .map(|value| quantity.unit.to_si(*value))
                            .collect();
                        let value = Value {
                            rows: si,
                            shape: quantity.shape,
                            gradients: Vec::new(),
                        };
                        show::literal(self.text, quantity, &value)
                    }
                    ExprKind::Number(number) => {
                        show::number(condition.value.span.of(self.text), *number)
                    }
                    _ => Shown::clone(self.tables.shown.get(&condition.symbol)?),
                };
                Some((condition.symbol, shown))
            })
            .collect()
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "the parts of one statement and its outcome"
    )]
    pub(super) fn check(
        &self,
        problem: usize,
        members: &[Expr],
        relations: &[crate::syntax::Relation],
        within: Option<&Expr>,
        values: &[Value],
        holds: bool,
        found: &Type,
    ) -> Body {
        // All sides are shown in the unit of the first that has one, so that they compare.
        let unit = members.iter().find_map(|member| {
            Some(
                self.tables
                    .shown
                    .get(&member.inside().as_symbol()?)?
                    .unit
                    .clone(),
            )
        });
        let ask = Ask {
            unit,
            ..Ask::default()
        };
        let shown = members
            .iter()
            .zip(values)
            .map(|(member, value)| {
                let shown = match &member.kind {
                    ExprKind::Quantity(quantity) => show::literal(self.text, quantity, value),
                    ExprKind::Number(number) => show::number(member.span.of(self.text), *number),
                    _ => self.asked(problem, member, &ask, value, found),
                };
                (member.clone(), shown)
            })
            .collect();
        Body::Check {
            members: shown,
            relations: relations.to_vec(),
            within: within.cloned(),
            holds,
        }
    }

    pub(super) fn answer(
        &self,
        problem: usize,
        expr: &Expr,
        ask: &Ask,
        result: &Value,
        found: &Type,
    ) -> Body {
        let shown = self.asked(problem, expr, ask, result, found);
        let wanted = expr
            .inside()
            .as_symbol()
            .and_then(|symbol| self.tables.wanted.get(&symbol));
        let direction = wanted.and_then(|wanted| {
            let word = match result.at(0) {
                value if value > 0.0 => wanted.positive.as_ref(),
                value if value < 0.0 => wanted.negative.as_ref(),
                _ => None,
            }?;
            let mut size = result.clone();
            size.rows.iter_mut().for_each(|value| *value = value.abs());
            let ask = Ask {
                unit: Some(shown.unit.clone()),
                precision: ask
                    .precision
                    .or((shown.figures > 0).then_some(Precision::Figures(shown.figures))),
                ..ask.clone()
            };
            Some(Box::new((
                word.to_string(),
                self.result(problem, &size, found, &ask),
            )))
        });
        Body::Answer {
            expr: expr.clone(),
            shown: Box::new(shown),
            direction,
        }
    }
}

/// Whether a formula rounds to a whole number, which then prints as one.
fn is_count(expr: &Expr) -> bool {
    match expr.inside().kind {
        ExprKind::Call { function, .. } => function.is_whole(),
        _ => false,
    }
}

/// Whether the digits of a result are left to the engine.
fn is_automatic(tail: &Tail) -> bool {
    match tail {
        Tail::None => true,
        Tail::Ask(ask) | Tail::Filled(_, ask) => ask.precision.is_none(),
        Tail::Claim(_) => false,
    }
}

/// A claim as the author wrote it.
fn claim_shown(text: &str, literal: &statement::Literal) -> Shown {
    Shown {
        si: literal
            .values
            .iter()
            .map(|value| literal.unit.to_si(*value))
            .collect(),
        unit: literal.unit.clone(),
        ..show::number(
            literal.number.of(text),
            literal.values.first().copied().unwrap_or(f64::NAN),
        )
    }
}

/// A claim is printed to the places it was written with.
fn claim_precision(text: &str) -> Option<Precision> {
    let place = crate::quantity::written_precision(text)?;
    let decimals = crate::quantity::decimals_of(place);
    (0..=15)
        .contains(&decimals)
        .then_some(Precision::Decimals(decimals as u8))
}

/// A constant with all its published digits.
fn constant_shown(constant: &crate::quantity::Constant) -> Shown {
    let shortest = format!("{:e}", constant.value);
    let digits = shortest
        .split('e')
        .next()
        .unwrap_or("")
        .bytes()
        .filter(u8::is_ascii_digit)
        .count();
    let figures = digits.clamp(1, 17) as u8;
    Shown {
        unit: Unit::from_source(constant.unit).unwrap_or_else(|_| Unit::one()),
        digits: vec![crate::quantity::to_figures(constant.value, figures)],
        written: None,
        figures,
        ..show::number("", constant.value)
    }
}
