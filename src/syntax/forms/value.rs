//! A formula whose value is shown, in `values`.

use super::super::Expr;
use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader};

impl Reader<'_> {
    /// The formula of a line.
    pub(super) fn value_line(&mut self, mut pairs: Pairs<'_>) -> Read<Expr> {
        match pairs.find(|pair| pair.as_rule() == Rule::expr) {
            Some(subject) => self.expr(subject),
            None => Err(self.nothing()),
        }
    }
}
