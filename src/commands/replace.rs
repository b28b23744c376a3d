//! Writing a file so that it is there whole or not at all.
//!
//! The text is written beside the target and renamed into place. A target that is a link stays
//! one: what it points at is replaced. A target that is no ordinary file (a device, a pipe)
//! cannot be renamed over and is written to.

use std::fs::{self, Metadata, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::{Builder, NamedTempFile};

use super::Failure;

/// What is lost when the machine stops in the middle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Worth {
    /// Nothing that could not be written again: a page.
    Rebuildable,
    /// An author's work: a worksheet. The text reaches the disk before the old one goes.
    Irreplaceable,
}

/// Who may read a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Access {
    /// Whoever may read the old one, or any new file of the user.
    Usual,
    /// Its owner.
    Owner,
}

/// Links followed before they are held to lead nowhere.
const MAX_LINKS: usize = 40;

/// Replaces the file at `path`, or creates it. Its permissions stay; those of a new file are
/// what the user's mask gives.
///
/// # Errors
/// [`Failure::Write`], with the old file untouched, when the folder does not exist, is full or
/// cannot be written, or when the old file is a folder or marked read-only.
pub fn replace(path: &Path, text: &str, worth: Worth) -> Result<(), Failure> {
    replace_by(path, |out| out.write_all(text.as_bytes()), worth)
}

/// Replaces or creates a file that nobody but its owner may read.
///
/// # Errors
/// As [`replace`].
pub fn replace_private(path: &Path, text: &str) -> Result<(), Failure> {
    let write = |out: &mut dyn Write| out.write_all(text.as_bytes());
    try_replace(path, write, Worth::Rebuildable, Access::Owner).map_err(|cause| Failure::Write {
        path: path.to_owned(),
        cause,
    })
}

/// The same with what `write` writes.
///
/// # Errors
/// As [`replace`], and where `write` fails.
pub fn replace_by(
    path: &Path,
    write: impl FnOnce(&mut dyn Write) -> io::Result<()>,
    worth: Worth,
) -> Result<(), Failure> {
    try_replace(path, write, worth, Access::Usual).map_err(|cause| Failure::Write {
        path: path.to_owned(),
        cause,
    })
}

fn try_replace(
    path: &Path,
    write: impl FnOnce(&mut dyn Write) -> io::Result<()>,
    worth: Worth,
    access: Access,
) -> io::Result<()> {
    // A link that leads nowhere counts as a file that does not exist yet.
    let old = fs::metadata(path).ok();
    match &old {
        Some(old) if old.is_dir() => Err(io::Error::other("it is a folder")),
        Some(old) if !old.is_file() => write(&mut OpenOptions::new().write(true).open(path)?),
        Some(old) if old.permissions().readonly() => {
            Err(io::Error::other("the file is marked read-only"))
        }
        _ => write_beside(&follow_links(path)?, write, old.as_ref(), (worth, access)),
    }
}

fn write_beside(
    target: &Path,
    write: impl FnOnce(&mut dyn Write) -> io::Result<()>,
    old: Option<&Metadata>,
    (worth, access): (Worth, Access),
) -> io::Result<()> {
    let folder = match target.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    if !folder.is_dir() {
        return Err(io::Error::other("its folder does not exist"));
    }
    let mut file = create_in(folder, access)?;
    write(&mut file)?;
    if let Some(old) = old {
        keep_owner(&file, old);
        if access == Access::Usual {
            file.as_file().set_permissions(old.permissions())?;
        }
    }
    if worth == Worth::Irreplaceable {
        file.as_file().sync_all()?;
    }
    file.persist(target).map_err(|error| error.error)?;
    Ok(())
}

/// A new file in `folder`, with the permissions any new file of the user has, or for its owner
/// alone.
fn create_in(folder: &Path, access: Access) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(".setsquare-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(match access {
            Access::Usual => 0o666,
            Access::Owner => 0o600,
        }));
    }
    builder.tempfile_in(folder)
}

