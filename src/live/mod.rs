//! The page that follows the editor: what is sent to browsers, and the server that sends it.
//!
//! In go the texts of worksheets as they are saved; out go pages, and for each change what has to
//! be put in its place. `desk` keeps the open worksheets and those who follow them, `server`
//! answers browsers on this machine and nobody else, `sheet` is one worksheet as browsers see
//! it. Watching files, and reading them, is left to the command.

mod address;
mod assets;
mod content;
mod desk;
mod editor;
mod files;
mod server;
mod sheet;
mod shell;

#[cfg(test)]
mod replay;

pub use address::{Address, Kind};
pub use desk::{Events, Queue, Saved, queue};
pub use editor::Editor;
pub use files::{Folder, MOST_IMAGE_BYTES, Text};
pub use server::{Offer, Served, bind, serve};
pub use sheet::{Place, Sheet};

/// What is told of to whoever started the server.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Notice {
    /// A worksheet was read; nothing is wrong with it where the state is empty.
    Read {
        /// The worksheet.
        address: Address,
        /// What is wrong with it, in a few words.
        state: String,
    },
    /// Something went wrong.
    Failed {
        /// What, as a sentence without its full stop.
        text: String,
    },
}

/// Where notices go.
pub type Tell = dyn Fn(&Notice) + Send + Sync;
