//! `therefore a = b`: a step that follows from what stands above, in `derive`.

use super::super::grammar::{Pairs, Rule};
use super::super::reader::{Read, Reader, error};
use super::super::{BlockKind, Expr, misplaced};
use super::{AFTER_A_NAME, Balance, Part};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::text::Span;

/// `therefore`, with what follows.
#[derive(Debug, Clone, PartialEq)]
pub struct Therefore {
    /// The word, or `∴`.
    pub word: Span,
    /// Two or more sides.
    pub members: Vec<Expr>,
    /// Which balance of a sketch it is meant to be.
    pub by: Option<Box<Balance>>,
}

impl Therefore {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        self.members.iter().for_each(|side| take(Part::Expr(side)));
        self.by.iter().for_each(|it| it.parts(take));
    }
}

impl Reader<'_> {
    pub(super) fn therefore(&mut self, pairs: Pairs<'_>) -> Read<Therefore> {
        let (mut word, mut by) = (None, None);
        let mut members = Vec::with_capacity(2);
        for pair in pairs {
            match pair.as_rule() {
                Rule::therefore_word => word = Some(self.span(&pair)),
                Rule::expr => members.push(self.expr(pair)?),
                Rule::balance_of => by = Some(Box::new(self.balance_of(pair)?)),
                _ => {}
            }
        }
        misplaced::refuse_units(self, &members)?;
        Ok(Therefore {
            word: word.ok_or_else(|| self.nothing())?,
            members,
            by,
        })
    }
}

/// `therefore x`.
pub(super) fn unread(_: BlockKind, body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let word_length = match body.starts_with('∴') {
        true => '∴'.len_utf8(),
        false => "therefore".len(),
    };
    let (word, rest) = body.split_at_checked(word_length)?;
    let side = rest.trim();
    if side.is_empty() || side.contains(AFTER_A_NAME) {
        return None;
    }
    let at = start + body.len() - rest.trim_start().len();
    let place = Span::new(at, at + side.len());
    let refusal = error(
        Code::S01,
        place,
        format!("`{side}` after `{word}` is no equation"),
        format!("`{word} {side} = …`, with what it equals"),
    );
    let title = format!("write `{word} {side} = …`");
    let equals = Fix::new(Decision::Complete, title, place.at_end(), " = …");
    Some(Box::new(refusal.with_fixes([equals])))
}
