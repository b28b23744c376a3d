//! What the system says of changes, in the words of the live view.
//!
//! Folders are watched, not files, because editors put a new file in the place of the old one.
//! A folder is watched by itself, without those in it: most of what stands below a folder
//! concerns no worksheet.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use notify::event::{AccessKind, AccessMode, ModifyKind, RenameMode};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use setsquare::live::{Address, Events, Saved};

/// Watches folders below one.
pub struct Watch {
    watcher: Mutex<RecommendedWatcher>,
    folders: Arc<Folders>,
}

/// The folders that are watched.
#[derive(Debug, Default)]
struct Folders {
    all: Mutex<BTreeSet<PathBuf>>,
}

impl Watch {
    /// Nothing is watched yet; what is heard of files below `root` becomes events.
    ///
    /// # Errors
    /// What the system says when it has no way to watch.
    pub fn new(root: PathBuf, events: Events) -> notify::Result<Self> {
        let folders = Arc::new(Folders::default());
        let hear = {
            let folders = Arc::clone(&folders);
            move |event| hear(event, &root, &folders, &events)
        };
        Ok(Self {
            watcher: Mutex::new(notify::recommended_watcher(hear)?),
            folders,
        })
    }

    /// Watches a folder, if it is not watched yet.
    ///
    /// # Errors
    /// What the system says when it cannot: there is no such folder, or there are too many.
    pub fn folder(&self, folder: &Path) -> notify::Result<()> {
        // Nobody goes on before a folder that somebody else has begun to watch is watched. The
        // list is not kept locked: the thread that hears needs it, and the watcher that thread.
        let mut watcher = lock(&self.watcher);
        if !self.folders.lock().insert(folder.to_owned()) {
            return Ok(());
        }
        let watched = watcher.watch(folder, RecursiveMode::NonRecursive);
        if watched.is_err() {
            self.folders.lock().remove(folder);
        }
        watched
    }
}

impl Folders {
    fn lock(&self) -> MutexGuard<'_, BTreeSet<PathBuf>> {
        lock(&self.all)
    }

    /// A folder that went away, with those in it, is watched no more; whether it was.
    fn forget(&self, folder: &Path) -> bool {
        let mut all = self.lock();
        let before = all.len();
        all.retain(|watched| !watched.starts_with(folder));
        all.len() < before
    }
}

/// A list is right even if somebody failed who had it.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn hear(event: notify::Result<Event>, root: &Path, folders: &Folders, events: &Events) {
    let Ok(event) = event else {
        return events.anything();
    };
    if event.need_rescan() {
        return events.anything();
    }
    let Some(saved) = saved(event.kind) else {
        return;
    };
    for path in &event.paths {
        // A folder may be named as a file is.
        if is_of_folders(event.kind) && concerns_folder(path, folders) {
            events.anything();
        } else if let Some(address) = address(path, root) {
            events.changed(address, saved);
        }
    }
}

/// Whether what is said may be the end of a save; none when nothing changed.
fn saved(kind: EventKind) -> Option<Saved> {
    match kind {
        EventKind::Access(AccessKind::Close(AccessMode::Write))
        | EventKind::Modify(ModifyKind::Name(RenameMode::To | RenameMode::Both)) => {
            Some(Saved::Whole)
        }
        EventKind::Access(_) => None,
        _ => Some(Saved::Perhaps),
    }
}

/// Whether it may be that a folder came or went.
fn is_of_folders(kind: EventKind) -> bool {
    matches!(
        kind,
        EventKind::Any
            | EventKind::Create(_)
            | EventKind::Remove(_)
            | EventKind::Modify(ModifyKind::Name(_))
    )
}

fn concerns_folder(path: &Path, folders: &Folders) -> bool {
    let was_watched = folders.forget(path);
    let name = path.file_name().unwrap_or_default();
    let is_hidden = name.as_encoded_bytes().starts_with(b".");
    was_watched || (!is_hidden && path.is_dir())
}

/// The address of a file below the root.
pub fn address(path: &Path, root: &Path) -> Option<Address> {
    let below = path.strip_prefix(root).ok()?;
    let names: Option<Vec<&str>> = below.iter().map(|name| name.to_str()).collect();
    Address::of(&names?.join("/"))
}

#[cfg(test)]
mod tests {
    use notify::event::{CreateKind, DataChange, MetadataKind};

    use super::*;

    #[test]
    fn the_end_of_a_save_is_told_from_its_middle() {
        let close = EventKind::Access(AccessKind::Close(AccessMode::Write));
        assert_eq!(saved(close), Some(Saved::Whole));
        let renamed = EventKind::Modify(ModifyKind::Name(RenameMode::To));
        assert_eq!(saved(renamed), Some(Saved::Whole));
        let written = EventKind::Modify(ModifyKind::Data(DataChange::Any));
        assert_eq!(saved(written), Some(Saved::Perhaps));
    }

    #[test]
    fn reading_a_file_changes_nothing() {
        assert_eq!(saved(EventKind::Access(AccessKind::Read)), None);
        let close = EventKind::Access(AccessKind::Close(AccessMode::Read));
        assert_eq!(saved(close), None);
    }

    #[test]
    fn only_what_may_come_and_go_is_of_folders() {
        assert!(is_of_folders(EventKind::Create(CreateKind::Folder)));
        let metadata = ModifyKind::Metadata(MetadataKind::Any);
        assert!(!is_of_folders(EventKind::Modify(metadata)));
    }

    #[test]
    fn files_have_addresses_below_the_root_only() {
        let root = Path::new("/work/sheets");
        let of = |path: &str| address(Path::new(path), root).map(|it| it.path().to_owned());
        assert_eq!(of("/work/sheets/b/a.md").as_deref(), Some("b/a.md"));
        assert_eq!(of("/work/sheets/.git/a.md"), None);
        assert_eq!(of("/work/a.md"), None);
        assert_eq!(of("/work/sheets/a.md~"), None);
    }
}
