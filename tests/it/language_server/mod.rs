//! The language server as an editor uses it: the program itself, on its standard streams.

mod client;
mod conversation;
mod edits;
mod protocol;
mod random;
mod recorded;
mod shown;
