//! Lines that cannot be read, and lines that belong elsewhere: what to say.
//!
//! In goes a statement that the grammar did not match, with the place where reading stopped, out
//! comes one diagnostic with a way out, or the word of the language that is not understood yet.

use super::formula::{Read, Reader};
use super::grammar::Stopped;
use super::statement::{is_only_a_literal, refuse_function_as_name};
use super::{BlockKind, Chain, Expr, ExprKind, Name, Statement, Tail, Word, is_reserved};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// Words that open a line which is not understood yet.
const OPENING: &[&str] = &["component", "sensitivity", "show", "solve", "therefore"];
/// Words of checks that are not understood yet.
const OF_CHECKS: &[&str] = &["rises", "falls", "varies", "does"];

/// The word that opens a line which is not understood yet.
pub(super) fn opening_word(body: &str, start: usize) -> Option<Word> {
    if !body.starts_with(['t', 's', 'c']) {
        return None;
    }
    let word = word_at(body, 0);
    let after = body.get(word.len()..).unwrap_or("").trim_start();
    let is_name = !is_reserved(word) && after.starts_with(['=', '<', '>', ':']);
    (OPENING.contains(&word) && !is_name).then(|| Word {
        span: Span::new(start, start + word.len()),
        text: word.into(),
    })
}

/// What to say about a statement that was not matched.
pub(super) fn unread(
    kind: BlockKind,
    body: &str,
    start: usize,
    stopped: &Stopped,
) -> Read<Statement> {
    let later = match kind {
        BlockKind::Check => later_check(body),
        _ => later_ask(body),
    };
    if let Some((at, length)) = later {
        return Ok(Statement::NotYet(Word {
            span: Span::new(start + at, start + at + length),
            text: body.get(at..at + length).unwrap_or("").into(),
        }));
    }
    Err(wrong_block(kind, body, start).unwrap_or_else(|| general(body, start, stopped)))
}

/// What to say about an inline ask that was not matched.
pub(super) fn unread_inline(body: &str, start: usize, stopped: &Stopped) -> Box<Diagnostic> {
    let mut refusal = general(body, start, stopped);
    if refusal.code == Code::S01 {
        refusal.help = Some("`name = ? unit`, `? unit of formula`, or other code".to_owned());
    }
    refusal
}

/// `rises`, `falls`, `varies`, `does not depend on`, `->` in a check.
fn later_check(body: &str) -> Option<(usize, usize)> {
    words(body)
        .find(|(_, word)| OF_CHECKS.contains(word))
        .map(|(at, word)| (at, word.len()))
        .or_else(|| body.find("->").map(|at| (at, 2)))
}

/// `? … from`.
fn later_ask(body: &str) -> Option<(usize, usize)> {
    let ask = body.find('?')?;
    words(body)
        .find(|(at, word)| *at > ask && *word == "from")
        .map(|(at, word)| (at, word.len()))
}

/// A line that would be good in another block.
fn wrong_block(kind: BlockKind, body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let whole = Span::new(start, start + body.len());
    let comparison = outer(body, &['<', '>', '≤', '≥']);
    let ask = outer(body, &['?']);
    let at = |offset: usize| place(body, start, offset);
    let (span, what, help) = match kind {
        BlockKind::Given | BlockKind::Derive | BlockKind::Work | BlockKind::Answer
            if comparison.is_some() =>
        {
            (at(comparison?), "a comparison", "in a `check` block")
        }
        BlockKind::Given if ask.is_some() => (
            at(ask?),
            "an ask",
            "in a `work` block, or as data: `D = 600 mm`",
        ),
        BlockKind::Derive if ask.is_some() => (at(ask?), "an ask", "in a `work` block"),
        BlockKind::Check if ask.is_some() => (at(ask?), "an ask", "in a `work` block"),
        BlockKind::Given if body.matches('=').count() > 1 => {
            (whole, "a chain of equals", "in a `work` block")
        }
        BlockKind::Required if ask.is_none() && body.contains('=') => (
            whole,
            "a value",
            "in `given` when it is data, or as an unknown: `R_x = ? kN`",
        ),
        BlockKind::Answer if ask.is_none() && body.contains('=') => (
            whole,
            "a formula",
            "in `work`, and only the name here: `R_x = ? kN`",
        ),
        _ => return None,
    };
    Some(error(
        Code::S11,
        span,
        format!("{what} does not belong in `{}`", kind.word()),
        format!("the line {help}"),
    ))
}

