//! An author's own file with another text.
//!
//! In: a worksheet as it was read, and what it should be. A file that was changed since it was
//! read is left alone.

use std::fs;

use setsquare::text::Source;

use super::Failure;
use super::console::{self, Progress};
use super::input::{Input, Place};
use super::replace::{Worth, replace};

/// Puts the new text in the place of the old one, if it is another; that of standard input goes
/// to standard output.
///
/// # Errors
/// A [`Failure`] when the file cannot be read or written, or was changed in the meantime.
pub fn rewrite(input: &Input, old: &Source, new: &str, progress: &Progress) -> Result<(), Failure> {
    let Place::File(path) = &input.place else {
        return console::print(new);
    };
    if new == old.text() {
        return Ok(());
    }
    let now = fs::read(path).map_err(|cause| Failure::Read {
        path: path.clone(),
        cause,
    })?;
    if now != old.text().as_bytes() {
        let message = "it was changed in the meantime and is left as it is; try again";
        return Err(Failure::Usage(format!("{}: {message}", path.display())));
    }
    replace(path, new, Worth::Irreplaceable)?;
    progress.tell(&format!("{}: rewritten\n", input.name()));
    Ok(())
}
