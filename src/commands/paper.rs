//! `setsquare paper FILE…`: question papers, solutions and guides of a paper or a worksheet.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::ValueHint;
use setsquare::diagnostic::{Code, Diagnostic, terminal};
use setsquare::document::MOST_VERSIONS;
use setsquare::papers::edition::{self, Said};
use setsquare::papers::print::{File, Job, Kind, Version};
use setsquare::papers::record::{self, Record};
use setsquare::papers::{self, paper};
use setsquare::text::{self, Span, counted};
use setsquare::worksheet::Worksheet;

use super::console::{self, Progress};
use super::folder::Folder;
use super::input::{Files, Input, Place, Text};
use super::replace::{Worth, replace};
use super::{Failure, Status, each, summary};

/// Write question papers, worked solutions and marking guides.
///
/// FILE is a paper, a worksheet with a block `problems`, or a worksheet whose own problems are
/// printed. The files stand beside it under its name: NAME.questions.html, NAME.solutions.html,
/// NAME.guide.html, NAME.formulas.html where the paper asks for one, the table of answers, and
/// NAME.record.json, by which answers are marked. A paper with an error leaves all earlier files as
/// they are.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
    /// Where the files go; made if needed
    #[arg(short, long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    output: Option<PathBuf>,
    /// Some of questions,solutions,guide,formulas,answers
    #[arg(long, value_name = "KINDS", value_delimiter = ',', value_parser = kind)]
    only: Vec<Kind>,
    /// These versions, 4 or 2-5; without it as many as the front matter says, and 0 for none
    #[arg(long, value_name = "N", value_parser = numbers)]
    versions: Option<Numbers>,
    /// Write nothing, and say whether it could be written
    #[arg(long)]
    check: bool,
    /// Large print of the questions
    #[arg(long)]
    large: bool,
    /// Replace the record of an earlier printing with other numbers, formulas or marks
    #[arg(long)]
    reprint: bool,
}

fn kind(word: &str) -> Result<Kind, String> {
    let known = Kind::ALL.into_iter().find(|kind| kind.word() == word);
    let words = Kind::ALL.map(Kind::word).join(", ");
    known.ok_or_else(|| format!("it is one of {words}"))
}

/// The numbers of versions.
#[derive(Debug, Clone)]
struct Numbers(BTreeSet<u16>);

/// `4` for the first four, or `2-5`.
fn numbers(text: &str) -> Result<Numbers, String> {
    let number = |text: &str| {
        let number = text.parse::<u16>().ok();
        number.filter(|number| *number <= MOST_VERSIONS)
    };
    let range = match text.split_once('-') {
        Some((from, to)) => number(from).zip(number(to)),
        None => number(text).map(|to| (1, to)),
    };
    let (from, to) = range.ok_or_else(|| {
        format!("it is a number up to {MOST_VERSIONS}, or two with `-` between: `4`, `2-5`")
    })?;
    Ok(Numbers((from..=to).collect()))
}

/// Runs the command.
///
/// # Errors
/// A [`Failure`] when the arguments do not go together or a file cannot be written.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let inputs = arguments.files.find()?;
    each(&inputs, |(_, input), text, progress| {
        print(arguments, input, text, progress)
    })
}

/// A worksheet among the files that it may lead to.
pub(super) struct Shelved {
    pub worksheet: Arc<Worksheet>,
    /// The files, from the highest folder that its lines lead to.
    pub files: Arc<dyn text::Files>,
    /// Its path among them.
    pub path: String,
}

/// Finds the folder that the lines of a paper begin in.
pub(super) fn shelve(input: &Input, worksheet: Arc<Worksheet>) -> Result<Shelved, Failure> {
    let Place::File(file) = &input.place else {
        return Ok(Shelved {
            worksheet,
            files: Arc::new(text::NoFiles),
            path: String::new(),
        });
    };
    let unreadable = |cause| Failure::Read {
        path: file.clone(),
        cause,
    };
    let whole = fs::canonicalize(file).map_err(unreadable)?;
    let levels = paper::levels_up(&worksheet) + 1;
    let root = whole.ancestors().skip(1).take(levels).last();
    let root = root.unwrap_or(Path::new("/")).to_owned();
    let parts = whole.strip_prefix(&root).unwrap_or(&whole).iter();
    let path: Vec<String> = parts.map(|it| it.to_string_lossy().into_owned()).collect();
    Ok(Shelved {
        worksheet,
        files: Arc::new(Folder::at(&root)),
        path: path.join("/"),
    })
}

/// Versions of a paper with their fingerprints; nothing where something is wrong, which is told.
pub(super) fn versions(
    shelved: &Shelved,
    numbers: &BTreeSet<u16>,
    tell: &dyn Fn(&str),
) -> Option<Vec<Version>> {
    let worksheet = &shelved.worksheet;
    let (questions, found) = paper::problems(worksheet, &shelved.path, &shelved.files);
    for one in &found {
        tell(&terminal::render(one, &worksheet.source, console::colour()));
    }
    if worksheet.has_errors() || !found.is_empty() {
        return None;
    }
    let say = |said: &[Said]| {
        for one in said {
            tell(&terminal::render(
                &one.diagnostic,
                &one.source,
                console::colour(),
            ));
        }
    };
    match edition::versions(worksheet, questions, &shelved.files, numbers) {
        Ok((mut versions, said)) => {
            say(&said);
            for version in &mut versions {
                let printed = record::printed(worksheet, version);
                version.fingerprint = Some(printed.fingerprint);
            }
            Some(versions)
        }
        Err(said) => {
            say(&said);
            None
        }
    }
}

