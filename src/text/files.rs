//! The files about a worksheet: their bytes and names, wherever they are kept.
//!
//! The commands have them on a disk, tests in memory. What cannot be read as a text is said here,
//! in the same words for all who read.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, Mutex, PoisonError};

use super::Hash;

/// So many bytes of a file that a worksheet names are read.
pub const MOST_FILE_BYTES: usize = 256 * 1024 * 1024;

/// The files below a folder, by their paths in it, which are written with `/`.
pub trait Files: Send + Sync {
    /// The bytes of a file of at most so many.
    ///
    /// # Errors
    /// An [`Unread`] for a file that is not there, cannot be read or is longer.
    fn bytes(&self, path: &str, most: usize) -> Result<Vec<u8>, Unread>;

    /// The names in a folder, `""` for the first; that of a folder ends with `/`. What is hidden
    /// and what leads out of the folder is left out.
    ///
    /// # Errors
    /// An [`Unread`] for a folder that is not there or cannot be read.
    fn names(&self, folder: &str) -> Result<Vec<String>, Unread>;
}

/// No files: of a worksheet that stands nowhere.
#[derive(Debug, Clone, Copy, Default)]
pub struct NoFiles;

impl Files for NoFiles {
    fn bytes(&self, _: &str, _: usize) -> Result<Vec<u8>, Unread> {
        Err(Unread::Missing)
    }

    fn names(&self, _: &str) -> Result<Vec<String>, Unread> {
        Err(Unread::Missing)
    }
}

/// The bytes of a file with their hash, or why they were not read.
pub type Contents = Result<(Vec<u8>, Hash), Unread>;

/// The files of the folder in which a worksheet stands, and below it. Each is read once, so that
/// all who look at it see the same bytes.
pub struct Beside {
    files: Arc<dyn Files>,
    folder: String,
    worksheet: String,
    read: Mutex<BTreeMap<String, Arc<Contents>>>,
}

impl Beside {
    /// Those beside a worksheet, which is one of the files itself.
    pub fn new(files: Arc<dyn Files>, worksheet: &str) -> Self {
        let folder = worksheet.rsplit_once('/').map_or("", |(folder, _)| folder);
        Self {
            files,
            folder: folder.to_owned(),
            worksheet: worksheet.rsplit('/').next().unwrap_or("").to_owned(),
            read: Mutex::default(),
        }
    }

    /// None.
    pub fn nothing() -> Self {
        Self::new(Arc::new(NoFiles), "")
    }

    /// The name of the worksheet in its folder.
    pub fn worksheet(&self) -> &str {
        &self.worksheet
    }

    /// A file of at most [`MOST_FILE_BYTES`]. `path` is written with `/` and begins in the
    /// worksheet's folder; what leads out of it is missing. One that ends with `/` is a folder,
    /// `/` alone the first, and gives the names in it, a line each.
    pub fn read(&self, path: &str) -> Arc<Contents> {
        let mut read = self.read.lock().unwrap_or_else(PoisonError::into_inner);
        let known = read.entry(path.to_owned());
        Arc::clone(known.or_insert_with(|| Arc::new(self.read_now(path))))
    }

    fn read_now(&self, path: &str) -> Contents {
        let is_name = |name: &str| !matches!(name, "" | "." | "..");
        if let Some(below) = path.strip_suffix('/') {
            return self.names_now(below);
        }
        if !path.split('/').all(is_name) {
            return Err(Unread::Missing);
        }
        let bytes = match self.folder.as_str() {
            "" => self.files.bytes(path, MOST_FILE_BYTES),
            folder => self
                .files
                .bytes(&format!("{folder}/{path}"), MOST_FILE_BYTES),
        };
        bytes.map(|bytes| {
            let hash = Hash::of(&bytes);
            (bytes, hash)
        })
    }

    /// The names in a folder as bytes, a line each.
    fn names_now(&self, below: &str) -> Contents {
        let parts = [self.folder.as_str(), below];
        let parts: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        let names = self.files.names(&parts.join("/"))?;
        let bytes = names.join("\n").into_bytes();
        let hash = Hash::of(&bytes);
        Ok((bytes, hash))
    }

    /// What was read up to now, by path.
    pub fn readings(&self) -> Vec<FileRead> {
        let read = self.read.lock().unwrap_or_else(PoisonError::into_inner);
        read.iter()
            .map(|(path, contents)| FileRead::of(path, contents))
            .collect()
    }
}

impl fmt::Debug for Beside {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Beside")
            .field("folder", &self.folder)
            .finish_non_exhaustive()
    }
}

/// A file that was read, and what it was then.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileRead {
    /// The path from the worksheet's folder.
    pub path: String,
    /// The hash of its bytes, or why there are none.
    pub found: Result<Hash, Unread>,
}

impl FileRead {
    fn of(path: &str, contents: &Contents) -> Self {
        let found = contents.as_ref().map(|(_, hash)| *hash);
        Self {
            path: path.to_owned(),
            found: found.map_err(Clone::clone),
        }
    }
}

/// The files beside a worksheet, for one who has to tell which of them it read.
#[derive(Debug)]
pub struct Reader<'b> {
    beside: &'b Beside,
    /// The folder from which paths are written, below that of the worksheet, with its slash.
    base: String,
    read: Mutex<BTreeMap<String, FileRead>>,
}

impl<'b> Reader<'b> {
    /// Nothing was read yet.
    pub fn new(beside: &'b Beside) -> Self {
        Self::within(beside, "")
    }

    /// The same for a worksheet in a folder below, whose path ends with a slash.
    pub fn within(beside: &'b Beside, base: &str) -> Self {
        Self {
            beside,
            base: base.to_owned(),
            read: Mutex::default(),
        }
    }

