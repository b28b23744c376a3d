//! The page that follows the editor: what is sent to browsers, and the server that sends it.
//!
//! In go the texts of worksheets as they are saved; out go pages, and for each change what has to
//! be put in its place. Watching files, and reading them, is left to the command.

mod assets;
mod sheet;
mod shell;

pub use sheet::{Place, Sheet};
