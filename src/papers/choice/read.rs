//! A condition to the signs of the calculator, or why it is none.

use std::collections::BTreeSet;

use super::{FACTS, Kind, MOST_BRACKETS, MOST_BYTES};
use crate::diagnostic::{Code, Diagnostic, nearest};
use crate::text::{Span, listed};

/// What is offered where nothing nearer is known.
pub(super) const USUAL: &str =
    "a condition such as `topic = \"friction\" and level <= 2`, or `contains(topics, \"pipes\")`";

/// A condition in the signs of the calculator, and the facts that it names.
#[derive(Debug)]
pub(super) struct Found {
    pub keys: String,
    pub names: BTreeSet<&'static str>,
}

type Read<T> = Result<T, Box<Diagnostic>>;

pub(super) fn read(text: &str, start: usize) -> Read<Found> {
    let whole = Span::new(start, start + text.len());
    if text.len() > MOST_BYTES {
        let message = format!(
            "the condition has {} bytes, and at most {MOST_BYTES} are read",
            text.len()
        );
        return Err(refused(whole, message, "several lines of `problems`"));
    }
    let tokens = tokens(text, start)?;
    let mut reader = Reader {
        tokens: &tokens,
        at: 0,
        depth: 0,
        end: Span::new(start + text.trim_end().len(), start + text.len()),
        names: BTreeSet::new(),
    };
    let keys = reader.either()?;
    if let Some((token, span)) = reader.tokens.get(reader.at) {
        let help = match token {
            Token::Compare(_) => "two comparisons joined by `and`: `1 < level and level < 4`",
            _ => USUAL,
        };
        let message = format!(
            "the condition cannot be read: `{}` stands where it could end",
            shown(token)
        );
        return Err(refused(*span, message, help));
    }
    Ok(Found {
        keys,
        names: reader.names,
    })
}

fn refused(span: Span, message: impl Into<String>, help: impl Into<String>) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(Code::P13, span, message).with_help(help))
}

#[derive(Debug, Clone, PartialEq)]
enum Token {
    Word(String),
    Number(String),
    Text(String),
    Compare(&'static str),
    Open,
    Close,
    Comma,
}

fn shown(token: &Token) -> String {
    match token {
        Token::Word(text) | Token::Number(text) => text.clone(),
        Token::Text(text) => format!("\"{text}\""),
        Token::Compare("==") => "=".to_owned(),
        Token::Compare(sign) => (*sign).to_owned(),
        Token::Open => "(".to_owned(),
        Token::Close => ")".to_owned(),
        Token::Comma => ",".to_owned(),
    }
}

/// As it is written, and what the calculator has for it.
const COMPARISONS: &[(&str, &str)] = &[
    ("!=", "!="),
    ("<=", "<="),
    (">=", ">="),
    ("≠", "!="),
    ("≤", "<="),
    ("≥", ">="),
    ("<", "<"),
    (">", ">"),
    ("=", "=="),
];

/// Signs of other languages, and what is written here.
const OTHERS: &[(&str, &str)] = &[
    ("==", "`=`"),
    ("&&", "`and`"),
    ("||", "`or`"),
    ("<>", "`!=`"),
    ("=<", "`<=`"),
    ("=>", "`>=`"),
    (";", "one condition, its parts joined by `and` or `or`"),
    ("'", "straight double quotes: `topic = \"friction\"`"),
    ("“", "straight double quotes: `topic = \"friction\"`"),
    ("”", "straight double quotes: `topic = \"friction\"`"),
    ("„", "straight double quotes: `topic = \"friction\"`"),
    ("«", "straight double quotes: `topic = \"friction\"`"),
    ("&", "`and`"),
    ("|", "`or`"),
];

fn tokens(text: &str, start: usize) -> Read<Vec<(Token, Span)>> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        let blanks = rest.len() - rest.trim_start().len();
        if blanks > 0 {
            at += blanks;
            continue;
        }
        let place = |length: usize| Span::new(start + at, start + at + length);
        if let Some((sign, help)) = OTHERS.iter().find(|(sign, _)| rest.starts_with(sign)) {
            let message = format!("the condition cannot be read: `{sign}` is none of its signs");
            return Err(refused(place(sign.len()), message, *help));
        }
        let compared = COMPARISONS.iter().find(|(sign, _)| rest.starts_with(sign));
        let run = |is_of: fn(char) -> bool| rest.find(|it| !is_of(it)).unwrap_or(rest.len());
        let first = rest.chars().next().unwrap_or(' ');
        let (token, length) = match first {
            _ if let Some((sign, keys)) = compared => (Token::Compare(keys), sign.len()),
            '(' => (Token::Open, 1),
            ')' => (Token::Close, 1),
            ',' => (Token::Comma, 1),
            '!' => {
                let help = "`not` before what it takes: `not level = 2`";
                let message = "the condition cannot be read: `!` is none of its signs";
                return Err(refused(place(1), message, help));
            }
            '"' => {
                let inner = rest.get(1..).unwrap_or("");
                let Some(end) = inner.find('"') else {
                    let message = "the condition cannot be read: its quote is not closed";
                    return Err(refused(place(rest.len()), message, "`\"` behind the text"));
                };
                (
                    Token::Text(inner.get(..end).unwrap_or("").to_owned()),
                    end + 2,
                )
            }
            letter if letter.is_alphabetic() || letter == '_' => {
                let length = run(|it| it.is_alphanumeric() || it == '_');
                (
                    Token::Word(rest.get(..length).unwrap_or("").to_owned()),
                    length,
                )
            }
            digit if digit.is_ascii_digit() => {
                let length = run(|it| it.is_alphanumeric() || it == '.');
                let written = rest.get(..length).unwrap_or("");
                (number(written, place(length))?, length)
            }
            other => {
                let message = format!(
                    "the condition cannot be read: `{}` is none of its signs",
                    other.escape_debug()
                );
                let help = match other {
                    '-' => "a number that is not negative: no fact is below 0",
                    _ => USUAL,
                };
                return Err(refused(place(other.len_utf8()), message, help));
            }
        };
        found.push((token, place(length)));
        at += length;
    }
    Ok(found)
}

