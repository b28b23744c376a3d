//! From a list of answers to marks.
//!
//! `list` takes the bytes apart by what `printed` says of the paper, `field` reads what a student
//! has written, `range` says what is accepted, `slip` which slip a wrong answer may be named for,
//! `judge` marks, `marked` is what it finds, `summary` what that says of the paper, and `report`
//! what is written of it.

mod carried;
pub mod field;
pub mod judge;
pub mod list;
pub mod marked;
mod marks;
mod named;
mod other_version;
pub mod printed;
pub mod range;
pub mod report;
mod row;
pub mod slip;
pub mod summary;

#[cfg(test)]
pub(crate) mod example;
