//! Rows of readings: bars to fields, fields to exact numbers.
//!
//! Bytes and numbers only: what a column is called, what its unit is and what its numbers mean is
//! left to the rooms above.

mod fields;
mod number;

pub use fields::{Bars, fields, is_missing, is_rule};
pub use number::{Decimal, NoNumber, Reading, reading};
