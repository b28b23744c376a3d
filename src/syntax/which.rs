//! Conditions that say which rows of a table are meant.

use super::grammar::{Pair, Rule};
use super::reader::{Read, Reader, error};
use super::{Which, Word};
use crate::diagnostic::{Code, Diagnostic, Fix};
use crate::text::Span;

impl Reader<'_> {
    /// `t_i < 30 s and settled = "yes"`
    pub(super) fn which(&mut self, pair: Pair<'_>) -> Read<Which> {
        let mut parts = Vec::with_capacity(1);
        let mut joints: Vec<(String, Span)> = Vec::new();
        for inner in pair.into_inner() {
            let span = self.span(&inner);
            match inner.as_rule() {
                Rule::joint => joints.push((inner.as_str().to_owned(), span)),
                _ => parts.push((self.which_part(inner)?, span)),
            }
        }
        let first = joints.first().map(|(word, _)| word.clone());
        if let Some(other) = joints
            .iter()
            .position(|(word, _)| Some(word) != first.as_ref())
        {
            let places: Vec<Span> = parts.iter().map(|(_, span)| *span).collect();
            return Err(self.mixed_joints(&places, other, joints[other].1));
        }
        let mut parts: Vec<Which> = parts.into_iter().map(|(part, _)| part).collect();
        Ok(match (first.as_deref(), parts.len()) {
            (_, 0) => return Err(self.nothing()),
            (_, 1) => parts.remove(0),
            (Some("or"), _) => Which::Any(parts),
            _ => Which::All(parts),
        })
    }

    fn which_part(&mut self, pair: Pair<'_>) -> Read<Which> {
        Ok(match pair.as_rule() {
            Rule::comparison => Which::Compared(self.comparison(pair)?),
            Rule::which_not => {
                let inner = pair.into_inner().next().ok_or_else(|| self.nothing())?;
                Which::Not(Box::new(self.which_part(inner)?))
            }
            Rule::heading_word => return Err(self.nothing()),
            Rule::words_test => self.words_test(pair)?,
            _ => self.which(pair)?,
        })
    }

    fn words_test(&self, pair: Pair<'_>) -> Read<Which> {
        let mut inner = pair.into_inner();
        let (Some(heading), Some(words)) = (inner.next(), inner.next()) else {
            return Err(self.nothing());
        };
        let word = |text: &str, span: Span| Word {
            span,
            text: text.into(),
        };
        Ok(Which::Words {
            heading: word(heading.as_str(), self.span(&heading)),
            words: word(words.as_str().trim_matches('"').trim(), self.span(&words)),
        })
    }

    /// The first equals sign of a condition that stands in no brackets: where the line goes on, it
    /// could as well be the next of the line.
    pub(super) fn open_equals(&self, pair: &Pair<'_>) -> Option<Span> {
        let mut parts = pair.clone().into_inner();
        parts.find_map(|part| match part.as_rule() {
            Rule::comparison => {
                let mut signs = part.into_inner();
                let is_equals =
                    |sign: &Pair<'_>| sign.as_rule() == Rule::relation && sign.as_str() == "=";
                signs.find(is_equals).map(|sign| self.span(&sign))
            }
            Rule::words_test => Some(self.span(&part)),
            Rule::which_not => self.open_equals(&part),
            _ => None,
        })
    }

    /// `x_i where n_i = 3 = ? mm`
    pub(super) fn equals_goes_on(&self, equals: Span, which: Span) -> Box<Diagnostic> {
        let start = Span {
            end: which.start,
            ..which
        };
        let fix = self.choice(which, &[(start, "("), (which.at_end(), ")")]);
        let written = self.slice(which);
        let message = "where the line goes on, a condition with `=` stands in brackets".to_owned();
        Box::new(error(Code::K04, equals, message, format!("`({written})`")).with_fixes(fix))
    }

    /// `a and b or c`, in which the joint at this place is another than those before it.
    fn mixed_joints(&self, parts: &[Span], at: usize, joint: Span) -> Box<Diagnostic> {
        let (first, last) = (parts[0], parts[parts.len() - 1]);
        let cover = |from: usize, to: usize| parts[from].cover(parts[to]);
        let readings = [cover(0, at), cover(at, parts.len() - 1)];
        let whole = first.cover(last);
        let fixes: Vec<Fix> = (readings.iter())
            .filter_map(|inner| {
                let start = Span {
                    end: inner.start,
                    ..*inner
                };
                self.choice(whole, &[(start, "("), (inner.at_end(), ")")])
            })
            .collect();
        let shown: Vec<&str> = (fixes.iter())
            .filter_map(|fix| fix.title.strip_prefix("write "))
            .collect();
        let help = shown.join(" or ");
        let message = "`and` and `or` in one row have two readings".to_owned();
        Box::new(error(Code::K04, joint, message, help).with_fixes(fixes))
    }
}
