//! Conditions that say which rows of a table are meant.

use super::Resolver;
use super::tree::Condition;
use crate::syntax;
use crate::text::Span;

/// Which rows are meant.
#[derive(Debug, Clone, PartialEq)]
pub enum Which {
    /// Those in which a comparison holds.
    Compared(Condition),
    /// Those with these words below a heading.
    Words {
        /// Where the heading stands, and its words.
        heading: (Span, Box<str>),
        /// The words, without their quotes.
        words: Box<str>,
    },
    /// All others.
    Not(Box<Which>),
    /// Those of every one.
    All(Vec<Which>),
    /// Those of any.
    Any(Vec<Which>),
}

impl Which {
    /// The headings of words in it, with their places.
    pub fn headings(&self) -> Vec<(Span, &str)> {
        match self {
            Self::Compared(_) => Vec::new(),
            Self::Words { heading, .. } => vec![(heading.0, &*heading.1)],
            Self::Not(inner) => inner.headings(),
            Self::All(parts) | Self::Any(parts) => parts.iter().flat_map(Self::headings).collect(),
        }
    }

    /// Calls `visit` for each comparison in it.
    pub fn for_each_comparison<'a>(&'a self, visit: &mut dyn FnMut(&'a Condition)) {
        match self {
            Self::Compared(condition) => visit(condition),
            Self::Words { .. } => {}
            Self::Not(inner) => inner.for_each_comparison(visit),
            Self::All(parts) | Self::Any(parts) => {
                (parts.iter()).for_each(|part| part.for_each_comparison(visit));
            }
        }
    }
}

impl Resolver<'_> {
    /// A condition with everything looked up but the headings of words, which the rows tell.
    pub(super) fn which(&mut self, which: &syntax::Which) -> Option<Which> {
        Some(match which {
            syntax::Which::Compared(check) => Which::Compared(Condition {
                members: self.exprs(&check.members)?,
                relations: check.relations.clone(),
            }),
            syntax::Which::Words { heading, words } => Which::Words {
                heading: (heading.span, heading.text.clone()),
                words: words.text.clone(),
            },
            syntax::Which::Not(inner) => Which::Not(Box::new(self.which(inner)?)),
            syntax::Which::All(parts) => Which::All(self.whiches(parts)?),
            syntax::Which::Any(parts) => Which::Any(self.whiches(parts)?),
        })
    }

    fn whiches(&mut self, parts: &[syntax::Which]) -> Option<Vec<Which>> {
        let resolved: Vec<Option<Which>> = parts.iter().map(|part| self.which(part)).collect();
        resolved.into_iter().collect()
    }
}
