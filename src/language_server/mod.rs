//! The language server: what an editor is told while a worksheet is written.
//!
//! In go requests and the edits of documents, out go answers and diagnostics. Streams are opened
//! by the command, and what a worksheet means is left to the rooms below.
//!
//! `server` is the loop, `requests` the closed list of what may be asked, `documents` the texts
//! under edit, `places` the one way between places of the protocol and places in a worksheet,
//! and `names` says which name stands where. Every request is a file with one pure function.

mod calls;
mod capabilities;
mod code_actions;
mod completion;
mod definition;
mod diagnostics;
mod documents;
mod facts;
#[cfg(test)]
mod fixture;
mod folding;
mod formatting;
mod frames;
mod highlight;
mod hover;
mod inlay_hints;
#[cfg(test)]
mod laws;
mod names;
mod pictures;
mod places;
mod queue;
mod references;
mod rename;
mod requests;
mod semantic_tokens;
mod server;
mod signature_help;
mod sketches;
mod surroundings;
mod symbols;

pub use documents::Folders;
pub use server::{Ending, serve};
