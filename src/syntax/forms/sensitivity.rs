//! `sensitivity of y`: the givens by how much each matters for a result, in `check`.

use super::super::Expr;
use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader};

impl Reader<'_> {
    /// `sensitivity of y`.
    pub(super) fn sensitivity(&mut self, mut pairs: Pairs<'_>) -> Read<Expr> {
        match pairs.find(|pair| pair.as_rule() == Rule::expr) {
            Some(subject) => self.expr(subject),
            None => Err(self.nothing()),
        }
    }
}
