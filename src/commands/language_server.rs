//! `setsquare language-server`: answers an editor on the standard streams.

use std::io::{self, BufReader, IsTerminal};
use std::sync::Arc;

use setsquare::language_server::{Ending, serve};

use super::folder::Folder;
use super::{Failure, Status, console};

const FOR_PEOPLE: &str = "\
This is what an editor starts to follow a worksheet while it is written; it talks to the editor on \
the standard streams. docs/editors.md says how editors are set up. Ctrl-D ends it.
";

/// Answer an editor, for diagnostics, results and names while a worksheet is written.
///
/// The editor starts this command itself and talks to it on the standard streams, by the language
/// server protocol.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Talk on the standard streams, which is done in any case
    #[arg(long, hide = true)]
    stdio: bool,
}

/// Runs the command.
///
/// # Errors
/// [`Failure::Conversation`] when no message can be found in what the editor sends.
pub fn run(_arguments: &Arguments) -> Result<Status, Failure> {
    if io::stdin().is_terminal() {
        console::tell(FOR_PEOPLE);
    }
    let ending = serve(BufReader::new(io::stdin()), io::stdout(), |file| {
        Arc::new(Folder::of(file))
    });
    match ending.map_err(Failure::Conversation)? {
        Ending::Proper => Ok(Status::Success),
        Ending::Abrupt => Ok(Status::Refused),
    }
}
