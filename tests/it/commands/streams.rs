//! The output streams: closed, full, coloured or not.

use std::fs;
use std::io::Write;
use std::process::{Command, Stdio};

use super::desk::{Desk, GOOD, Run, bad};

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let desk = Desk::new();
    let mut child = desk
        .command(&["page", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // The page is printed only after its worksheet came in, when nobody reads any more.
    drop(child.stdout.take());
    child
        .stdin
        .take()
        .unwrap()
        .write_all(GOOD.as_bytes())
        .unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(
        !String::from_utf8(output.stderr)
            .unwrap()
            .contains("panicked")
    );
}

#[cfg(target_os = "linux")]
#[test]
fn output_that_cannot_be_written_is_a_failure() {
    let desk = Desk::new();
    let full = fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .unwrap();
    let output = desk.command(&["why"]).stdout(full).output().unwrap();
    Run::of(output)
        .ends_with(2)
        .says("setsquare: cannot write to standard output: no space left on device\n");
}

#[test]
fn files_get_no_colour() {
    let desk = Desk::with(&[("a.md", &bad())]);
    let run = desk.run(&["check", "a.md"]).ends_with(1);
    assert!(!run.messages.contains('\u{1b}') && !run.out.contains('\u{1b}'));
}

/// Runs under a terminal made by `script`, which systems with util-linux have.
#[cfg(target_os = "linux")]
fn on_a_terminal(desk: &Desk, no_color: &str) -> Option<String> {
    let program = env!("CARGO_BIN_EXE_setsquare");
    let output = Command::new("script")
        .args([
            "-q",
            "-e",
            "-c",
            &format!("{program} check a.md"),
            "/dev/null",
        ])
        .current_dir(desk.folder.path())
        .env("TERM", "xterm")
        .env("NO_COLOR", no_color)
        .stdin(Stdio::null())
        .output()
        .ok()?;
    Some(String::from_utf8_lossy(&output.stdout).into_owned())
}

#[cfg(target_os = "linux")]
#[test]
fn a_terminal_gets_colour_unless_it_is_unwanted() {
    let desk = Desk::with(&[("a.md", &bad())]);
    let (Some(coloured), Some(plain)) = (on_a_terminal(&desk, ""), on_a_terminal(&desk, "1"))
    else {
        return;
    };
    assert!(
        coloured.contains("\u{1b}[1;31merror\u{1b}[0m"),
        "{coloured}"
    );
    assert!(
        plain.contains("error N01") && !plain.contains('\u{1b}'),
        "{plain}"
    );
}
