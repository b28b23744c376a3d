//! An unknown.

use super::super::statement::{Ask, Condition};
use super::super::{Resolver, SymbolId};
use super::Kind;
use crate::diagnostic::{Code, Diagnostic};
use crate::syntax::{self, Bearing};
use crate::text::Span;

/// An unknown.
#[derive(Debug, Clone, PartialEq)]
pub struct Required {
    /// The symbol.
    pub symbol: SymbolId,
    /// How it is asked.
    pub ask: Ask,
    /// What a positive value means.
    pub positive: Option<Box<str>>,
    /// What a negative value means.
    pub negative: Option<Box<str>>,
    /// Whether its value is said, and is to be shown to be that.
    pub is_shown: bool,
    /// Replaced data.
    pub conditions: Vec<Condition>,
}

impl Resolver<'_> {
    pub(super) fn required(&mut self, required: &syntax::Required) -> Option<Kind> {
        let symbol = self.symbols.intern(self.problem, &required.name.key);
        let ask = self.ask(&required.ask)?;
        let conditions = self.conditions(&required.conditions);
        let [positive, negative] = self.sign_words(Some(symbol), &required.words)?;
        Some(Kind::Required(Required {
            symbol,
            ask,
            positive,
            negative,
            is_shown: required.is_shown,
            conditions: conditions?,
        }))
    }

    /// The words of a line for a positive and a negative value, which must not contradict each
    /// other or what another line says of the same symbol.
    pub(super) fn sign_words(
        &mut self,
        symbol: Option<SymbolId>,
        words: &syntax::SignWords,
    ) -> Option<[Option<Box<str>>; 2]> {
        let both = [(true, &words.positive), (false, &words.negative)];
        let mut said: Vec<(bool, syntax::Word)> = symbol
            .and_then(|symbol| self.sign_words.remove(&symbol))
            .unwrap_or_default();
        let mut fits = true;
        for (is_positive, word) in both {
            let Some(word) = word else { continue };
            let contradicts = |(sign, other): &&(bool, syntax::Word)| {
                (*sign == is_positive) != (other.text == word.text)
            };
            if let Some((_, other)) = said.iter().find(contradicts) {
                if fits {
                    self.report_contradiction(word, other);
                }
                fits = false;
                continue;
            }
            if let Some(drawn) =
                symbol.and_then(|symbol| self.drawn_otherwise(symbol, is_positive, word))
            {
                if fits {
                    self.report_drawn(word, drawn);
                }
                fits = false;
                continue;
            }
            said.push((is_positive, word.clone()));
        }
        if let Some(symbol) = symbol {
            self.sign_words.insert(symbol, said);
        }
        let text = |word: &Option<syntax::Word>| word.as_ref().map(|word| word.text.clone());
        fits.then(|| [text(&words.positive), text(&words.negative)])
    }

    fn report_contradiction(&mut self, word: &syntax::Word, other: &syntax::Word) {
        self.diagnostics.push(
            Diagnostic::error(
                Code::N15,
                word.span,
                format!(
                    "`{}` contradicts what is said of the sign elsewhere",
                    word.text
                ),
            )
            .with_note(format!("`{}` is said here", other.text), other.span)
            .with_help(
                "the same word for the same sign in all lines of a quantity, or in one line only",
            ),
        );
    }

    /// Where a magnitude is drawn against a word for a sign: `left` for what is drawn to the right.
    fn drawn_otherwise(
        &self,
        symbol: SymbolId,
        is_positive: bool,
        word: &syntax::Word,
    ) -> Option<Span> {
        let (bearing, place) = (*self.drawn.get(&symbol)?)?;
        let said = Bearing::of_word(&word.text)?;
        let quarters = (bearing.quarters() + if is_positive { 0 } else { 2 }) % 4;
        (said.quarters() != quarters).then_some(place)
    }

    fn report_drawn(&mut self, word: &syntax::Word, drawn: Span) {
        let message = format!("`{}` is against the sketch", word.text);
        self.diagnostics.push(
            Diagnostic::error(Code::G17, word.span, message)
                .with_note("the sketch draws it here", drawn)
                .with_help(
                    "the word for the direction that the sketch has, or the other direction there",
                ),
        );
    }

    /// Notes which way a magnitude is drawn, and says where a word above is against it.
    pub(super) fn is_drawn(&mut self, symbol: SymbolId, bearing: Bearing, place: Span) {
        let drawn = self.drawn.entry(symbol).or_insert(Some((bearing, place)));
        if drawn.is_some_and(|(other, _)| other != bearing) {
            *drawn = None;
        }
        let said = self.sign_words.get(&symbol).cloned().unwrap_or_default();
        let against = said.into_iter().find_map(|(is_positive, word)| {
            let drawn = self.drawn_otherwise(symbol, is_positive, &word)?;
            Some((word, drawn))
        });
        if let Some((word, drawn)) = against {
            self.report_drawn(&word, drawn);
        }
    }
}
