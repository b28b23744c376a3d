//! What a program asks of values as a whole, compiled: which rows of a list are meant, and how
//! uncertain values are.

use std::sync::Arc;

use super::program::{Fault, Program, Reason, Rows};
use crate::functions::Function;
use crate::syntax::Relation;
use crate::text::Span;

/// What conditions may ask of a table.
#[derive(Debug, Default)]
pub struct Table {
    /// Its columns of words: where each heading stands, and the words.
    pub words: Vec<(Span, Arc<[Box<str>]>)>,
}

/// Those rows of a list for which a condition holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Where it stands.
    pub place: Span,
    /// The list.
    pub list: Program,
    /// The condition.
    pub test: Test,
}

/// A condition that holds for a row, or does not.
#[derive(Debug, Clone, PartialEq)]
pub enum Test {
    /// A comparison of numbers.
    Compared(Compared),
    /// Words that stand in a row.
    Words(Words),
    /// Where the other does not hold.
    Not(Box<Test>),
    /// Where every one holds.
    All(Vec<Test>),
    /// Where any holds.
    Any(Vec<Test>),
}

/// `a < x_i <= b`
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// Two or three.
    pub members: Vec<Program>,
    /// One fewer.
    pub relations: Vec<Relation>,
    /// Where they stand.
    pub place: Span,
}

/// `settled = "yes"`
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// Where the heading stands.
    pub heading: Span,
    /// For each table with such a heading, the place of its label, whether these words stand in
    /// each row.
    pub tables: Vec<(Span, Arc<[bool]>)>,
}

/// Whether a condition holds for each row; nothing where a reading that it asks for is missing.
pub type Holds = Vec<Option<bool>>;

/// The rows that were chosen of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// The rows; what cannot be told of one leaves it among them.
    pub rows: Rows,
    /// Whether each row has an entry there.
    pub has: Arc<[bool]>,
}

/// What is told of the uncertainty of values.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// Where it stands.
    pub place: Span,
    /// Which function of the language it is.
    pub function: Function,
    /// Its arguments.
    pub of: Vec<Program>,
}

impl Choice {
    /// All programs in it.
    pub fn programs(&self) -> Vec<&Program> {
        let mut all = vec![&self.list];
        all.extend(self.test.programs());
        all
    }
}

impl Test {
    /// The programs of its comparisons.
    pub fn programs(&self) -> Vec<&Program> {
        match self {
            Self::Compared(compared) => compared.members.iter().collect(),
            Self::Words(_) => Vec::new(),
            Self::Not(inner) => inner.programs(),
            Self::All(parts) | Self::Any(parts) => parts.iter().flat_map(Self::programs).collect(),
        }
    }

    /// For each row whether it holds, when comparisons hold so.
    pub fn holds(
        &self,
        rows: &Rows,
        compared: &mut dyn FnMut(&Compared) -> Result<Holds, Fault>,
    ) -> Result<Holds, Fault> {
        let mut all = |parts: &[Self]| -> Result<Vec<Holds>, Fault> {
            parts
                .iter()
                .map(|part| part.holds(rows, compared))
                .collect()
        };
        Ok(match self {
            Self::Compared(own) => compared(own)?,
            Self::Words(words) => words.hold(rows)?,
            Self::Not(inner) => {
                let inner = inner.holds(rows, compared)?.into_iter();
                inner.map(|holds| holds.map(|holds| !holds)).collect()
            }
            Self::All(parts) => joined(&all(parts)?, rows.count, false),
            Self::Any(parts) => joined(&all(parts)?, rows.count, true),
        })
    }
}

impl Words {
    fn hold(&self, rows: &Rows) -> Result<Holds, Fault> {
        let table = rows.of.as_ref().and_then(|of| of.table);
        let own = self.tables.iter().find(|(own, _)| Some(*own) == table);
        let (_, own) = own.ok_or(Fault {
            reason: Reason::NoWords,
            span: self.heading,
        })?;
        Ok(own.iter().map(|holds| Some(*holds)).collect())
    }
}

/// Parts of which one that is so decides.
fn joined(parts: &[Holds], count: usize, decides: bool) -> Holds {
    let of_row = |row: usize| {
        let own = || parts.iter().map(|part| part.get(row).copied().flatten());
        match own().any(|part| part == Some(decides)) {
            true => Some(decides),
            false => own().all(|part| part.is_some()).then_some(!decides),
        }
    };
    (0..count).map(of_row).collect()
}
