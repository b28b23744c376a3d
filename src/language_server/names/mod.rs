//! Which name stands where in a worksheet.
//!
//! In goes a compiled worksheet, whose problems hold what was found when their names were
//! resolved; out come names at the places of its text. Nothing is looked up here.

#[cfg(test)]
mod tests;

use crate::functions::Function;
use crate::resolve::{self, Meaning};
use crate::text::Span;
use crate::worksheet::{Placed, Worksheet};

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

/// What a name means, told the same in all problems.
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
        /// Where the name of the function stands that is defined there.
        definition: Span,
        /// Which.
        index: u8,
    },
    /// A label of an equation.
    Label {
        /// The problem it belongs to.
        problem: usize,
        /// Its word.
        text: Box<str>,
    },
    /// A place or a section of a sketch.
    Spot {
        /// Where the label of the sketch stands.
        sketch: Span,
        /// Whether it is a section.
        is_section: bool,
        /// Its name.
        text: Box<str>,
    },
    /// A unit.
    Unit,
    /// A constant: its name between the brackets, or `pi` and `inf`.
    Constant,
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
            | Self::Spot { .. }
            | Self::Undefined(_) => true,
            Self::BuiltIn(_) | Self::Unit | Self::Constant => false,
        }
    }

    /// The problem in which alone it is met; `None` where others may name it as well.
    fn only_in(&self) -> Option<usize> {
        match self {
            Self::Symbol { problem, .. }
            | Self::Function { problem, .. }
            | Self::Label { problem, .. } => Some(*problem).filter(|problem| *problem > 0),
            Self::Parameter { .. }
            | Self::Spot { .. }
            | Self::Undefined(_)
            | Self::BuiltIn(_)
            | Self::Unit
            | Self::Constant => None,
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

/// The names of a worksheet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Names<'a> {
    /// The worksheet.
    pub worksheet: &'a Worksheet,
}

impl<'a> Names<'a> {
    /// All of them, in the order of the text; none overlaps another.
    pub fn all(self) -> Vec<Occurrence> {
        let all = self.worksheet.problems.iter().flat_map(of_problem);
        in_order(all.collect())
    }

    /// Those that touch a span, in the order of the text.
    pub fn within(self, span: Span) -> Vec<Occurrence> {
        let problems = self.worksheet.problems.iter();
        let found = problems.flat_map(|placed| {
            let near = placed.near(&placed.problem.occurrences, |name| name.span, span);
            near.iter().map(|name| told(placed, name))
        });
        in_order(found.collect())
    }

    /// The name at a place in the source; one that begins there goes before one that ends there.
    pub fn at(self, place: u32) -> Option<Occurrence> {
        let (start, end) = (place, place);
        self.within(Span { start, end }).pop()
    }

    /// Every place of what a name means, in the order of the text.
    pub fn of(self, target: &Target) -> Vec<Occurrence> {
        let only = target.only_in();
        let problems = self.worksheet.problems.iter();
        let problems = problems.filter(|placed| only.is_none_or(|only| only == placed.number));
        let found = problems.flat_map(of_problem);
        in_order(found.filter(|name| name.target == *target).collect())
    }

    /// The place where a name is given its meaning.
    pub fn definition(self, target: &Target) -> Option<Occurrence> {
        let mut found = self.of(target).into_iter();
        found.find(|occurrence| occurrence.role == Role::Definition)
    }
}

fn in_order(mut found: Vec<Occurrence>) -> Vec<Occurrence> {
    // Problems mostly stand one after another.
    found.sort_by_key(|name| name.span.start);
    found
}

fn of_problem(placed: &Placed) -> impl Iterator<Item = Occurrence> {
    let names = placed.problem.occurrences.iter();
    names.map(|name| told(placed, name))
}

/// A name of a problem as one of the worksheet.
fn told(placed: &Placed, name: &resolve::Occurrence) -> Occurrence {
    Occurrence {
        span: placed.span(name.span),
        target: target(placed, name),
        role: match name.is_definition {
            true => Role::Definition,
            false => Role::Use,
        },
        problem: placed.number,
    }
}

fn target(placed: &Placed, name: &resolve::Occurrence) -> Target {
    let symbols = &placed.problem.symbols;
    let written = name.span.of(&placed.problem.text);
    match name.meaning {
        Meaning::Symbol(id) => Target::Symbol {
            problem: placed.home(id),
            key: symbols.symbol(id).key.clone(),
        },
        Meaning::Function(id) => Target::Function {
            problem: placed.home_of_function(id),
            key: symbols.function(id).key.clone(),
        },
        Meaning::Language(function) => Target::BuiltIn(function),
        Meaning::Parameter { of, index } => Target::Parameter {
            definition: placed.span(of),
            index,
        },
        Meaning::Label { is_own } => Target::Label {
            problem: if is_own { placed.number } else { 0 },
            text: written.into(),
        },
        Meaning::Spot { of, is_section } => Target::Spot {
            sketch: placed.span(of),
            is_section,
            text: written.into(),
        },
        Meaning::Unit => Target::Unit,
        Meaning::Constant => Target::Constant,
        Meaning::Undefined => Target::Undefined(crate::syntax::canonical(written)),
    }
}
