//! `name = ? from label near 2`: what is said about such an ask when it cannot be read.
//!
//! In goes a statement that was not matched, or a chain whose `from` has no ask, out comes one
//! diagnostic. The `from` itself is read in `step`.

use super::diagnose;
use super::formula::{Read, Reader};
use super::grammar::Stopped;
use super::mend::{gap, part, with_blanks_before};
use super::tokens::{word_at, words};
use super::{BlockKind, Chain, ExprKind, Tail};
use crate::diagnostic::{Applicability, Code, Diagnostic, Fix};
use crate::text::Span;

/// Refuses a `from` that does not stand after `name = ?`.
pub(super) fn refuse_from(reader: &Reader<'_>, chain: &Chain) -> Read<()> {
    let Some(from) = &chain.from else {
        return Ok(());
    };
    let [first, others @ ..] = chain.members.as_slice() else {
        return Ok(());
    };
    let name = reader.slice(first.span);
    let (source, label) = (reader.slice(from.span), &from.label.text);
    if !matches!(first.kind, ExprKind::Name(_)) {
        return Err(error(
            first.span,
            format!("`{name}` is no name, and an equation is solved for a name"),
            format!("`x = ? {source}`, with a name in `{label}`"),
        ));
    }
    if let Some(formula) = others.first() {
        let refusal = error(
            from.span,
            format!(
                "`{name}` is defined twice, by `{}` and by the equation `{label}`",
                reader.slice(formula.span)
            ),
            format!("`{name} = ? {source}`, or the formula without `from`"),
        );
        let fixes = one_definition(reader, chain, first.span, from.span);
        return Err(Box::new(refusal.with_fixes(fixes.into_iter().flatten())));
    }
    match chain.tail {
        Tail::Ask(_) | Tail::Filled(..) => Ok(()),
        Tail::Claim(_) | Tail::None => {
            let refusal = error(
                from.span,
                "`from` stands after an ask `?`".to_owned(),
                format!("`{name} = ? {source}`"),
            );
            let between = (gap(first.span, from.span), " = ? ");
            let asked = reader.choice(first.span.cover(from.span), &[between]);
            Err(Box::new(refusal.with_fixes(asked)))
        }
    }
}

/// `x = ? from law` or `x = 3 a = ?` for `x = 3 a = ? from law`.
fn one_definition(reader: &Reader<'_>, chain: &Chain, name: Span, from: Span) -> [Option<Fix>; 2] {
    let (Tail::Ask(ask) | Tail::Filled(_, ask)) = &chain.tail else {
        return [None, None];
    };
    let line = name.cover(from);
    [
        reader.choice(line, &[(gap(name, ask.span), " = ")]),
        reader.choice(
            line,
            &[(
                Span {
                    start: ask.span.end,
                    ..from
                },
                "",
            )],
        ),
    ]
}

/// What to say about a statement with `from`, or with a start that needs it.
pub(super) fn unread(
    kind: BlockKind,
    body: &str,
    start: usize,
    stopped: &Stopped,
) -> Option<Box<Diagnostic>> {
    let word = |wanted: &[&str]| {
        words(body).find(|(at, word)| *at > 0 && wanted.contains(word) && !is_defined(body, *at))
    };
    let span = |at: usize, length: usize| Span::new(start + at, start + at + length);
    let from = word(&["from"]).map(|(at, _)| at);
    if kind != BlockKind::Work {
        return from.map(|at| misplaced(kind.word(), span(at, "from".len())));
    }
    if let Some(bracket) = diagnose::unclosed_bracket(body, start) {
        return Some(bracket);
    }
    let Some(from) = from else {
        let (at, word) = word(&["near", "between"])?;
        return Some(start_without_from(word, span(at, word.len())));
    };
    let late = words(body).find(|(at, word)| *at > from && *word == "to");
    if let Some((at, _)) = late
        && let precision = body.get(at..).unwrap_or("").trim_end()
        && (precision.contains("figure") || precision.contains("decimal"))
    {
        let refusal = late_precision(precision, span(at, precision.len()));
        let kept = body.get(..from).unwrap_or("").trim_end().len();
        let fix = Reader::new(body, start).fix(
            Applicability::Safe,
            part(start, 0, body.len()),
            &[
                (part(start, kept, kept), &*format!(" {precision}")),
                (
                    with_blanks_before(body, start, at, at + precision.len()),
                    "",
                ),
            ],
        );
        return Some(Box::new(refusal.with_fixes(fix)));
    }
    if let Some((at, _)) = words(body).find(|(at, word)| *at < from && *word == "at") {
        let refusal = late_from(span(from, "from".len()));
        let moved = body.get(from..).unwrap_or("").trim_end();
        let fix = Reader::new(body, start).fix(
            Applicability::Safe,
            part(start, 0, body.len()),
            &[
                (part(start, at, at), &*format!("{moved} ")),
                (
                    with_blanks_before(body, start, from, from + moved.len()),
                    "",
                ),
            ],
        );
        return Some(Box::new(refusal.with_fixes(fix)));
    }
    let at = diagnose::stop(body, stopped);
    (at >= from).then(|| {
        error(
            diagnose::place(body, start, at),
            diagnose::cannot_stand(body, at),
            "`f = ? from colebrook`, then as needed `near 0.02` or `between 0.008 and 0.1`"
                .to_owned(),
        )
    })
}

/// Whether the word at `at` is used as a name.
fn is_defined(body: &str, at: usize) -> bool {
    let after = body.get(at + word_at(body, at).len()..).unwrap_or("");
    after.trim_start().starts_with('=')
}

/// `from` where nothing is solved numerically.
pub(super) fn misplaced(place: &str, span: Span) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::error(
            Code::S11,
            span,
            format!("an ask with `from` does not belong in `{place}`"),
        )
        .with_help("the line in a `work` block, as `f = ? from colebrook`"),
    )
}

/// `f = ? near 2`.
fn start_without_from(word: &str, span: Span) -> Box<Diagnostic> {
    error(
        span,
        format!("`{word}` stands here without the equation that is solved"),
        format!("`f = ? from colebrook {word} …`, with the label of the equation"),
    )
}

/// `f = ? from x to 3 figures`.
fn late_precision(text: &str, span: Span) -> Box<Diagnostic> {
    error(
        span,
        format!("`{text}` stands after `from`"),
        format!("the figures before it, as in `f = ? {text} from colebrook`"),
    )
}

/// `f = ? at Q = 2 from x`.
fn late_from(span: Span) -> Box<Diagnostic> {
    error(
        span,
        "`from` stands after `at`".to_owned(),
        "`from` before `at`, as in `f = ? from colebrook at Q = 40 L/s`".to_owned(),
    )
}

fn error(span: Span, message: String, help: String) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(Code::S01, span, message).with_help(help))
}
