//! `` `p = ? bar` `` and `` `? bar of p` ``: an ask in prose.

use super::super::grammar::{self, Pairs, Rule, Stopped};
use super::super::reader::{Read, Reader};
use super::super::tokens::{tokens, words};
use super::super::{Expr, Literal, diagnose, limits};
use super::ask::{Ask, Asked};
use super::{Condition, Part};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// An inline code span that is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Inline {
    /// The expression.
    pub expr: Expr,
    /// Whether `expr =` is printed in front of the value (`` `p = ? bar` ``), or the value
    /// stands alone (`` `? bar of p` ``).
    pub names_it: bool,
    /// How to show it.
    pub ask: Ask,
    /// The number of a filled ask.
    pub filled: Option<Literal>,
    /// `at` conditions.
    pub conditions: Vec<Condition>,
}

impl Inline {
    /// Hands on each part.
    pub fn for_each_part<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Expr(&self.expr));
        self.filled.iter().for_each(|it| take(Part::Literal(it)));
        take(Part::Ask(&self.ask));
        self.conditions.iter().for_each(|it| it.parts(take));
    }
}

/// Whether the content of a code span is an ask: it begins with `?`, or ends in one after `=`,
/// or is a filled one.
pub(in super::super) fn is_ask(body: &str) -> bool {
    if body.starts_with('?') {
        return true;
    }
    let Some(mark) = body.rfind('?') else {
        return false;
    };
    let before = body.get(..mark).unwrap_or("").trim_end();
    let after = body.get(mark + 1..).unwrap_or("").trim_start();
    let is_number = |text: &str| text.trim_start().starts_with(begins_number);
    match before.rsplit_once('=') {
        Some((left, between)) if !left.trim_end().ends_with(['=', '!', '<', '>']) => {
            !left.trim().is_empty() && (between.trim().is_empty() || is_number(between))
        }
        _ => is_number(before) && is_followed_by_formula(after),
    }
}

/// `of X`, or `to 3 figures of X`.
fn is_followed_by_formula(after: &str) -> bool {
    let mut words = tokens(after).map(|token| token.text);
    match words.next() {
        Some("of") => true,
        Some("to") => words.nth(2) == Some("of"),
        _ => false,
    }
}

fn begins_number(character: char) -> bool {
    character.is_ascii_digit() || matches!(character, '-' | '−' | '+' | '.' | '[' | '(')
}

/// Reads the content of an inline ask that stands at `start`.
pub(in super::super) fn inline(body: &str, start: usize) -> Read<Inline> {
    if let Some(refusal) = limits::refuse(body, start) {
        return Err(Box::new(refusal));
    }
    let pairs = grammar::parse(Rule::inline_line, body)
        .map_err(|stopped| unread_inline(body, start, &stopped))?;
    Reader::new(body, start).inline(pairs)
}

impl Reader<'_> {
    fn inline(&mut self, pairs: Pairs<'_>) -> Read<Inline> {
        let mut expr = None;
        let mut names_it = true;
        let mut asked = Asked::default();
        let mut after = None;
        let mut conditions = Vec::new();
        for pair in pairs {
            match pair.as_rule() {
                Rule::expr => expr = Some(self.expr(pair)?),
                Rule::of => names_it = false,
                Rule::precision => after = Some(self.precision(pair)?),
                Rule::condition => conditions.push(self.condition(pair)?),
                _ => self.asked(&mut asked, pair)?,
            }
        }
        let (Some(expr), Some(mut ask)) = (expr, asked.ask) else {
            return Err(self.nothing());
        };
        ask.precision = ask.precision.or(after);
        Ok(Inline {
            expr,
            names_it,
            ask,
            filled: asked.filled,
            conditions,
        })
    }
}

/// What to say about an inline ask that was not matched.
fn unread_inline(body: &str, start: usize, stopped: &Stopped) -> Box<Diagnostic> {
    let from = words(body).find(|(_, word)| *word == "from");
    if let Some((at, word)) = from {
        let span = Span::new(start + at, start + at + word.len());
        return super::from_misplaced("a code span", span);
    }
    let meant = "`name = ? unit`, `? unit of formula`, or other code".to_owned();
    let mut refusal = diagnose::general(body, start, stopped, meant.clone());
    if refusal.code == Code::S01 {
        refusal.help = Some(meant);
    }
    refusal
}
