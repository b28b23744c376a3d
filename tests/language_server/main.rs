//! The language server as an editor uses it: the program itself, on its standard streams.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that cannot go on has failed; the lint knows only the functions marked as tests"
)]

mod client;
mod conversation;
mod edits;
mod protocol;
mod random;
mod recorded;
mod shown;
