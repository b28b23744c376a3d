//! `setsquare tidy FILE…`: blocks with even spacing and columns.

use setsquare::text::Source;
use setsquare::worksheet;

use super::console::Progress;
use super::input::{Files, Input, Text};
use super::rewrite::rewrite;
use super::{Failure, Status, compile, each, summary};

/// Align the lines of the blocks, and set the blanks in them evenly.
///
/// Equals signs and descriptions of neighbouring lines go under each other; one blank stands
/// around equals signs and between terms. What the worksheet says does not change, lines that
/// cannot be read are left as they are, and so is everything outside the blocks. Standard input
/// is tidied to standard output.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
    /// Change nothing, and say which worksheets are not tidy
    #[arg(long)]
    check: bool,
}

/// Runs the command.
///
/// # Errors
/// A [`Failure`] when the arguments do not go together or nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let inputs = arguments.files.find()?;
    each(&inputs, |(_, input), text, progress| match text {
        Text::Readable(source) if arguments.check => Ok(check(input, &source, progress)),
        Text::Readable(source) => {
            let tidy = worksheet::tidy(&source);
            rewrite(input, &source, &tidy, progress)?;
            Ok(Status::Success)
        }
        text => Ok(summary::status(&compile(text, input, progress))),
    })
}

fn check(input: &Input, source: &Source, progress: &Progress) -> Status {
    let edits = worksheet::tidy_edits(source);
    let Some(first) = edits.first() else {
        return Status::Success;
    };
    let line = source.line_of(first.span.start);
    progress.tell(&format!("{}:{line}: not tidy\n", input.name()));
    Status::Refused
}
