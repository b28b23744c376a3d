//! `setsquare completions SHELL`: the script that completes the arguments in a shell.

use clap::CommandFactory;
use clap_complete::{Shell, generate};

use super::{Failure, Status, console};

/// Print the completions for a shell.
///
/// For bash, for example: `setsquare completions bash > ~/.local/share/bash-completion/completions/setsquare`
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The shell
    #[arg(value_name = "SHELL")]
    shell: Shell,
}

/// Runs the command.
///
/// # Errors
/// [`Failure::Output`] when nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let mut script = Vec::new();
    let mut command = super::Arguments::command();
    generate(arguments.shell, &mut command, "setsquare", &mut script);
    console::print(&String::from_utf8_lossy(&script))?;
    Ok(Status::Success)
}
