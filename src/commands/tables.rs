//! `setsquare tables FILE… -o FOLDER`: the tables of worksheets become files of separated values.

use std::fs;
use std::path::{Path, PathBuf};

use clap::ValueHint;
use setsquare::page;

use super::input::{Files, Input, Place};
use super::replace::{Worth, replace};
use super::{Failure, Status, compile, each, summary};

/// Write the tables of worksheets, with what is computed from them, as CSV files.
///
/// Each table becomes a file by its label: the number of the row, every column as it was read and
/// every list that is computed from it, with their uncertainties, and why a row is left out. Other
/// programs read them, and so does a `data` block. Of several worksheets each has a folder of its
/// own within FOLDER.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
    /// The folder of the files, made if needed
    #[arg(short, long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    output: PathBuf,
}

/// Runs the command.
///
/// # Errors
/// A [`Failure`] when the folder cannot be made or a file not be written.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let inputs = arguments.files.find()?;
    let several = inputs.from_folder || inputs.found.len() > 1;
    each(&inputs, |(_, input), text, progress| {
        let worksheet = compile(text, input, progress);
        let folder = match several {
            true => arguments.output.join(own_folder(input)),
            false => arguments.output.clone(),
        };
        let tables = page::tables(&worksheet);
        for table in &tables {
            write(&folder.join(&table.name), &table.text)?;
        }
        let written = match tables.as_slice() {
            [] => "no table".to_owned(),
            [one] => format!("written: {}", one.name),
            all => {
                let names: Vec<&str> = all.iter().map(|table| table.name.as_str()).collect();
                format!("written: {}", names.join(", "))
            }
        };
        progress.tell(&format!("{}; {written}\n", summary::line(&worksheet)));
        Ok(summary::status(&worksheet))
    })
}

/// Where the tables of one of several worksheets go.
fn own_folder(input: &Input) -> PathBuf {
    match input.place {
        Place::Standard => PathBuf::from("standard-input"),
        Place::File(_) => input.below.with_extension(""),
    }
}

fn write(path: &Path, text: &str) -> Result<(), Failure> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(|cause| Failure::Write {
            path: path.to_owned(),
            cause,
        })?;
    }
    replace(path, text, Worth::Rebuildable)
}
