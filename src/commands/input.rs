//! Worksheets as they are named on the command line: files, folders and standard input.
//!
//! In: the arguments. Out: a list of worksheets, and the text of each. Bytes that are no text
//! (not UTF-8, too many) come back with a diagnostic, so that they are reported like any other
//! mistake in a worksheet.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::ValueHint;
use setsquare::diagnostic::{Code, Diagnostic};
use setsquare::text::{self, Beside, MAX_BYTES, Source, Span};
use setsquare::worksheet::{self, Worksheet};

use super::Failure;
use super::folder::Folder;

/// The worksheets that a command is about, as they are named.
#[derive(Debug, clap::Args)]
pub struct Files {
    /// Worksheets, folders of worksheets (*.md), or - for standard input
    #[arg(value_name = "FILE", required = true, value_hint = ValueHint::AnyPath)]
    files: Vec<PathBuf>,
}

impl Files {
    /// Finds what they name.
    ///
    /// # Errors
    /// [`Failure::Usage`] when standard input is named twice.
    pub fn find(&self) -> Result<Inputs, Failure> {
        Inputs::find(&self.files)
    }
}

/// A worksheet that was named, by itself or through its folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Input {
    /// Where its text stands.
    pub place: Place,
    /// Its path below the folder that was named; its file name where it was named itself.
    pub below: PathBuf,
}

/// Where a text stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// Standard input, written `-`.
    Standard,
    /// A file.
    File(PathBuf),
}

/// The text of a worksheet.
#[derive(Debug)]
pub enum Text {
    /// It can be read.
    Readable(Source),
    /// Its bytes are refused: as much of it as there is to show, and why.
    Refused(Source, Diagnostic),
}

/// What the arguments named.
#[derive(Debug, Default)]
pub struct Inputs {
    /// The worksheets in the order of the arguments; those of a folder sorted by path.
    pub found: Vec<Input>,
    /// Folders that could not be read, or hold no worksheet.
    pub failures: Vec<Failure>,
    /// Whether a folder was among the arguments.
    pub from_folder: bool,
}

impl Inputs {
    /// Finds what the arguments name. A file need not exist yet; that shows when it is read.
    ///
    /// # Errors
    /// [`Failure::Usage`] when standard input is named twice.
    pub fn find(arguments: &[PathBuf]) -> Result<Self, Failure> {
        let mut inputs = Self::default();
        for path in arguments {
            if path.as_os_str() == "-" {
                inputs.add_standard_input()?;
            } else if path.is_dir() {
                inputs.add_folder(path);
            } else {
                let below = path.file_name().map_or_else(|| path.clone(), PathBuf::from);
                let place = Place::File(path.clone());
                inputs.found.push(Input { place, below });
            }
        }
        Ok(inputs)
    }

    fn add_standard_input(&mut self) -> Result<(), Failure> {
        let input = Input {
            place: Place::Standard,
            below: PathBuf::from("-"),
        };
        if self.found.contains(&input) {
            let message = "`-` stands twice, but standard input can be read only once";
            return Err(Failure::Usage(message.to_owned()));
        }
        self.found.push(input);
        Ok(())
    }

    fn add_folder(&mut self, folder: &Path) {
        self.from_folder = true;
        let mut files = Vec::new();
        let failures = self.failures.len();
        self.walk(folder, &mut files);
        if files.is_empty() && self.failures.len() == failures {
            self.failures.push(Failure::Read {
                path: folder.to_owned(),
                cause: io::Error::other("the folder holds no worksheet (a file named *.md)"),
            });
        }
        files.sort();
        self.found.extend(files.into_iter().map(|path| Input {
            below: path.strip_prefix(folder).unwrap_or(&path).to_owned(),
            place: Place::File(path),
        }));
    }

    /// Collects the worksheets below a folder. Hidden names are passed over, and links to
    /// folders are not followed, so that the walk ends.
    fn walk(&mut self, folder: &Path, files: &mut Vec<PathBuf>) {
        let entries = match fs::read_dir(folder) {
            Ok(entries) => entries,
            Err(cause) => {
                let path = folder.to_owned();
                return self.failures.push(Failure::Read { path, cause });
            }
        };
        for entry in entries.flatten() {
            let path = entry.path();
            let hidden = entry.file_name().as_encoded_bytes().starts_with(b".");
            let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
            if hidden {
                continue;
            } else if is_folder {
                self.walk(&path, files);
            } else if path.extension().is_some_and(|ending| ending == "md") && !path.is_dir() {
                files.push(path);
            }
        }
    }
}

impl Input {
    /// What messages call it.
    pub fn name(&self) -> String {
        self.path().display().to_string()
    }

    /// Its path as it was written; `-` for standard input.
    pub fn path(&self) -> &Path {
        match &self.place {
            Place::Standard => Path::new("-"),
            Place::File(path) => path,
        }
    }

    /// The files in its folder; none of standard input, which stands nowhere.
    fn beside(&self) -> Beside {
        match &self.place {
            Place::Standard => Beside::nothing(),
            Place::File(path) => Beside::new(Arc::new(Folder::of(path)), ""),
        }
    }

