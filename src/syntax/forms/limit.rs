//! `y -> 0 as x -> inf`: a result that tends to a value, in `check`.

use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader};
use super::super::tokens::tokens;
use super::super::{Expr, Name};
use super::Part;

/// `y -> value as x -> value`.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// What is looked at.
    pub subject: Expr,
    /// What it tends to: a literal, a formula, or the name `inf`, perhaps negative.
    pub value: Expr,
    /// The given that changes.
    pub with: Name,
    /// What the given tends to, in the same form.
    pub at: Expr,
}

impl Limit {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Expr(&self.subject));
        take(Part::Expr(&self.value));
        take(Part::Name(&self.with));
        take(Part::Expr(&self.at));
    }
}

impl Reader<'_> {
    /// `y -> 0 as x -> inf`.
    pub(super) fn limit(&mut self, pairs: Pairs<'_>) -> Read<Limit> {
        let mut with = None;
        let mut values = Vec::with_capacity(3);
        for pair in pairs {
            match pair.as_rule() {
                Rule::name => with = Some(self.name(&pair)),
                Rule::expr | Rule::literal => values.push(self.value(pair)?),
                _ => {}
            }
        }
        let mut values = values.into_iter();
        match (values.next(), values.next(), with, values.next()) {
            (Some(subject), Some(value), Some(with), Some(at)) => Ok(Limit {
                subject,
                value,
                with,
                at,
            }),
            _ => Err(self.nothing()),
        }
    }
}

/// The first arrow, with its place.
pub(super) fn arrow(body: &str) -> Option<(usize, &str)> {
    let arrow = tokens(body).find(|token| matches!(token.text, "->" | "→"))?;
    Some((arrow.at, arrow.text))
}
