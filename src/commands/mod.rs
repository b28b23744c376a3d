//! The commands, one file each, and what they share: reading worksheets, writing pages, printing.
//!
//! In: the arguments, files, the terminal. Out: files, text on the two output streams, an exit
//! status. This is the only floor that touches any of them; what a worksheet means is left to
//! the library.

use std::process::ExitCode;

use clap::{Parser, Subcommand};

mod bank;
mod check;
mod completions;
pub mod console;
mod constants;
mod failure;
mod fill;
mod folder;
mod input;
mod language_server;
mod listing;
mod live;
mod mark;
mod opener;
mod page;
mod paper;
mod replace;
mod rewrite;
mod seal;
mod summary;
mod tables;
mod target;
mod tidy;
mod units;
mod why;

pub use failure::Failure;

use console::Progress;
use input::{Input, Inputs, Text};
use setsquare::worksheet::Worksheet;

const ABOUT: &str =
    "Writes engineering worksheets as pages whose symbols, numbers and results agree";

const CAUTION: &str = "\
Caution: a calculation aid, not a substitute for professional judgement. setsquare checks \
dimensions and arithmetic; it cannot know whether an equation is the right one or the data are \
true. Have the results checked by a competent person.";

const EXIT_STATUS: &str = "\
Exit status:
  0  no errors, and every check holds
  1  an error in a worksheet, or a check that does not hold
  2  wrong usage, or a file that cannot be read or written";

/// The arguments of the program.
#[derive(Debug, Parser)]
#[command(
    name = "setsquare",
    version,
    about = ABOUT,
    long_about = format!(
        "{ABOUT}.\n\nA worksheet is a Markdown file with equations in it. Its quantities carry units, its formulas are \
         checked for dimensions and evaluated, and the whole is written as one page that needs nothing else."
    ),
    after_help = CAUTION,
    after_long_help = format!("{EXIT_STATUS}\n\n{CAUTION}"),
    propagate_version = true,
    disable_help_subcommand = true,
    max_term_width = 100
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What the program can do; each command's own arguments say what it is for.
#[derive(Debug, Subcommand)]
pub enum Command {
    #[command(after_long_help = CAUTION)]
    Page(page::Arguments),
    #[command(after_long_help = CAUTION)]
    Check(check::Arguments),
    #[command(after_long_help = CAUTION)]
    Live(live::Arguments),
    #[command(after_long_help = CAUTION)]
    Fill(fill::Arguments),
    #[command(after_long_help = CAUTION)]
    Tidy(tidy::Arguments),
    #[command(after_long_help = CAUTION)]
    Seal(seal::Arguments),
    #[command(after_long_help = CAUTION)]
    Tables(tables::Arguments),
    #[command(after_long_help = CAUTION)]
    Paper(paper::Arguments),
    #[command(after_long_help = CAUTION)]
    Mark(mark::Arguments),
    Bank(bank::Arguments),
    Units(units::Arguments),
    Constants(constants::Arguments),
    Why(why::Arguments),
    Completions(completions::Arguments),
    LanguageServer(language_server::Arguments),
}

/// How a command ended; the worst of several counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// No errors, and every check holds.
    Success,
    /// A worksheet has errors, or a check does not hold, or nothing was found.
    Refused,
    /// Wrong usage, or a file that cannot be read or written.
    Failed,
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        ExitCode::from(status as u8)
    }
}

/// Runs one command.
///
/// # Errors
/// A [`Failure`] that ends the whole command; what concerns one of several worksheets is
/// reported on the way and only shows in the [`Status`].
pub fn run(command: Command) -> Result<Status, Failure> {
    match command {
        Command::Page(arguments) => page::run(&arguments),
        Command::Check(arguments) => check::run(&arguments),
        Command::Live(arguments) => live::run(&arguments),
        Command::Fill(arguments) => fill::run(&arguments),
        Command::Tidy(arguments) => tidy::run(&arguments),
        Command::Seal(arguments) => seal::run(&arguments),
        Command::Tables(arguments) => tables::run(&arguments),
        Command::Paper(arguments) => paper::run(&arguments),
        Command::Mark(arguments) => mark::run(&arguments),
        Command::Bank(arguments) => bank::run(&arguments),
        Command::Units(arguments) => units::run(&arguments),
        Command::Constants(arguments) => constants::run(&arguments),
        Command::Why(arguments) => why::run(&arguments),
        Command::Completions(arguments) => completions::run(&arguments),
        Command::LanguageServer(arguments) => language_server::run(&arguments),
    }
}

/// Works through the worksheets: reads each and hands its place in the list, itself and its text to
/// `work`. What goes wrong with one is told and does not keep the others from their turn.
fn each(
    inputs: &Inputs,
    mut work: impl FnMut((usize, &Input), Text, &Progress) -> Result<Status, Failure>,
) -> Result<Status, Failure> {
    let mut progress = Progress::new(inputs.found.len());
    let mut worst = Status::Success;
    for failure in &inputs.failures {
        progress.complain(failure);
        worst = Status::Failed;
    }
    for (number, input) in inputs.found.iter().enumerate() {
        let text = input.read();
        match text.and_then(|text| work((number, input), text, &progress)) {
            Ok(status) => worst = worst.max(status),
            Err(failure @ Failure::Output(_)) => return Err(failure),
            Err(failure) => {
                progress.complain(&failure);
                worst = Status::Failed;
            }
        }
        progress.step();
    }
    Ok(worst)
}

/// Compiles a worksheet and tells all that is wrong with it.
fn compile(text: Text, input: &Input, progress: &Progress) -> Worksheet {
    let worksheet = text.compile(input);
    progress.tell(&summary::diagnostics(&worksheet, console::colour(), |_| {
        true
    }));
    worksheet
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_arguments_are_consistent() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn the_worst_status_counts() {
        assert_eq!(Status::Refused.max(Status::Success), Status::Refused);
        assert_eq!(Status::Refused.max(Status::Failed), Status::Failed);
    }
}
