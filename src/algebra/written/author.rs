//! What the author's own formulas say about the form of a solution: which factor stands before
//! which, and which way round a difference stands.

use super::order::Signs;
use super::product::{Kind, Piece};
use crate::algebra::Algebra;
use crate::algebra::node::{Id, Node};

impl Algebra {
    /// Notes the order in which factors stand side by side in a formula of the author.
    pub fn note_factors(&mut self, factors: &[Id]) {
        let symbols: Vec<Id> = factors
            .iter()
            .filter_map(|factor| self.symbol_of_power(*factor))
            .collect();
        for (at, first) in symbols.iter().enumerate() {
            for second in symbols.iter().skip(at + 1) {
                self.author.put_before(*first, *second);
            }
        }
    }

    /// Notes a sum of a formula of the author; of the two sides of a difference, the one that was
    /// read first stays.
    pub fn note_sum(&mut self, sum: Id) {
        if !self.signs(sum).are_both() {
            return;
        }
        let opposite = self.negate(sum);
        if !self.author.differences.contains(&opposite) {
            self.author.differences.insert(sum);
        }
    }

    fn symbol_of_power(&self, id: Id) -> Option<Id> {
        let factors = self.factors_of(id);
        let [(base, _)] = factors.as_slice() else {
            return None;
        };
        let base = match self.node(*base) {
            Node::Power(inner, _) => *inner,
            _ => *base,
        };
        matches!(self.node(base), Node::Symbol(_)).then_some(base)
    }

    /// Whether the author wrote a difference this way round.
    pub(super) fn is_of_author(&self, sum: Id) -> bool {
        self.author.differences.contains(&sum)
    }

    /// A difference the way round in which the author wrote it, when it was written.
    pub fn as_the_author_wrote(&mut self, sum: Id) -> Id {
        let opposite = self.negate(sum);
        if self.is_of_author(opposite) {
            opposite
        } else {
            sum
        }
    }

    /// Whether a sum has to be turned round to be written: to what the author wrote, otherwise so
    /// that it begins with what is met first.
    pub(super) fn has_to_be_turned(&mut self, sum: Id) -> bool {
        if self.is_of_author(sum) {
            return false;
        }
        let opposite = self.negate(sum);
        self.is_of_author(opposite)
            || matches!(self.signs(sum), Signs::AllMinus | Signs::MinusFirst)
    }

    /// Puts symbols of a product that the author wrote the other way round into the author's
    /// order; all others stay where they are among them.
    pub(super) fn put_in_order_of_author(&self, pieces: &mut [Piece]) {
        let start = pieces.partition_point(|piece| piece.kind < Kind::Symbol);
        let end = pieces.partition_point(|piece| piece.kind <= Kind::Symbol);
        let symbols = pieces.get_mut(start..end).unwrap_or_default();
        for at in 0..symbols.len() {
            let rest = symbols.get_mut(at..).unwrap_or_default();
            let is_first = |one: &Piece| {
                !rest
                    .iter()
                    .any(|other| self.author.before.contains(&(other.base, one.base)))
            };
            let first = rest.iter().position(is_first).unwrap_or(0);
            if let Some(moved) = rest.get_mut(..=first) {
                moved.rotate_right(1);
            }
        }
    }
}
