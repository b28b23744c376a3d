//! The live view as it is used, and as it is attacked: the program serves a folder, requests are
//! written by hand.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that cannot go on has failed; the lint knows only the functions marked as tests"
)]

mod browser;
mod folder;
mod following;
mod foreign;
mod limits;
mod outside;
mod program;
