//! `setsquare mark FILE ANSWERS.csv`: the answers of students to a paper, marked.

use std::collections::BTreeSet;
use std::fs::{self, DirBuilder, File};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::ValueHint;
use setsquare::diagnostic::{Code, Diagnostic, terminal};
use setsquare::page;
use setsquare::papers::marking::judge;
use setsquare::papers::marking::list::{self, List};
use setsquare::papers::marking::marked::Marked;
use setsquare::papers::marking::printed::Printed;
use setsquare::papers::marking::report::{self, Of};
use setsquare::papers::print::Version;
use setsquare::papers::record::{self, Record};
use setsquare::text::{Beside, Source, Span, listed};
use setsquare::worksheet::{self, Worksheet};

use super::input::Inputs;
use super::paper::{Earlier, Shelved, earlier, place, shelve, versions};
use super::replace::replace_private;
use super::{Failure, Status, console, summary};

/// Mark the answers of students to a paper.
///
/// ANSWERS is a list with a row for each student: id, version, and a column for each part. Written
/// are NAME.marks.csv and NAME.marks.html beside the paper, which only their owner can read. What
/// numbers cannot decide is left open for a person.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The paper, or the worksheet that was printed alone
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    file: PathBuf,
    /// The list of answers
    #[arg(value_name = "ANSWERS", value_hint = ValueHint::FilePath)]
    answers: PathBuf,
    /// Where the files go, and the record is looked for; made if needed
    #[arg(short, long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    output: Option<PathBuf>,
    /// Write a page for each student too, NAME.reports/ID.html
    #[arg(long, conflicts_with = "json")]
    reports: bool,
    /// Print what was found as JSON, and write no files
    #[arg(long)]
    json: bool,
    /// Mark by the record of the printed paper, where the files are others now
    #[arg(long, conflicts_with = "as_edited")]
    as_printed: bool,
    /// Mark by the files as they are, where the printed paper was another
    #[arg(long)]
    as_edited: bool,
}

/// Runs the command.
///
/// # Errors
/// A [`Failure`] for a file that cannot be read or written.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    if arguments.file.is_dir() {
        let message = format!("{}: a paper is a file", arguments.file.display());
        return Err(Failure::Usage(message));
    }
    let inputs = Inputs::find(std::slice::from_ref(&arguments.file))?;
    let Some(input) = inputs.found.first() else {
        return Err(Failure::Usage("no paper is named".to_owned()));
    };
    let bytes = read(&arguments.answers)?;
    let earlier = match arguments.output.as_deref() {
        // A folder for the marks need not be that of the printed papers.
        Some(folder) => match earlier(Some(folder), input)? {
            None => earlier(None, input)?,
            found => found,
        },
        None => earlier(None, input)?,
    };
    let mut shelved = shelve(input, Arc::new(input.read()?.compile(input)))?;
    let mut refusals = Vec::new();
    if arguments.as_printed {
        let Some(earlier) = &earlier else {
            let message = format!("there is no record of {} to mark by", input.name());
            return Err(Failure::Usage(message));
        };
        if let Some(missing) = missing(&earlier.record, &shelved) {
            let source = &shelved.worksheet.source;
            console::tell(&terminal::render(&missing, source, console::colour()));
            console::tell(&format!("{}: not marked\n", source.name()));
            return Ok(Status::Refused);
        }
        shelved = as_printed(shelved, earlier);
    }
    let paper = &shelved.worksheet;
    let name = paper.source.name().to_owned();
    console::tell(&summary::diagnostics(paper, console::colour(), |_| true));
    let Some(versions) = versions(&shelved, &numbers(paper, earlier.as_ref()), &console::tell)
    else {
        console::tell(&format!("{name}: not marked\n"));
        return Ok(Status::Refused);
    };
    if let Some(earlier) = earlier.as_ref().filter(|_| !arguments.as_edited) {
        let now = Record::of(paper, (&shelved.path, &shelved.files), &versions);
        refusals.extend(edited(&earlier.record, &now, arguments.as_printed));
    }
    for one in &refusals {
        console::tell(&terminal::render(one, &paper.source, console::colour()));
    }
    if !refusals.is_empty() {
        console::tell(&format!("{name}: not marked\n"));
        return Ok(Status::Refused);
    }
    let printed = Printed::of(&versions, paper, &shelved.files);
    let list = list::read(
        &arguments.answers.display().to_string(),
        &bytes,
        &printed.columns(),
    );
    let marked = judge::mark(&list, &printed);
    let status = match list.diagnostics.is_empty() {
        true => Status::Success,
        false => Status::Refused,
    };
    if arguments.json {
        console::print(&report::json(&name, &list, &marked, &units(&versions)))?;
        return Ok(status);
    }
    for one in &list.diagnostics {
        console::tell(&terminal::render(one, &list.source, console::colour()));
    }
    if list.rows.is_empty() && !list.diagnostics.is_empty() {
        console::tell(&format!("{}: not marked\n", arguments.answers.display()));
        return Ok(status);
    }
    let title = page::title(paper);
    let of = Of {
        front: &paper.front,
        title: &title,
    };
    let (beside, stem) = place(input);
    let folder = arguments.output.as_deref().unwrap_or(&beside);
    let written = write(arguments, (folder, &stem), &marked, of)?;
    console::print(&told(&list, &marked, &written))?;
    Ok(status)
}

