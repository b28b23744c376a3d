//! What all commands read: files, folders, bytes that are no text.

use std::fs;

use super::desk::{Desk, GOOD};

#[test]
fn bytes_that_are_not_utf8_are_reported_where_they_stand() {
    let desk = Desk::with(&[("good.md", GOOD)]);
    desk.write("latin.md", b"# Tank\n\nCaf\xe9 on the roof\n");
    let message = "latin.md:3:4: error T01: the byte 0xE9 is not UTF-8 text\n    Caf\u{fffd} on the roof\n       |\n";
    desk.run(&["page", "latin.md", "good.md", "--with-errors"])
        .ends_with(1)
        .says(message);
    assert_eq!(desk.names(), ["good.html", "good.md", "latin.md"]);
    desk.run(&["check", "latin.md"])
        .ends_with(1)
        .says(message)
        .prints("latin.md: 1 error\n");
    desk.run(&["fill", "latin.md"]).ends_with(1).says(message);
    desk.run(&["fill", "--ask", "latin.md"])
        .ends_with(1)
        .says(message);
}

#[test]
fn a_worksheet_that_is_too_large_is_refused_unread() {
    let desk = Desk::new();
    let file = fs::File::create(desk.path("large.md")).unwrap();
    file.set_len(50 * 1024 * 1024).unwrap();
    desk.run(&["page", "large.md"])
        .ends_with(1)
        .says("large.md:1:1: error T02: the worksheet is longer than 16 MiB\n");
    assert_eq!(desk.names(), ["large.md"]);
}

#[cfg(target_os = "linux")]
#[test]
fn a_file_without_an_end_is_not_read_to_its_end() {
    let desk = Desk::new();
    desk.run(&["check", "/dev/zero"])
        .ends_with(1)
        .says("error T02: ");
}

#[test]
fn files_and_folders_that_hold_no_worksheet_are_named() {
    let desk = Desk::with(&[("empty/notes.txt", "")]);
    for command in ["page", "check", "fill"] {
        desk.run(&[command, "missing.md"])
            .ends_with(2)
            .says("setsquare: cannot read missing.md: no such file or directory\n");
        desk.run(&[command, "empty"])
            .ends_with(2)
            .says("cannot read empty: the folder holds no worksheet");
        desk.run(&[command]).ends_with(2).says("<FILE>");
        desk.run(&[command, "-", "-"])
            .ends_with(2)
            .says("only once");
    }
}
