//! Numbers and units in words, read as the language reads a literal.

use crate::quantity::{Dimension, Unit, written_precision};
use crate::resolve::composed;
use crate::syntax::tokens::{Token, TokenKind, tokens};
use crate::syntax::{Magnitude, UnitExpr, parse_literal};

/// A unit has at most so many signs and words in prose.
const MOST_TOKENS: usize = 12;

/// A number in words.
#[derive(Debug)]
pub(super) struct Number<'t> {
    /// Where it begins, its sign included.
    pub start: usize,
    /// Where it ends.
    pub end: usize,
    /// As it is written, without its sign.
    text: &'t str,
    is_negative: bool,
    /// It with the units that may be read behind it, the shortest first.
    readings: Vec<Reading>,
}

/// A number with a unit.
#[derive(Debug, Clone)]
pub(super) struct Reading {
    pub number: f64,
    pub unit: Unit,
    /// Where the unit ends.
    pub end: usize,
}

impl Number<'_> {
    /// Its value.
    pub fn value(&self) -> f64 {
        let value: f64 = self.text.parse().unwrap_or(f64::NAN);
        if self.is_negative { -value } else { value }
    }

    fn mantissa(&self) -> &str {
        self.text.split(['e', 'E']).next().unwrap_or("")
    }

    /// How many digits it has.
    pub fn digits(&self) -> usize {
        let digits = self.mantissa().bytes();
        digits.filter(u8::is_ascii_digit).count()
    }

    /// How many figures it has.
    pub fn figures(&self) -> usize {
        let digits = self.mantissa().trim_start_matches(['0', '.']).bytes();
        digits.filter(u8::is_ascii_digit).count()
    }

    /// What one more in its last place is.
    pub fn last_place(&self) -> f64 {
        written_precision(self.text).unwrap_or(0.0)
    }

    /// It with its unit. A word may be a unit or not, as `in` of `40 L in 10 s`: the longest unit
    /// counts that is one of a quantity of the problem, else the longest.
    pub fn reading(&self, is_known: impl Fn(Dimension) -> bool) -> Option<Reading> {
        let mut known = self.readings.iter().rev();
        let known = known.find(|it| is_known(it.unit.dimension()));
        known.or(self.readings.last()).cloned()
    }
}

/// The numbers in words, in order. One that does not end where the language ends it is none:
/// `1,200`, `0,8`.
pub(super) fn numbers(text: &str) -> Vec<Number<'_>> {
    let all: Vec<Token<'_>> = tokens(text).collect();
    let is_number = |at: usize| all.get(at).is_some_and(|it| it.kind == TokenKind::Number);
    let is_glued = |at: usize| at > 0 && is_glued(&all, at);
    let mut found = Vec::new();
    for at in 0..all.len() {
        if !is_number(at) {
            continue;
        }
        let joins = |comma: usize| {
            let is_comma = all
                .get(comma)
                .is_some_and(|it| matches!(it.text, "," | "'" | "’"));
            is_comma && is_glued(comma) && is_glued(comma + 1) && is_number(comma + 1)
        };
        if at > 1 && is_number(at - 2) && joins(at - 1) || joins(at + 1) {
            continue;
        }
        found.push(number(text, &all, at));
    }
    found
}

/// Whether nothing stands between a token and the one before it.
fn is_glued(all: &[Token<'_>], at: usize) -> bool {
    match (all.get(at.wrapping_sub(1)), all.get(at)) {
        (Some(before), Some(token)) => before.end() == token.at,
        _ => false,
    }
}

fn number<'t>(text: &'t str, all: &[Token<'t>], at: usize) -> Number<'t> {
    let token = all[at];
    // A full stop behind a number ends its sentence.
    let own = token.text.strip_suffix('.').unwrap_or(token.text);
    let sign = at.checked_sub(1).and_then(|before| all.get(before));
    let sign = sign.filter(|it| matches!(it.text, "-" | "−") && it.end() == token.at);
    let is_first = at < 2 || !is_glued(all, at - 1) || all[at - 2].kind == TokenKind::Open;
    let sign = sign.filter(|_| is_first);
    let mut found = Number {
        start: sign.map_or(token.at, |sign| sign.at),
        end: token.at + own.len(),
        text: own,
        is_negative: sign.is_some(),
        readings: Vec::new(),
    };
    if own.len() == token.text.len() {
        found.readings = readings(text, all, at, found.value());
    }
    found
}

/// The units that may be read behind a number, the shortest first.
fn readings(text: &str, all: &[Token<'_>], at: usize, number: f64) -> Vec<Reading> {
    // `an 80-mm pipe`
    let hyphen = all.get(at + 1).is_some_and(|it| it.text == "-");
    let hyphen = hyphen && is_glued(all, at + 1) && is_glued(all, at + 2);
    let first = at + 1 + usize::from(hyphen);
    let Some(start) = all.get(first).map(|token| token.at) else {
        return Vec::new();
    };
    let is_part = |token: &&Token<'_>| {
        matches!(
            token.kind,
            TokenKind::Word
                | TokenKind::UnitMark
                | TokenKind::Raised
                | TokenKind::Operator
                | TokenKind::Number
                | TokenKind::Open
                | TokenKind::Close
        )
    };
    let rest = all.get(first..).unwrap_or_default();
    let rest = rest.iter().take_while(is_part).take(MOST_TOKENS);
    let mut found = Vec::new();
    for (index, token) in rest.enumerate() {
        if goes_on(all, first + index + 1) {
            continue;
        }
        let unit = text.get(start..token.end()).unwrap_or("");
        let unit = unit.replace(char::is_whitespace, " ");
        let Ok(literal) = parse_literal(&format!("1 {unit}")) else {
            continue;
        };
        let is_one = matches!(literal.magnitude, Magnitude::One(_));
        let is_plain = is_one && literal.larger.is_empty() && literal.sizes.is_empty();
        let unit = literal.unit.filter(|it| is_plain && !is_twice(it));
        if let Some(Ok(unit)) = unit.as_ref().map(composed) {
            found.push(Reading {
                number,
                unit,
                end: token.end(),
            });
        }
    }
    found
}

/// Whether a unit goes on with a token: a power, or a factor behind a sign.
fn goes_on(all: &[Token<'_>], at: usize) -> bool {
    let Some(token) = all.get(at) else {
        return false;
    };
    let is_factor = |token: &Token<'_>| matches!(token.kind, TokenKind::Word | TokenKind::Open);
    match token.text {
        "^" => true,
        "/" | "*" | "·" | "⋅" | "×" => all.get(at + 1).is_some_and(is_factor),
        _ => token.kind == TokenKind::Raised,
    }
}

/// Whether a unit multiplies two of one kind, which nobody writes: the second is a word of the prose,
/// as in `a 40 mm rod` and `80 mm in width`.
fn is_twice(unit: &UnitExpr) -> bool {
    let above = unit.factors.iter().filter(|factor| !factor.below);
    let all: Vec<Dimension> = above
        .filter_map(|factor| Some(Unit::lone(&factor.symbol).ok()?.dimension()))
        .collect();
    (1..all.len()).any(|at| all[..at].contains(&all[at]))
}
