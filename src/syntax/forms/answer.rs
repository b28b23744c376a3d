//! `R_x = ? kN to 3 figures`: a boxed answer, in `answer`.

use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader};
use super::super::{Expr, Literal};
use super::ask::{Ask, Asked};
use super::{Condition, Part, SignWords};

/// A line of `answer`: `name [= ? unit] [to N figures]`.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What is answered: a name, or an expression such as `|R_x|`.
    pub expr: Expr,
    /// How, where the line says so (the number of a filled ask is in `filled`).
    pub ask: Option<Ask>,
    /// The number of a filled ask.
    pub filled: Option<Literal>,
    /// What its sign means, where the line says so.
    pub words: SignWords,
    /// Replaced data: `at Q = 40 L/s`.
    pub conditions: Vec<Condition>,
}

impl Answer {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Expr(&self.expr));
        self.ask.iter().for_each(|ask| take(Part::Ask(ask)));
        self.filled.iter().for_each(|it| take(Part::Literal(it)));
        self.words.parts(take);
        self.conditions.iter().for_each(|it| it.parts(take));
    }
}

impl Reader<'_> {
    pub(in super::super) fn answer(&mut self, pairs: Pairs<'_>) -> Read<Answer> {
        let mut expr = None;
        let mut asked = Asked::default();
        let mut words = SignWords::default();
        let mut conditions = Vec::new();
        for pair in pairs {
            match pair.as_rule() {
                Rule::expr => expr = Some(self.expr(pair)?),
                Rule::precision => {
                    asked.ask = Some(Ask {
                        span: self.span(&pair),
                        unit: None,
                        datum: None,
                        precision: Some(self.precision(pair)?),
                        expanded: None,
                    });
                }
                Rule::signs => words = self.signs(pair)?,
                Rule::condition => conditions.push(self.condition(pair)?),
                _ => self.asked(&mut asked, pair)?,
            }
        }
        Ok(Answer {
            expr: expr.ok_or_else(|| self.nothing())?,
            ask: asked.ask,
            filled: asked.filled,
            words,
            conditions,
        })
    }
}
