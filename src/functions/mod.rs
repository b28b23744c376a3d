//! The functions of the language: one table, one row a function.
//!
//! A row says everything that is particular to a function: its name as it is typed and whether a
//! problem may use that name for itself, its arguments and which numbers they may be, whether it
//! may be written without brackets, what it asks of dimensions, its value and its derivative, how
//! it is set, and one sentence for editors. All other rooms read the table, so that a function of
//! which there is no more to know is a row of `table` and nothing else.
//!
//! Numbers are plain here: coherent SI units are left to `dimensions`, and what a name means where
//! it stands is left to `resolve`.

mod bound;
mod measured;
mod plain;
mod row;
mod sums;
mod table;
#[cfg(test)]
mod tests;
mod twofold;

pub use measured::Measured;
pub(crate) use measured::STEP;
pub use plain::{is_same, sum};
pub use row::{A_NUMBER, Argument, Dimensions, Domain, Print};
pub(crate) use sums::{Sum, compensated, dot};
pub use table::Function;
pub(crate) use twofold::Twofold;

use row::{Course, Value};

impl Function {
    /// The function of today that keeps this name to itself: no quantity can be called so.
    pub fn reserved(name: &str) -> Option<Self> {
        Self::named(name).filter(|function| function.row().reserved)
    }

    /// Whether no quantity can have the name of this function.
    pub fn is_reserved(self) -> bool {
        self.row().reserved
    }

    /// Its arguments, as editors show them.
    pub fn arguments(self) -> &'static [Argument] {
        self.row().arguments
    }

    /// How many arguments it takes, at least and at most.
    pub fn arity(self) -> (usize, usize) {
        let row = self.row();
        match row.rows {
            true => (1, row::MOST_ARGUMENTS),
            false => (row.arguments.len(), row.arguments.len()),
        }
    }

    /// Whether it takes as many numbers as there are, or all rows of one list.
    pub fn takes_rows(self) -> bool {
        self.row().rows
    }

    /// Whether its value is told without an uncertainty, whatever those of its arguments are.
    pub fn is_exact(self) -> bool {
        self.row().exact
    }

    /// Whether its value is uncertain by the scatter of its arguments, and not by what each of them
    /// is.
    pub fn is_by_scatter(self) -> bool {
        matches!(self, Self::Repeated | Self::Pooled)
    }

    /// Whether it is a number of the uncertainties of its arguments.
    pub fn is_of_uncertainty(self) -> bool {
        matches!(
            self,
            Self::Uncertainty
                | Self::Relative
                | Self::DegreesOfFreedom
                | Self::CoverageFactor
                | Self::Correlation
        )
    }

    /// Whether its entries are made of neighbouring rows of a list.
    pub fn joins_rows(self) -> bool {
        matches!(self, Self::Steps | Self::RunningSum | Self::Rate)
    }

    /// Whether it takes all rows of lists and gives one number.
    pub fn takes_lists(self) -> bool {
        matches!(self, Self::Entry | Self::AreaUnder | Self::WeightedMean)
    }

    /// Whether it is a total of rows, which is wrong where one has no entry.
    pub fn is_total(self) -> bool {
        self == Self::Sum
    }

    /// Whether it may stand before one factor without brackets: `sin theta`.
    pub fn goes_without_brackets(self) -> bool {
        !self.row().bracketed
    }

    /// Whether a bracket behind a quantity of the same name could be meant for the function: one
    /// number may as well be a factor, but several arguments or a list are no factor.
    pub fn claims(self, arguments: usize, is_list: bool) -> bool {
        let (least, most) = self.arity();
        let fits = (least..=most).contains(&arguments);
        let is_of_lists = self.takes_rows() || self.joins_rows() || self.takes_lists();
        fits && (arguments > 1 || (is_list && is_of_lists))
    }

    /// What it asks of the dimensions of its arguments, and which one it gives.
    pub fn dimensions(self) -> Dimensions {
        self.row().dimensions
    }

    /// Which numbers an argument may be; `None` for all.
    pub fn domain(self, argument: usize) -> Option<Domain> {
        let arguments = self.arguments();
        arguments.get(argument).or(arguments.last())?.domain
    }

    /// Whether each argument is a number that it may be.
    pub fn is_defined(self, arguments: &[f64]) -> bool {
        let mut all = arguments.iter().enumerate();
        all.all(|(at, x)| self.domain(at).is_none_or(|domain| (domain.holds)(*x)))
    }

    /// Its value. Not a number outside its domain, and for what is no function of plain numbers
    /// alone (of vectors, or by the pressure of the atmosphere).
    pub fn value(self, arguments: &[f64]) -> f64 {
        if !self.is_defined(arguments) {
            return f64::NAN;
        }
        match (&self.row().value, arguments) {
            (Value::One(value, _), [x]) => value(*x),
            (Value::Several(value, _), _) => value(arguments),
            (Value::One(..) | Value::Composed, _) => f64::NAN,
        }
    }

    /// Its derivative by each argument.
    pub fn slopes(self, arguments: &[f64]) -> Vec<f64> {
        match (&self.row().value, arguments) {
            (Value::One(_, slope), [x]) => vec![slope(*x)],
            (Value::Several(_, slopes), _) => slopes(arguments),
            (Value::One(..) | Value::Composed, _) => vec![f64::NAN; arguments.len()],
        }
    }

    /// Whether its value can be 0. Where it cannot, 0 is what is too small to be told from it.
    pub fn has_zeros(self) -> bool {
        self.row().zeros
    }

    /// Whether its values are whole numbers, which print as such.
    pub fn is_whole(self) -> bool {
        self.row().course == Course::Whole
    }

    /// How it is set in type.
    pub fn print(self) -> Print {
        self.row().print
    }

    /// What it gives, in a few words.
    pub fn gives(self) -> &'static str {
        self.row().gives
    }
}
