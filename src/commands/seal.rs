//! `setsquare seal FILE…`: entries of a notebook are sealed in a ledger beside it.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use setsquare::text::{self, Date, MAX_BYTES};
use setsquare::worksheet::seal::{self, Ledger, Sealable};
use setsquare::worksheet::{Standing, Worksheet};

use super::console::Progress;
use super::input::{Files, Input, Place, Text};
use super::replace::{Worth, replace};
use super::{Failure, Status, each, summary};

/// Seal the entries of notebooks in a ledger beside them, FILE.seal.
///
/// An entry is what stands under a level-2 heading that begins with a date. Each that has no seal
/// yet gets a line with the time, a hash of its text and of the files it reads, its answers, and a
/// hash of the line before. An entry with errors is not sealed; one with a check that does not hold
/// is sealed as it is, with a word, since that is a record too; and one that was altered after its
/// seal is named: what was found later is a new entry. The ledger shows that something changed, not
/// who wrote it or when.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
    /// Write nothing, and say how each entry stands to its seal
    #[arg(long)]
    check: bool,
}

/// Runs the command.
///
/// # Errors
/// A [`Failure`] when the arguments do not go together or nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let inputs = arguments.files.find()?;
    each(&inputs, |(_, input), text, progress| {
        let Place::File(path) = &input.place else {
            let message = "a worksheet on standard input has no ledger beside it";
            return Err(Failure::Usage(message.to_owned()));
        };
        let (is_text, worksheet) = (matches!(text, Text::Readable(_)), text.compile(input));
        if !is_text {
            progress.tell(&summary::diagnostics(
                &worksheet,
                super::console::colour(),
                |_| true,
            ));
            return Ok(Status::Refused);
        }
        let sheet = Sheet {
            name: input.name(),
            ledger: beside(path),
            parts: seal::sealables(&worksheet),
        };
        match arguments.check {
            true => sheet.check(progress),
            false => sheet.seal(input, &worksheet, progress),
        }
    })
}

/// The ledger of a worksheet.
fn beside(worksheet: &Path) -> PathBuf {
    let name = worksheet.file_name().unwrap_or_default();
    let name = seal::ledger_of(&name.to_string_lossy());
    worksheet.with_file_name(name)
}

/// A worksheet with what of it is sealed by itself.
struct Sheet {
    name: String,
    ledger: PathBuf,
    parts: Vec<Sealable>,
}

impl Sheet {
    /// The text of the ledger; empty where there is none.
    fn written(&self) -> Result<String, Failure> {
        let read = |cause| Failure::Read {
            path: self.ledger.clone(),
            cause,
        };
        let file = match fs::File::open(&self.ledger) {
            Ok(file) => file,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(String::new()),
            Err(cause) => return Err(read(cause)),
        };
        let bytes = super::input::limited(file, MAX_BYTES).map_err(read)?;
        let bytes =
            bytes.ok_or_else(|| read(io::Error::other(text::too_long("ledger", MAX_BYTES))))?;
        text::decoded(bytes).map_err(|not| read(io::Error::other(not.message)))
    }

    /// Tells how each part and file stands to its seal.
    fn check(&self, progress: &Progress) -> Result<Status, Failure> {
        let ledger = match Ledger::read(&self.written()?) {
            Ok(ledger) => ledger,
            Err(broken) => {
                let (path, line, why) = (self.ledger.display(), broken.line, broken.why);
                progress.print(&format!("{path}:{line}: broken: {why}\n"))?;
                return Ok(Status::Refused);
            }
        };
        let mut status = Status::Success;
        for finding in ledger.findings(&self.parts) {
            let why = finding.why.map_or(String::new(), |why| format!(" ({why})"));
            let words = finding.standing.words();
            progress.print(&format!("{}: {}: {words}{why}\n", self.name, finding.name))?;
            if finding.standing != Standing::AsSealed {
                status = Status::Refused;
            }
        }
        Ok(status)
    }

    /// Seals what has no seal yet.
    fn seal(
        &self,
        input: &Input,
        worksheet: &Worksheet,
        progress: &Progress,
    ) -> Result<Status, Failure> {
        if let Some(part) = seal::twice(&self.parts) {
            let line = worksheet.source.line_of(part.span.start);
            let message = "stands twice, and a ledger tells entries by their headings";
            progress.tell(&format!(
                "{}:{line}: `{}` {message}\n",
                self.name, part.name
            ));
            return Ok(Status::Refused);
        }
        let before = self.written()?;
        let mut ledger = Ledger::read(&before).map_err(|broken| {
            let (path, line, why) = (self.ledger.display(), broken.line, broken.why);
            Failure::Usage(format!("{path}:{line}: {why}; nothing is sealed"))
        })?;
        let (mut text, mut said, mut status) = (before.clone(), String::new(), Status::Success);
        let time = now()?;
        for part in &self.parts {
            let outcome = match (ledger.standing(part), part.first_error) {
                (Standing::AsSealed, _) => continue,
                (Standing::Altered, _) => {
                    status = Status::Refused;
                    "was altered after its seal: write a new entry".to_owned()
                }
                (Standing::Missing | Standing::NotSealed, Some(line)) => {
                    status = Status::Refused;
                    format!("has an error in line {line} and is not sealed")
                }
                (Standing::Missing | Standing::NotSealed, None) => {
                    text.push_str(&ledger.seal(part, &time));
                    match part.first_failure {
                        None => "sealed".to_owned(),
                        Some(line) => {
                            format!("sealed as it is: the check in line {line} does not hold")
                        }
                    }
                }
            };
            said.push_str(&format!("{}: {} {outcome}\n", input.name(), part.name));
        }
        if text != before {
            self.append(&before, &text)?;
        }
        progress.tell(&said);
        Ok(status)
    }

    /// Puts the longer text in the place of the ledger as it was read.
    fn append(&self, before: &str, text: &str) -> Result<(), Failure> {
        if self.written()? != before {
            let message = "it was changed in the meantime and is left as it is; try again";
            return Err(Failure::Usage(format!(
                "{}: {message}",
                self.ledger.display()
            )));
        }
        replace(&self.ledger, text, Worth::Irreplaceable)
    }
}

/// The time of day and the date, in UTC: `2026-03-12T16:40:05Z`.
fn now() -> Result<String, Failure> {
    const DAY: u64 = 24 * 60 * 60;
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let seconds = since.map(|since| since.as_secs()).unwrap_or_default();
    let date = i64::try_from(seconds / DAY).ok().and_then(Date::of_days);
    let date = date.ok_or_else(|| {
        Failure::Usage("the clock of this machine shows no year from 1 to 9999".to_owned())
    })?;
    let (hour, minute, second) = (seconds % DAY / 3600, seconds % 3600 / 60, seconds % 60);
    Ok(format!("{date}T{hour:02}:{minute:02}:{second:02}Z"))
}
