//! Conditions that say which rows of a table are meant.

use super::Resolver;
use super::tree::Condition;
use crate::diagnostic::{Code, Diagnostic};
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

impl Which {
    /// The same with comparisons that may be changed.
    pub fn for_each_comparison_mut(&mut self, visit: &mut dyn FnMut(&mut Condition)) {
        match self {
            Self::Compared(condition) => visit(condition),
            Self::Words { .. } => {}
            Self::Not(inner) => inner.for_each_comparison_mut(visit),
            Self::All(parts) | Self::Any(parts) => {
                (parts.iter_mut()).for_each(|part| part.for_each_comparison_mut(visit));
            }
        }
    }
}

impl Resolver<'_> {
    /// A condition with everything looked up but the headings of words, which the rows tell.
    pub(super) fn which(&mut self, which: &syntax::Which) -> Option<Which> {
        Some(match which {
            syntax::Which::Compared(check) => {
                self.no_words_compared(check)?;
                Which::Compared(Condition {
                    members: self.exprs(&check.members)?,
                    relations: check.relations.clone(),
                })
            }
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

    /// Words have no size that could be compared.
    fn no_words_compared(&mut self, check: &syntax::Check) -> Option<()> {
        let mut words = Vec::new();
        for member in &check.members {
            member.for_each_name(&mut |name| {
                let written = name.span.of(self.text);
                let is_quantity = self.symbols.find(self.problem, &name.key);
                if is_quantity.is_none_or(|symbol| !self.may_use(symbol))
                    && self.headings.contains(&(self.problem, written.into()))
                {
                    words.push(name.span);
                }
            });
        }
        for place in &words {
            let written = place.of(self.text);
            self.diagnostics.push(
                Diagnostic::error(Code::K15, *place, format!("`{written}` is words"))
                    .with_help(format!(
                        "`{written} = \"…\"` for the rows with these words, or `{written}_i` in the heading for readings"
                    )),
            );
        }
        words.is_empty().then_some(())
    }
}
