//! Dimensions and readings: inference and checking, before anything is computed.
//!
//! In go resolved statements, out come the type of every symbol and whether each statement may
//! be evaluated. A name without a value has a dimension variable, so that a formula stated
//! before its data is checked too. Numbers are left to `evaluate`.

mod datum;
mod describe;
mod energy;
mod exponents;
mod faults;
mod form;
mod forms;
mod functions;
mod infer;
mod level;
mod mend;
mod numbers;
mod reading;
mod statements;
mod turning;
mod vectors;

pub use datum::{Datum, Scale, Weight};
pub use energy::Energy;
pub use form::Form;
pub use forms::is_relative as relative;
pub use reading::Reading;
pub use statements::{Checked, check};
pub use turning::Counts;
pub use turning::conversion as turning_power;
pub use turning::factor as turning_factor;
pub use turning::is_shown_in;

/// The dimension of an expression, and what its number counts from.
#[derive(Debug, Clone, PartialEq)]
pub struct Type {
    /// Its dimension, perhaps with variables.
    pub form: Form,
    /// Its reading.
    pub reading: Reading,
    /// What it counts of turning.
    pub counts: Counts,
    /// Whether it holds an energy.
    pub energy: Energy,
}

impl Type {
    /// A quantity of this dimension that counts from nothing in particular.
    pub fn plain(form: Form) -> Self {
        Self {
            form,
            reading: Reading::Plain,
            counts: Counts::NOTHING,
            energy: Energy::Untold,
        }
    }
}
