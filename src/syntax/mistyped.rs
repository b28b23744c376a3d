//! Quantities in ways of writing that others have and the language has not, and how they are meant.

use super::tokens::{Token, TokenKind, digits_apart, tokens};
use super::{BlockKind, Chain, ExprKind, Statement, statement};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// `Q = 3 m3/h`, `k = 5 x 10^3 N/m`, `p = 20 mbar(abs)`: what is said of a datum whose value would
/// be a quantity in another way of writing, in which every word is a unit. Nothing where it would
/// not be one.
pub fn mistyped_quantity(
    body: &str,
    start: usize,
    is_unit: impl Fn(&str) -> bool,
) -> Option<Diagnostic> {
    let from = tokens(body).find(|token| token.text == "=")?.end();
    let rest = body.get(from..)?;
    let value = rest.trim();
    let at = start + from + (rest.len() - rest.trim_start().len());
    let meant = rewritten(value, is_unit).filter(|meant| meant != value && is_quantity(meant))?;
    let place = Span::new(at, at + value.len());
    let message = format!("`{value}` is not written as a quantity is");
    Some(
        Diagnostic::error(Code::S01, place, message)
            .with_help(format!("`{meant}`"))
            .with_choice(place, meant),
    )
}

/// A quantity with what is otherwise written put right; `None` where it does not begin as one.
fn rewritten(value: &str, is_unit: impl Fn(&str) -> bool) -> Option<String> {
    let value = without_bars_in_numbers(&value.replace('º', "°"));
    let parts: Vec<Token<'_>> = tokens(&value).collect();
    let is_number = |at: usize| {
        parts
            .get(at)
            .is_some_and(|part| part.kind == TokenKind::Number)
    };
    let is_negative = parts.first()?.text == "-";
    if !is_number(usize::from(is_negative)) {
        return None;
    }
    let word = |at: usize| parts.get(at).map_or("", |part| part.text);
    let (mut meant, mut at) = (String::new(), 0);
    while let Some(part) = parts.get(at) {
        let is_behind_a_number = at > 0 && is_number(at - 1);
        let is_before_ten = word(at + 1) == "10" && word(at + 2) == "^";
        let datum =
            meant_datum(word(at + 2)).filter(|_| (word(at + 1), word(at + 3)) == ("(", ")"));
        let blank = value.get(parts.get(at.wrapping_sub(1)).map_or(0, Token::end)..part.at)?;
        meant += blank;
        match part.kind {
            TokenKind::Word
                if matches!(part.text, "x" | "X") && is_behind_a_number && is_before_ten =>
            {
                meant += "×";
            }
            TokenKind::Word if datum.is_some() => {
                meant += &format!("{} {}", part.text, datum?);
                at += 3;
            }
            TokenKind::Word if matches!(part.text, "x10" | "X10") && is_behind_a_number => {
                meant += " × 10";
            }
            TokenKind::Word => meant += &raised(part.text, &is_unit)?,
            TokenKind::Number if is_behind_a_number && part.text == "10" && word(at + 1) == "^" => {
                meant += &format!("× {}", part.text);
            }
            TokenKind::Number
                if word(at + 1) == "," && is_number(at + 2) && is_grouped(part.text) =>
            {
                meant += &format!("{}.{}", part.text.replace('.', ""), word(at + 2));
                at += 2;
            }
            TokenKind::Label
            | TokenKind::Number
            | TokenKind::Raised
            | TokenKind::UnitMark
            | TokenKind::Operator
            | TokenKind::Relation
            | TokenKind::Open
            | TokenKind::Close
            | TokenKind::Bar
            | TokenKind::Comma
            | TokenKind::Ask
            | TokenKind::Sign
            | TokenKind::Strange
            | TokenKind::Description
            | TokenKind::Comment => meant += part.text,
        }
        at += 1;
    }
    Some(meant)
}

/// `10_000` as `10000`.
fn without_bars_in_numbers(value: &str) -> String {
    let is_digit = |letter: Option<char>| letter.is_some_and(|letter| letter.is_ascii_digit());
    let letters: Vec<char> = value.chars().collect();
    let is_bar = |at: usize| {
        letters[at] == '_'
            && is_digit(at.checked_sub(1).map(|before| letters[before]))
            && is_digit(letters.get(at + 1).copied())
    };
    (0..letters.len())
        .filter(|at| !is_bar(*at))
        .map(|at| letters[at])
        .collect()
}

/// A unit as it stands, or `m3` as `m^3`; nothing where it is none.
fn raised(word: &str, is_unit: &impl Fn(&str) -> bool) -> Option<String> {
    if is_unit(word) {
        return Some(word.to_owned());
    }
    let (unit, power) = digits_apart(word);
    (power.len() == 1 && is_unit(unit)).then(|| format!("{unit}^{power}"))
}

/// The datum word that is meant by what others put in brackets behind a unit: `abs` in `kPa(a)`.
pub fn meant_datum(word: &str) -> Option<&'static str> {
    match word {
        "g" | "gauge" => Some("gauge"),
        "a" | "abs" | "absolute" => Some("abs"),
        _ => None,
    }
}

/// `12.500`: groups of three figures, whatever stands behind the comma.
fn is_grouped(number: &str) -> bool {
    let mut groups = number.split('.');
    let first = groups.next().map_or(0, str::len);
    let mut groups = groups.peekable();
    (1..=3).contains(&first) && groups.peek().is_some() && groups.all(|group| group.len() == 3)
}

/// Whether a datum may have this value, and it is a number with its unit.
fn is_quantity(value: &str) -> bool {
    let line = format!("q = {value}");
    match statement::statement(BlockKind::Given, &line, 0, &mut Vec::new()) {
        Ok(Statement::Chain(Chain { members, .. })) => {
            matches!(members.as_slice(), [_, value] if matches!(value.kind, ExprKind::Quantity(_)))
        }
        Ok(_) | Err(_) => false,
    }
}