/// A whole number as one, since no decimal is equal to it.
fn number(written: &str, span: Span) -> Read<Token> {
    const MOST_DIGITS: usize = 15;
    let (whole, part) = match written.split_once('.') {
        Some((whole, part)) => (whole, Some(part)),
        None => (written, None),
    };
    let is_digits = |text: &str| !text.is_empty() && text.bytes().all(|it| it.is_ascii_digit());
    if !is_digits(whole) || part.is_some_and(|part| !is_digits(part)) || written.len() > MOST_DIGITS
    {
        let message = format!("the condition cannot be read: `{written}` is no number");
        return Err(refused(
            span,
            message,
            "digits, with a point before decimals: `7.5`",
        ));
    }
    match part {
        Some(part) if part.bytes().all(|it| it == b'0') => {
            let message = format!("`{written}` is a whole number, and is written as one");
            Err(refused(span, message, format!("`{whole}`")))
        }
        _ => Ok(Token::Number(written.to_owned())),
    }
}

struct Reader<'t> {
    tokens: &'t [(Token, Span)],
    at: usize,
    depth: usize,
    end: Span,
    names: BTreeSet<&'static str>,
}

/// A side of a comparison.
struct Side {
    keys: String,
    kind: Kind,
    span: Span,
}

impl<'t> Reader<'t> {
    fn next(&self) -> Option<&'t Token> {
        self.tokens.get(self.at).map(|(token, _)| token)
    }

    fn span(&self) -> Span {
        self.tokens.get(self.at).map_or(self.end, |(_, span)| *span)
    }

    fn takes_word(&mut self, word: &str) -> bool {
        let is_it = matches!(self.next(), Some(Token::Word(own)) if own == word);
        self.at += usize::from(is_it);
        is_it
    }

    fn takes(&mut self, token: &Token, what: &str) -> Read<()> {
        match self.next() {
            Some(own) if own == token => {
                self.at += 1;
                Ok(())
            }
            _ => Err(self.unexpected(what)),
        }
    }

    fn unexpected(&self, wanted: &str) -> Box<Diagnostic> {
        let message = match self.next() {
            Some(token) => format!(
                "the condition cannot be read: `{}` stands where {wanted} should",
                shown(token)
            ),
            None => format!("the condition cannot be read: it ends where {wanted} should stand"),
        };
        refused(self.span(), message, USUAL)
    }

    fn either(&mut self) -> Read<String> {
        let mut keys = self.both()?;
        while self.takes_word("or") {
            keys = format!("({keys} || {})", self.both()?);
        }
        Ok(keys)
    }

    fn both(&mut self) -> Read<String> {
        let mut keys = self.turned()?;
        while self.takes_word("and") {
            keys = format!("({keys} && {})", self.turned()?);
        }
        Ok(keys)
    }

    fn deeper(&mut self) -> Read<()> {
        self.depth += 1;
        match self.depth > MOST_BRACKETS {
            true => Err(refused(
                self.span(),
                format!("the condition has more than {MOST_BRACKETS} brackets in each other"),
                "a condition with fewer brackets",
            )),
            false => Ok(()),
        }
    }

    fn turned(&mut self) -> Read<String> {
        if !self.takes_word("not") {
            return self.part();
        }
        self.deeper()?;
        let keys = self.turned()?;
        self.depth -= 1;
        Ok(format!("!({keys})"))
    }

    /// What stands in brackets, `contains(…)`, or a comparison.
    fn part(&mut self) -> Read<String> {
        if self.next() == Some(&Token::Open) {
            self.deeper()?;
            self.at += 1;
            let keys = self.either()?;
            self.takes(&Token::Close, "`)`")?;
            self.depth -= 1;
            return Ok(keys);
        }
        if self.takes_word("contains") {
            return self.contains();
        }
        let left = self.side()?;
        let Some(Token::Compare(sign)) = self.next() else {
            return Err(self.unexpected("a comparison such as `=` or `<=`"));
        };
        self.at += 1;
        let right = self.side()?;
        comparable(&left, sign, &right)?;
        Ok(format!("({} {sign} {})", left.keys, right.keys))
    }

    fn contains(&mut self) -> Read<String> {
        self.takes(&Token::Open, "`(`")?;
        let all = self.side()?;
        if all.kind != Kind::Texts {
            let message = format!(
                "`contains` looks through several texts, and `{}` is one",
                all.keys
            );
            return Err(refused(all.span, message, "`contains(topics, \"pipes\")`"));
        }
        self.takes(&Token::Comma, "`,`")?;
        let one = self.side()?;
        if one.kind != Kind::Text {
            let message = format!("`contains` looks for a text, and `{}` is none", one.keys);
            return Err(refused(one.span, message, "`contains(topics, \"pipes\")`"));
        }
        self.takes(&Token::Close, "`)`")?;
        Ok(format!("contains({}, {})", all.keys, one.keys))
    }

    fn side(&mut self) -> Read<Side> {
        let span = self.span();
        let (keys, kind) = match self.next() {
            Some(Token::Number(number)) => (number.clone(), Kind::Number),
            Some(Token::Text(text)) => {
                let escaped = text.replace('\\', "\\\\");
                (format!("\"{escaped}\""), Kind::Text)
            }
            Some(Token::Word(word)) => {
                let Some((name, kind)) = FACTS.iter().find(|(name, _)| name == word) else {
                    return Err(self.no_fact(word, span));
                };
                self.names.insert(name);
                ((*name).to_owned(), *kind)
            }
            Some(Token::Compare(_) | Token::Open | Token::Close | Token::Comma) | None => {
                return Err(self.unexpected("a fact, a text or a number"));
            }
        };
        self.at += 1;
        Ok(Side { keys, kind, span })
    }

    fn no_fact(&self, word: &str, span: Span) -> Box<Diagnostic> {
        if matches!(word, "and" | "or" | "not" | "contains") {
            return self.unexpected("a fact, a text or a number");
        }
        let names: Vec<&str> = FACTS.iter().map(|(name, _)| *name).collect();
        let is_right =
            self.at > 0 && matches!(self.tokens.get(self.at - 1), Some((Token::Compare(_), _)));
        let help = match nearest(word, names.iter().copied()) {
            Some(near) => format!("`{near}`"),
            None if is_right => format!("a text in quotes: `\"{word}\"`"),
            None => {
                let names: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
                listed(&names)
            }
        };
        refused(span, format!("`{word}` is no fact of a problem"), help)
    }
}

/// Whether two sides can be compared so.
fn comparable(left: &Side, sign: &str, right: &Side) -> Read<()> {
    let whole = left.span.cover(right.span);
    let said = |kind| match kind {
        Kind::Text => "a text",
        Kind::Texts => "several texts",
        Kind::Number => "a number",
    };
    for side in [left, right] {
        if side.kind == Kind::Texts {
            let message = format!("`{}` is several texts, which are not compared", side.keys);
            return Err(refused(side.span, message, "`contains(topics, \"pipes\")`"));
        }
    }
    if left.kind != right.kind {
        let message = format!(
            "`{}` is {}, and is compared with {}",
            left.keys,
            said(left.kind),
            said(right.kind)
        );
        let help = match left.kind {
            Kind::Text => format!("a text in quotes: `{} = \"…\"`", left.keys),
            Kind::Texts | Kind::Number => "a number without quotes: `level <= 2`".to_owned(),
        };
        return Err(refused(whole, message, help));
    }
    if left.kind == Kind::Text && !matches!(sign, "==" | "!=") {
        let message = format!("`{sign}` compares numbers, and `{}` is a text", left.keys);
        return Err(refused(whole, message, "`=` or `!=`"));
    }
    Ok(())
}
