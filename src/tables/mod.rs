//! Rows of readings: bars and files to fields, fields to exact numbers.
//!
//! Bytes and numbers only: what a column is called, what its unit is and what its numbers mean is
//! left to the rooms above.

mod encoding;
mod fields;
mod file;
mod number;
mod records;
mod time;
mod written;

pub use encoding::{Encoding, NotText};
pub use fields::{Bars, fields, is_missing, is_rule};
pub use file::{Fault, Fields, FileColumn, Holds, Layout, Separator, Wanted, Which, columns};
pub use number::{Decimal, NoNumber, Reading, Sign, reading};
pub use records::{Record, records};
pub use time::{Pattern, Times};
pub use written::separated;

/// So many rows of a file are read.
pub const MOST_ROWS: usize = 1_000_000;

/// So many fields of a line.
pub const MOST_COLUMNS: usize = 256;

/// So many bytes of a field.
pub const MOST_FIELD_BYTES: usize = 64 * 1024;
