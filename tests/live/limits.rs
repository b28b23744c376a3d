//! Attempts to keep the server busy: large requests, slow ones, many.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use tungstenite::Message;

use crate::browser::Browser;
use crate::program::{Answer, PATIENCE, Program, result, sheet, wait_until};

fn program() -> Program {
    Program::with(&[("a.md", &sheet(12))])
}

#[test]
fn a_huge_header_is_refused() {
    let program = program();
    let of = |length| program.ask("/a.md", &format!("X: {}\r\n", "x".repeat(length)));
    of(10_000).is(200);
    of(20_000).is(431);
    let answer = of(1_000_000);
    assert!([0, 431].contains(&answer.status), "{answer:?}");
    program.is_well();
}

#[test]
fn a_huge_path_is_refused() {
    let program = program();
    let answer = program.get(&format!("/{}.md", "x".repeat(1_000_000)));
    assert!([0, 414, 431].contains(&answer.status), "{answer:?}");
    program.get(&format!("/{}.md", "x".repeat(5_000))).is(404);
    program.is_well();
}

#[test]
fn a_huge_number_of_headers_is_refused() {
    let program = program();
    let answer = program.ask("/a.md", &"X: y\r\n".repeat(2_000));
    assert!([0, 431].contains(&answer.status), "{answer:?}");
    program
        .ask("/a.md", &"X: y\r\n".repeat(100))
        .is(431)
        .shows("the request is too long");
    program.is_well();
}

#[test]
fn bytes_that_are_no_request_are_refused() {
    let program = program();
    for bytes in [
        "\0\0\0\0\r\n\r\n",
        "GET\r\n\r\n",
        "GET /a.md HTTP/9\r\n\r\n",
        "\u{16}\u{3}\u{1}",
    ] {
        let mut stream = program.connect();
        stream.write_all(bytes.as_bytes()).unwrap();
        stream.shutdown(std::net::Shutdown::Write).unwrap();
        let answer = Answer::read(stream);
        assert!(
            [0, 400, 505].contains(&answer.status),
            "{bytes:?}: {answer:?}"
        );
    }
    program.is_well();
}

#[test]
fn a_request_that_never_ends_is_cut_off() {
    let program = program();
    let mut stream = program.connect();
    stream
        .set_read_timeout(Some(Duration::from_millis(200)))
        .unwrap();
    let start = Instant::now();
    stream.write_all(b"GET /a.md HTTP/1.1\r\n").unwrap();
    // A few bytes now and then, as if the end were near.
    while start.elapsed() < PATIENCE && is_open(&mut stream) {
        let _ = stream.write_all(b"X: y\r\n");
    }
    assert!(start.elapsed() < PATIENCE);
    program.is_well();
}

#[test]
fn a_connection_that_asks_for_nothing_is_cut_off() {
    let program = program();
    let answer = Answer::read(program.connect());
    assert!([0, 408].contains(&answer.status), "{answer:?}");
}

/// Whether the other side has not ended the connection; waits for a moment.
fn is_open(stream: &mut TcpStream) -> bool {
    use std::io::ErrorKind::{TimedOut, WouldBlock};
    match stream.read(&mut [0; 64]) {
        Ok(count) => count > 0,
        Err(error) => [TimedOut, WouldBlock].contains(&error.kind()),
    }
}

#[test]
fn many_connections_keep_nobody_out_for_long() {
    let program = program();
    let crowd: Vec<TcpStream> = (0..150).map(|_| program.connect()).collect();
    // They say nothing, and are cut off.
    program.get("/a.md").is(200).shows(&result(12));
    drop(crowd);
    program.is_well();
}

#[test]
fn only_so_many_follow_and_others_when_they_have_left() {
    let program = program();
    let origin = format!("http://{}", program.host());
    let origin = [("Origin", origin.as_str())];
    let follow = || Browser::try_follow(&program, "/-/follow/a.md", &origin);
    let crowd: Vec<Browser> = (0..64).map(|_| follow().unwrap()).collect();
    assert_eq!(follow().err(), Some(503));
    program.get("/a.md").is(200);
    drop(crowd);
    wait_until("one more may follow", || follow().is_ok());
}

#[test]
fn a_browser_that_talks_is_refused() {
    let program = program();
    for message in [Message::text("hello"), Message::binary(vec![0; 10])] {
        let mut browser = Browser::of(&program, "/a.md");
        browser.socket.send(message).unwrap();
        assert!(browser.is_ended());
    }
    program.is_well();
}

#[test]
fn a_message_that_is_too_large_is_not_read() {
    let program = program();
    let mut browser = Browser::of(&program, "/a.md");
    // It may be cut off before all is sent.
    let _ = browser.socket.send(Message::binary(vec![0; 10_000_000]));
    assert!(browser.is_ended());
    program.is_well();
}

#[test]
fn a_ping_is_answered_and_does_no_harm() {
    let program = program();
    let mut browser = Browser::of(&program, "/a.md");
    browser
        .socket
        .send(Message::Ping(vec![1, 2].into()))
        .unwrap();
    program.write("a.md", &sheet(13));
    browser.until_shown(&result(13));
}
