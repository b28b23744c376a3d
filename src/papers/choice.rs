//! Conditions on the facts of a problem: `topic = "friction" and level <= 2`.
//!
//! They are read here, so that what is wrong has its place and a way out, and computed by
//! `calculator`, in whose signs [`Condition`] holds them. Where facts come from is left to others.

mod read;

use std::collections::{BTreeMap, BTreeSet};

use crate::calculator;
pub use crate::calculator::Fact;
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// The longest condition, in bytes.
pub const MOST_BYTES: usize = 300;

/// The deepest nesting of brackets and of `not`.
pub const MOST_BRACKETS: usize = 20;

/// What kind of fact a name stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A text.
    Text,
    /// Several.
    Texts,
    /// A number.
    Number,
}

/// The facts of a problem.
pub const FACTS: &[(&str, Kind)] = &[
    ("topic", Kind::Text),
    ("topics", Kind::Texts),
    ("level", Kind::Number),
    ("minutes", Kind::Number),
    ("marks", Kind::Number),
    ("parts", Kind::Number),
    ("title", Kind::Text),
    ("course", Kind::Text),
    ("author", Kind::Text),
    ("varied", Kind::Number),
    ("alternatives", Kind::Number),
];

/// The facts of a problem by their names; one that it has not is missing.
pub type Facts = BTreeMap<&'static str, Fact>;

/// A condition that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    span: Span,
    keys: String,
    names: BTreeSet<&'static str>,
}

/// Whether a condition holds for a problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Held {
    /// It does.
    Yes,
    /// It does not.
    No,
    /// It names facts that the problem does not have.
    Without(Vec<&'static str>),
}

impl Condition {
    /// Reads a condition.
    ///
    /// # Errors
    /// P13, with its place in the text around it and what to write.
    pub fn read(text: &str, span: Span) -> Result<Self, Box<Diagnostic>> {
        let found = read::read(span.of(text), span.start as usize)?;
        let condition = Self {
            span,
            keys: found.keys,
            names: found.names,
        };
        // Every fact of the right kind will do: what is refused now is refused for any problem.
        condition.holds(&samples())?;
        Ok(condition)
    }

    /// Whether it holds.
    ///
    /// # Errors
    /// P13, where a fact is of another kind than it has to be.
    pub fn holds(&self, facts: &Facts) -> Result<Held, Box<Diagnostic>> {
        let missing: Vec<_> = (self.names.iter())
            .filter(|name| !facts.contains_key(*name))
            .copied()
            .collect();
        if !missing.is_empty() {
            return Ok(Held::Without(missing));
        }
        // A whole number is not equal to a decimal of its size there.
        let plain: Vec<(&str, Fact)> = (self.names.iter())
            .filter_map(|name| Some((*name, whole(facts.get(name)?.clone()))))
            .collect();
        let facts = plain.iter().map(|(name, fact)| (*name, fact));
        match calculator::holds(&self.keys, facts) {
            Ok(true) => Ok(Held::Yes),
            Ok(false) => Ok(Held::No),
            Err(trouble) => Err(Box::new(
                Diagnostic::error(
                    Code::P13,
                    self.span,
                    format!("the condition cannot be read: {trouble}"),
                )
                .with_help(read::USUAL),
            )),
        }
    }
}

/// A decimal that is a whole number, as one.
fn whole(fact: Fact) -> Fact {
    const EXACT: f64 = 9e15;
    match fact {
        Fact::Decimal(number) if number.fract() == 0.0 && number.abs() < EXACT => {
            Fact::Whole(number as i64)
        }
        fact => fact,
    }
}

fn samples() -> Facts {
    let sample = |kind| match kind {
        Kind::Text => Fact::Text(String::new()),
        Kind::Texts => Fact::Texts(Vec::new()),
        Kind::Number => Fact::Whole(1),
    };
    (FACTS.iter())
        .map(|(name, kind)| (*name, sample(*kind)))
        .collect()
}

#[cfg(test)]
mod tests;
