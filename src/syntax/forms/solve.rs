//! `solve a, b for x, y`: equations solved together, in `derive` and `work`.

use super::super::grammar::{Pair, Pairs, Rule};
use super::super::reader::{Read, Reader, part};
use super::super::statement::refuse_function_as_name;
use super::super::tokens::words;
use super::super::{BlockKind, Name, Word, misplaced};
use super::from::{Start, start_word, written};
use super::{Check, Part};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::text::Span;

/// `solve a, b for x near 1 m, y near 2 N with x > 0 in full`.
#[derive(Debug, Clone, PartialEq)]
pub struct Solve {
    /// The word `solve`.
    pub word: Span,
    /// The equations; none when the nearest that hold the unknowns are meant.
    pub labels: Vec<Word>,
    /// What they are solved for; at least one.
    pub unknowns: Vec<Unknown>,
    /// `with x > 0`: which branch is meant.
    pub conditions: Vec<Check>,
    /// Whether the intermediate steps are to be shown.
    pub in_full: bool,
}

/// An unknown of `solve`.
#[derive(Debug, Clone, PartialEq)]
pub struct Unknown {
    /// Its name.
    pub name: Name,
    /// Where its value is sought.
    pub start: Start,
}

impl Solve {
    /// Its parts, in order.
    pub(super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        self.labels
            .iter()
            .for_each(|label| take(Part::Label(label)));
        for unknown in &self.unknowns {
            take(Part::Name(&unknown.name));
            unknown
                .start
                .values()
                .for_each(|value| take(Part::Expr(value)));
        }
        self.conditions.iter().for_each(|it| it.parts(take));
    }
}

impl Reader<'_> {
    pub(super) fn solve(&mut self, kind: BlockKind, pairs: Pairs<'_>) -> Read<Solve> {
        let mut word = None;
        let mut labels = Vec::with_capacity(1);
        let mut unknowns = Unknowns::default();
        let mut conditions = Vec::new();
        let mut in_full = false;
        for pair in pairs {
            let span = self.span(&pair);
            match pair.as_rule() {
                Rule::solve_word => word = Some(span),
                Rule::label => labels.push(self.label(&pair)),
                Rule::name => unknowns.name(self.name(&pair))?,
                Rule::near | Rule::between => unknowns.starts(self, pair)?,
                Rule::with | Rule::in_full if kind == BlockKind::Work => {
                    let refusal = only_in_derive(&pair, span);
                    let without = (pair.as_rule() == Rule::in_full)
                        .then(|| Fix::new(Decision::Choose, "leave out `in full`", span, ""));
                    return Err(Box::new(refusal.with_fixes(without)));
                }
                Rule::with => conditions = self.with(pair)?,
                Rule::in_full => in_full = true,
                _ => {}
            }
        }
        Ok(Solve {
            word: word.ok_or_else(|| self.nothing())?,
            labels,
            unknowns: unknowns.read,
            conditions,
            in_full,
        })
    }

    fn with(&mut self, pair: Pair<'_>) -> Read<Vec<Check>> {
        let mut conditions = Vec::with_capacity(1);
        for comparison in pair.into_inner() {
            let condition = self.comparison(comparison)?;
            misplaced::refuse_units(self, &condition.members)?;
            conditions.push(condition);
        }
        Ok(conditions)
    }
}

/// The unknowns of a `solve` line as they are read.
#[derive(Default)]
struct Unknowns {
    read: Vec<Unknown>,
    /// How many have their start, or were passed by one.
    closed: usize,
}

impl Unknowns {
    fn name(&mut self, name: Name) -> Read<()> {
        refuse_function_as_name(&name)?;
        self.read.push(Unknown {
            name,
            start: Start::Anywhere,
        });
        Ok(())
    }

    /// Gives the names since the last starts one start each.
    fn starts(&mut self, reader: &mut Reader<'_>, pair: Pair<'_>) -> Read<()> {
        let (word, span) = (pair.as_rule(), reader.span(&pair));
        let starts = reader.starts(pair)?;
        let open = self.read.get_mut(self.closed..).unwrap_or_default();
        if starts.len() != open.len() {
            return Err(other_count(reader, (word, span), open, &starts));
        }
        for (unknown, start) in open.iter_mut().zip(starts) {
            unknown.start = start;
        }
        self.closed = self.read.len();
        Ok(())
    }
}

