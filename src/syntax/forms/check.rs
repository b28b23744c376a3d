//! `a < x < b within 1 %`: a comparison, in `check`.

use super::super::grammar::{Pair, Pairs, Rule};
use super::super::reader::{Read, Reader, error, part};
use super::super::tokens::words;
use super::super::{BlockKind, Check, Expr};
use super::Part;
use crate::diagnostic::{Code, Diagnostic, Fix};
use crate::text::Span;

impl Check {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        self.members.iter().for_each(|it| take(Part::Expr(it)));
        self.within.iter().for_each(|it| take(Part::Expr(it)));
    }
}

impl Reader<'_> {
    pub(in super::super) fn check(&mut self, pairs: Pairs<'_>) -> Read<Check> {
        let mut check = None;
        let mut within = None;
        for pair in pairs {
            match pair.as_rule() {
                Rule::comparison => check = Some(self.comparison(pair)?),
                _ => within = self.within(pair)?,
            }
        }
        let mut check = check.ok_or_else(|| self.nothing())?;
        check.within = within;
        Ok(check)
    }

    pub(super) fn within(&mut self, pair: Pair<'_>) -> Read<Option<Expr>> {
        let value = pair.into_inner().next();
        value.map(|value| self.value(value)).transpose()
    }
}

/// `x between a and b` in a check.
pub(in super::super) fn range_in_words(
    kind: BlockKind,
    body: &str,
    start: usize,
) -> Option<Box<Diagnostic>> {
    if !kind.asserts() {
        return None;
    }
    let (at, word) = words(body).find(|(at, word)| *at > 0 && *word == "between")?;
    let subject = body.get(..at)?.trim_end();
    let refusal = error(
        Code::S01,
        Span::new(start + at, start + at + word.len()),
        "a range is written with two relations".to_owned(),
        format!("`a < {subject} < b`"),
    );
    Some(Box::new(refusal.with_fixes(range(
        body,
        start,
        (at, word),
        subject,
    ))))
}

/// `a < x < b` for `x between a and b`.
fn range(body: &str, start: usize, (at, word): (usize, &str), subject: &str) -> Option<Fix> {
    let bounds = body.get(at + word.len()..)?;
    let (lower, upper) = bounds.split_once(" and ")?;
    let (lower, upper) = (lower.trim(), upper.trim());
    let (line, written) = (
        part(start, 0, body.len()),
        format!("{lower} < {subject} < {upper}"),
    );
    Reader::new(body, start).choice(line, &[(line, &*written)])
}
