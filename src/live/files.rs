//! The served folder as the live view needs it: its files, where links lead, and who watches.

use super::{Address, Kind};
use crate::text::{Files, MAX_BYTES, Unread, decoded};

/// The most bytes of an image.
pub const MOST_IMAGE_BYTES: usize = 32 * 1024 * 1024;
/// The most worksheets that are listed.
const MOST_WORKSHEETS: usize = 1000;
/// The most folders that are looked through for them.
const MOST_FOLDERS: usize = 2000;

/// The served folder. What is asked for is watched from then on: a later change of it comes as an
/// `Event::Changed`, a missing file's appearance too.
pub trait Folder: Files {
    /// Where a file stands when links are followed.
    ///
    /// # Errors
    /// An [`Unread`] for a file that is not there or leads to what is not served.
    fn stands_at(&self, address: &Address) -> Result<Address, Unread>;

    /// Watches a file without reading it.
    fn watch(&self, address: &Address);

    /// Reads a worksheet.
    ///
    /// # Errors
    /// An [`Unread`] for a file that is not there, cannot be read, is no text or is too long.
    fn text(&self, address: &Address) -> Result<Text, Unread> {
        let stands_at = self.stands_at(address)?;
        let bytes = self.bytes(stands_at.path(), MAX_BYTES)?;
        let text = decoded(bytes).map_err(|not_text| Unread::Unreadable(not_text.message))?;
        Ok(Text { text, stands_at })
    }

    /// Reads an image of at most [`MOST_IMAGE_BYTES`].
    ///
    /// # Errors
    /// An [`Unread`] for a file that is not there, cannot be read or is too long.
    fn image(&self, address: &Address) -> Result<Vec<u8>, Unread> {
        let stands_at = self.stands_at(address)?;
        self.bytes(stands_at.path(), MOST_IMAGE_BYTES)
    }

    /// The worksheets below the folder, in the order in which they are listed.
    fn worksheets(&self) -> Vec<Address> {
        let mut folders = vec![String::new()];
        let mut found = Vec::new();
        let mut at = 0;
        while let Some(folder) = folders.get(at).cloned() {
            if at >= MOST_FOLDERS || found.len() >= MOST_WORKSHEETS {
                break;
            }
            let below = if folder.is_empty() { "" } else { "/" };
            for name in self.names(&folder).unwrap_or_default() {
                let path = format!("{folder}{below}{name}");
                match path.strip_suffix('/') {
                    Some(folder) => folders.push(folder.to_owned()),
                    None => found.extend(Address::of(&path)),
                }
            }
            found.retain(|address| address.kind() == Kind::Worksheet);
            at += 1;
        }
        found.sort();
        found.truncate(MOST_WORKSHEETS);
        found
    }
}

/// A worksheet that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    /// Its text.
    pub text: String,
    /// Where it stands below the folder: elsewhere than at its address where that is a link.
    pub stands_at: Address,
}
