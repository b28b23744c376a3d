//! `setsquare page FILE…`: worksheets become pages.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use clap::ValueHint;
use setsquare::page;
use setsquare::worksheet::Worksheet;

use super::console::{self, Progress};
use super::input::{Files, Input, Text};
use super::replace::{Worth, replace, replace_by};
use super::target::{self, Target};
use super::{Failure, Status, compile, each, opener, summary};

/// Write worksheets as pages.
///
/// Each worksheet becomes one HTML file beside it, with everything it needs inside, or a LaTeX
/// document that names its pictures. A worksheet with errors is not written, and an earlier page
/// of it stays; a check that does not hold is shown on the page.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
    /// The page's file; a folder, made if needed, for several pages; - for standard output
    #[arg(short, long, value_name = "OUT", value_hint = ValueHint::AnyPath)]
    output: Option<PathBuf>,
    /// Write LaTeX documents (.tex) for `pdflatex`, `lualatex` and their like
    #[arg(long)]
    latex: bool,
    /// Open the page when it is written (the first of several)
    #[arg(long)]
    open: bool,
    /// Write the page of a worksheet with errors too, each error in its place
    #[arg(long)]
    with_errors: bool,
}

/// What a page is written in.
#[derive(Debug, Clone, Copy)]
enum Format {
    Html,
    Latex,
}

impl Format {
    fn extension(self) -> &'static str {
        match self {
            Self::Html => "html",
            Self::Latex => "tex",
        }
    }
}

/// Runs the command.
///
/// # Errors
/// A [`Failure`] when the arguments do not go together or nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let inputs = arguments.files.find()?;
    let format = match arguments.latex {
        true => Format::Latex,
        false => Format::Html,
    };
    let targets = target::plan(&inputs, arguments.output.as_deref(), format.extension())?;
    if arguments.open && targets.contains(&Target::Standard) {
        let message = "a page on standard output cannot be opened: write `--output FILE`";
        return Err(Failure::Usage(message.to_owned()));
    }
    let mut first_written = None;
    let status = each(&inputs, |(number, input), text, progress| {
        let target = targets.get(number).unwrap_or(&Target::Standard);
        let (status, written) = page(
            (input, text),
            target,
            format,
            arguments.with_errors,
            progress,
        )?;
        if written && first_written.is_none() {
            first_written = target.path();
        }
        Ok(status)
    })?;
    if let (true, Some(path)) = (arguments.open, first_written) {
        open(path);
    }
    Ok(status)
}

/// Makes one page, and says whether it was written.
fn page(
    (input, text): (&Input, Text),
    target: &Target,
    format: Format,
    with_errors: bool,
    progress: &Progress,
) -> Result<(Status, bool), Failure> {
    // Bytes that are not text leave nothing to show on a page.
    let is_text = matches!(text, Text::Readable(_));
    let worksheet = compile(text, input, progress);
    let fit = is_text && (with_errors || !worksheet.has_errors());
    let outcome = if fit {
        write(&worksheet, target, format)?;
        target
            .path()
            .map(|path| format!("; written to {}", path.display()))
    } else if is_text {
        Some("; not written (--with-errors writes it with the errors in place)".to_owned())
    } else {
        Some("; not written".to_owned())
    };
    let line = summary::line(&worksheet);
    progress.tell(&format!("{line}{}\n", outcome.unwrap_or_default()));
    let status = summary::status(&worksheet);
    // Nobody who waits for the page has to wait until its memory is given back.
    rayon::spawn(move || drop(worksheet));
    Ok((status, fit))
}

fn write(worksheet: &Worksheet, target: &Target, format: Format) -> Result<(), Failure> {
    if let (Target::Within(path), Some(folder)) = (target, target.path().and_then(Path::parent)) {
        fs::create_dir_all(folder).map_err(|cause| Failure::Write {
            path: path.clone(),
            cause,
        })?;
    }
    match (target.path(), format) {
        (Some(path), Format::Html) => {
            let write = |out: &mut dyn Write| {
                page::write_html(worksheet, |piece| out.write_all(piece.as_bytes()))
            };
            replace_by(path, write, Worth::Rebuildable)
        }
        (Some(path), Format::Latex) => replace(path, &page::latex(worksheet), Worth::Rebuildable),
        (None, Format::Html) => page::write_html(worksheet, console::print),
        (None, Format::Latex) => console::print(&page::latex(worksheet)),
    }
}

/// Opens the page. A system without a program for it is told of and is no failure: the page is
/// written.
fn open(path: &Path) {
    let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    if let Err(program) = opener::open(path.as_os_str()) {
        let message = format!(
            "the page is not opened, for there is no program `{program}` here: open {} in a browser",
            path.display()
        );
        console::complain(&Failure::Usage(message));
    }
}
