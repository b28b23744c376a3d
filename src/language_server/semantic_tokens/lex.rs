//! What stands between the names of a line: numbers, words of the language, signs, descriptions.
//!
//! In go a line or an ask and the names in it, out come words in their order.

use super::{Token, What};
use crate::resolve::Occurrence;
use crate::syntax;
use crate::syntax::order::{Followed, Part};
use crate::syntax::tokens::{self, TokenKind, tokens};
use crate::text::Span;

/// Words that are none of the reserved ones and yet belong to the language where they stand.
const OTHER_WORDS: &[&str] = &[
    "decimal",
    "decimals",
    "depend",
    "dimensions",
    "figure",
    "figures",
    "full",
    "in",
    "not",
    "on",
    "sensitivity",
];

/// Gathers words.
pub(super) struct Lexer<'a> {
    pub text: &'a str,
    /// The names of the problem, in order.
    pub names: &'a [Occurrence],
    pub found: Vec<Token>,
}

impl Lexer<'_> {
    /// A line of a block.
    pub fn line(&mut self, line: Span) {
        let code = self.tail(line);
        self.words_of_a_balance(code);
        self.code(code);
    }

    /// A line of a sketch that begins with this line. Its words are words nowhere else.
    pub fn line_of_sketch(&mut self, line: Span, first: &str) {
        let code = self.tail(line);
        let content = code.of(self.text);
        let blanks = content.len() - content.trim_start().len();
        let label = tokens::label(content.trim_start());
        let at = blanks + label.map_or(0, |label| label.len() + 1);
        let body = content.get(at..).unwrap_or("");
        let followed = match label {
            Some(_) => syntax::sketch_head(body),
            None => syntax::sketch_line(first, body),
        };
        self.followed(&followed, code.start as usize + at);
    }

    /// `balance y of beam` and what stands behind `by`, whose words are names elsewhere.
    fn words_of_a_balance(&mut self, code: Span) {
        let content = code.of(self.text);
        let at = tokens::label(content).map_or(0, |label| label.len() + 1);
        let found = syntax::balance_begun(content.get(at..).unwrap_or(""));
        if let Some((place, followed)) = found.filter(|(_, followed)| followed.is_whole) {
            self.followed(&followed, code.start as usize + at + place);
        }
    }

    /// The words and formulas of what was followed from a place.
    fn followed(&mut self, followed: &Followed<'_>, start: usize) {
        for part in &followed.parts {
            let place = Span::new(start + part.start, start + part.end);
            match part.what {
                Part::Word
                    if place
                        .of(self.text)
                        .starts_with(|it: char| it.is_alphanumeric()) =>
                {
                    self.push(place, What::Keyword);
                }
                Part::Word => self.code(place),
                Part::Formula | Part::Amount => self.code(place),
                Part::Place { .. } | Part::Section { .. } | Part::Label => {}
            }
        }
    }

    /// Takes the description or comment of a line; what stands before it.
    fn tail(&mut self, line: Span) -> Span {
        let content = line.of(self.text);
        let at = tokens::tail(content).unwrap_or(content.len());
        let tail = Span {
            start: line.start + at as u32,
            ..line
        };
        if let Some(what) = tokens::of_line(tail.of(self.text)).find_map(|token| what(&token)) {
            self.words(tail, what);
        }
        Span {
            end: tail.start,
            ..line
        }
    }

    /// Words that are one thing, but for the names in them.
    fn words(&mut self, place: Span, what: What) {
        let mut start = place.start;
        let mut ends: Vec<(u32, u32)> = self
            .names_in(place)
            .map(|name| (name.start, name.end))
            .collect();
        ends.push((place.end, place.end));
        for (end, next) in ends {
            if start < end {
                self.push(Span { start, end }, what);
            }
            start = next;
        }
    }

    fn names_in(&self, place: Span) -> impl Iterator<Item = Span> {
        let first = self
            .names
            .partition_point(|name| name.span.start < place.start);
        self.names[first..]
            .iter()
            .map(|name| name.span)
            .take_while(move |name| name.end <= place.end)
    }

    /// A formula, an ask, or the statement of a line.
    pub fn code(&mut self, place: Span) {
        let names: Vec<Span> = self.names_in(place).collect();
        let mut start = place.start;
        for name in names.into_iter().chain([place.at_end()]) {
            let between = Span {
                start,
                end: name.start.max(start),
            };
            for token in tokens(between.of(self.text)) {
                if let Some(what) = what(&token) {
                    self.push(token.place(start as usize), what);
                }
            }
            start = name.end.max(start);
        }
    }

    fn push(&mut self, place: Span, what: What) {
        self.found.push(Token {
            place,
            what,
            modifiers: 0,
        });
    }
}

/// What a token is that is no name; `None` for brackets and words that mean nothing.
fn what(token: &tokens::Token<'_>) -> Option<What> {
    match token.kind {
        TokenKind::Number | TokenKind::Raised => Some(What::Number),
        TokenKind::Word => {
            let is_known = syntax::is_reserved(token.text) || OTHER_WORDS.contains(&token.text);
            is_known.then_some(What::Keyword)
        }
        TokenKind::Operator | TokenKind::Relation | TokenKind::Ask | TokenKind::Bar => {
            Some(What::Operator)
        }
        TokenKind::UnitMark => Some(What::Unit),
        TokenKind::Sign => match token.text {
            "∴" => Some(What::Keyword),
            "±" => Some(What::Operator),
            _ => None,
        },
        TokenKind::Description => Some(What::Description),
        TokenKind::Comment => Some(What::Comment),
        TokenKind::Label
        | TokenKind::Open
        | TokenKind::Close
        | TokenKind::Comma
        | TokenKind::Strange => None,
    }
}
