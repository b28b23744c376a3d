//! A browser that follows a worksheet, as far as its connection goes.

use std::net::TcpStream;
use std::time::{Duration, Instant};

use serde_json::Value;
use tungstenite::client::ClientRequestBuilder;
use tungstenite::http::Uri;
use tungstenite::{Error, Message, WebSocket};

use crate::program::{PATIENCE, Program, plain};

/// How often a browser looks whether it has waited long enough.
const LOOK: Duration = Duration::from_millis(100);

pub struct Browser {
    pub socket: WebSocket<TcpStream>,
}

impl Browser {
    /// Follows a page that it loads first, as a browser does, and takes the greeting.
    pub fn of(program: &Program, path: &str) -> Self {
        let page = program.get(path).is(200);
        let (follow, run) = (page.attribute("data-follow"), page.attribute("data-run"));
        let version = page.attribute("data-version");
        let mut browser = Self::follow(program, &format!("{follow}?run={run}&version={version}"));
        assert_eq!(browser.next()["kind"], "hello");
        browser
    }

    /// Follows an address.
    pub fn follow(program: &Program, address: &str) -> Self {
        let origin = format!("http://{}", program.host());
        Self::try_follow(program, address, &[("Origin", &origin)]).unwrap()
    }

    /// Follows an address with these headers; the status when that is refused.
    pub fn try_follow(
        program: &Program,
        address: &str,
        headers: &[(&str, &str)],
    ) -> Result<Self, u16> {
        let uri: Uri = format!("ws://{}{address}", program.host()).parse().unwrap();
        let mut request = ClientRequestBuilder::new(uri);
        for (name, value) in headers {
            request = request.with_header(*name, *value);
        }
        match tungstenite::client(request, program.connect()) {
            Ok((socket, _)) => {
                socket.get_ref().set_read_timeout(Some(LOOK)).unwrap();
                Ok(Self { socket })
            }
            Err(tungstenite::HandshakeError::Failure(Error::Http(answer))) => {
                Err(answer.status().as_u16())
            }
            Err(error) => panic!("{error}"),
        }
    }

    /// The next message.
    #[track_caller]
    pub fn next(&mut self) -> Value {
        self.within(PATIENCE).expect("no message came")
    }

    /// The next message, if one comes within this time.
    #[track_caller]
    pub fn within(&mut self, time: Duration) -> Option<Value> {
        let start = Instant::now();
        while start.elapsed() < time {
            match self.socket.read() {
                Ok(Message::Text(text)) => {
                    return Some(serde_json::from_str(&plain(&text)).unwrap());
                }
                Ok(_) => {}
                Err(error) if is_silence(&error) => {}
                Err(error) => panic!("the connection ended: {error}"),
            }
        }
        None
    }

    /// Takes messages until one shows this; how many there were.
    #[track_caller]
    pub fn until_shown(&mut self, text: &str) -> usize {
        let start = Instant::now();
        for count in 1.. {
            let message = self.next().to_string();
            if message.contains(text) {
                return count;
            }
            assert!(start.elapsed() < PATIENCE, "no `{text}`, but {message}");
        }
        0
    }

    /// Whether the server ends the connection.
    pub fn is_ended(&mut self) -> bool {
        let start = Instant::now();
        while start.elapsed() < PATIENCE {
            match self.socket.read() {
                Ok(Message::Close(_)) => return true,
                Ok(_) => {}
                Err(error) if is_silence(&error) => {}
                Err(_) => return true,
            }
        }
        false
    }
}

fn is_silence(error: &Error) -> bool {
    use std::io::ErrorKind::{TimedOut, WouldBlock};
    matches!(error, Error::Io(error) if [TimedOut, WouldBlock].contains(&error.kind()))
}
