//! What a program asks of values as a whole, compiled: which rows of a list are meant, how
//! uncertain values are, and values read off a table.

use std::cmp::Ordering;
use std::sync::Arc;

use super::number::Number;
use super::program::{Environment, Fault, Lists, Program, Reason, Rows};
use crate::functions::Function;
use crate::resolve::SymbolId;
use crate::statistics::interpolate::{self, Figure, Way, Without};
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

/// A table that values are read off.
#[derive(Debug, Clone, PartialEq)]
pub struct Tabulated {
    /// Where it is made a function, and what a call of it needs where that failed.
    pub made: (Span, SymbolId),
    /// The list of the values.
    pub values: SymbolId,
    /// The list of the places.
    pub places: SymbolId,
    /// How values between rows are had.
    pub way: Way,
    /// Which rows are in it; `None` for all.
    pub choice: Option<Arc<Choice>>,
}

/// A place outside of a table, in coherent SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outside {
    /// The list of the places.
    pub places: SymbolId,
    /// The place.
    pub at: f64,
    /// The first and the last of the table.
    pub ends: [f64; 2],
}

/// How far the polynomial through the rows next to a place is above a value read off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftOut {
    /// The list of the values.
    pub values: SymbolId,
    /// The difference, in coherent SI units.
    pub above: f64,
    /// The standard uncertainty of what was read off, as the entries have it.
    pub uncertainty: f64,
}

impl<N: Number> Figure for N {
    fn whole(value: i32) -> Self {
        N::constant(f64::from(value))
    }

    fn added(&self, other: &Self) -> Self {
        self.plus(other)
    }

    fn less(&self, other: &Self) -> Self {
        self.minus(other)
    }

    fn multiplied(&self, other: &Self) -> Self {
        self.times(other)
    }

    fn divided(&self, other: &Self) -> Self {
        self.over(other)
    }

    fn order(&self, other: &Self) -> Option<Ordering> {
        self.compare(other)
    }

    fn around_zero(&self) -> Option<Self> {
        Number::around_zero(self)
    }
}

/// The rows of a table in an environment.
struct Entries<'a, N> {
    table: &'a Tabulated,
    environment: &'a dyn Environment<N>,
    rows: Own,
}

/// The rows that are in a table.
pub struct Own {
    /// How many there are.
    pub count: usize,
    chosen: Option<Arc<[bool]>>,
}

impl Own {
    /// Whether a row is in it.
    pub fn has(&self, table: &Tabulated, row: usize, lists: &dyn Lists) -> bool {
        let is_missing = |list: SymbolId| lists.is_missing(list, row);
        (self.chosen.as_ref()).is_none_or(|has| has.get(row).is_some_and(|has| *has))
            && ![table.values, table.places].into_iter().any(is_missing)
    }
}

impl<N> interpolate::Table<N> for Entries<'_, N> {
    fn count(&self) -> usize {
        self.rows.count
    }

    fn has(&self, row: usize) -> bool {
        self.rows.has(self.table, row, self.environment)
    }

    fn row(&self, row: usize) -> (N, N) {
        let value = self.environment.load(self.table.values, row);
        (self.place(row), value)
    }

    fn place(&self, row: usize) -> N {
        self.environment.load(self.table.places, row)
    }
}

impl Tabulated {
    /// Its rows.
    pub fn rows(&self, lists: &dyn Lists) -> Result<Own, Fault> {
        let fault = |reason| Fault {
            reason,
            span: self.made.0,
        };
        let rows = |list| lists.rows(list).ok_or_else(|| fault(Reason::NoLists));
        let both = rows(self.values)?.beside(rows(self.places)?);
        let chosen = match &self.choice {
            Some(choice) => Some(lists.chosen(choice)?.has),
            None => None,
        };
        Ok(Own {
            count: both.map_err(fault)?.count,
            chosen,
        })
    }

    /// How far the polynomial through the nearest rows is above the value at a place.
    pub fn left_out(&self, at: f64, environment: &dyn Environment<f64>) -> Option<f64> {
        interpolate::left_out(&self.entries(environment).ok()?, self.way, at)
    }

    fn entries<'a, N>(
        &'a self,
        environment: &'a dyn Environment<N>,
    ) -> Result<Entries<'a, N>, Fault> {
        Ok(Entries {
            table: self,
            environment,
            rows: self.rows(environment)?,
        })
    }

    /// The value at a place; `span` is where the place stands.
    pub fn read<N: Number>(
        &self,
        at: &N,
        span: Span,
        environment: &dyn Environment<N>,
    ) -> Result<N, Fault> {
        let entries = self.entries(environment)?;
        let found = interpolate::between(&entries, self.way, at);
        found.map_err(|without| Fault {
            span,
            reason: match without {
                Without::Outside => Reason::Outside(self.outside(at.value(), &entries)),
                Without::Order(row) => Reason::OutOfOrder(row),
                Without::Rows => Reason::TooFewRows,
                Without::Doubt => Reason::InDoubt,
            },
        })
    }

    fn outside<N: Number>(&self, at: f64, entries: &Entries<'_, N>) -> Outside {
        use interpolate::Table as _;
        let mut rows = (0..entries.count()).filter(|row| entries.has(*row));
        let first = rows.next().unwrap_or(0);
        let ends = [first, rows.next_back().unwrap_or(first)];
        Outside {
            places: self.places,
            at,
            ends: ends.map(|row| entries.place(row).value()),
        }
    }
}