fn general(body: &str, start: usize, stopped: &Stopped) -> Box<Diagnostic> {
    let at = stopped.at.min(body.len());
    if let Some(refusal) = known_trouble(body, start, at) {
        return refusal;
    }
    let span = place(body, start, at);
    let found = body.get(at..).unwrap_or("").trim_start();
    let help = match stopped.expected.as_slice() {
        [] => "a formula such as `a = b + c`".to_owned(),
        expected => format!("{} at this place", expected.join(", or ")),
    };
    let message = match found.chars().next() {
        None => "the line ends too early".to_owned(),
        Some(first) => {
            let word = word_at(found, 0);
            if word.is_empty() {
                format!("`{first}` cannot stand here")
            } else {
                format!("`{word}` cannot stand here")
            }
        }
    };
    error(Code::S01, span, message, help)
}

/// Mistakes with a cause of their own.
fn known_trouble(body: &str, start: usize, at: usize) -> Option<Box<Diagnostic>> {
    if let Some(offset) = unclosed(body) {
        let span = place(body, start, offset);
        let bracket = body.get(offset..offset + 1).unwrap_or("");
        let closing = match bracket {
            "(" => ")",
            "[" => "]",
            _ => "",
        };
        return Some(if closing.is_empty() {
            error(
                Code::S01,
                span,
                format!("`{bracket}` closes nothing"),
                "an opening bracket before it, or leave it out".to_owned(),
            )
        } else {
            error(
                Code::S01,
                span,
                format!("`{bracket}` is not closed"),
                format!("a `{closing}` after the part it belongs to"),
            )
        });
    }
    let blanks = body.get(at..)?.len() - body.get(at..)?.trim_start().len();
    let word = word_at(body, at + blanks);
    let word_span = Span::new(start + at + blanks, start + at + blanks + word.len());
    if let Some((from, text)) = after_to(body) {
        let span = Span::new(start + from, start + from + text.len());
        return Some(bad_precision(text, span));
    }
    if is_reserved(word) {
        return Some(error(
            Code::S14,
            word_span,
            format!("`{word}` is a word of the language and cannot be a name"),
            format!("another name, such as `{word}_1`"),
        ));
    }
    if body.matches('|').count() >= 4 {
        let first = body.find('|').unwrap_or(0);
        let last = body.rfind('|').unwrap_or(first);
        return Some(error(
            Code::S06,
            Span::new(start + first, start + last + 1),
            "these bars pair in more than one way".to_owned(),
            "`abs(…)` instead of the outer bars".to_owned(),
        ));
    }
    None
}

/// What follows `to` in an ask, `to` included.
fn after_to(body: &str) -> Option<(usize, &str)> {
    let ask = body.find('?')?;
    let (at, _) = words(body).find(|(at, word)| *at > ask && *word == "to")?;
    Some((at, body.get(at..)?.trim_end()))
}

/// The first bracket without a partner.
fn unclosed(body: &str) -> Option<usize> {
    let mut open = Vec::new();
    for (at, byte) in body.bytes().enumerate() {
        match byte {
            b'(' | b'[' => open.push((at, byte)),
            b')' | b']' => {
                let partner = if byte == b')' { b'(' } else { b'[' };
                match open.pop() {
                    Some((_, opening)) if opening == partner => {}
                    _ => return Some(at),
                }
            }
            _ => {}
        }
    }
    open.first().map(|(at, _)| *at)
}

/// Refuses chains that the grammar reads but the block does not take.
pub(super) fn refuse_chain(kind: BlockKind, reader: &Reader<'_>, chain: &Chain) -> Read<()> {
    match kind {
        BlockKind::Derive => {
            for member in &chain.members {
                if let Some(unit) = unit_inside(member) {
                    return Err(unit_in_derive(reader, unit));
                }
            }
            return Ok(());
        }
        BlockKind::Work => refuse_data(reader, chain)?,
        _ => {}
    }
    match chain.members.first().map(|first| &first.kind) {
        Some(ExprKind::Name(name)) => refuse_function_as_name(name),
        _ => Ok(()),
    }
}

/// `x = 5` alone in `work`.
fn refuse_data(reader: &Reader<'_>, chain: &Chain) -> Read<()> {
    if let [first] = chain.members.as_slice()
        && matches!(first.kind, ExprKind::Name(_))
        && let Tail::Claim(literal) = &chain.tail
        && (is_only_a_literal(literal) || !chain.conditions.is_empty())
    {
        return Err(number_in_work(
            reader.slice(first.span),
            reader.slice(literal.span),
            first.span.cover(literal.span),
        ));
    }
    Ok(())
}

/// `name = literal` alone in `work`.
fn number_in_work(name: &str, literal: &str, span: Span) -> Box<Diagnostic> {
    error(
        Code::S12,
        span,
        format!("`{name} = {literal}` defines `{name}` by a number"),
        format!("the line in `given`, or `{name} = {literal} ?` when it is a result"),
    )
}

