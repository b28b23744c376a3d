//! The two output streams: what goes where, in colour or not, and how far a long run has come.
//!
//! Results go to standard output and a failure to write them is a [`Failure`]; messages go to
//! standard error, where a failure has nobody left to be told.

use std::fmt::Display;
use std::io::{self, IsTerminal, Write};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};
use setsquare::diagnostic::terminal::Colour;

use super::Failure;

/// Writes to standard output.
///
/// # Errors
/// [`Failure::Output`] when it is closed or full.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())
        .and_then(|()| out.flush())
        .map_err(Failure::Output)
}

/// Writes finished lines to standard error.
pub fn tell(lines: &str) {
    // There is no third stream to complain on.
    let _ = io::stderr().lock().write_all(lines.as_bytes());
}

/// Tells of a failure, in the form of the trade: program, colon, sentence.
pub fn complain(failure: &Failure) {
    tell(&complaint(failure));
}

/// The line that [`complain`] writes.
pub fn complaint(failure: impl Display) -> String {
    format!("setsquare: {failure}\n")
}

/// Whether messages on standard error are coloured: on a terminal that can, unless `NO_COLOR`
/// is set to anything.
pub fn colour() -> Colour {
    let unwanted = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|value| value == "dumb");
    if io::stderr().is_terminal() && !unwanted && !dumb {
        Colour::Always
    } else {
        Colour::Never
    }
}

/// From so many worksheets on the bar shows at once.
const MANY: usize = 20;
/// After so long it shows with fewer.
const LONG: Duration = Duration::from_secs(1);

/// How far a run over several worksheets has come; shown on a terminal when the run is long.
pub struct Progress {
    started: Instant,
    total: usize,
    done: usize,
    bar: Option<ProgressBar>,
}

impl Progress {
    /// A run over `total` worksheets that begins now.
    pub fn new(total: usize) -> Self {
        let mut progress = Self {
            started: Instant::now(),
            total,
            done: 0,
            bar: None,
        };
        progress.show_when_long();
        progress
    }

    /// One more worksheet is done.
    pub fn step(&mut self) {
        self.done += 1;
        self.show_when_long();
        if let Some(bar) = &self.bar {
            bar.set_position(self.done as u64);
        }
    }

    /// Writes finished lines to standard error, above the bar.
    pub fn tell(&self, lines: &str) {
        match &self.bar {
            Some(bar) => bar.suspend(|| tell(lines)),
            None => tell(lines),
        }
    }

    /// Writes to standard output, above the bar.
    ///
    /// # Errors
    /// [`Failure::Output`] when it is closed or full.
    pub fn print(&self, text: &str) -> Result<(), Failure> {
        match &self.bar {
            Some(bar) => bar.suspend(|| print(text)),
            None => print(text),
        }
    }

    /// Tells of a failure that does not end the run.
    pub fn complain(&self, failure: &Failure) {
        self.tell(&complaint(failure));
    }

    fn show_when_long(&mut self) {
        let long = self.total > MANY || self.started.elapsed() > LONG;
        let worth_it = self.bar.is_none() && self.total > 1 && self.done < self.total;
        if long && worth_it && io::stderr().is_terminal() {
            let style = ProgressStyle::with_template("{bar:30} {pos} of {len} worksheets")
                .unwrap_or_else(|_| ProgressStyle::default_bar());
            self.bar = Some(ProgressBar::new(self.total as u64).with_style(style));
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn complaints_begin_with_the_program() {
        let failure = Failure::Usage("two pages with one name".to_owned());
        assert_eq!(complaint(&failure), "setsquare: two pages with one name\n");
    }
}
