//! Which name stands where in a worksheet.
//!
//! In goes a document with its compiled worksheet; out come all names of its blocks, its asks in
//! prose, its labels and headings, with what each means. Lines that were refused are read again
//! here, so that an editor can follow names through what is half written.

mod blocks;
mod formula;
mod line;
mod scan;
#[cfg(test)]
mod tests;
mod walk;

pub(super) use blocks::Blocks;

use super::documents::Document;
use crate::functions::Function;
use crate::text::Span;

/// A name in its place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Occurrence {
    /// Where it stands, in the worksheet's source.
    pub span: Span,
    /// What it means.
    pub target: Target,
    /// Whether it is given its meaning here.
    pub role: Role,
    /// The problem in which it stands.
    pub problem: usize,
}

/// What a name means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Target {
    /// A quantity.
    Symbol {
        /// The problem it belongs to; 0 is what all share.
        problem: usize,
        /// Its canonical spelling.
        key: Box<str>,
    },
    /// A function of the author, likewise.
    Function {
        /// The problem it belongs to.
        problem: usize,
        /// Its canonical spelling.
        key: Box<str>,
    },
    /// A function of the language.
    BuiltIn(Function),
    /// The parameter of a function of the author.
    Parameter {
        /// The definition in which it stands.
        definition: Span,
        /// Which.
        index: usize,
    },
    /// A label of an equation.
    Label {
        /// The problem it belongs to.
        problem: usize,
        /// Its word.
        text: Box<str>,
    },
    /// A unit.
    Unit,
    /// A constant: its name between the brackets, or `pi` and `inf`.
    Constant,
    /// A heading; the span is its whole line.
    Heading,
    /// A name that no line of the problem mentions with a meaning, by its key.
    Undefined(Box<str>),
}

impl Target {
    /// Whether it is the author's own: a quantity, a function, a parameter, a label, or a name
    /// that has no meaning yet.
    pub fn is_of_the_author(&self) -> bool {
        match self {
            Self::Symbol { .. }
            | Self::Function { .. }
            | Self::Parameter { .. }
            | Self::Label { .. }
            | Self::Undefined(_) => true,
            Self::BuiltIn(_) | Self::Unit | Self::Constant | Self::Heading => false,
        }
    }
}

/// What a name does in its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// It is given its meaning.
    Definition,
    /// It is used.
    Use,
}

/// All names of a worksheet, in the order of the text.
#[derive(Debug, Default)]
pub(super) struct Names {
    occurrences: Vec<Occurrence>,
}

impl Names {
    /// Finds all names of a document; what was read of its blocks is kept for the next time.
    pub fn find(document: &Document, blocks: &mut Blocks) -> Self {
        Self {
            occurrences: walk::walk(document, blocks),
        }
    }

    /// All of them, in the order of the text; none overlaps another but headings.
    pub fn all(&self) -> &[Occurrence] {
        &self.occurrences
    }

    /// The name at a place in the source; one that begins there goes before one that ends there.
    pub fn at(&self, place: u32) -> Option<&Occurrence> {
        let touches = |occurrence: &&Occurrence| {
            occurrence.target != Target::Heading
                && occurrence.span.start <= place
                && place <= occurrence.span.end
        };
        let after = self
            .occurrences
            .partition_point(|occurrence| occurrence.span.start <= place);
        // Names do not overlap, so that only a few of those before can reach so far.
        self.occurrences[..after].iter().rev().take(3).find(touches)
    }

    /// Every place of what a name means.
    pub fn of<'a>(&'a self, target: &'a Target) -> impl Iterator<Item = &'a Occurrence> {
        self.occurrences
            .iter()
            .filter(move |occurrence| occurrence.target == *target)
    }

    /// The place where a name is given its meaning.
    pub fn definition<'a>(&'a self, target: &'a Target) -> Option<&'a Occurrence> {
        self.of(target)
            .find(|occurrence| occurrence.role == Role::Definition)
    }
}
