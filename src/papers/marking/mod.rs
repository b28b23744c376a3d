//! From a list of answers to marks.
//!
//! `list` takes the bytes apart, `field` reads what a student has written, `range` says what is
//! accepted, `slip` which slip a wrong answer may be named for; `printed` holds what marking needs
//! of a paper, and `judge` marks.

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
mod row;
pub mod slip;
