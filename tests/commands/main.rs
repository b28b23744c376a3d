//! The program as it is used: arguments, files and streams in, files, streams and exit status out.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that cannot go on has failed; the lint knows only the functions marked as tests"
)]

mod check;
mod desk;
mod fill;
mod lists;
mod page;
mod reading;
mod streams;
mod tidy;