/// `with` or `in full` in `work`.
fn only_in_derive(pair: &Pair<'_>, span: Span) -> Box<Diagnostic> {
    let (word, help) = match pair.as_rule() {
        Rule::with => (
            "with",
            "`near 2 m` or `between 0 m and 5 m` to say which root is meant, or the line in a `derive` block",
        ),
        _ => (
            "in full",
            "the line without these words, or in a `derive` block",
        ),
    };
    let message = format!("`{word}` after `solve` does not belong in `work`");
    let place = Span {
        end: span.start + word.len() as u32,
        ..span
    };
    Box::new(Diagnostic::error(Code::S11, place, message).with_help(help))
}

/// `for x, y near 1 m`.
fn other_count(
    reader: &Reader<'_>,
    (rule, span): (Rule, Span),
    unknowns: &[Unknown],
    starts: &[Start],
) -> Box<Diagnostic> {
    let word = start_word(rule);
    let names: Vec<&str> = unknowns
        .iter()
        .map(|unknown| reader.slice(unknown.name.span))
        .collect();
    let mut written = starts.iter().map(|start| written(reader, start));
    let paired: Vec<String> = names
        .iter()
        .map(|name| {
            let start = written.next().unwrap_or_else(|| "…".to_owned());
            format!("{name} {word} {start}")
        })
        .collect();
    let plural = |count: usize| if count == 1 { "" } else { "s" };
    error(
        span,
        format!(
            "`{}` has {} start{} for {} name{}, `{}`",
            reader.slice(span),
            starts.len(),
            plural(starts.len()),
            names.len(),
            plural(names.len()),
            names.join(", ")
        ),
        format!(
            "`{}`: one start a name, and names without one last",
            paired.join(", ")
        ),
    )
}

/// What is said of a line that cannot be read.
pub(super) fn unread(kind: BlockKind, body: &str, start: usize) -> Option<Box<Diagnostic>> {
    show_steps(kind, body, start).or_else(|| for_what(body, start))
}

/// `show steps` for `in full`, which belongs in `derive` alone.
fn show_steps(kind: BlockKind, body: &str, start: usize) -> Option<Box<Diagnostic>> {
    let at = body.find("show steps")?;
    let place = part(start, at, at + "show steps".len());
    let (help, fix) = if kind == BlockKind::Work {
        (
            "the line without these words; in a `derive` block `in full`",
            Fix::new(Decision::Choose, "leave out `show steps`", place, ""),
        )
    } else {
        (
            "`in full` at the end of the line",
            Fix::write(Decision::None, place, "in full"),
        )
    };
    let message = "`show steps` is no part of a `solve` line".to_owned();
    let refusal = error(place, message, help.to_owned());
    Some(Box::new(refusal.with_fixes([fix])))
}

/// `solve x`.
fn for_what(body: &str, start: usize) -> Option<Box<Diagnostic>> {
    if words(body).any(|(_, word)| word == "for") {
        return None;
    }
    let rest = body.strip_prefix("solve")?.trim();
    let help = match rest.rsplit_once(' ') {
        Some((labels, name)) => format!("`solve {} for {name}`", labels.trim_end()),
        None if rest.is_empty() => {
            "`solve balance for R_x`: the label of an equation, and a name in it".to_owned()
        }
        None => {
            format!("`solve {rest} for R_x` when `{rest}` is a label, else `solve for {rest}`")
        }
    };
    let place = Span::new(start, start + body.trim_end().len());
    let refusal = error(
        place,
        "this line does not say for which name to solve".to_owned(),
        help,
    );
    let name = rest.rsplit(' ').next().filter(|name| !name.is_empty());
    let for_it = name.and_then(|name| {
        let at = body.trim_end().len() - name.len();
        Reader::new(body, start).choice(place, &[(part(start, at, at), "for ")])
    });
    Some(Box::new(refusal.with_fixes(for_it)))
}

fn error(span: Span, message: String, help: String) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(Code::S01, span, message).with_help(help))
}

/// The right form, as help.
pub(super) fn pattern(kind: BlockKind) -> &'static str {
    if kind == BlockKind::Work {
        return "`solve a, b for x, y`, and where the roots are sought: `x near 1 m, y between 0 N and 2 N`";
    }
    "`solve balance for R_x`, then as needed `near 2 N` or `between 0 and 90 deg`, \
     `with R_x > 0`, `in full`, in this order"
}
