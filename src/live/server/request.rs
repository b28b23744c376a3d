//! The head of a request, which is all of it, and the answer as it is sent.

use std::borrow::Cow;
use std::io::{self, Read, Write};

use http::{Request, Response, StatusCode, Version, header};

/// The most bytes of a request.
const MOST_BYTES: usize = 16 * 1024;
/// The most headers of a request.
const MOST_HEADERS: usize = 64;
/// How many bytes are read at a time.
const BYTES_AT_A_TIME: usize = 4 * 1024;

/// What follows the head of an answer.
pub(super) type Body = Cow<'static, [u8]>;

/// Why a request is not read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unread {
    /// It is no request of HTTP/1.
    Form,
    /// It is too long.
    Long,
}

/// Reads the head of a request; none where the browser went away before its end, or took too long.
///
/// # Errors
/// An [`Unread`] for what is no request, or too long.
pub(super) fn read(from: &mut impl Read) -> Result<Option<Request<()>>, Unread> {
    let mut bytes = Vec::new();
    let mut more = [0; BYTES_AT_A_TIME];
    loop {
        let count = from.read(&mut more).unwrap_or(0);
        bytes.extend_from_slice(more.get(..count).unwrap_or_default());
        if let Some(request) = parse(&bytes)? {
            return Ok(Some(request));
        }
        if count == 0 {
            return Ok(None);
        }
        if bytes.len() > MOST_BYTES {
            return Err(Unread::Long);
        }
    }
}

/// The request, if its head is complete.
fn parse(bytes: &[u8]) -> Result<Option<Request<()>>, Unread> {
    let mut headers = [httparse::EMPTY_HEADER; MOST_HEADERS];
    let mut head = httparse::Request::new(&mut headers);
    match head.parse(bytes) {
        Ok(httparse::Status::Partial) => return Ok(None),
        Ok(httparse::Status::Complete(length)) if length > MOST_BYTES => return Err(Unread::Long),
        Ok(httparse::Status::Complete(_)) => {}
        Err(httparse::Error::TooManyHeaders) => return Err(Unread::Long),
        Err(_) => return Err(Unread::Form),
    }
    let request = Request::builder()
        .method(head.method.unwrap_or_default())
        .uri(head.path.unwrap_or_default())
        .version(match head.version {
            Some(1) => Version::HTTP_11,
            _ => Version::HTTP_10,
        });
    let headers = head.headers.iter();
    let request = headers.fold(request, |it, header| it.header(header.name, header.value));
    request.body(()).map(Some).map_err(|_| Unread::Form)
}

/// Sends an answer, without its body where nobody asks for that.
///
/// # Errors
/// Those of the connection.
pub(super) fn send(
    answer: &Response<Body>,
    with_body: bool,
    to: &mut impl Write,
) -> io::Result<()> {
    let status = answer.status();
    let mut bytes = format!("HTTP/1.1 {status}\r\n").into_bytes();
    for (name, value) in answer.headers() {
        for piece in [name.as_str().as_bytes(), b": ", value.as_bytes(), b"\r\n"] {
            bytes.extend_from_slice(piece);
        }
    }
    if status != StatusCode::SWITCHING_PROTOCOLS {
        let name = header::CONTENT_LENGTH;
        let length = answer.body().len();
        bytes.extend_from_slice(format!("{name}: {length}\r\n").as_bytes());
    }
    bytes.extend_from_slice(b"\r\n");
    to.write_all(&bytes)?;
    to.write_all(if with_body { answer.body() } else { &[] })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bytes that come one at a time.
    struct Slow<'b>(&'b [u8]);

    impl Read for Slow<'_> {
        fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
            let count = self.0.len().min(1);
            bytes[..count].copy_from_slice(&self.0[..count]);
            self.0 = &self.0[count..];
            Ok(count)
        }
    }

    fn unread(text: &str) -> Unread {
        read(&mut text.as_bytes()).unwrap_err()
    }

    #[test]
    fn a_request_is_read_however_it_comes() {
        let text = "GET /a.md?b HTTP/1.1\r\nHost: a\r\nX: 1\r\nX: 2\r\n\r\n";
        for request in [read(&mut text.as_bytes()), read(&mut Slow(text.as_bytes()))] {
            let request = request.unwrap().unwrap();
            assert_eq!(request.uri(), "/a.md?b");
            assert_eq!(request.headers()["host"], "a");
            assert_eq!(request.headers().get_all("x").iter().count(), 2);
        }
    }

    #[test]
    fn what_is_no_request_is_not_read() {
        for text in [
            "\0\r\n\r\n",
            "GET /a HTTP/2\r\n\r\n",
            "GET\r\n\r\n",
            "GET /a HTTP/1.1\r\nno header\r\n\r\n",
            "GET /a HTTP/1.1\r\na : b\r\n\r\n",
            "GET /a HTTP/1.1\r\na: b\r\n folded: c\r\n\r\n",
        ] {
            assert_eq!(unread(text), Unread::Form, "{text}");
        }
        for text in ["", "GET /a HTTP/1.1\r\n"] {
            assert!(read(&mut text.as_bytes()).unwrap().is_none(), "{text}");
        }
    }

    #[test]
    fn a_request_has_a_most_length_and_number_of_headers() {
        let of = |headers: &str| read(&mut format!("GET / HTTP/1.1\r\n{headers}\r\n").as_bytes());
        assert!(of(&format!("a: {}\r\n", "x".repeat(16_000))).is_ok());
        let long = format!("a: {}\r\n", "x".repeat(MOST_BYTES));
        assert_eq!(of(&long).unwrap_err(), Unread::Long);
        assert!(of(&"a: b\r\n".repeat(MOST_HEADERS)).is_ok());
        let many = "a: b\r\n".repeat(MOST_HEADERS + 1);
        assert_eq!(of(&many).unwrap_err(), Unread::Long);
    }

    #[test]
    fn an_answer_says_how_long_it_is() {
        let mut answer = Response::new(Body::from(b"text".as_slice()));
        *answer.status_mut() = StatusCode::NOT_FOUND;
        let sent = |with_body| {
            let mut bytes = Vec::new();
            send(&answer, with_body, &mut bytes).unwrap();
            String::from_utf8(bytes).unwrap()
        };
        let head = "HTTP/1.1 404 Not Found\r\ncontent-length: 4\r\n\r\n";
        assert_eq!(
            (sent(false), sent(true)),
            (head.to_owned(), format!("{head}text"))
        );
    }
}
