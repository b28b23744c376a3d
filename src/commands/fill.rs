//! `setsquare fill FILE…`: the results are written into a worksheet, at its question marks.

use setsquare::diagnostic::Code;
use setsquare::worksheet;

use super::console::{self, Progress};
use super::input::{Files, Input, Text};
use super::rewrite::rewrite;
use super::{Failure, Status, each, summary};

/// Write the results into the worksheets themselves, at their question marks.
///
/// `V = ? m/s` becomes `V = 3.006 m/s ?`, for readers of the plain text; nothing else in the
/// file changes. Standard input is filled to standard output.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
    /// Take the results out again, so that the question marks ask
    #[arg(long)]
    ask: bool,
}

/// Runs the command.
///
/// # Errors
/// A [`Failure`] when the arguments do not go together or nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let inputs = arguments.files.find()?;
    each(&inputs, |(_, input), text, progress| match text {
        Text::Readable(_) if arguments.ask => {
            let worksheet = text.compile(input);
            let asking = worksheet::unfill(&worksheet);
            rewrite(input, &worksheet.source, &asking, progress)?;
            Ok(Status::Success)
        }
        text => fill(input, text, progress),
    })
}

fn fill(input: &Input, text: Text, progress: &Progress) -> Result<Status, Failure> {
    let is_text = matches!(text, Text::Readable(_));
    let worksheet = text.compile(input);
    // A stale number is put right here, so nobody needs to hear of it.
    let messages = summary::diagnostics(&worksheet, console::colour(), |diagnostic| {
        diagnostic.code != Code::E08
    });
    progress.tell(&messages);
    if is_text {
        let filled = worksheet::fill(&worksheet);
        rewrite(input, &worksheet.source, &filled, progress)?;
    }
    Ok(summary::status(&worksheet))
}
