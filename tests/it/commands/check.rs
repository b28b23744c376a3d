//! `setsquare check`: messages, summary, exit status, report.

use super::desk::{Desk, GOOD, bad, failing};

#[test]
fn check_puts_messages_on_one_stream_and_the_summary_on_the_other() {
    let desk = Desk::with(&[("a.md", GOOD), ("b.md", &bad())]);
    let run = desk
        .run(&["check", "a.md", "b.md"])
        .ends_with(1)
        .prints("a.md: no errors, 1 of 1 check holds\nb.md: ")
        .says("b.md:8:7: error N01: `missing_name` is not defined\n    A = L missing_name = ? m^2\n          |----------|\n");
    assert!(!run.messages.contains("a.md"));
    assert_eq!(desk.names(), ["a.md", "b.md"]);
}

#[test]
fn the_exit_status_tells_errors_and_failed_checks_from_other_failures() {
    let desk = Desk::with(&[("a.md", GOOD), ("b.md", &bad()), ("c.md", &failing())]);
    desk.run(&["check", "a.md"]).ends_with(0);
    desk.run(&["check", "a.md", "b.md"]).ends_with(1);
    desk.run(&["check", "c.md"])
        .ends_with(1)
        .prints("0 of 1 check holds");
    desk.run(&["check", "b.md", "missing.md"]).ends_with(2);
    desk.run(&["check", "--colour", "a.md"]).ends_with(2);
    desk.run(&["convert", "a.md"]).ends_with(2);
    desk.run(&[]).ends_with(2);
}

#[test]
fn a_warning_alone_is_no_failure() {
    let warned = format!("---\nfigrues: 3\n---\n{GOOD}");
    let desk = Desk::with(&[("a.md", &warned)]);
    desk.run(&["check", "a.md"])
        .ends_with(0)
        .says("a.md:2:1: warning M01: ")
        .prints("a.md: no errors, 1 warning, 1 of 1 check holds\n");
}

#[test]
fn the_json_report_is_all_that_is_printed() {
    let desk = Desk::with(&[("a.md", GOOD), ("b.md", &bad())]);
    desk.write("c.md", b"# Tank\n\xff\n");
    let run = desk
        .run(&["check", "--json", "a.md", "b.md", "c.md"])
        .ends_with(1);
    assert_eq!(run.messages, "");
    let report: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    let names: Vec<&str> = (0..3)
        .filter_map(|at| report[at]["worksheet"].as_str())
        .collect();
    assert_eq!(names, ["a.md", "b.md", "c.md"]);
    assert_eq!(report[0]["diagnostics"], serde_json::json!([]));
    assert_eq!(report[1]["diagnostics"][0]["code"], "N01");
    assert_eq!(report[1]["diagnostics"][0]["line"], 8);
    assert_eq!(report[2]["diagnostics"][0]["code"], "T01");
    assert_eq!(report[2]["diagnostics"][0]["line"], 2);
}

#[test]
fn a_missing_file_leaves_the_json_report_of_the_others_whole() {
    let desk = Desk::with(&[("a.md", GOOD)]);
    let run = desk
        .run(&["check", "--json", "missing.md", "a.md"])
        .ends_with(2);
    let report: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(report.as_array().unwrap().len(), 1);
    assert!(
        run.messages
            .starts_with("setsquare: cannot read missing.md")
    );
}