    /// Reads it.
    ///
    /// # Errors
    /// [`Failure::Read`] when the file does not exist or cannot be read.
    pub fn read(&self) -> Result<Text, Failure> {
        match self.bytes() {
            Ok(Some(bytes)) => Ok(decode(self.name(), bytes)),
            Ok(None) => Ok(too_large(self.name())),
            Err(cause) => Err(Failure::Read {
                path: self.path().to_owned(),
                cause,
            }),
        }
    }

    /// The bytes; `None` when there are more than a worksheet may have.
    fn bytes(&self) -> io::Result<Option<Vec<u8>>> {
        let Place::File(path) = &self.place else {
            return limited(io::stdin().lock(), MAX_BYTES);
        };
        let file = File::open(path)?;
        if file.metadata()?.len() > MAX_BYTES as u64 {
            return Ok(None);
        }
        limited(file, MAX_BYTES)
    }
}

impl Text {
    /// The worksheet it becomes where it stands; one that holds only the diagnostic where it is
    /// refused.
    pub fn compile(self, input: &Input) -> Worksheet {
        match self {
            Self::Readable(source) => worksheet::compile_beside(source, &input.beside()),
            Self::Refused(source, diagnostic) => {
                let mut empty = worksheet::compile(Source::new(source.name(), ""));
                empty.source = Arc::new(source);
                empty.diagnostics = vec![diagnostic];
                empty
            }
        }
    }
}

/// Reads to the end, but no further than one byte beyond the limit: a device never ends, and a
/// file may grow meanwhile. `None` when there are more bytes.
pub fn limited(reader: impl Read, most: usize) -> io::Result<Option<Vec<u8>>> {
    let mut bytes = Vec::new();
    reader.take(most as u64 + 1).read_to_end(&mut bytes)?;
    Ok((bytes.len() <= most).then_some(bytes))
}

/// The text of a worksheet; shown up to where it is none.
fn decode(name: String, bytes: Vec<u8>) -> Text {
    match text::decoded(bytes) {
        Ok(text) => Text::Readable(Source::new(name, text)),
        Err(not_text) => {
            let place = Span::new(not_text.at, not_text.at);
            let diagnostic = Diagnostic::error(Code::T01, place, not_text.message)
                .with_help("the same text, saved as UTF-8 by the editor");
            Text::Refused(Source::new(name, not_text.shown), diagnostic)
        }
    }
}

fn too_large(name: String) -> Text {
    let message = text::too_long("worksheet", MAX_BYTES);
    let diagnostic = Diagnostic::error(Code::T02, Span::new(0, 0), message)
        .with_help("several worksheets, each with some of the problems");
    Text::Refused(Source::new(name, ""), diagnostic)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(inputs: &Inputs) -> Vec<String> {
        let below = |input: &Input| input.below.display().to_string();
        inputs.found.iter().map(below).collect()
    }

    #[test]
    fn a_folder_gives_its_worksheets_sorted_without_hidden_ones() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        fs::create_dir_all(path("b/deep")).unwrap();
        fs::create_dir_all(path(".hidden")).unwrap();
        for name in [
            "z.md",
            "a.md",
            "b/deep/c.md",
            ".x.md",
            ".hidden/y.md",
            "n.txt",
        ] {
            fs::write(path(name), "").unwrap();
        }
        let inputs = Inputs::find(&[folder.path().to_owned()]).unwrap();
        assert_eq!(names(&inputs), ["a.md", "b/deep/c.md", "z.md"]);
        assert!(inputs.from_folder && inputs.failures.is_empty());
    }

    #[test]
    fn a_folder_without_worksheets_is_a_failure() {
        let folder = tempfile::tempdir().unwrap();
        let inputs = Inputs::find(&[folder.path().to_owned()]).unwrap();
        let message = inputs.failures.first().unwrap().to_string();
        assert!(
            message.ends_with("holds no worksheet (a file named *.md)"),
            "{message}"
        );
    }

    #[test]
    fn standard_input_is_read_once_only() {
        assert!(Inputs::find(&["-".into()]).is_ok());
        assert!(Inputs::find(&["-".into(), "a.md".into(), "-".into()]).is_err());
    }

    #[test]
    fn bytes_that_are_not_utf8_are_shown_where_they_stand() {
        let Text::Refused(source, diagnostic) = decode("w.md".into(), b"x\nab \xff c\nd".to_vec())
        else {
            panic!("a byte that is not UTF-8 was read as text");
        };
        assert_eq!(diagnostic.code, Code::T01);
        let position = source.position(diagnostic.span.start);
        assert_eq!((position.line, position.column), (2, 4));
        assert_eq!(source.text(), "x\nab \u{fffd} c");
    }

    #[test]
    fn reading_stops_beyond_the_limit() {
        assert!(limited(io::repeat(b'x'), MAX_BYTES).unwrap().is_none());
        let all = limited(io::repeat(b'x').take(MAX_BYTES as u64), MAX_BYTES).unwrap();
        assert_eq!(all.unwrap().len(), MAX_BYTES);
    }
}
