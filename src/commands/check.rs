//! `setsquare check FILE…`: what is wrong with worksheets, and whether their checks hold.

use std::sync::Arc;

use setsquare::page::{self, Outcome, Recalculated};

use super::input::{Files, Inputs};
use super::{Failure, Status, compile, console, each, paper, summary};

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
    #[arg(long)]
    recalculate: bool,
}

/// Runs the command.
///
/// # Errors
/// A [`Failure`] when the arguments do not go together or nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let inputs = arguments.files.find()?;
    if arguments.json {
        report(&inputs, arguments)
    } else {
        messages(&inputs, arguments.recalculate)
    }
}

fn messages(inputs: &Inputs, recalculate: bool) -> Result<Status, Failure> {
    each(inputs, |(_, input), text, progress| {
        let worksheet = Arc::new(compile(text, input, progress));
        let faults = paper::faults(input, &worksheet)?;
        faults.iter().for_each(|it| progress.tell(it));
        if !faults.is_empty() {
            let name = worksheet.source.name();
            progress.print(&format!("{name}: it cannot be printed as a paper\n"))?;
            return Ok(Status::Refused);
        }
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

fn report(inputs: &Inputs, arguments: &Arguments) -> Result<Status, Failure> {
    let mut worksheets = Vec::new();
    let mut recalculated = Vec::new();
    let status = each(inputs, |(_, input), text, _| {
        let worksheet = text.compile(input);
        let mut status = summary::status(&worksheet);
        if arguments.recalculate {
            let found = page::recalculated(&worksheet);
            if found.iter().any(Recalculated::differs) {
                status = Status::Refused;
            }
            recalculated.push(found);
        }
        worksheets.push(worksheet);
        Ok(status)
    })?;
    let report = page::report_with(&worksheets, &recalculated, arguments.full);
    console::print(&format!("{}\n", report.trim_end()))?;
    Ok(status)
}

/// How many lines were keyed in, how far off the farthest is, those that differ, and those that
/// cannot be keyed in.
fn recalculation(found: &[Recalculated]) -> String {
    let (mut lines, mut farthest, mut told) = (0, 0.0_f64, String::new());
    for Recalculated { line, outcome, .. } in found {
        match outcome {
            Outcome::Gave { off, .. } | Outcome::Held { off, .. } => {
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
        told.push_str(&match outcome {
            Outcome::Gave {
                keys,
                number,
                printed,
                ..
            } => {
                format!("  line {line} differs: {keys} gives {number}, and {printed} is printed\n")
            }
            Outcome::Held { keys, .. } => {
                format!("  line {line} differs: {keys} does not hold, and is printed to hold\n")
            }
            Outcome::Keyless(_) => continue,
        });
    }
    let farthest = match lines {
        0 => String::new(),
        _ => format!(", the farthest {farthest:.2} units of the last place off"),
    };
    format!("  lines recalculated: {lines}{farthest}\n{told}")
}
