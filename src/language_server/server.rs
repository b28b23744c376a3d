//! The loop of the server.

use lsp_server::Connection;

/// How a conversation ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// The client said that it was leaving, and left.
    Proper,
    /// The client left without a word.
    Abrupt,
}

/// Answers a client until it leaves.
pub fn serve(_connection: &Connection) -> Ending {
    Ending::Abrupt
}
