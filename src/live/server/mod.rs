//! The server: connections from browsers on this machine, and the limits that they are held to.
//!
//! In go a listener on the loopback address, the folder and what is told of its changes; out go
//! answers. [`request`] reads what is asked, [`guard`] decides who is answered, [`answers`] with
//! what, [`follow`] keeps the connections that stay. A connection has a thread of its own, for
//! one request; compiling is left to the desk, on another.

mod answers;
mod follow;
mod guard;
mod places;
mod request;
mod wire;

use std::convert::Infallible;
use std::io;
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::sync::Arc;
use std::thread;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use http::Method;

use super::desk::{Desk, Events, Queue};
use super::{Address, Editor, Folder, Tell};
use places::{Places, Taken};
use wire::Wire;

/// The port when nobody names one: √3, the ratio of the legs of a set square of 30°. As far as is
/// known it is assigned to nobody, and it is below the ports that systems hand out themselves.
const USUAL_PORT: u16 = 17320;

/// Connections at once that are not yet answered; more wait until one is.
const MOST_CONNECTIONS: usize = 128;
/// Browsers that follow at once; more are refused.
const MOST_FOLLOWERS: usize = 64;
/// How long a browser may take to send its request.
const LONGEST_HEAD: Duration = Duration::from_secs(5);
/// How long a request may take from the connection to the end of the answer.
const LONGEST_REQUEST: Duration = Duration::from_secs(60);
/// How long nobody is answered after the system refused a connection.
const PAUSE: Duration = Duration::from_millis(100);
/// What compiling a worksheet may need, as the first thread of a program has it.
const STACK: usize = 8 * 1024 * 1024;

/// What is to be served.
pub struct Served {
    /// Where browsers come; see [`bind`].
    pub listener: TcpListener,
    /// What is found at `/`.
    pub offer: Offer,
    /// What the index calls the folder.
    pub name: String,
    /// What is asked to show a line that was clicked twice.
    pub editor: Option<Editor>,
    /// The folder.
    pub files: Arc<dyn Folder>,
    /// Where notices go.
    pub tell: Arc<Tell>,
}

/// What is found at `/`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Offer {
    /// The index of the folder.
    Folder,
    /// One worksheet, whose folder is served for what it links to.
    Worksheet(Address),
}

/// What every answer is made from.
struct Site {
    events: Events,
    files: Arc<dyn Folder>,
    offer: Offer,
    port: u16,
    followers: Places,
    editor: Option<Editor>,
}

/// Listens on the loopback address, which no other machine reaches: at `port`, or at the usual
/// one if it is free and else at any.
///
/// # Errors
/// Those of the system; a port that was asked for and is taken is one.
pub fn bind(port: Option<u16>) -> io::Result<TcpListener> {
    let at = |port| TcpListener::bind((Ipv4Addr::LOCALHOST, port));
    match port {
        Some(port) => at(port),
        None => at(USUAL_PORT).or_else(|_| at(0)),
    }
}

/// Serves until the program is ended.
///
/// # Errors
/// Those of the system when it cannot begin.
pub fn serve(served: Served, queue: Queue) -> io::Result<Infallible> {
    let Served {
        listener,
        offer,
        name,
        editor,
        files,
        tell,
    } = served;
    let site = Site {
        events: queue.events,
        files: Arc::clone(&files),
        offer,
        port: listener.local_addr()?.port(),
        followers: Places::new(MOST_FOLLOWERS),
        editor,
    };
    let (receiver, run) = (queue.receiver, run());
    let desk = thread::Builder::new()
        .name("worksheets".to_owned())
        .stack_size(STACK);
    desk.spawn(move || Desk::new(files, tell, name, run).work(&receiver))?;
    accept(&listener, &Arc::new(site))
}

/// Tells this run of the program from all others.
fn run() -> String {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let time = since.map_or(0, |since| since.as_nanos());
    format!("{time:x}-{:x}", std::process::id())
}

fn accept(listener: &TcpListener, site: &Arc<Site>) -> ! {
    let connections = Places::new(MOST_CONNECTIONS);
    loop {
        let place = connections.wait();
        let begun = listener.accept().and_then(|(stream, _)| {
            let site = Arc::clone(site);
            thread::Builder::new().spawn(move || connection(stream, &site, place))
        });
        // Too many open files, say: it passes.
        if begun.is_err() {
            thread::sleep(PAUSE);
        }
    }
}

/// Answers one request, which is all that a connection is for: nobody can keep one without
/// asking for something, except those who follow, and they are counted by themselves.
fn connection(stream: TcpStream, site: &Site, place: Taken) {
    // Without it a short message waits for the answer to the one before.
    let _ = stream.set_nodelay(true);
    let begin = Instant::now();
    let mut wire = Wire {
        stream: &stream,
        until: begin + LONGEST_HEAD,
    };
    let Some(request) = request::read(&mut wire).transpose() else {
        return;
    };
    let answer = answers::answer(site, &request);
    let is_head = request.is_ok_and(|request| request.method() == Method::HEAD);
    wire.until = begin + LONGEST_REQUEST;
    // A browser that went away is nobody's mistake.
    if request::send(&answer.response, !is_head, &mut wire).is_err() {
        return;
    }
    match answer.following {
        Some(following) => {
            drop(place);
            following.pass_on(stream, &site.events);
        }
        None => wire.end(),
    }
}
