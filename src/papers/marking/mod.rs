//! From a list of answers to marks.
//!
//! `list` takes the bytes apart, `field` reads what a student has written. What an answer is
//! worth is left to others.

pub mod field;
pub mod list;
pub mod range;
