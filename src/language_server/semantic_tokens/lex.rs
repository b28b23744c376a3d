//! What stands between the names of a line: numbers, words of the language, signs, descriptions.
//!
//! In go a line or an ask and the names in it, out come words in their order.

use super::{Token, What};
use crate::language_server::surroundings::tail;
use crate::syntax;
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
    "not",
    "on",
    "sensitivity",
];

/// Gathers words.
pub(super) struct Lexer<'a> {
    pub text: &'a str,
    /// The names of the document, in order.
    pub names: &'a [Token],
    pub found: Vec<Token>,
}

impl Lexer<'_> {
    /// A line of a block.
    pub fn line(&mut self, line: Span) {
        let content = line.of(self.text);
        let at = tail(content).unwrap_or(content.len());
        let code = Span {
            start: line.start,
            end: line.start + at as u32,
        };
        self.code(code);
        if at < content.len() {
            let what = match content[at..].starts_with('#') {
                true => What::Comment,
                false => What::Description,
            };
            self.words(
                Span {
                    start: code.end,
                    ..line
                },
                what,
            );
        }
    }

    /// Words that are one thing, but for the names in them.
    fn words(&mut self, place: Span, what: What) {
        let mut start = place.start;
        let mut ends: Vec<(u32, u32)> = self
            .names_in(place)
            .map(|name| (name.place.start, name.place.end))
            .collect();
        ends.push((place.end, place.end));
        for (end, next) in ends {
            if start < end {
                self.push(Span { start, end }, what);
            }
            start = next;
        }
    }

    fn names_in(&self, place: Span) -> impl Iterator<Item = &Token> {
        let first = self
            .names
            .partition_point(|name| name.place.start < place.start);
        self.names[first..]
            .iter()
            .take_while(move |name| name.place.end <= place.end)
    }

    /// A formula, an ask, or the statement of a line.
    pub fn code(&mut self, place: Span) {
        let names: Vec<Span> = self.names_in(place).map(|name| name.place).collect();
        let mut names = names.into_iter().peekable();
        let mut at = place.start;
        while at < place.end {
            while names.next_if(|name| name.end <= at).is_some() {}
            if let Some(name) = names.peek().filter(|name| name.start <= at) {
                at = name.end;
                continue;
            }
            let end = names.peek().map_or(place.end, |name| name.start);
            let rest = Span { start: at, end }.of(self.text);
            let (length, what) = piece(rest);
            if let Some(what) = what {
                self.push(Span::new(at as usize, at as usize + length), what);
            }
            at += length.max(1) as u32;
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

/// The length of what a text begins with, and what it is; `None` for blanks, brackets and words
/// that mean nothing.
fn piece(rest: &str) -> (usize, Option<What>) {
    let Some(first) = rest.chars().next() else {
        return (1, None);
    };
    let length =
        |is_part: &dyn Fn(char) -> bool| rest.find(|letter| !is_part(letter)).unwrap_or(rest.len());
    if first.is_ascii_digit()
        || (first == '.' && rest[1..].starts_with(|c: char| c.is_ascii_digit()))
    {
        return (number(rest), Some(What::Number));
    }
    if is_superscript(first) {
        return (length(&is_superscript), Some(What::Number));
    }
    if first.is_alphabetic() {
        let length = length(&|letter| letter.is_alphanumeric() || letter == '_');
        let word = &rest[..length];
        let begins_mark = word == "in" && rest[length..].trim() == "full";
        let is_known = syntax::is_reserved(word) || OTHER_WORDS.contains(&word) || begins_mark;
        return (length, is_known.then_some(What::Keyword));
    }
    if ["->", "<=", ">=", "+-"]
        .iter()
        .any(|it| rest.starts_with(it))
    {
        return (2, Some(What::Operator));
    }
    let what = match first {
        '∴' => Some(What::Keyword),
        '+' | '-' | '−' | '*' | '·' | '×' | '⋅' | '/' | '^' | '=' | '<' | '>' | '≤' | '≥' | '→'
        | '±' | '?' | '|' => Some(What::Operator),
        '%' | '‰' | '°' => Some(What::Unit),
        _ => None,
    };
    (first.len_utf8(), what)
}

fn is_superscript(letter: char) -> bool {
    matches!(letter, '⁻' | '⁰' | '¹' | '²' | '³' | '⁴'..='⁹')
}

/// The length of a number, its exponent included.
fn number(text: &str) -> usize {
    let digits = |text: &str| {
        let is_part = |letter: char| letter.is_ascii_digit() || letter == '.';
        text.find(|letter| !is_part(letter)).unwrap_or(text.len())
    };
    let whole = digits(text);
    let exponent = text[whole..].strip_prefix(['e', 'E']).map(|rest| {
        let sign = usize::from(rest.starts_with(['+', '-']));
        (1 + sign, digits(&rest[sign..]))
    });
    match exponent {
        Some((mark, length)) if length > 0 => whole + mark + length,
        _ => whole,
    }
}
