//! `g agrees with 9.81 m/s^2`, `r differs from 0`, `d conforms to at most 25 mm`: a result held
//! against a value by its uncertainty, in `check`.

use super::super::grammar::{Pair, Pairs, Rule};
use super::super::literal;
use super::super::reader::{Read, Reader, error};
use super::super::tokens::words;
use super::super::{Comparison, CoverageFactor, Expr, ExprKind, Held};
use super::Part;
use crate::diagnostic::Code;

impl Comparison<Expr> {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Expr(&self.subject));
        for side in self.held.sides() {
            take(Part::Expr(side));
        }
    }
}

/// The first of the words that join its parts, with its place.
pub(super) fn joined(body: &str) -> Option<(usize, &str)> {
    words(body).find(|(at, word)| *at > 0 && matches!(*word, "agrees" | "differs" | "conforms"))
}

impl Reader<'_> {
    /// `g agrees with 9.81 m/s^2 within k = 3`.
    pub(super) fn compared(&mut self, pairs: Pairs<'_>) -> Read<Comparison<Expr>> {
        let (mut subject, mut held, mut within) = (None, None, None);
        for pair in pairs {
            match pair.as_rule() {
                Rule::expr => subject = Some(self.expr(pair)?),
                Rule::agrees => held = self.one_side(pair)?.map(Held::Agrees),
                Rule::differs => held = self.one_side(pair)?.map(Held::Differs),
                Rule::conforms => held = self.tolerance(pair)?,
                Rule::within_factor => {
                    let factor = pair.into_inner().next();
                    within = factor.map(|it| self.factor(it)).transpose()?;
                }
                _ => {}
            }
        }
        match (subject, held) {
            (Some(subject), Some(held)) => Ok(Comparison {
                subject,
                held,
                within,
            }),
            _ => Err(self.nothing()),
        }
    }

    fn one_side(&mut self, pair: Pair<'_>) -> Read<Option<Expr>> {
        let mut parts = pair.into_inner();
        let side = parts.find(|it| matches!(it.as_rule(), Rule::expr | Rule::literal));
        side.map(|side| self.held_against(side)).transpose()
    }

    /// A plain number is one as in a formula: 0 goes with every dimension.
    fn held_against(&mut self, side: Pair<'_>) -> Read<Expr> {
        let value = self.value(side)?;
        let plain = match &value.kind {
            ExprKind::Quantity(literal) => literal.plain(),
            _ => None,
        };
        Ok(match plain {
            Some(number) => Expr {
                span: value.span,
                kind: ExprKind::Number(number),
            },
            None => value,
        })
    }

    fn tolerance(&mut self, pair: Pair<'_>) -> Read<Option<Held<Expr>>> {
        let (mut limits, mut rule) = (Vec::new(), Rule::limits);
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::at_least | Rule::at_most | Rule::limits => {
                    rule = part.as_rule();
                    for side in part.into_inner() {
                        if matches!(side.as_rule(), Rule::expr | Rule::literal) {
                            limits.push(self.held_against(side)?);
                        }
                    }
                }
                _ => {}
            }
        }
        let mut limits = limits.into_iter();
        let (first, second) = (limits.next(), limits.next());
        Ok(match rule {
            Rule::at_most => first.map(|high| Held::Conforms(None, Some(high))),
            _ => first.map(|low| Held::Conforms(Some(low), second)),
        })
    }

    /// `k = 2`, `coverage factor 2`.
    pub(super) fn factor(&self, pair: Pair<'_>) -> Read<CoverageFactor> {
        let span = self.span(&pair);
        let in_words = !self.slice(span).contains('=');
        let value = match pair.into_inner().next() {
            Some(number) => literal::number(&number, self.start)?.value,
            None => 0.0,
        };
        match value > 0.0 {
            true => Ok(CoverageFactor {
                span,
                value,
                in_words,
            }),
            false => Err(error(
                Code::Q02,
                span,
                "a coverage factor is above 0".to_owned(),
                "`k = 2`".to_owned(),
            )),
        }
    }
}
