//! A folder on the disk, of which files are read.
//!
//! Whatever is asked for is first followed through its links, and is missing if it stands outside
//! the folder or is no plain file.

use std::fs::{self, File};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use setsquare::text::{Files, Unread};

use super::{failure, input};

/// A folder on the disk.
#[derive(Debug)]
pub struct Folder(PathBuf);

impl Folder {
    /// The folder of a file.
    pub fn of(file: &Path) -> Self {
        let folder = file
            .parent()
            .filter(|folder| !folder.as_os_str().is_empty());
        Self(folder.unwrap_or(Path::new(".")).to_owned())
    }

    /// A folder.
    pub fn at(folder: &Path) -> Self {
        Self(folder.to_owned())
    }

    fn locate(&self, path: &str) -> Result<PathBuf, Unread> {
        let root = fs::canonicalize(&self.0).map_err(unread)?;
        let path = fs::canonicalize(root.join(path)).map_err(unread)?;
        path.starts_with(&root)
            .then_some(path)
            .ok_or(Unread::Missing)
    }
}

impl Folder {
    /// Whether a path leads to a plain file of the folder.
    fn is_within(&self, path: &Path) -> bool {
        let root = fs::canonicalize(&self.0);
        let path = fs::canonicalize(path).ok().filter(|path| path.is_file());
        root.is_ok_and(|root| path.is_some_and(|path| path.starts_with(root)))
    }
}

impl Files for Folder {
    fn bytes(&self, path: &str, most: usize) -> Result<Vec<u8>, Unread> {
        let path = self.locate(path)?;
        match path.is_file() {
            true => read(&path, most),
            false => Err(Unread::Missing),
        }
    }

    fn names(&self, folder: &str) -> Result<Vec<String>, Unread> {
        let folder = self.locate(folder)?;
        let mut names = Vec::new();
        for entry in fs::read_dir(folder).map_err(unread)?.flatten() {
            let (Ok(kind), Ok(name)) = (entry.file_type(), entry.file_name().into_string()) else {
                continue;
            };
            if name.starts_with('.') {
                continue;
            }
            // Links to folders are not followed, so that every walk ends.
            match kind.is_dir() {
                true => names.push(format!("{name}/")),
                false => names.extend(self.is_within(&entry.path()).then_some(name)),
            }
        }
        names.sort();
        Ok(names)
    }
}

/// The bytes of a plain file of at most so many.
pub fn read(path: &Path, most: usize) -> Result<Vec<u8>, Unread> {
    let bytes = File::open(path).and_then(|file| input::limited(file, most));
    bytes.map_err(unread)?.ok_or(Unread::TooLong(most))
}

/// Why a file was not read, from what the system says.
pub fn unread(cause: std::io::Error) -> Unread {
    match cause.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => Unread::Missing,
        _ => Unread::Unreadable(failure::plain(&cause)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_of_the_folder_are_read_and_no_others() {
        let outer = tempfile::tempdir().unwrap();
        let write = |name: &str| {
            let path = outer.path().join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, "text").unwrap();
        };
        ["secret.csv", "in/a.md", "in/b.csv", "in/sub/c.csv", "in/.d"]
            .into_iter()
            .for_each(write);
        let folder = Folder::of(&outer.path().join("in/a.md"));
        assert_eq!(folder.bytes("b.csv", 4).unwrap(), b"text");
        assert_eq!(folder.bytes("sub/c.csv", 4).unwrap(), b"text");
        assert_eq!(folder.bytes("b.csv", 3), Err(Unread::TooLong(3)));
        for missing in ["../secret.csv", "sub", "e.csv", "b.csv/x"] {
            assert_eq!(folder.bytes(missing, 9), Err(Unread::Missing), "{missing}");
        }
        assert_eq!(folder.names("").unwrap(), ["a.md", "b.csv", "sub/"]);
        assert_eq!(folder.names("sub").unwrap(), ["c.csv"]);
        #[cfg(unix)]
        {
            let link = outer.path().join("in/link.csv");
            std::os::unix::fs::symlink(outer.path().join("secret.csv"), link).unwrap();
            assert_eq!(folder.bytes("link.csv", 9), Err(Unread::Missing));
            assert_eq!(folder.names("").unwrap(), ["a.md", "b.csv", "sub/"]);
        }
    }
}