/// The versions that a row may be of: those that were printed, or that the paper asks for, and
/// the worksheets as they are.
fn numbers(paper: &Worksheet, earlier: Option<&Earlier>) -> BTreeSet<u16> {
    let of_paper = paper.front.exam.versions.unwrap_or(0);
    let mut numbers: BTreeSet<u16> = (0..=of_paper).collect();
    numbers.extend(
        earlier
            .iter()
            .flat_map(|it| &it.record.versions)
            .map(|it| it.version),
    );
    numbers
}

/// The bytes of a list, one more than is read of it at most: `list` says what is too long.
fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    let failed = |cause| Failure::Read {
        path: path.to_owned(),
        cause,
    };
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(failed)?;
    let most = list::MOST_BYTES as u64 + 1;
    file.take(most).read_to_end(&mut bytes).map_err(failed)?;
    Ok(bytes)
}

/// The paper as it was printed.
fn as_printed(now: Shelved, earlier: &Earlier) -> Shelved {
    let record = Arc::new(earlier.record.clone());
    let files = record.files(&now.files);
    let path = record.paper.clone();
    let text = record.texts.get(&path).cloned().unwrap_or_default();
    let source = Source::new(now.worksheet.source.name(), text);
    let worksheet = worksheet::compile_beside(source, &Beside::new(Arc::clone(&files), &path));
    Shelved {
        worksheet: Arc::new(worksheet),
        files,
        path,
    }
}

/// A data file that is another one now cannot be had from the record.
fn missing(record: &Record, now: &Shelved) -> Option<Diagnostic> {
    let changed = record.changed_files(now.files.as_ref());
    let changed: Vec<String> = changed.iter().map(|it| format!("`{it}`")).collect();
    let are = match changed.len() {
        0 => return None,
        1 => "is another file now, and the record has",
        _ => "are other files now, and the record has",
    };
    let message = format!("{} {are} no more than a hash", listed(&changed));
    let help = "the file as it was, or `--as-edited`";
    Some(Diagnostic::error(Code::L04, Span::new(0, 0), message).with_help(help))
}

/// What is other now than in the record.
fn edited(before: &Record, now: &Record, is_as_printed: bool) -> Option<Diagnostic> {
    let differences = record::differences(before, now);
    if differences.is_empty() {
        return None;
    }
    let differences = differences.join("; ");
    let (message, help) = match is_as_printed {
        true => (
            format!("the record gives another paper than was printed: {differences}"),
            "the program by which it was printed, or `--as-edited`",
        ),
        false => (
            format!("the paper was edited after it was printed: {differences}"),
            "`--as-printed` or `--as-edited`",
        ),
    };
    Some(Diagnostic::error(Code::L04, Span::new(0, 0), message).with_help(help))
}

/// The units that are asked.
fn units(versions: &[Version]) -> Vec<String> {
    let questions = versions.first().map_or(&[][..], |it| &it.questions);
    let units = questions.iter().flat_map(|chosen| {
        let problem = &chosen.worksheet.problems[chosen.problem].problem;
        let asked = problem.question.iter().flat_map(|it| &it.asked);
        asked.map(|asked| {
            let found = setsquare::papers::print::answer(problem, asked);
            found.map_or_else(String::new, |(shown, _)| shown.unit.text().to_owned())
        })
    });
    units.collect()
}

/// Writes the files, and says their names.
fn write(
    arguments: &Arguments,
    (folder, stem): (&Path, &str),
    marked: &Marked,
    of: Of<'_>,
) -> Result<Vec<String>, Failure> {
    let failed = |path: &Path| {
        let path = path.to_owned();
        move |cause| Failure::Write { path, cause }
    };
    if !folder.as_os_str().is_empty() {
        fs::create_dir_all(folder).map_err(failed(folder))?;
    }
    let mut written = Vec::new();
    for (suffix, content) in [
        ("marks.csv", report::csv(marked)),
        ("marks.html", report::markers(marked, of)),
    ] {
        let name = format!("{stem}.{suffix}");
        replace_private(&folder.join(&name), &content)?;
        written.push(name);
    }
    if arguments.reports {
        let name = format!("{stem}.reports");
        let reports = folder.join(&name);
        private_folder(&reports).map_err(failed(&reports))?;
        for student in &marked.students {
            let path = reports.join(format!("{}.html", student.id));
            replace_private(&path, &report::student(marked, student, of))?;
        }
        written.push(format!("{name}/ ({})", marked.students.len()));
    }
    Ok(written)
}

/// A folder that only its owner looks into.
fn private_folder(path: &Path) -> std::io::Result<()> {
    let mut builder = DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt;
        builder.mode(0o700);
    }
    builder.create(path)
}

/// `answers.csv: 17 students; 66 marks open, 8 answers with proposed marks; written: …`
fn told(list: &List, marked: &Marked, written: &[String]) -> String {
    let counted = |count: usize, one: &str, several: &str| match count {
        1 => format!("1 {one}"),
        count => format!("{count} {several}"),
    };
    let open: u32 = marked.students.iter().map(|it| it.open()).sum();
    let answers = marked.students.iter().flat_map(|it| &it.answers);
    let proposed = answers.filter(|it| it.is_proposed).count();
    let mut facts = vec![counted(marked.students.len(), "student", "students")];
    if open > 0 {
        facts.push(counted(open as usize, "mark open", "marks open"));
    }
    if proposed > 0 {
        let (one, several) = ("answer with proposed marks", "answers with proposed marks");
        facts.push(counted(proposed, one, several));
    }
    format!(
        "{}: {}; written: {}\n",
        list.source.name(),
        facts.join(", "),
        written.join(", ")
    )
}
