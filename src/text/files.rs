//! The files about a worksheet: their bytes and names, wherever they are kept.
//!
//! The commands have them on a disk, tests in memory. What cannot be read as a text is said here,
//! in the same words for all who read.

use std::borrow::Cow;

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
