//! `value of y`: a result once more, in `work`.

use super::super::Expr;
use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader};

impl Reader<'_> {
    /// `value of y`.
    pub(super) fn value_of(&mut self, mut pairs: Pairs<'_>) -> Read<Expr> {
        match pairs.find(|pair| pair.as_rule() == Rule::expr) {
            Some(subject) => self.expr(subject),
            None => Err(self.nothing()),
        }
    }
}
