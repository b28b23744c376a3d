//! The program: it takes the arguments apart, runs one command and gives its exit status.

mod commands;

use std::process::ExitCode;

use clap::Parser;

/// A page is built from very many small pieces, of which this allocator makes short work.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

use commands::{Arguments, Status, console};

fn main() -> ExitCode {
    let status = match commands::run(Arguments::parse().command) {
        Ok(status) => status,
        // Whoever reads the output has seen enough: `setsquare units | head`.
        Err(failure) if failure.is_broken_pipe() => Status::Success,
        Err(failure) => {
            console::complain(&failure);
            Status::Failed
        }
    };
    status.into()
}
