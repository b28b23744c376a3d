//! `R_x = ? kN (+ right, - left)`: an unknown, in `required`.

use super::super::grammar::{Pair, Pairs, Rule};
use super::super::reader::{Read, Reader, error};
use super::super::statement::refuse_function_as_name;
use super::super::tokens::word_at;
use super::super::{BlockKind, Name, Word};
use super::{Ask, Part};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// A line of `required`.
#[derive(Debug, Clone, PartialEq)]
pub struct Required {
    /// The unknown.
    pub name: Name,
    /// How it is to be shown.
    pub ask: Ask,
    /// What its sign means.
    pub words: SignWords,
}

impl Required {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Name(&self.name));
        take(Part::Ask(&self.ask));
        self.words.parts(take);
    }
}

/// `(+ right, - left)`: what the signs of a value mean.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SignWords {
    /// What a positive value means, as written after `+`.
    pub positive: Option<Word>,
    /// What a negative value means, as written after `-`.
    pub negative: Option<Word>,
}

impl SignWords {
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        let words = self.positive.iter().chain(&self.negative);
        words.for_each(|word| take(Part::Word(word)));
    }
}

impl Reader<'_> {
    pub(in super::super) fn required(&mut self, pairs: Pairs<'_>) -> Read<Required> {
        let mut name = None;
        let mut ask = None;
        let mut words = SignWords::default();
        for pair in pairs {
            match pair.as_rule() {
                Rule::name => name = Some(self.name(&pair)),
                Rule::ask => ask = Some(self.ask(pair)?),
                _ => words = self.signs(pair)?,
            }
        }
        let (Some(name), Some(ask)) = (name, ask) else {
            return Err(self.nothing());
        };
        refuse_function_as_name(&name)?;
        Ok(Required { name, ask, words })
    }

    pub(super) fn signs(&self, pair: Pair<'_>) -> Read<SignWords> {
        let mut words = SignWords::default();
        for sign_word in pair.into_inner() {
            let span = self.span(&sign_word);
            let mut inner = sign_word.into_inner();
            let (Some(sign), Some(text)) = (inner.next(), inner.next()) else {
                return Err(self.nothing());
            };
            let slot = if sign.as_str() == "+" {
                &mut words.positive
            } else {
                &mut words.negative
            };
            if slot.is_some() {
                return Err(sign_twice(span));
            }
            let trimmed = text.as_str().trim_end();
            let at = self.span(&text).start as usize;
            *slot = Some(Word {
                span: Span::new(at, at + trimmed.len()),
                text: trimmed.into(),
            });
        }
        Ok(words)
    }
}

/// `(+ up, + down)`.
fn sign_twice(span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        "this sign already has a word".to_owned(),
        "one word a sign, as in `(+ downstream, - upstream)`".to_owned(),
    )
}

/// `V.x = ? m/s` in `required`.
pub(in super::super) fn component_required(
    kind: BlockKind,
    body: &str,
    start: usize,
) -> Option<Box<Diagnostic>> {
    let name = word_at(body, 0);
    let axis = word_at(body.strip_prefix(name)?.strip_prefix('.')?, 0);
    if kind != BlockKind::Required || name.is_empty() || axis.is_empty() {
        return None;
    }
    let length = name.len() + 1 + axis.len();
    Some(error(
        Code::S01,
        Span::new(start, start + length),
        format!("`{name}.{axis}` is a part of `{name}`, and an unknown is a name"),
        format!("`{name} = ? kN` for the whole, and `{name}.{axis} = ? kN` in `answer`"),
    ))
}
