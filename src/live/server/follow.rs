//! A browser that follows: a connection that stays, on which messages go out and nothing comes
//! in.
//!
//! Two threads have it, since there is nothing to wait for both at once: one sends, and one hears
//! whether the browser is still there.

use std::io::{self, Read, Write};
use std::net::{Shutdown, TcpStream};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use tungstenite::protocol::frame::coding::CloseCode;
use tungstenite::protocol::{CloseFrame, Role, WebSocketConfig};
use tungstenite::{Message, Utf8Bytes, WebSocket};

use super::places::Taken;
use super::wire::Wire;
use crate::live::Address;
use crate::live::desk::{Event, Events, Follower, Seat, Shown};

/// The most bytes that a browser may send at once: what a control frame may hold.
const MOST_FRAME_BYTES: usize = 125;
/// What is set aside to read them.
const READ_BYTES: usize = 1024;
/// How long a browser may take to take a message.
const LONGEST_SEND: Duration = Duration::from_secs(10);

/// What a browser wants to follow.
pub(super) struct Following {
    /// A worksheet; without an address, the index.
    pub(super) address: Option<Address>,
    pub(super) shown: Shown,
    pub(super) place: Taken,
}

impl Following {
    /// Passes messages on until one of the two has enough.
    pub(super) fn pass_on(self, stream: TcpStream, events: &Events) {
        // Whoever follows may be silent for as long as it likes.
        if stream.set_read_timeout(None).is_err() {
            return;
        }
        let (follower, Seat { messages, here }) = Follower::new(self.shown);
        let line = Line::new(stream);
        let sending = {
            let line = line.clone();
            thread::Builder::new().spawn(move || {
                send(&line, messages);
                line.end();
            })
        };
        if sending.is_ok() {
            let address = self.address;
            events.send(Event::Follow { address, follower });
            listen(&line);
        }
        line.end();
        drop((here, self.place));
        events.send(Event::Left);
    }
}

fn send(line: &Line, messages: impl IntoIterator<Item = Utf8Bytes>) {
    let mut socket = line.socket();
    let mut messages = messages.into_iter();
    while messages
        .next()
        .is_some_and(|text| socket.send(Message::Text(text)).is_ok())
    {}
}

/// Hears what keeps a connection, until it ends; ends it when something else comes.
fn listen(line: &Line) {
    let mut socket = line.socket();
    loop {
        match socket.read() {
            Ok(Message::Ping(_) | Message::Pong(_)) => {}
            Ok(Message::Text(_) | Message::Binary(_) | Message::Frame(_)) => {
                let frame = CloseFrame {
                    code: CloseCode::Policy,
                    reason: Utf8Bytes::from_static("nothing is read here"),
                };
                // The connection ends in any case.
                let _ = socket.close(Some(frame));
                let _ = socket.flush();
                return;
            }
            Ok(Message::Close(_)) | Err(_) => return,
        }
    }
}

/// A connection that two write to: what each of them writes at once comes whole.
#[derive(Clone)]
struct Line {
    stream: Arc<TcpStream>,
    writing: Arc<Mutex<()>>,
}

impl Line {
    fn new(stream: TcpStream) -> Self {
        Self {
            stream: Arc::new(stream),
            writing: Arc::default(),
        }
    }

    fn socket(&self) -> WebSocket<Self> {
        let config = WebSocketConfig::default()
            .max_frame_size(Some(MOST_FRAME_BYTES))
            .max_message_size(Some(MOST_FRAME_BYTES))
            .read_buffer_size(READ_BYTES);
        WebSocket::from_raw_socket(self.clone(), Role::Server, Some(config))
    }

    /// Ends the connection for both; it may have ended already.
    fn end(&self) {
        let _ = self.stream.shutdown(Shutdown::Both);
    }
}

impl Read for Line {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        (&*self.stream).read(bytes)
    }
}

impl Write for Line {
    /// Frames are written whole, so that none stands within another.
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let _writing = self.writing.lock().unwrap_or_else(PoisonError::into_inner);
        let mut wire = Wire {
            stream: &self.stream,
            until: Instant::now() + LONGEST_SEND,
        };
        wire.write_all(bytes).map(|()| bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        (&*self.stream).flush()
    }
}