/// The first part of a formula that has a unit other than `°` and `%`.
fn unit_inside(expr: &Expr) -> Option<&Expr> {
    match &expr.kind {
        ExprKind::Quantity(literal) => {
            let has_unit = literal.unit.as_ref().is_some_and(|unit| {
                unit.factors
                    .iter()
                    .any(|factor| !matches!(&*factor.symbol, "°" | "%" | "‰"))
            });
            (has_unit || literal.datum.is_some()).then_some(expr)
        }
        ExprKind::Sum(terms) => terms.iter().find_map(|term| unit_inside(&term.expr)),
        ExprKind::Product(factors) => factors.iter().find_map(|factor| unit_inside(&factor.expr)),
        ExprKind::Power(base, exponent) => unit_inside(base).or_else(|| unit_inside(exponent)),
        ExprKind::Negative(inner) | ExprKind::Group(inner) | ExprKind::Abs(inner) => {
            unit_inside(inner)
        }
        ExprKind::Call { arguments, .. } => arguments.iter().find_map(unit_inside),
        ExprKind::List(items) => items.iter().find_map(unit_inside),
        ExprKind::Cases(cases) => cases.iter().find_map(|case| unit_inside(&case.value)),
        ExprKind::Number(_) | ExprKind::Name(_) | ExprKind::Constant(_) => None,
    }
}

fn unit_in_derive(reader: &Reader<'_>, unit: &Expr) -> Box<Diagnostic> {
    let text = reader.slice(unit.span);
    error(
        Code::S15,
        unit.span,
        format!("`{text}` has a unit, and `derive` holds symbols only"),
        format!("a name for it in `given`, as in `p_atm = {text}`, and the name here"),
    )
}

/// `x = ? m = y`.
pub(super) fn ask_in_the_middle(span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        "an ask is the last member of its chain".to_owned(),
        "the formulas before it, as in `V_1 = Q/A_1 = ? m/s`".to_owned(),
    )
}

/// `(+ up, + down)`.
pub(super) fn sign_twice(span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        "this sign already has a word".to_owned(),
        "one word a sign, as in `(+ downstream, - upstream)`".to_owned(),
    )
}

/// `to many figures`.
pub(super) fn bad_precision(text: &str, span: Span) -> Box<Diagnostic> {
    error(
        Code::S01,
        span,
        format!("`{text}` does not say how many digits to show"),
        "`to N figures` with N from 1 to 15, or `to N decimals` with N from 0 to 15".to_owned(),
    )
}

/// `min = …`.
pub(super) fn taken_name(name: &Name) -> Box<Diagnostic> {
    let key = &name.key;
    error(
        Code::S14,
        name.span,
        format!("`{key}` is built in and cannot be defined"),
        format!("another name, such as `{key}_1`"),
    )
}

/// The character at `at`, or the end.
pub(super) fn place(body: &str, start: usize, at: usize) -> Span {
    let rest = body.get(at..).unwrap_or("");
    let blanks = rest.len() - rest.trim_start().len();
    let word = word_at(rest, blanks);
    let length = match word.len() {
        0 => rest.trim_start().chars().next().map_or(0, char::len_utf8),
        length => length,
    };
    let from = if rest.trim_start().is_empty() {
        body.len().min(at)
    } else {
        at + blanks
    };
    Span::new(start + from, start + from + length)
}

fn word_at(body: &str, at: usize) -> &str {
    let rest = body.get(at..).unwrap_or("");
    let end = rest
        .find(|character: char| !character.is_alphanumeric() && character != '_')
        .unwrap_or(rest.len());
    rest.get(..end).unwrap_or("")
}

/// The words of a statement with their places.
fn words(body: &str) -> impl Iterator<Item = (usize, &str)> {
    body.split(|character: char| !character.is_alphanumeric() && character != '_')
        .filter(|word| !word.is_empty())
        .map(|word| (word.as_ptr() as usize - body.as_ptr() as usize, word))
}

/// The first of `wanted` outside brackets.
fn outer(body: &str, wanted: &[char]) -> Option<usize> {
    let mut depth = 0usize;
    for (at, character) in body.char_indices() {
        match character {
            '(' | '[' => depth += 1,
            ')' | ']' => depth = depth.saturating_sub(1),
            _ if depth == 0 && wanted.contains(&character) => return Some(at),
            _ => {}
        }
    }
    None
}

fn error(code: Code, span: Span, message: String, help: String) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(code, span, message).with_help(help))
}
