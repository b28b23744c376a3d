//! The served folder on the disk.
//!
//! Whatever is asked for is first followed through its links and refused if it stands outside
//! the folder, is hidden or is no plain file. What is read is watched, and watched before it is
//! read, so that no change falls between the two.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

use setsquare::live::{Address, Events, Folder};
use setsquare::text::{Files, Unread};

use super::watch::{self, Watch};
use crate::commands::folder::{read, unread};
use crate::commands::{Failure, console};

/// The served folder.
pub struct Disk {
    root: PathBuf,
    watch: Watch,
    /// Whether it was told that something cannot be watched.
    is_told: AtomicBool,
}

impl Disk {
    /// The folder at `root`, whose changes become events.
    ///
    /// # Errors
    /// A sentence when the system cannot watch files.
    pub fn new(root: PathBuf, events: Events) -> Result<Self, String> {
        let failed = |cause| format!("changes of files cannot be watched: {cause}");
        let watch = Watch::new(root.clone(), events).map_err(failed)?;
        watch.folder(&root).map_err(failed)?;
        Ok(Self {
            root,
            watch,
            is_told: AtomicBool::new(false),
        })
    }

    /// Where the file stands when all links are followed.
    fn locate(&self, address: &Address) -> Result<(PathBuf, Address), Unread> {
        self.watch(address);
        let path = fs::canonicalize(self.root.join(address.path())).map_err(unread)?;
        let stands_at = watch::address(&path, &self.root).ok_or(Unread::Missing)?;
        let is_alike = stands_at.kind().is_like(address.kind());
        if !is_alike || !path.is_file() {
            return Err(Unread::Missing);
        }
        if stands_at != *address {
            self.watch(&stands_at);
        }
        Ok((path, stands_at))
    }

    /// Watches a folder that stands below the root when all links are followed.
    fn watch_folder(&self, folder: &Path) {
        let is_below = fs::canonicalize(folder).is_ok_and(|real| real.starts_with(&self.root));
        if !is_below {
            return;
        }
        if let Err(cause) = self.watch.folder(folder) {
            self.tell_once(folder, &cause.to_string());
        }
    }

    fn tell_once(&self, folder: &Path, cause: &str) {
        if !self.is_told.swap(true, Ordering::Relaxed) {
            let message = format!(
                "changes in {} are not followed, reload the page to see them: {cause}",
                folder.display()
            );
            console::complain(&Failure::Usage(message));
        }
    }
}

impl Files for Disk {
    fn bytes(&self, path: &str, most: usize) -> Result<Vec<u8>, Unread> {
        let address = Address::of(path).ok_or(Unread::Missing)?;
        let (path, _) = self.locate(&address)?;
        read(&path, most)
    }

    fn names(&self, folder: &str) -> Result<Vec<String>, Unread> {
        let folder = self.root.join(folder);
        self.watch_folder(&folder);
        let mut names = Vec::new();
        for entry in fs::read_dir(folder).map_err(unread)?.flatten() {
            let (Ok(kind), Ok(name)) = (entry.file_type(), entry.file_name().into_string()) else {
                continue;
            };
            // Links to folders are not followed, so that every walk ends.
            if kind.is_dir() && !name.starts_with('.') {
                names.push(format!("{name}/"));
            } else if let Some(address) = watch::address(&entry.path(), &self.root) {
                let is_readable = kind.is_file() || self.locate(&address).is_ok();
                names.extend(is_readable.then_some(name));
            }
        }
        names.sort();
        Ok(names)
    }
}

impl Folder for Disk {
    fn stands_at(&self, address: &Address) -> Result<Address, Unread> {
        self.locate(address).map(|(_, stands_at)| stands_at)
    }

    fn watch(&self, address: &Address) {
        let mut folder = self.root.clone();
        let mut names = address.path().split('/').peekable();
        while let Some(name) = names.next() {
            self.watch_folder(&folder);
            if names.peek().is_some() {
                folder.push(name);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use tempfile::TempDir;

    use super::*;

    fn folder(files: &[(&str, &str)]) -> (TempDir, Disk) {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            let path = folder.path().join("root").join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        }
        let root = fs::canonicalize(folder.path().join("root")).unwrap();
        let (events, _queue) = setsquare::live::queue();
        (folder, Disk::new(root, events).unwrap())
    }

    fn at(path: &str) -> Address {
        Address::of(path).unwrap()
    }

    #[test]
    fn worksheets_are_listed_without_what_is_hidden() {
        let (_folder, disk) = folder(&[
            ("b.md", ""),
            ("a/c.md", ""),
            (".git/d.md", ""),
            (".e.md", ""),
            ("f.txt", ""),
        ]);
        assert_eq!(disk.worksheets(), [at("a/c.md"), at("b.md")]);
    }

    #[test]
    fn what_cannot_be_read_says_why() {
        let (_folder, disk) = folder(&[("a.md", "text")]);
        fs::write(disk.root.join("b.md"), b"\xff").unwrap();
        fs::create_dir(disk.root.join("c.md")).unwrap();
        assert_eq!(disk.text(&at("a.md")).unwrap().text, "text");
        let Err(Unread::Unreadable(reason)) = disk.text(&at("b.md")) else {
            panic!("a byte that is not UTF-8 was read as text");
        };
        assert_eq!(reason, "the byte 0xFF is not UTF-8 text");
        assert_eq!(disk.text(&at("c.md")), Err(Unread::Missing));
        assert_eq!(disk.text(&at("d.md")), Err(Unread::Missing));
        assert_eq!(disk.text(&at("a.md/d.md")), Err(Unread::Missing));
    }

    #[cfg(unix)]
    #[test]
    fn links_lead_to_what_is_served_by_itself_and_nowhere_else() {
        use std::os::unix::fs::symlink;
        let (outer, disk) = folder(&[("a.md", "text"), ("notes.txt", ""), ("sub/x", "")]);
        let secret = outer.path().join("secret.md");
        fs::write(&secret, "secret").unwrap();
        let link = |to: &Path, name: &str| symlink(to, disk.root.join(name)).unwrap();
        link(&secret, "out.md");
        link(outer.path(), "out");
        link(Path::new("notes.txt"), "notes.md");
        link(Path::new("a.md"), "image.png");
        link(Path::new("../a.md"), "sub/in.md");
        link(Path::new("/dev/zero"), "zero.md");
        for refused in ["out.md", "out/secret.md", "notes.md", "zero.md"] {
            assert_eq!(disk.text(&at(refused)), Err(Unread::Missing), "{refused}");
        }
        assert_eq!(disk.image(&at("image.png")), Err(Unread::Missing));
        let inside = disk.text(&at("sub/in.md")).unwrap();
        assert_eq!(
            (inside.text.as_str(), inside.stands_at),
            ("text", at("a.md"))
        );
        assert_eq!(disk.worksheets(), [at("a.md"), at("sub/in.md")]);
    }
}
