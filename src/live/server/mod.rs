//! The server: connections from browsers on this machine, and the limits that they are held to.
//!
//! In go a listener on the loopback address, the folder and what is told of its changes; out go
//! answers. [`guard`] decides who is answered, [`answers`] with what, [`follow`] keeps the
//! connections that stay. One thread does all of it; compiling is left to the desk, on another.

mod answers;
mod follow;
mod guard;

use std::convert::Infallible;
use std::io;
use std::net::{Ipv4Addr, TcpListener};
use std::sync::Arc;
use std::thread;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::TcpStream;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use super::desk::{Desk, Events, Queue};
use super::{Address, Files, Tell};

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
/// The most bytes of a request.
const MOST_HEAD_BYTES: usize = 16 * 1024;
/// The most headers of a request.
const MOST_HEADERS: usize = 64;
/// How long nobody is answered after the system refused a connection.
const PAUSE: Duration = Duration::from_millis(100);
/// What compiling a worksheet may need, as the first thread of a program has it.
const STACK: usize = 8 * 1024 * 1024;
/// Threads that read images.
const MOST_READERS: usize = 4;

/// What is to be served.
pub struct Served {
    /// Where browsers come; see [`bind`].
    pub listener: TcpListener,
    /// What is found at `/`.
    pub offer: Offer,
    /// What the index calls the folder.
    pub name: String,
    /// The folder.
    pub files: Arc<dyn Files>,
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
    files: Arc<dyn Files>,
    offer: Offer,
    port: u16,
    followers: Arc<Semaphore>,
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
        files,
        tell,
    } = served;
    let site = Site {
        events: queue.events,
        files: Arc::clone(&files),
        offer,
        port: listener.local_addr()?.port(),
        followers: Arc::new(Semaphore::new(MOST_FOLLOWERS)),
    };
    let (receiver, run) = (queue.receiver, run());
    let desk = thread::Builder::new()
        .name("worksheets".to_owned())
        .stack_size(STACK);
    desk.spawn(move || Desk::new(files, tell, name, run).work(&receiver))?;
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_io()
        .enable_time()
        .max_blocking_threads(MOST_READERS)
        .build()?;
    runtime.block_on(accept(listener, Arc::new(site)))
}

/// Tells this run of the program from all others.
fn run() -> String {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let time = since.map_or(0, |since| since.as_nanos());
    format!("{time:x}-{:x}", std::process::id())
}

async fn accept(listener: TcpListener, site: Arc<Site>) -> io::Result<Infallible> {
    listener.set_nonblocking(true)?;
    let listener = tokio::net::TcpListener::from_std(listener)?;
    let connections = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    loop {
        let permit = Arc::clone(&connections).acquire_owned().await;
        let permit = permit.map_err(io::Error::other)?;
        match listener.accept().await {
            Ok((stream, _)) => {
                tokio::spawn(connection(stream, Arc::clone(&site), permit));
            }
            // Too many open files, say: it passes.
            Err(_) => tokio::time::sleep(PAUSE).await,
        }
    }
}

/// Answers one request, which is all that a connection is for: nobody can keep one without
/// asking for something, except those who follow, and they are counted by themselves. (Every
/// other answer says that it is the last. The connection must not say so itself, or it would say
/// it to those who follow, too.)
async fn connection(stream: TcpStream, site: Arc<Site>, _permit: OwnedSemaphorePermit) {
    // Without it a short message waits for the answer to the one before.
    let _ = stream.set_nodelay(true);
    let service = service_fn(move |request| {
        let site = Arc::clone(&site);
        async move { Ok::<_, Infallible>(answers::answer(&site, request).await) }
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(LONGEST_HEAD)
        .max_buf_size(MOST_HEAD_BYTES)
        .max_headers(MOST_HEADERS)
        .serve_connection(TokioIo::new(stream), service)
        .with_upgrades();
    // A browser that went away is nobody's mistake.
    let _ = tokio::time::timeout(LONGEST_REQUEST, connection).await;
}
