//! `setsquare check FILE…`: what is wrong with worksheets, and whether their checks hold.

use setsquare::page;

use super::input::{Files, Inputs};
use super::{Failure, Status, compile, console, each, summary};

/// Say what is wrong with worksheets, and whether their checks hold.
///
/// Nothing is written. Messages go to standard error, one line a worksheet to standard output.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
    /// Print results, checks, answers and messages as JSON instead
    #[arg(long)]
    json: bool,
    /// With the values of lists that are longer than 10,000
    #[arg(long, requires = "json")]
    full: bool,
}

/// Runs the command.
///
/// # Errors
/// A [`Failure`] when the arguments do not go together or nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let inputs = arguments.files.find()?;
    if arguments.json {
        report(&inputs, arguments.full)
    } else {
        messages(&inputs)
    }
}

fn messages(inputs: &Inputs) -> Result<Status, Failure> {
    each(inputs, |(_, input), text, progress| {
        let worksheet = compile(text, input, progress);
        progress.print(&format!("{}\n", summary::line(&worksheet)))?;
        Ok(summary::status(&worksheet))
    })
}

fn report(inputs: &Inputs, full: bool) -> Result<Status, Failure> {
    let mut worksheets = Vec::new();
    let status = each(inputs, |(_, input), text, _| {
        let worksheet = text.compile(input);
        let status = summary::status(&worksheet);
        worksheets.push(worksheet);
        Ok(status)
    })?;
    let report = match full {
        true => page::full_report(&worksheets),
        false => page::report(&worksheets),
    };
    console::print(&format!("{}\n", report.trim_end()))?;
    Ok(status)
}
