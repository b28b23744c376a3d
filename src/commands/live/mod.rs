//! `setsquare live FILE|FOLDER`: the page in a browser follows the editor.
//!
//! In: a worksheet or a folder, a port. Out: the address, and one line each time a worksheet is
//! read. [`disk`] reads the files and [`watch`] hears of their changes; answering browsers is
//! left to the library.

mod disk;
mod watch;

use std::fs;
use std::io;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::ValueHint;
use setsquare::live::{self, Address, Editor, Kind, Notice, Offer, Served};

use super::{Failure, Status, console, failure, opener};
use disk::Disk;

/// Show worksheets in a browser, and keep the pages up to date with the files.
///
/// Each time a worksheet is saved, what changed in it is put in place on its page. A folder gets
/// an index of its worksheets with their state. Only browsers on this machine are answered.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A worksheet, or a folder of worksheets (*.md)
    #[arg(value_name = "FILE|FOLDER", value_hint = ValueHint::AnyPath)]
    path: PathBuf,
    /// The port of the address; without it 17320, or any that is free
    #[arg(long, value_name = "N")]
    port: Option<u16>,
    /// An address that opens an editor, with {file} and {line}; a double click on the page goes there
    #[arg(long, value_name = "ADDRESS")]
    editor: Option<String>,
    /// Do not open the page in a browser
    #[arg(long)]
    no_open: bool,
}

/// What was named: the folder, and what of it is shown first.
struct Named {
    folder: PathBuf,
    offer: Offer,
    /// What it is called.
    name: String,
}

/// Runs the command, until it is ended from outside.
///
/// # Errors
/// A [`Failure`] when there is nothing to serve, the port is taken or nobody reads the output.
pub fn run(arguments: &Arguments) -> Result<Status, Failure> {
    let named = named(&arguments.path)?;
    let editor = editor(arguments.editor.as_deref(), &named.folder)?;
    let listener = live::bind(arguments.port).map_err(|cause| taken(arguments.port, &cause))?;
    let address = page_address(&listener, &named.offer).map_err(cannot_serve)?;
    let (events, queue) = live::queue();
    let files = Disk::new(named.folder, events).map_err(Failure::Usage)?;
    let name = &named.name;
    console::print(&format!("{name} is served at {address}; end with Ctrl-C\n"))?;
    if !arguments.no_open {
        open(address);
    }
    let served = Served {
        listener,
        offer: named.offer,
        name: named.name,
        editor,
        files: Arc::new(files),
        tell: Arc::new(tell),
    };
    match live::serve(served, queue) {
        Ok(never) => match never {},
        Err(cause) => Err(cannot_serve(cause)),
    }
}

/// The address of an editor with the folder of the worksheets in it.
fn editor(address: Option<&str>, folder: &Path) -> Result<Option<Editor>, Failure> {
    let Some(address) = address else {
        return Ok(None);
    };
    let editor = Editor::new(address, &folder.to_string_lossy());
    editor.map(Some).ok_or_else(|| {
        Failure::Usage(format!(
            "`--editor {address}` is no address that opens an editor: it begins with the name that the editor registered and a colon, and has `{{file}}` and `{{line}}`, as in `editor://open?file={{file}}&line={{line}}`"
        ))
    })
}

/// Finds what is to be served. A link stands for what it leads to.
fn named(path: &Path) -> Result<Named, Failure> {
    let unread = |cause| Failure::Read {
        path: path.to_owned(),
        cause,
    };
    let real = fs::canonicalize(path).map_err(unread)?;
    let name = real.file_name().unwrap_or(real.as_os_str());
    let name = name.to_string_lossy().into_owned();
    if real.is_dir() {
        let (folder, offer) = (real, Offer::Folder);
        return Ok(Named {
            folder,
            offer,
            name,
        });
    }
    let address = Address::of(&name).filter(|address| address.kind() == Kind::Worksheet);
    match (address, real.parent()) {
        (Some(address), Some(folder)) if real.is_file() => Ok(Named {
            folder: folder.to_owned(),
            offer: Offer::Worksheet(address),
            name,
        }),
        _ => Err(Failure::Usage(format!(
            "{} cannot be served: a worksheet is a file named *.md that is not hidden",
            path.display()
        ))),
    }
}

fn taken(port: Option<u16>, cause: &io::Error) -> Failure {
    let message = match (port, cause.kind()) {
        (Some(port), io::ErrorKind::AddrInUse) => format!(
            "port {port} is taken by another program: write `--port` with another number, or leave it out"
        ),
        (Some(port), _) => format!(
            "port {port} cannot be used: {}; write `--port` with another number, or leave it out",
            failure::plain(cause)
        ),
        (None, _) => format!("no port can be used: {}", failure::plain(cause)),
    };
    Failure::Usage(message)
}

fn cannot_serve(cause: io::Error) -> Failure {
    Failure::Usage(format!("cannot serve: {}", failure::plain(&cause)))
}

/// Where the browser finds it.
fn page_address(listener: &TcpListener, offer: &Offer) -> io::Result<String> {
    let path = match offer {
        Offer::Folder => "/".to_owned(),
        Offer::Worksheet(address) => address.url(),
    };
    Ok(format!("http://{}{path}", listener.local_addr()?))
}

/// Opens the page. A system without a program for it is told of and is no failure: the page is
/// served.
fn open(address: String) {
    // Waiting for the program takes its remains away; nobody needs to wait for that.
    std::thread::spawn(move || match opener::open(address.as_ref()) {
        Ok(mut child) => drop(child.wait()),
        Err(program) => console::complain(&Failure::Usage(format!(
            "the page is not opened, for there is no program `{program}` here: open {address} in a browser"
        ))),
    });
}

fn tell(notice: &Notice) {
    match notice {
        Notice::Read { address, state } if state.is_empty() => {
            console::tell(&format!("{address}: no errors\n"));
        }
        Notice::Read { address, state } => console::tell(&format!("{address}: {state}\n")),
        Notice::Failed { text } => console::tell(&console::complaint(text)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn message(path: &Path) -> String {
        match named(path) {
            Ok(named) => panic!("{} is served", named.name),
            Err(failure) => failure.to_string(),
        }
    }

    #[test]
    fn a_worksheet_is_served_with_its_folder() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.md");
        fs::write(&path, "").unwrap();
        let named = named(&path).ok().unwrap();
        assert_eq!(named.folder, fs::canonicalize(folder.path()).unwrap());
        assert_eq!(named.offer, Offer::Worksheet(Address::of("a.md").unwrap()));
        assert_eq!(named.name, "a.md");
    }

    #[test]
    fn nothing_but_worksheets_and_folders_is_served() {
        let folder = tempfile::tempdir().unwrap();
        for name in [".a.md", "notes.txt"] {
            let path = folder.path().join(name);
            fs::write(&path, "").unwrap();
            assert!(message(&path).contains("a file named *.md"), "{name}");
        }
        let missing = message(&folder.path().join("no.md"));
        assert!(missing.ends_with("no such file or directory"), "{missing}");
    }

    #[test]
    fn a_port_that_is_taken_is_named_with_what_to_write() {
        let cause = io::Error::from(io::ErrorKind::AddrInUse);
        let message = taken(Some(80), &cause).to_string();
        assert!(message.starts_with("port 80 is taken by another program: write `--port`"));
    }
}
