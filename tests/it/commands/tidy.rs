//! `setsquare tidy`: blocks are set evenly, and nothing else changes.

use std::fs;

use super::desk::{Desk, GOOD, bad};

/// The good worksheet, written in a hurry.
fn hasty() -> String {
    GOOD.replace("L = 2 m --", "  L=2 m --")
        .replace("A = L^2 = ?", "A=L^2 =   ?")
}

fn neat() -> String {
    GOOD.replace("m -- side", "m    -- side")
}

#[test]
fn tidy_sets_the_blocks_and_no_other_byte() {
    let before = format!("\u{feff}{}a\t=b  \n", hasty().replace('\n', "\r\n"));
    let desk = Desk::with(&[("a.md", &before)]);
    desk.run(&["tidy", "a.md"])
        .ends_with(0)
        .says("a.md: rewritten\n");
    let after = format!("\u{feff}{}a\t=b  \n", neat().replace('\n', "\r\n"));
    assert_eq!(desk.read("a.md"), after);
    assert_eq!(desk.run(&["tidy", "a.md"]).ends_with(0).messages, "");
    assert_eq!(desk.names(), ["a.md"]);
}

#[test]
fn a_check_names_what_is_not_tidy_and_writes_nothing() {
    let desk = Desk::with(&[("a.md", &hasty()), ("b.md", &neat())]);
    let run = desk.run(&["tidy", "--check", "a.md", "b.md"]).ends_with(1);
    assert_eq!(run.messages, "a.md:4: not tidy\n");
    assert_eq!(desk.read("a.md"), hasty());
    let run = desk.run(&["tidy", "--check", "b.md"]).ends_with(0);
    assert_eq!((run.out.as_str(), run.messages.as_str()), ("", ""));
    desk.run_with(&["tidy", "--check", "-"], hasty().as_bytes())
        .ends_with(1)
        .prints_nothing();
}

#[test]
fn standard_input_is_tidied_to_standard_output() {
    let desk = Desk::new();
    for text in [hasty(), neat()] {
        let run = desk.run_with(&["tidy", "-"], text.as_bytes()).ends_with(0);
        assert_eq!(run.out, neat());
    }
}

#[test]
fn folders_are_tidied_and_lines_with_mistakes_are_no_obstacle() {
    let text = bad().replace("A = L missing_name", "A=L missing_name");
    let desk = Desk::with(&[
        ("d/a.md", &text),
        ("d/e/b.md", "```given\na=1 = = 2\n```\n"),
    ]);
    desk.run(&["tidy", "d"]).ends_with(0);
    assert!(desk.read("d/a.md").contains("A = L missing_name = ? m^2"));
    assert_eq!(desk.read("d/e/b.md"), "```given\na=1 = = 2\n```\n");
}

#[test]
fn a_file_that_is_no_text_is_refused_and_kept() {
    let desk = Desk::new();
    desk.write("a.md", b"```given\na=1\xff\n```\n");
    desk.run(&["tidy", "a.md"]).ends_with(1).says("T01");
    assert_eq!(
        fs::read(desk.path("a.md")).unwrap(),
        b"```given\na=1\xff\n```\n"
    );
    desk.run(&["tidy", "missing.md"]).ends_with(2);
}
