//! Steps: `therefore`, `solve`, `component`, and the `from` of an ask.
//!
//! In go the pairs of such a line, out comes its tree. Whether a label exists and a step holds
//! is left to others.

use super::formula::{Read, Reader};
use super::grammar::{Pair, Pairs, Rule};
use super::statement::{quantity, refuse_function_as_name};
use super::{
    Axis, BlockKind, Check, ComponentOf, From, Name, Solve, Start, Therefore, Unknown, Word,
};
use super::{literal, misplaced};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::text::Span;

impl Reader<'_> {
    pub(super) fn therefore(&mut self, pairs: Pairs<'_>) -> Read<Therefore> {
        let mut word = None;
        let mut members = Vec::with_capacity(2);
        for pair in pairs {
            match pair.as_rule() {
                Rule::therefore_word => word = Some(self.span(&pair)),
                Rule::expr => members.push(self.expr(pair)?),
                _ => {}
            }
        }
        misplaced::refuse_units(self, &members)?;
        Ok(Therefore {
            word: word.ok_or_else(|| self.nothing())?,
            members,
        })
    }

    pub(super) fn component_of(&mut self, pairs: Pairs<'_>) -> Read<ComponentOf> {
        let mut axis = None;
        let mut label = None;
        for pair in pairs {
            match pair.as_rule() {
                Rule::axis => axis = axis_of(pair.as_str()),
                Rule::label => label = Some(self.label(&pair)),
                _ => {}
            }
        }
        match (axis, label) {
            (Some(axis), Some(label)) => Ok(ComponentOf { axis, label }),
            _ => Err(self.nothing()),
        }
    }

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
    fn starts(&mut self, pair: Pair<'_>) -> Read<Vec<Start>> {
        let near = pair.as_rule() == Rule::near;
        let mut literals = Vec::with_capacity(2);
        for part in pair.into_inner() {
            if part.as_rule() == Rule::literal {
                literals.push(quantity(literal::literal(self, part)?));
            }
        }
        if near {
            return Ok(literals.into_iter().map(Start::Near).collect());
        }
        let mut starts = Vec::with_capacity(1);
        let mut bounds = literals.into_iter();
        while let (Some(lower), Some(upper)) = (bounds.next(), bounds.next()) {
            starts.push(Start::Between(lower, upper));
        }
        Ok(starts)
    }

    fn label(&self, pair: &Pair<'_>) -> Word {
        Word {
            span: self.span(pair),
            text: pair.as_str().into(),
        }
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

/// `x`, `y` or `z` as written.
pub(super) fn axis_of(letter: &str) -> Option<Axis> {
    match letter {
        "x" => Some(Axis::X),
        "y" => Some(Axis::Y),
        "z" => Some(Axis::Z),
        _ => None,
    }
}

// ---- what is said -----------------------------------------------------------------------------

fn error(span: Span, message: String, help: String) -> Box<Diagnostic> {
    Box::new(Diagnostic::error(Code::S01, span, message).with_help(help))
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

/// `f = ? from x near 1, 2`.
fn several_starts(reader: &Reader<'_>, rule: Rule, span: Span) -> Box<Diagnostic> {
    let word = start_word(rule);
    error(
        span,
        format!("`{}` has several starts for one name", reader.slice(span)),
        format!("one, as in `f = ? from colebrook {word} …`, or `solve a, b for x, y {word} …`"),
    )
}

fn start_word(rule: Rule) -> &'static str {
    match rule {
        Rule::near => "near",
        _ => "between",
    }
}

/// A start as the author wrote it, without its word.
fn written(reader: &Reader<'_>, start: &Start) -> String {
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
