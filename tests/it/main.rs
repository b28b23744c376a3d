//! All tests that stand outside the library, in one binary, so that it is linked once; but for
//! the live view, whose tests watch a server for a while and have a binary of their own.
//!
//! `cargo test --test it spec` runs the module `spec`, and likewise the others.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that cannot go on has failed; the lint knows only the functions marked as tests"
)]

mod beside;
mod broken_sketches;
mod commands;
mod common_errors;
mod datums;
mod derivations;
mod docs;
mod explanations;
mod fixes;
mod flows;
mod found;
mod instead;
mod language_server;
mod latex;
mod laws;
mod marking;
mod missing;
mod notebooks;
mod papers;
mod planted;
mod plots;
mod propagation;
mod readings;
mod recalculated;
mod reference;
mod rooms;
mod roots_by_row;
mod session;
mod shown;
mod simulated;
mod sketches;
mod slips;
mod solutions;
mod spec;
mod tabulated;
mod turning;
mod units;
mod versions;
mod worksheets;
