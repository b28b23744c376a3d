//! The served folder as the live view needs it; the command has it on a disk, tests in memory.

use super::Address;

/// The most bytes of an image.
pub const MOST_IMAGE_BYTES: usize = 32 * 1024 * 1024;

/// The files below the served folder. What is asked for is watched from then on: a later change
/// of it comes as an `Event::Changed`, a missing file's appearance too.
pub trait Files: Send + Sync {
    /// Reads a worksheet.
    ///
    /// # Errors
    /// An [`Unread`] for a file that is not there, cannot be read, is no text or is too long.
    fn text(&self, address: &Address) -> Result<Text, Unread>;

    /// Reads an image of at most [`MOST_IMAGE_BYTES`].
    ///
    /// # Errors
    /// An [`Unread`] for a file that is not there, cannot be read or is too long.
    fn image(&self, address: &Address) -> Result<Vec<u8>, Unread>;

    /// The worksheets below the folder, in the order in which they are listed.
    fn worksheets(&self) -> Vec<Address>;

    /// Watches a file without reading it.
    fn watch(&self, address: &Address);
}

/// A worksheet that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    /// Its text.
    pub text: String,
    /// Where it stands below the folder: elsewhere than at its address where that is a link.
    pub stands_at: Address,
}

/// Why a file was not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unread {
    /// There is none, or none that may be served.
    Missing,
    /// It is there, but for this reason cannot be read.
    Unreadable(String),
}

impl Unread {
    /// The reason, to be put behind the name of the file and a colon.
    pub fn reason(&self) -> &str {
        match self {
            Self::Missing => "there is no such file",
            Self::Unreadable(reason) => reason,
        }
    }
}
