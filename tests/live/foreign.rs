//! Attacks by pages of other servers that are open in a browser on this machine.

use crate::browser::Browser;
use crate::program::{Program, result, sheet};

fn program() -> Program {
    Program::with(&[("a.md", &sheet(12)), ("p.png", "PNG")])
}

#[test]
fn a_foreign_name_that_leads_here_is_refused() {
    let program = program();
    let port = program.port;
    for host in ["evil.example", &format!("evil.example:{port}")] {
        let answer = program.send(&format!("GET /a.md HTTP/1.1\r\nHost: {host}\r\n\r\n"));
        assert!(!answer.is(421).body.contains("24.00"));
    }
    let localhost = format!("GET /a.md HTTP/1.1\r\nHost: localhost:{port}\r\n\r\n");
    program.send(&localhost).is(200).shows(&result(12));
}

#[test]
fn a_request_without_a_host_is_refused() {
    let program = program();
    program.send("GET /a.md HTTP/1.1\r\n\r\n").is(421);
    program.send("GET /a.md HTTP/1.0\r\n\r\n").is(421);
}

#[test]
fn a_request_with_two_hosts_is_refused() {
    let program = program();
    program.ask("/a.md", "Host: evil.example\r\n").is(421);
}

#[test]
fn a_request_to_be_passed_on_is_refused() {
    let program = program();
    program.ask("http://evil.example/a.md", "").is(400);
}

#[test]
fn a_foreign_origin_is_refused_a_page() {
    let program = program();
    for origin in ["http://evil.example", "null", "http://127.0.0.1:1"] {
        program
            .ask("/a.md", &format!("Origin: {origin}\r\n"))
            .is(403);
    }
    let ours = format!("Origin: http://{}\r\n", program.host());
    program.ask("/a.md", &ours).is(200);
}

#[test]
fn a_foreign_page_cannot_follow() {
    let program = program();
    let foreign = [("Origin", "http://evil.example")];
    let refused = Browser::try_follow(&program, "/-/follow/a.md", &foreign);
    assert_eq!(refused.err(), Some(403));
}

#[test]
fn who_does_not_say_from_where_cannot_follow() {
    let program = program();
    let refused = Browser::try_follow(&program, "/-/follow/a.md", &[]);
    assert_eq!(refused.err(), Some(403));
}

#[test]
fn a_foreign_page_cannot_show_an_image() {
    let program = program();
    for site in ["cross-site", "same-site"] {
        let lines = format!(
            "Sec-Fetch-Site: {site}\r\nSec-Fetch-Mode: no-cors\r\nSec-Fetch-Dest: image\r\n"
        );
        program.ask("/p.png", &lines).is(403);
    }
    program
        .ask("/p.png", "Sec-Fetch-Site: same-origin\r\n")
        .is(200)
        .shows("PNG");
}

#[test]
fn a_link_on_a_foreign_page_may_be_followed_but_not_framed() {
    let program = program();
    let visit = |dest| {
        format!(
            "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: navigate\r\nSec-Fetch-Dest: {dest}\r\n"
        )
    };
    program.ask("/a.md", &visit("document")).is(200);
    program.ask("/a.md", &visit("iframe")).is(403);
}

#[test]
fn every_answer_says_what_a_browser_may_do_with_it() {
    let program = program();
    for path in ["/", "/a.md", "/p.png", "/-/live.js", "/no.md"] {
        let head = program.get(path).head;
        for line in [
            "x-content-type-options: nosniff",
            "referrer-policy: no-referrer",
            "cross-origin-resource-policy: same-origin",
            "cross-origin-opener-policy: same-origin",
            "cache-control: no-store",
            "content-security-policy: default-src 'none'",
        ] {
            assert!(head.contains(line), "{path}: no {line} in {head}");
        }
        assert!(!head.contains("access-control"), "{path}: {head}");
    }
    let policy = program.get("/a.md").head;
    for part in [
        "script-src 'self';",
        "frame-ancestors 'none'",
        "form-action 'none'",
        &format!("connect-src 'self' ws://{};", program.host()),
    ] {
        assert!(policy.contains(part), "{part}");
    }
    assert!(!policy.contains("unsafe"));
}

#[test]
fn nothing_but_reading_is_answered() {
    let program = program();
    let host = program.host();
    for method in ["POST", "PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "X"] {
        let request = format!("{method} /a.md HTTP/1.1\r\nHost: {host}\r\n\r\n");
        program.send(&request).is(405);
    }
    program.ask("/a.md", "Content-Length: 5\r\n").is(400);
    program
        .ask("/a.md", "Transfer-Encoding: chunked\r\n")
        .is(400);
    let head = program.send(&format!("HEAD /a.md HTTP/1.1\r\nHost: {host}\r\n\r\n"));
    assert_eq!(head.is(200).body, "");
}

#[cfg(target_os = "linux")]
#[test]
fn only_the_loopback_address_is_listened_on() {
    use std::net::{TcpStream, UdpSocket};
    let program = program();
    // All of 127.0.0.0/8 leads to this machine; so does the address that it has on a network.
    let socket = UdpSocket::bind("0.0.0.0:0").unwrap();
    let network = socket
        .connect("192.0.2.1:9")
        .and_then(|()| socket.local_addr());
    let network = network.ok().map(|address| address.ip().to_string());
    for address in std::iter::once("127.0.0.2".to_owned()).chain(network) {
        let connected = TcpStream::connect((address.as_str(), program.port));
        assert!(connected.is_err(), "{address}");
    }
}
