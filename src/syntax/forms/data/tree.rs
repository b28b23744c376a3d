//! A table as it is written.

use std::sync::Arc;

use super::super::super::{Datum, Name, Size, UnitExpr, Word};
use super::super::Part;
use crate::syntax;
use crate::tables::{Layout, Reading, Times, Which};
use crate::text::Span;

/// A table of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Data {
    /// Its heading row.
    pub heading: Span,
    /// Its columns, from left to right.
    pub columns: Vec<Column>,
    /// How many rows it has here: none, where they stand in a file.
    pub rows: usize,
    /// The file in which they stand.
    pub source: Option<Source>,
    /// What the lines below it say.
    pub remarks: Vec<Remark>,
    /// What its refused lines were to name, so that what needs it says so and nothing further.
    pub unread: Unread,
    /// Whether a line of it was refused.
    pub is_broken: bool,
}

/// What refused headings were to name, and lines below that speak of columns that are not there.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Unread {
    /// Lists.
    pub lists: Vec<Name>,
    /// Headings of words.
    pub headings: Vec<Span>,
}

/// A file with a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// Its path, with the place of what names it.
    pub path: Word,
    /// How it is laid out.
    pub layout: Layout,
    /// Which column of it stands below each heading, with the place of what names it.
    pub columns: Vec<(Which, Span)>,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its heading.
    pub span: Span,
    /// What it holds.
    pub content: Content,
}

/// What a column holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    /// Readings, under the name of a list.
    Readings {
        /// Their name.
        name: Name,
        /// The unit that their numbers count in.
        unit: Option<UnitExpr>,
        /// How times are written, and which they are.
        times: Option<Times>,
        /// What they count from.
        datum: Option<Datum>,
        /// What the heading says that they are uncertain by.
        sizes: Vec<Size>,
        /// One a row; `None` where there is no reading.
        readings: Arc<[Option<Reading>]>,
    },
    /// What the readings of another column are uncertain by: standard uncertainties.
    Uncertainties {
        /// The name of that column.
        of: Name,
        /// The unit that their numbers count in.
        unit: Option<UnitExpr>,
        /// One a row.
        readings: Arc<[Option<Reading>]>,
    },
    /// Words.
    Words(Arc<[Box<str>]>),
}

/// A line below a table.
#[derive(Debug, Clone, PartialEq)]
pub enum Remark {
    /// What a column is.
    Description {
        /// The name of the column.
        name: Name,
        /// The words.
        words: Span,
    },
    /// What the readings of a column are uncertain by.
    Uncertain {
        /// The name of the column.
        name: Name,
        /// One source of error each.
        sizes: Vec<Size>,
        /// What the column is.
        words: Option<Span>,
    },
    /// Columns whose readings in a row are of one moment.
    Together(Vec<Name>),
    /// Rows that take no part.
    LeaveOut {
        /// Which.
        rows: Rows,
        /// Why.
        reason: Span,
    },
    /// What stands where there is no reading; empty words for an empty place.
    NoReading(Vec<Box<str>>),
}

/// Which rows are meant.
#[derive(Debug, Clone, PartialEq)]
pub enum Rows {
    /// Those with these numbers, each with its place.
    These(Vec<(usize, Span)>),
    /// All from one to another.
    FromTo([(usize, Span); 2]),
    /// Those for which something holds.
    Where(syntax::Which),
}

impl Data {
    /// The words about its columns.
    pub fn words(&self) -> impl Iterator<Item = Span> + '_ {
        self.remarks.iter().filter_map(|remark| match remark {
            Remark::Description { words, .. } => Some(*words),
            Remark::Uncertain { words, .. } => *words,
            Remark::Together(_) | Remark::LeaveOut { .. } | Remark::NoReading(_) => None,
        })
    }

    /// Its parts, in order.
    pub(in super::super) fn parts<'a>(&'a self, take: &mut dyn FnMut(Part<'a>)) {
        for column in &self.columns {
            match &column.content {
                Content::Readings { name, unit, .. }
                | Content::Uncertainties { of: name, unit, .. } => {
                    take(Part::Name(name));
                    unit.iter().for_each(|unit| take(Part::Unit(unit)));
                }
                Content::Words(_) => {}
            }
        }
        for remark in &self.remarks {
            match remark {
                Remark::Description { name, .. } | Remark::Uncertain { name, .. } => {
                    take(Part::Name(name));
                }
                Remark::Together(names) => names.iter().for_each(|name| take(Part::Name(name))),
                Remark::NoReading(_) => {}
                Remark::LeaveOut { rows, .. } => match rows {
                    Rows::These(_) | Rows::FromTo(_) => {}
                    Rows::Where(which) => which.for_each_comparison(&mut |check| {
                        check.members.iter().for_each(|it| take(Part::Expr(it)));
                    }),
                },
            }
        }
    }

    /// Whether a column of a file is asked for by its title, so that this is known to be meant.
    pub fn is_titled(&self, column: &Column) -> bool {
        let chosen = self.source.iter().flat_map(|source| &source.columns);
        let mut pairs = self.columns.iter().zip(chosen);
        pairs.any(|(own, (which, _))| own.span == column.span && matches!(which, Which::Titled(_)))
    }

    /// The names of its columns of readings.
    pub fn names(&self) -> impl Iterator<Item = &Name> {
        self.columns.iter().filter_map(Column::name)
    }
}

impl Column {
    /// The name of its list; words and uncertainties have none.
    pub fn name(&self) -> Option<&Name> {
        match &self.content {
            Content::Readings { name, .. } => Some(name),
            Content::Uncertainties { .. } | Content::Words(_) => None,
        }
    }
}