/// What stands behind the name of a paper whose record it is.
pub(super) const RECORD: &str = "record.json";

/// The record of an earlier printing, and where it stands.
pub(super) struct Earlier {
    pub record: Record,
    pub path: PathBuf,
}

/// The record of an earlier printing in a folder, else beside the paper; none where it was never
/// printed.
pub(super) fn earlier(folder: Option<&Path>, input: &Input) -> Result<Option<Earlier>, Failure> {
    let (beside, stem) = place(input);
    let folder = folder.unwrap_or(&beside);
    let path = folder.join(format!("{stem}.{RECORD}"));
    let failed = |cause| Failure::Read {
        path: path.clone(),
        cause,
    };
    let text = match fs::read_to_string(&path) {
        Ok(text) => text,
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(cause) => return Err(failed(cause)),
    };
    let record = Record::read(&text).map_err(|why| failed(io::Error::other(why)))?;
    Ok(Some(Earlier { record, path }))
}

/// The folder of a paper, and its name without the ending.
pub(super) fn place(input: &Input) -> (PathBuf, String) {
    let own = match &input.place {
        Place::Standard => PathBuf::from("paper"),
        Place::File(path) => path.clone(),
    };
    let stem = own.file_stem().unwrap_or_default().to_string_lossy();
    let folder = own.parent().unwrap_or(Path::new("")).to_owned();
    (folder, stem.into_owned())
}

fn of_other_papers(path: &Path, differences: &[String]) -> Diagnostic {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let message = format!(
        "`{name}` is of papers with other fingerprints: {}",
        differences.join("; ")
    );
    Diagnostic::error(Code::P17, Span::new(0, 0), message)
        .with_help("`--reprint`, or another folder with `--output`")
}

/// What is wrong with a worksheet as a paper, where it has a block `problems`; as lines for a terminal.
///
/// # Errors
/// A [`Failure`] where its folder cannot be read.
pub(super) fn faults(input: &Input, worksheet: &Arc<Worksheet>) -> Result<Vec<String>, Failure> {
    if paper::blocks(worksheet).is_empty() {
        return Ok(Vec::new());
    }
    let shelved = shelve(input, Arc::clone(worksheet))?;
    let (_, found) = paper::problems(worksheet, &shelved.path, &shelved.files);
    let told = found
        .iter()
        .map(|it| terminal::render(it, &worksheet.source, console::colour()));
    Ok(told.collect())
}

fn print(
    arguments: &Arguments,
    input: &Input,
    text: Text,
    progress: &Progress,
) -> Result<Status, Failure> {
    let shelved = shelve(input, Arc::new(text.compile(input)))?;
    let worksheet = &shelved.worksheet;
    progress.tell(&summary::diagnostics(worksheet, console::colour(), |_| {
        true
    }));
    let name = worksheet.source.name();
    let numbers = match &arguments.versions {
        Some(Numbers(numbers)) => numbers.clone(),
        None => (1..=worksheet.front.exam.versions.unwrap_or(0)).collect(),
    };
    let Some(versions) = versions(&shelved, &numbers, &|told| progress.tell(told)) else {
        progress.tell(&format!("{name}: not written\n"));
        return Ok(Status::Refused);
    };
    let mut record = Record::of(worksheet, (&shelved.path, &shelved.files), &versions);
    if let Some(earlier) = earlier(arguments.output.as_deref(), input)? {
        match record::differences(&earlier.record, &record).as_slice() {
            [] => record = record.with_others_of(&earlier.record),
            _ if arguments.reprint => {}
            differences => {
                let refusal = of_other_papers(&earlier.path, differences);
                progress.tell(&terminal::render(
                    &refusal,
                    &worksheet.source,
                    console::colour(),
                ));
                progress.tell(&format!("{name}: not written\n"));
                return Ok(Status::Refused);
            }
        }
    }
    let questions = versions.first().map_or(&[][..], |it| &it.questions);
    let count = questions.len();
    let total: u32 = papers::total(questions);
    let job = Job {
        paper: worksheet,
        has_front: !paper::blocks(worksheet).is_empty(),
        versions: &versions,
        is_large: arguments.large,
    };
    let kinds = match arguments.only.as_slice() {
        [] => &Kind::ALL[..],
        only => only,
    };
    let mut files = job.files(kinds);
    files.push(File {
        suffix: RECORD.to_owned(),
        content: record.json(),
    });
    let facts = format!(
        "{name}: {}, {}",
        counted(count, "question"),
        counted(total as usize, "mark")
    );
    if arguments.check {
        progress.print(&format!("{facts}; nothing written\n"))?;
        return Ok(Status::Success);
    }
    let written = write(arguments, input, &files)?;
    progress.print(&format!("{facts}; written: {}\n", written.join(", ")))?;
    Ok(Status::Success)
}

/// Writes the files, and says their names.
fn write(arguments: &Arguments, input: &Input, files: &[File]) -> Result<Vec<String>, Failure> {
    let (beside, stem) = place(input);
    let folder = match &arguments.output {
        Some(folder) => {
            fs::create_dir_all(folder).map_err(|cause| Failure::Write {
                path: folder.clone(),
                cause,
            })?;
            folder.as_path()
        }
        None => &beside,
    };
    let mut written = Vec::new();
    for file in files {
        let name = format!("{stem}.{}", file.suffix);
        replace(&folder.join(&name), &file.content, Worth::Rebuildable)?;
        written.push(name);
    }
    Ok(written)
}
