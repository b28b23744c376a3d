//! From a list of answers to marks.
//!
//! `list` takes the bytes apart, `field` reads what a student has written, `range` says what is
//! accepted, `slip` which slip a wrong answer may be named for.

pub mod field;
pub mod list;
pub mod marked;
pub mod range;
pub mod slip;
pub mod summary;

#[cfg(test)]
pub(crate) mod example;
