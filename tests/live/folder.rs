//! What is found beside a worksheet: the index, other worksheets, images; and how it begins.

use std::process::Command;

use serde_json::Value;

use crate::browser::Browser;
use crate::program::{Program, result, sheet};

const BROKEN: &str = "```work\nx = 2 y\n```\n";

#[test]
fn the_index_lists_worksheets_with_their_state() {
    let program = Program::with(&[
        ("a.md", &sheet(12)),
        ("sub/b c.md", BROKEN),
        ("notes.txt", ""),
    ]);
    let index = program.get("/").is(200);
    assert_eq!(index.attribute("data-follow"), "/-/follow/");
    let index = index
        .shows("href=\"/a.md\"")
        .shows("href=\"/sub/b%20c.md\"");
    assert!(!index.body.contains("notes.txt"));
    let mut browser = Browser::of(&program, "/");
    browser.until_shown("1 of 2 worksheets needs a look");
    program.get("/").shows("no errors").shows("refused");
}

#[test]
fn the_index_follows_the_folder() {
    let program = Program::with(&[("a.md", &sheet(12))]);
    let mut browser = Browser::of(&program, "/");
    program.write("new/deep/b.md", BROKEN);
    browser.until_shown("1 of 2 worksheets needs a look");
    program.write("new/deep/b.md", &sheet(13));
    browser.until_shown("\"state\":\"\"");
    std::fs::remove_dir_all(program.path("new")).unwrap();
    while browser.next().to_string().contains("new/deep/b.md") {}
}

#[test]
fn an_index_that_was_open_before_the_server_started_is_brought_up_to_date() {
    let program = Program::with(&[("a.md", BROKEN)]);
    let mut browser = Browser::follow(&program, "/-/follow/?run=before&version=9");
    assert_eq!(browser.next()["kind"], "hello");
    let message = browser.next();
    assert_eq!(message["from"], Value::Null);
    assert!(message["parts"].to_string().contains("/a.md"));
    browser.until_shown("1 of 1 worksheets needs a look");
}

#[test]
fn a_worksheet_is_served_with_those_that_it_links_to() {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path().join("root");
    std::fs::create_dir_all(root.join("sub")).unwrap();
    std::fs::write(root.join("a.md"), "[b](sub/b.md)\n").unwrap();
    std::fs::write(root.join("sub/b.md"), sheet(12)).unwrap();
    let program = Program::start(folder, "a.md", 0);
    let start = program.get("/").is(303);
    assert!(start.head.contains("location: /a.md"), "{}", start.head);
    program.get("/a.md").is(200).shows("href=\"sub/b.md\"");
    program.get("/-/follow/").is(403);
    let mut browser = Browser::of(&program, "/sub/b.md");
    program.write("sub/b.md", &sheet(13));
    browser.until_shown(&result(13));
}

#[test]
fn pictures_are_in_the_page_and_their_changes_are_shown() {
    let files = [
        ("images/a.md", "![a](p.png)\n"),
        ("b.md", "![a](images/p.png)\n"),
        ("images/p.png", "GIF89a old"),
    ];
    let program = Program::with(&files);
    let mut browsers = [
        Browser::of(&program, "/images/a.md"),
        Browser::of(&program, "/b.md"),
    ];
    program
        .get("/b.md")
        .shows("data:image/gif;base64,R0lGODlhIG9sZA==");
    let answer = program.get("/images/p.png").is(200).shows("GIF89a old");
    assert!(answer.head.contains("content-type: image/png"));
    program.write("images/p.png", "GIF89a new");
    for browser in &mut browsers {
        browser.until_shown("data:image/gif;base64,R0lGODlhIG5ldw==");
    }
    program.get("/images/p.png").shows("GIF89a new");
}

#[test]
fn a_picture_that_comes_later_is_shown() {
    let program = Program::with(&[("a.md", "![a](images/p.png)\n")]);
    let mut browser = Browser::of(&program, "/a.md");
    program.get("/images/p.png").is(404);
    program.write("images/p.png", "GIF89a new");
    browser.until_shown("data:image/gif;base64,R0lGODlhIG5ldw==");
}

#[test]
fn a_port_that_is_taken_is_a_failure() {
    let program = Program::with(&[("a.md", &sheet(12))]);
    let port = program.port.to_string();
    let (status, messages) = fails(&["--port", &port], &program);
    assert_eq!(status, Some(2));
    let expected = format!("setsquare: port {port} is taken by another program: write `--port`");
    assert!(messages.starts_with(&expected), "{messages}");
}

#[test]
fn a_file_that_is_missing_is_a_failure() {
    let program = Program::with(&[]);
    let (status, messages) = fails(&[], &program);
    assert_eq!(status, Some(2));
    assert!(messages.contains("cannot read"), "{messages}");
}

fn fails(arguments: &[&str], program: &Program) -> (Option<i32>, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_setsquare"))
        .args(["live", "--no-open"])
        .arg(program.path("a.md"))
        .args(arguments)
        .output()
        .unwrap();
    let messages = String::from_utf8(output.stderr).unwrap();
    (output.status.code(), messages)
}
