//! `name = ? from label near 2`: the equation that is solved for the name of an ask, and where
//! its root is sought.

use super::super::diagnose;
use super::super::grammar::{Pair, Rule, Stopped};
use super::super::reader::{Read, Reader, gap, part, with_blanks_before};
use super::super::statement::quantity;
use super::super::tokens::{word_at, words};
use super::super::{BlockKind, Expr, ExprKind, Word, literal};
use super::{Chain, Part, Tail};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::text::Span;

/// The equation that is solved for a name, and where its root is sought.
#[derive(Debug, Clone, PartialEq)]
pub struct From {
    /// From the word `from` to the end.
    pub span: Span,
    /// The label of the equation.
    pub label: Word,
    /// Where the root is sought.
    pub start: Start,
}

/// Where a root is sought, of either tree.
#[derive(Debug, Clone, PartialEq)]
pub enum Start<E = Expr> {
    /// The line does not say.
    Anywhere,
    /// `near 0.02`: a literal.
    Near(Box<E>),
    /// `between 0.008 and 0.1`: two literals.
    Between(Box<E>, Box<E>),
}

impl<E> Start<E> {
    /// The values that it names.
    pub(crate) fn values(&self) -> impl Iterator<Item = &E> {
        let (first, second) = match self {
            Self::Anywhere => (None, None),
            Self::Near(value) => (Some(value), None),
            Self::Between(low, high) => (Some(low), Some(high)),
        };
        first.into_iter().chain(second).map(|value| &**value)
    }
}

impl From {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        take(Part::Label(&self.label));
        self.start
            .values()
            .for_each(|value| take(Part::Expr(value)));
    }
}

impl Reader<'_> {
    /// `from colebrook near 0.02`.
    pub(super) fn from(&mut self, pair: Pair<'_>) -> Read<From> {
        let span = self.span(&pair);
        let mut label = None;
        let mut start = Start::Anywhere;
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::label => label = Some(self.label(&part)),
                _ => start = self.only_start(part)?,
            }
        }
        Ok(From {
            span,
            label: label.ok_or_else(|| self.nothing())?,
            start,
        })
    }

    fn only_start(&mut self, pair: Pair<'_>) -> Read<Start> {
        let (word, span) = (pair.as_rule(), self.span(&pair));
        let mut starts = self.starts(pair)?;
        match starts.pop() {
            Some(only) if starts.is_empty() => Ok(only),
            _ => Err(several_starts(self, word, span)),
        }
    }

    /// The starts after one `near` or `between`, in order.
    pub(super) fn starts(&mut self, pair: Pair<'_>) -> Read<Vec<Start>> {
        let near = pair.as_rule() == Rule::near;
        let mut literals = Vec::with_capacity(2);
        for part in pair.into_inner() {
            if part.as_rule() == Rule::literal {
                literals.push(quantity(literal::literal(self, part)?));
            }
        }
        if near {
            return Ok(literals
                .into_iter()
                .map(Box::new)
                .map(Start::Near)
                .collect());
        }
        let mut starts = Vec::with_capacity(1);
        let mut bounds = literals.into_iter();
        while let (Some(lower), Some(upper)) = (bounds.next(), bounds.next()) {
            starts.push(Start::Between(Box::new(lower), Box::new(upper)));
        }
        Ok(starts)
    }
}

/// `f = ? from x near 1, 2`.
fn several_starts(reader: &Reader<'_>, rule: Rule, span: Span) -> Box<Diagnostic> {
    let word = start_word(rule);
    error(
        span,
        format!("`{}` has several starts for one name", reader.slice(span)),
        format!("one, as in `f = ? from colebrook {word} …`, or `solve a, b for x, y {word} …`"),
    )
}

pub(super) fn start_word(rule: Rule) -> &'static str {
    match rule {
        Rule::near => "near",
        _ => "between",
    }
}

/// A start as the author wrote it, without its word.
pub(super) fn written(reader: &Reader<'_>, start: &Start) -> String {
    match start {
        Start::Anywhere => String::new(),
        Start::Near(value) => reader.slice(value.span).to_owned(),
        Start::Between(lower, upper) => {
            format!(
                "{} and {}",
                reader.slice(lower.span),
                reader.slice(upper.span)
            )
        }
    }
}

/// Refuses a `from` that does not stand after `name = ?`.
pub(in super::super) fn refuse_from(reader: &Reader<'_>, chain: &Chain) -> Read<()> {
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
pub(in super::super) fn unread(
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
        // What data vary over is told by its own form.
        if super::versions::in_steps(body).is_some() {
            return None;
        }
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
        let fix = moved(
            body,
            start,
            (at, precision),
            (kept, &format!(" {precision}")),
        );
        return Some(Box::new(refusal.with_fixes(fix)));
    }
    if let Some((at, _)) = words(body).find(|(at, word)| *at < from && *word == "at") {
        let refusal = late_from(span(from, "from".len()));
        let words = body.get(from..).unwrap_or("").trim_end();
        let fix = moved(body, start, (from, words), (at, &format!("{words} ")));
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
pub(in super::super) fn misplaced(place: &str, span: Span) -> Box<Diagnostic> {
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

/// Words of a line taken out where they stand, and written elsewhere.
fn moved(
    body: &str,
    start: usize,
    (at, words): (usize, &str),
    (to, written): (usize, &str),
) -> Option<Fix> {
    let left = with_blanks_before(body, start, at, at + words.len());
    let edits = [(part(start, to, to), written), (left, "")];
    Reader::new(body, start).fix(Decision::None, part(start, 0, body.len()), &edits)
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
