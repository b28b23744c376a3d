//! `setsquare fill`: the asks change and nothing else.

use std::fs;

use super::desk::{Desk, GOOD, bad};

#[test]
fn fill_changes_the_asks_and_no_other_byte() {
    let before = format!("\u{feff}{}  \n", GOOD.replace('\n', "\r\n"));
    let desk = Desk::with(&[("a.md", &before)]);
    desk.run(&["fill", "a.md"]).ends_with(0).prints_nothing();
    assert_eq!(
        desk.read("a.md"),
        before.replace("= ? m^2", "= 4.000 m^2 ?")
    );
    desk.run(&["fill", "--ask", "a.md"]).ends_with(0);
    assert_eq!(desk.read("a.md"), before);
    assert_eq!(desk.names(), ["a.md"]);
}

#[cfg(unix)]
#[test]
fn a_worksheet_that_is_filled_already_is_not_written_again() {
    use std::os::unix::fs::MetadataExt;
    let desk = Desk::with(&[("a.md", GOOD)]);
    let file = || fs::metadata(desk.path("a.md")).unwrap().ino();
    let asking = file();
    desk.run(&["fill", "a.md"])
        .ends_with(0)
        .says("a.md: rewritten\n");
    let filled = file();
    assert_ne!(asking, filled);
    let again = desk.run(&["fill", "a.md"]).ends_with(0);
    assert_eq!((file(), again.messages.as_str()), (filled, ""));
}

#[test]
fn fill_passes_standard_input_on() {
    let desk = Desk::new();
    let run = desk.run_with(&["fill", "-"], GOOD.as_bytes()).ends_with(0);
    let filled = GOOD.replace("= ? m^2", "= 4.000 m^2 ?");
    assert_eq!(run.out, filled);
    let run = desk.run_with(&["fill", "--ask", "-"], filled.as_bytes());
    assert_eq!(run.ends_with(0).out, GOOD);
}

#[test]
fn fill_reports_errors_and_loses_nothing() {
    let desk = Desk::with(&[("a.md", &bad())]);
    desk.run(&["fill", "a.md"]).ends_with(1).says("error N01");
    assert!(desk.read("a.md").contains("A = L missing_name = ? m^2"));
}
