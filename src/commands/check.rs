//! `setsquare check FILE…`: what is wrong with worksheets, and whether their checks hold.

use setsquare::page::{self, Outcome, Recalculated};

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
    /// Key every line of numbers into a calculator, and say which do not give what is printed
    #[arg(long, conflicts_with = "json")]
    recalculate: bool,
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
        messages(&inputs, arguments.recalculate)
    }
}

fn messages(inputs: &Inputs, recalculate: bool) -> Result<Status, Failure> {
    each(inputs, |(_, input), text, progress| {
        let worksheet = compile(text, input, progress);
        progress.print(&format!("{}\n", summary::line(&worksheet)))?;
        if !recalculate {
            return Ok(summary::status(&worksheet));
        }
        let found = page::recalculated(&worksheet);
        progress.print(&recalculation(&found))?;
        Ok(match found.iter().any(Recalculated::differs) {
            true => Status::Refused,
            false => summary::status(&worksheet),
        })
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

/// How many lines were keyed in, how far off the farthest is, those that differ, and those that
/// cannot be keyed in.
fn recalculation(found: &[Recalculated]) -> String {
    let (mut lines, mut farthest, mut told) = (0, 0.0_f64, String::new());
    for Recalculated { line, outcome, .. } in found {
        match outcome {
            Outcome::Gave { off, .. } => {
                lines += 1;
                farthest = farthest.max(*off);
            }
            Outcome::Keyless(why) => {
                told.push_str(&format!("  line {line} cannot be keyed in: {why}\n"));
            }
        }
    }
    let differ = found.iter().filter(|it| it.differs());
    for Recalculated { line, outcome, .. } in differ {
        if let Outcome::Gave {
            keys,
            number,
            printed,
            ..
        } = outcome
        {
            told.push_str(&format!(
                "  line {line} differs: {keys} gives {number}, and {printed} is printed\n"
            ));
        }
    }
    let farthest = match lines {
        0 => String::new(),
        _ => format!(", the farthest {farthest:.2} units of the last place off"),
    };
    format!("  lines recalculated: {lines}{farthest}\n{told}")
}
