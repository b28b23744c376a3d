//! `setsquare bank FOLDER [CONDITION]`: the problems of a folder.

use std::path::PathBuf;
use std::sync::Arc;

use clap::ValueHint;
use setsquare::diagnostic::terminal;
use setsquare::papers::bank;
use setsquare::text::{Files, Source};

use super::folder::Folder;
use super::{Failure, Status, console};

/// List the problems of a folder, with what is known of each.
///
/// Of each problem: its worksheet and title, topics, level, marks, minutes, how many data its
/// versions vary, and what is wrong with it. Nothing is written.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A folder of worksheets
    #[arg(value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    folder: PathBuf,
    /// Only problems for which this holds, as in `problems`: topic = "heat" and level <= 2
    #[arg(value_name = "CONDITION", num_args = 0.., allow_hyphen_values = true)]
    condition: Vec<String>,
    /// Print the list as JSON
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// A [`Failure`] for a folder that cannot be read.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let files: Arc<dyn Files> = Arc::new(Folder::at(&arguments.folder));
    if !arguments.folder.is_dir() {
        return Err(Failure::Read {
            path: arguments.folder.clone(),
            cause: std::io::Error::other("it is no folder"),
        });
    }
    let condition = arguments.condition.join(" ");
    let found = bank::problems(&files, &condition);
    let found = match found {
        Ok(found) => found,
        Err(refusal) => {
            let source = Source::new("condition", condition);
            console::tell(&terminal::render(&refusal, &source, console::colour()));
            return Ok(Status::Refused);
        }
    };
    match arguments.json {
        true => console::print(&bank::report(&found))?,
        false => console::print(&bank::listing(&found))?,
    }
    Ok(match found.iter().any(|it| it.errors > 0) {
        true => Status::Refused,
        false => Status::Success,
    })
}
