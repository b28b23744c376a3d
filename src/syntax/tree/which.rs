//! Conditions that say which rows of a table are meant.

use super::{Check, Word};

/// Which rows are meant.
#[derive(Debug, Clone, PartialEq)]
pub enum Which {
    /// Those in which a comparison holds.
    Compared(Check),
    /// Those with these words below a heading: `settled = "yes"`.
    Words {
        /// The heading.
        heading: Word,
        /// The words, without their quotes.
        words: Word,
    },
    /// All others.
    Not(Box<Which>),
    /// Those of every one.
    All(Vec<Which>),
    /// Those of any.
    Any(Vec<Which>),
}

impl Which {
    /// Hands on each comparison in it.
    pub fn for_each_comparison<'a>(&'a self, take: &mut dyn FnMut(&'a Check)) {
        match self {
            Self::Compared(check) => take(check),
            Self::Words { .. } => {}
            Self::Not(inner) => inner.for_each_comparison(take),
            Self::All(parts) | Self::Any(parts) => {
                (parts.iter()).for_each(|part| part.for_each_comparison(take));
            }
        }
    }

    /// Hands on each heading and the words it is compared with.
    pub fn for_each_word<'a>(&'a self, take: &mut dyn FnMut(&'a Word)) {
        match self {
            Self::Compared(_) => {}
            Self::Words { heading, words } => {
                take(heading);
                take(words);
            }
            Self::Not(inner) => inner.for_each_word(take),
            Self::All(parts) | Self::Any(parts) => {
                (parts.iter()).for_each(|part| part.for_each_word(take));
            }
        }
    }
}
