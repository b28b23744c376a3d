//! Sources and places in them.
//!
//! A [`Source`] is the text of one worksheet exactly as it stands in the file, byte for byte
//! (a byte order mark and carriage returns included), so that a [`Span`] found anywhere in the
//! engine can be written back to the file. Nothing here knows what a worksheet means; of its
//! blocks, [`BlockKind`], only the words of the fences are known.

mod block;
pub mod coding;
mod date;
mod decimal;
mod files;
mod hash;
mod listed;
mod source;
mod span;

pub use block::{BlockKind, Labelled, Left, Series};
pub use date::{Date, is_written_as_date};
pub use decimal::{NARROW, decimal, grouped, in_threes, lowered, superscript, times_ten_to};
#[cfg(test)]
pub(crate) use files::Memory;
pub use files::{
    Beside, Contents, FileRead, Files, MOST_FILE_BYTES, NoFiles, NotText, Reader, Unread, decoded,
    too_long,
};
pub use hash::Hash;
pub use listed::{counted, listed};
pub use source::{MAX_BYTES, Position, Source};
pub use span::Span;