/// Gives the new file to the owner of the old one, where that is permitted.
#[cfg(unix)]
fn keep_owner(file: &NamedTempFile, old: &Metadata) {
    use std::os::unix::fs::{MetadataExt, fchown};
    // Only the administrator may give files away; everyone else owns both already.
    let _ = fchown(file.as_file(), Some(old.uid()), Some(old.gid()));
}

#[cfg(not(unix))]
fn keep_owner(_file: &NamedTempFile, _old: &Metadata) {}

/// What a path leads to when its last part is a link, also one whose end does not exist yet.
pub fn follow_links(path: &Path) -> io::Result<PathBuf> {
    let mut path = path.to_owned();
    for _ in 0..MAX_LINKS {
        match fs::read_link(&path) {
            Ok(next) => path = path.parent().unwrap_or(Path::new("")).join(next),
            Err(_) => return Ok(path),
        }
    }
    Err(io::Error::other("its links lead in a circle"))
}

#[cfg(unix)]
#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::{PermissionsExt, symlink};

    fn mode(path: &Path) -> u32 {
        fs::metadata(path).unwrap().permissions().mode() & 0o777
    }

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        let mut names: Vec<String> = entries
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_new_file_has_the_permissions_of_any_new_file() {
        let folder = tempfile::tempdir().unwrap();
        let (ordinary, page) = (folder.path().join("o"), folder.path().join("p"));
        fs::write(&ordinary, "").unwrap();
        replace(&page, "text", Worth::Rebuildable).unwrap();
        assert_eq!(mode(&page), mode(&ordinary));
        assert_eq!(names(folder.path()), ["o", "p"]);
    }

    #[test]
    fn an_old_file_keeps_its_permissions() {
        let folder = tempfile::tempdir().unwrap();
        let page = folder.path().join("p");
        fs::write(&page, "old").unwrap();
        fs::set_permissions(&page, fs::Permissions::from_mode(0o640)).unwrap();
        replace(&page, "new", Worth::Irreplaceable).unwrap();
        assert_eq!(mode(&page), 0o640);
        assert_eq!(fs::read_to_string(&page).unwrap(), "new");
    }

    #[test]
    fn a_private_file_is_its_owners_also_where_the_old_one_was_not() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("marks");
        replace_private(&path, "new").unwrap();
        assert_eq!(mode(&path), 0o600);
        fs::set_permissions(&path, fs::Permissions::from_mode(0o644)).unwrap();
        replace_private(&path, "newer").unwrap();
        assert_eq!(
            (mode(&path), fs::read_to_string(&path).unwrap()),
            (0o600, "newer".into())
        );
    }

    #[test]
    fn a_link_stays_a_link_also_to_a_file_that_does_not_exist_yet() {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("real")).unwrap();
        let link = folder.path().join("link");
        symlink("real/page", &link).unwrap();
        for text in ["first", "second"] {
            replace(&link, text, Worth::Rebuildable).unwrap();
            let real = folder.path().join("real/page");
            assert_eq!(fs::read_to_string(real).unwrap(), text);
        }
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    }

    #[test]
    fn links_in_a_circle_are_refused() {
        let folder = tempfile::tempdir().unwrap();
        let link = folder.path().join("link");
        symlink("link", &link).unwrap();
        let failure = replace(&link, "", Worth::Rebuildable).unwrap_err();
        assert!(failure.to_string().ends_with("its links lead in a circle"));
    }

    #[test]
    fn folders_and_files_marked_read_only_are_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let page = folder.path().join("p");
        fs::write(&page, "old").unwrap();
        fs::set_permissions(&page, fs::Permissions::from_mode(0o444)).unwrap();
        assert!(replace(&page, "new", Worth::Rebuildable).is_err());
        assert_eq!(fs::read_to_string(&page).unwrap(), "old");
        assert!(replace(folder.path(), "new", Worth::Rebuildable).is_err());
        assert_eq!(names(folder.path()), ["p"]);
    }

    #[test]
    fn a_folder_that_does_not_exist_is_named_as_the_reason() {
        let folder = tempfile::tempdir().unwrap();
        let failure = replace(&folder.path().join("no/p"), "", Worth::Rebuildable).unwrap_err();
        assert!(failure.to_string().ends_with("its folder does not exist"));
    }
}