    /// A file, as [`Beside::read`] gives it.
    pub fn read(&self, path: &str) -> Arc<Contents> {
        let path = format!("{}{path}", self.base);
        let contents = self.beside.read(&path);
        let mut read = self.read.lock().unwrap_or_else(PoisonError::into_inner);
        let reading = || FileRead::of(&path, &contents);
        read.entry(path.clone()).or_insert_with(reading);
        contents
    }

    /// Notes what another reader read.
    pub fn note(&self, file: &FileRead) {
        let mut read = self.read.lock().unwrap_or_else(PoisonError::into_inner);
        let reading = || file.clone();
        read.entry(file.path.clone()).or_insert_with(reading);
    }

    /// What was read, by path.
    pub fn readings(self) -> Vec<FileRead> {
        let read = self.read.into_inner();
        let read = read.unwrap_or_else(PoisonError::into_inner);
        read.into_values().collect()
    }
}

/// Why a file was not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unread {
    /// There is none, or none that may be read.
    Missing,
    /// It has more bytes than these.
    TooLong(usize),
    /// It is there, but for this reason cannot be read.
    Unreadable(String),
}

impl Unread {
    /// The reason, to be put behind the name of the file and a colon.
    pub fn reason(&self) -> Cow<'_, str> {
        match self {
            Self::Missing => "there is no such file".into(),
            Self::TooLong(most) => too_long("file", *most).into(),
            Self::Unreadable(reason) => reason.into(),
        }
    }
}

/// What is said of something with more bytes than may be read.
pub fn too_long(what: &str, most: usize) -> String {
    let megabytes = most / (1024 * 1024);
    format!("the {what} is longer than {megabytes} MiB")
}

/// Bytes that are no text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotText {
    /// Why not, in a sentence.
    pub message: String,
    /// As much as there is to show: up to the end of the line with the first byte that is none.
    pub shown: String,
    /// Where in it that byte stands.
    pub at: usize,
}

/// The text that bytes are.
///
/// # Errors
/// A [`NotText`] for bytes that are not UTF-8.
pub fn decoded(bytes: Vec<u8>) -> Result<String, NotText> {
    String::from_utf8(bytes).map_err(|error| {
        let (bytes, at) = (error.as_bytes(), error.utf8_error().valid_up_to());
        let rest = bytes.get(at..).unwrap_or_default();
        let line = rest.iter().take_while(|byte| **byte != b'\n').count();
        let shown = bytes.get(..at + line).unwrap_or_default();
        NotText {
            message: match rest.first() {
                Some(byte) => format!("the byte 0x{byte:02X} is not UTF-8 text"),
                None => "the bytes are not UTF-8 text".to_owned(),
            },
            shown: String::from_utf8_lossy(shown).into_owned(),
            at,
        }
    })
}

#[cfg(test)]
pub(crate) use memory::Memory;

#[cfg(test)]
mod memory {
    use std::collections::{BTreeMap, BTreeSet};
    use std::sync::Mutex;

    use super::{Files, Unread};

    /// Files in memory.
    #[derive(Debug, Default)]
    pub(crate) struct Memory(Mutex<BTreeMap<String, Vec<u8>>>);

    impl Memory {
        pub(crate) fn write(&self, path: &str, bytes: impl Into<Vec<u8>>) {
            let mut files = self.0.lock().unwrap();
            files.insert(path.to_owned(), bytes.into());
        }

        pub(crate) fn remove(&self, path: &str) {
            self.0.lock().unwrap().remove(path);
        }
    }

    impl Files for Memory {
        fn bytes(&self, path: &str, most: usize) -> Result<Vec<u8>, Unread> {
            let bytes = self.0.lock().unwrap().get(path).cloned();
            let bytes = bytes.ok_or(Unread::Missing)?;
            (bytes.len() <= most)
                .then_some(bytes)
                .ok_or(Unread::TooLong(most))
        }

        fn names(&self, folder: &str) -> Result<Vec<String>, Unread> {
            let files = self.0.lock().unwrap();
            let below = files.keys().filter_map(|path| {
                if folder.is_empty() {
                    return Some(path.as_str());
                }
                path.strip_prefix(folder)?.strip_prefix('/')
            });
            let names: BTreeSet<String> = below
                .map(|path| match path.split_once('/') {
                    Some((name, _)) => format!("{name}/"),
                    None => path.to_owned(),
                })
                .collect();
            match names.is_empty() && !folder.is_empty() {
                true => Err(Unread::Missing),
                false => Ok(names.into_iter().collect()),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_that_are_not_utf8_are_shown_where_they_stand() {
        let not_text = decoded(b"x\nab \xff c\nd".to_vec()).unwrap_err();
        assert_eq!(not_text.message, "the byte 0xFF is not UTF-8 text");
        assert_eq!(not_text.shown, "x\nab \u{fffd} c");
        assert_eq!(not_text.at, 5);
        assert_eq!(decoded(b"\xc3\xa9".to_vec()).unwrap(), "é");
    }

    #[test]
    fn files_in_memory_are_listed_folder_by_folder() {
        let files = Memory::default();
        files.write("b.md", "two");
        files.write("a/c/d.csv", "1");
        files.write("a/e.md", "");
        assert_eq!(files.names("").unwrap(), ["a/", "b.md"]);
        assert_eq!(files.names("a").unwrap(), ["c/", "e.md"]);
        assert_eq!(files.names("x"), Err(Unread::Missing));
        assert_eq!(files.bytes("b.md", 3).unwrap(), b"two");
        assert_eq!(files.bytes("b.md", 2), Err(Unread::TooLong(2)));
        files.remove("b.md");
        assert_eq!(files.bytes("b.md", 3), Err(Unread::Missing));
    }
}
