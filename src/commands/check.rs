//! `setsquare check FILE…`: what is wrong with worksheets, and whether their checks hold.

use std::path::PathBuf;

use clap::ValueHint;
use setsquare::page;

use super::input::Inputs;
use super::{Failure, Status, console, each, summary};

/// Say what is wrong with worksheets, and whether their checks hold.
///
/// Nothing is written. Messages go to standard error, one line a worksheet to standard output.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Worksheets, folders of worksheets (*.md), or - for standard input
    #[arg(value_name = "FILE", required = true, value_hint = ValueHint::AnyPath)]
    files: Vec<PathBuf>,
    /// Print results, checks, answers and messages as JSON instead
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// A [`Failure`] when the arguments do not go together or nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let inputs = Inputs::find(&arguments.files)?;
    if arguments.json {
        report(&inputs)
    } else {
        messages(&inputs)
    }
}

fn messages(inputs: &Inputs) -> Result<Status, Failure> {
    let colour = console::colour();
    each(inputs, |_, text, progress| {
        let worksheet = text.compile();
        progress.tell(&summary::diagnostics(&worksheet, colour, |_| true));
        progress.print(&format!("{}\n", summary::line(&worksheet)))?;
        Ok(summary::status(&worksheet))
    })
}

fn report(inputs: &Inputs) -> Result<Status, Failure> {
    let mut worksheets = Vec::new();
    let status = each(inputs, |_, text, _| {
        let worksheet = text.compile();
        let status = summary::status(&worksheet);
        worksheets.push(worksheet);
        Ok(status)
    })?;
    let report = page::report(&worksheets);
    console::print(&format!("{}\n", report.trim_end()))?;
    Ok(status)
}
