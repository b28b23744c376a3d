//! Messages on a stream, each behind a header that says how long it is.
//!
//! In goes a stream of bytes, out come messages, and for what is none the reason. A message that
//! cannot be understood is told from a stream in which no message can be found any more.

use std::io::{self, BufRead, Read, Write};

use lsp_server::{ErrorCode, Message};
use serde_json::{Value, json};

use super::requests::Refusal;
use crate::text::MAX_BYTES;

/// The longest message that is read: the largest worksheet, with every byte of it escaped.
const MOST_BYTES: usize = 6 * MAX_BYTES;

/// What stands next in a stream.
#[derive(Debug)]
pub(super) enum Frame {
    /// A message.
    Message(Message),
    /// Something of the right length that is no message; the next one can be read.
    Unreadable(Refusal),
}

/// Reads what stands next; `None` at the end of the stream.
///
/// # Errors
/// When the stream fails, or a header does not say where the next message begins.
pub(super) fn read(input: &mut impl BufRead) -> io::Result<Option<Frame>> {
    let Some(length) = header(input)? else {
        return Ok(None);
    };
    let mut content = vec![0; length];
    input.read_exact(&mut content)?;
    Ok(Some(frame(&content)))
}

fn frame(content: &[u8]) -> Frame {
    let unreadable = |code, message| Frame::Unreadable(Refusal::new(code, message));
    let value: Value = match serde_json::from_slice(content) {
        Ok(value) => value,
        Err(error) => return unreadable(ErrorCode::ParseError, format!("no JSON: {error}")),
    };
    match serde_json::from_value(value) {
        Ok(message) => Frame::Message(message),
        Err(_) => unreadable(
            ErrorCode::InvalidRequest,
            "neither a request, a response nor a notification".to_owned(),
        ),
    }
}

/// The length that a header says; `None` at the end of the stream.
fn header(input: &mut impl BufRead) -> io::Result<Option<usize>> {
    let mut length = None;
    let mut line = String::new();
    loop {
        line.clear();
        // No header is long; a stream without line ends must not be gathered without end.
        if input.by_ref().take(4096).read_line(&mut line)? == 0 {
            return Ok(None);
        }
        let Some(field) = line.strip_suffix('\n') else {
            return Err(broken("a header line that does not end"));
        };
        let field = field.trim_end_matches('\r');
        if field.is_empty() {
            break;
        }
        let Some((name, value)) = field.split_once(':') else {
            return Err(broken(&format!("`{field}` is no header")));
        };
        if name.trim().eq_ignore_ascii_case("Content-Length") {
            length = value.trim().parse().ok();
        }
    }
    match length {
        Some(length) if length <= MOST_BYTES => Ok(Some(length)),
        Some(length) => Err(broken(&format!("a message of {length} bytes is too long"))),
        None => Err(broken("a message without its length")),
    }
}

fn broken(why: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, why.to_owned())
}

/// Writes a message.
///
/// # Errors
/// When the stream fails.
pub(super) fn write(output: &mut impl Write, mut message: Value) -> io::Result<()> {
    if let Some(fields) = message.as_object_mut() {
        fields.insert("jsonrpc".to_owned(), json!("2.0"));
    }
    let text = message.to_string();
    write!(output, "Content-Length: {}\r\n\r\n{text}", text.len())?;
    output.flush()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(mut input: &[u8]) -> (Vec<String>, Option<String>) {
        let mut found = Vec::new();
        loop {
            match read(&mut input) {
                Ok(Some(Frame::Message(Message::Notification(notification)))) => {
                    found.push(notification.method);
                }
                Ok(Some(Frame::Message(other))) => found.push(format!("{other:?}")),
                Ok(Some(Frame::Unreadable(refusal))) => found.push(refusal.code.to_string()),
                Ok(None) => return (found, None),
                Err(error) => return (found, Some(error.to_string())),
            }
        }
    }

    fn framed(content: &str) -> String {
        format!("Content-Length: {}\r\n\r\n{content}", content.len())
    }

    #[test]
    fn messages_follow_one_another() {
        let bytes = format!(
            "{}Content-Type: x\r\ncontent-length:14\r\n\r\n{}",
            framed(r#"{"method":"é"}"#),
            r#"{"method":"b"}"#
        );
        assert_eq!(
            all(bytes.as_bytes()),
            (vec!["é".to_owned(), "b".to_owned()], None)
        );
    }

    #[test]
    fn what_is_no_message_does_not_hide_the_next() {
        let bytes = [framed("{"), framed("[1]"), framed(r#"{"method":"b"}"#)].concat();
        let (found, end) = all(bytes.as_bytes());
        assert_eq!((found.join(" "), end), ("-32700 -32600 b".to_owned(), None));
    }

    #[test]
    fn a_stream_that_lost_its_frames_is_given_up() {
        for (bytes, why) in [
            ("hello\r\n\r\n", "`hello` is no header"),
            ("hello", "a header line that does not end"),
            ("Other: 3\r\n\r\n{}", "a message without its length"),
            (
                "Content-Length: x\r\n\r\n{}",
                "a message without its length",
            ),
            (
                "Content-Length: 99999999999\r\n\r\n",
                "a message of 99999999999 bytes is too long",
            ),
            (
                "Content-Length: 10\r\n\r\n{}",
                "failed to fill whole buffer",
            ),
        ] {
            assert_eq!(all(bytes.as_bytes()).1.as_deref(), Some(why), "{bytes}");
        }
    }
}
