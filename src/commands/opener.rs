//! The program that the system opens pages with.

use std::ffi::OsStr;
use std::process::{Child, Command, Stdio};

/// Hands a page, a file or an address, to the program that the system opens pages with, and
/// does not wait for it.
///
/// # Errors
/// The name of the program, where there is none.
pub fn open(page: &OsStr) -> Result<Child, &'static str> {
    let program = opener();
    Command::new(program)
        .arg(page)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .map_err(|_| program)
}

fn opener() -> &'static str {
    if cfg!(windows) {
        "explorer"
    } else if cfg!(target_os = "macos") {
        "open"
    } else {
        "xdg-open"
    }
}
