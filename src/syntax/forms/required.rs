//! `R_x = ? kN (+ right, - left)`, `show F = ? kN` and `P = ? kW at Q = 40 L/s`: an unknown, in
//! `required`.

use super::super::grammar::{Pair, Pairs, Rule};
use super::super::reader::{Read, Reader, error};
use super::super::statement::refuse_function_as_name;
use super::super::tokens::word_at;
use super::super::{BlockKind, Name, Word};
use super::{Ask, Condition, Part};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// A line of `required`.
#[derive(Debug, Clone, PartialEq)]
pub struct Required {
    /// Whether its value is said, and is to be shown to be that.
    pub is_shown: bool,
    /// The unknown.
    pub name: Name,
    /// How it is to be shown.
    pub ask: Ask,
    /// What its sign means.
    pub words: SignWords,
    /// Replaced data: `at Q = 40 L/s`.
    pub conditions: Vec<Condition>,
}

impl Required {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Name(&self.name));
        take(Part::Ask(&self.ask));
        self.words.parts(take);
        self.conditions.iter().for_each(|it| it.parts(take));
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
        let mut is_shown = false;
        let mut conditions = Vec::new();
        for pair in pairs {
            match pair.as_rule() {
                Rule::show_word => is_shown = true,
                Rule::name => name = Some(self.name(&pair)),
                Rule::ask => ask = Some(self.ask(pair)?),
                Rule::condition => conditions.push(self.condition(pair)?),
                Rule::signs => words = self.signs(pair)?,
                _ => {}
            }
        }
        let (Some(name), Some(ask)) = (name, ask) else {
            return Err(self.nothing());
        };
        refuse_function_as_name(&name)?;
        Ok(Required {
            is_shown,
            name,
            ask,
            words,
            conditions,
        })
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
