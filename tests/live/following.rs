//! A page follows its file, however the file is written.

use std::fs::{self, OpenOptions};
use std::io::Write;
use std::time::Duration;

use serde_json::Value;

use crate::browser::Browser;
use crate::program::{Program, result, sheet, wait_until};

fn program() -> Program {
    Program::with(&[("a.md", &sheet(12))])
}

#[test]
fn a_page_is_served_with_what_it_needs_to_follow() {
    let program = program();
    let page = program.get("/a.md").is(200).shows(&result(12));
    assert_eq!(page.attribute("data-follow"), "/-/follow/a.md");
    assert_eq!(page.attribute("data-version"), "1");
    assert!(page.head.contains("content-type: text/html; charset=utf-8"));
    program.get("/-/live.js").is(200);
    program.get("/-/idiomorph.js").is(200);
}

#[test]
fn a_save_is_shown() {
    let program = program();
    let mut browser = Browser::of(&program, "/a.md");
    for force in 13..18 {
        program.write("a.md", &sheet(force));
        browser.until_shown(&result(force));
    }
}

#[test]
fn a_file_that_is_put_in_the_place_of_another_is_shown() {
    let program = program();
    let mut browser = Browser::of(&program, "/a.md");
    for force in 13..16 {
        let new = program.path(".a.md.new");
        fs::write(&new, sheet(force)).unwrap();
        fs::rename(&new, program.path("a.md")).unwrap();
        browser.until_shown(&result(force));
    }
}

#[test]
fn an_editor_that_moves_the_old_file_away_is_followed() {
    let program = program();
    let mut browser = Browser::of(&program, "/a.md");
    fs::rename(program.path("a.md"), program.path("a.md~")).unwrap();
    fs::write(program.path("a.md"), sheet(13)).unwrap();
    let message = browser.next();
    assert!(message.to_string().contains(&result(13)), "{message}");
}

#[test]
fn a_file_that_is_emptied_first_is_not_shown_empty() {
    let program = program();
    let mut browser = Browser::of(&program, "/a.md");
    let mut file = OpenOptions::new()
        .write(true)
        .truncate(true)
        .open(program.path("a.md"))
        .unwrap();
    // As long as an editor may take, not as long as it is believed.
    std::thread::sleep(Duration::from_millis(40));
    file.write_all(sheet(13).as_bytes()).unwrap();
    drop(file);
    let message = browser.next();
    assert!(message.to_string().contains(&result(13)), "{message}");
}

#[test]
fn a_storm_of_saves_is_shown_by_its_last() {
    let program = program();
    let mut browser = Browser::of(&program, "/a.md");
    for number in 1..50 {
        program.write("a.md", &sheet(13 + number % 20));
    }
    program.write("a.md", &sheet(49));
    let messages = browser.until_shown(&result(49));
    assert!(messages <= 15, "{messages} messages for 50 saves");
    assert_eq!(browser.within(Duration::from_millis(500)), None);
    program.get("/a.md").shows(&result(49));
}

#[test]
fn a_file_that_is_deleted_is_told_of_until_it_is_back() {
    let program = program();
    let mut browser = Browser::of(&program, "/a.md");
    fs::remove_file(program.path("a.md")).unwrap();
    let message = browser.next();
    assert_eq!(message["kind"], "trouble", "{message}");
    assert_eq!(
        message["text"],
        "a.md cannot be read: there is no such file"
    );
    program.write("a.md", &sheet(13));
    browser.until_shown(&result(13));
}

#[test]
fn a_folder_that_is_deleted_and_made_again_is_followed() {
    let program = Program::with(&[("sub/a.md", &sheet(12))]);
    let mut browser = Browser::of(&program, "/sub/a.md");
    fs::remove_dir_all(program.path("sub")).unwrap();
    assert_eq!(browser.next()["kind"], "trouble");
    program.write("sub/a.md", &sheet(13));
    browser.until_shown(&result(13));
    program.write("sub/a.md", &sheet(14));
    browser.until_shown(&result(14));
}

#[test]
fn bytes_that_are_no_text_are_told_of() {
    let program = program();
    let mut browser = Browser::of(&program, "/a.md");
    fs::write(program.path("a.md"), b"\xff\xfe").unwrap();
    let message = browser.next();
    let text = message["text"].as_str().unwrap();
    assert!(text.contains("0xFF is not UTF-8"), "{text}");
    program.write("a.md", &sheet(13));
    browser.until_shown(&result(13));
}

#[test]
fn two_browsers_both_follow() {
    let program = program();
    let mut browsers = [
        Browser::of(&program, "/a.md"),
        Browser::of(&program, "/a.md"),
    ];
    program.write("a.md", &sheet(13));
    for browser in &mut browsers {
        browser.until_shown(&result(13));
    }
}

#[test]
fn a_browser_that_missed_something_is_brought_up_to_date() {
    let program = program();
    let mut first = Browser::of(&program, "/a.md");
    let page = program.get("/a.md");
    let shown = format!("?run={}&version=1", page.attribute("data-run"));
    program.write("a.md", &sheet(13));
    first.until_shown(&result(13));
    let mut late = Browser::follow(&program, &format!("/-/follow/a.md{shown}"));
    assert_eq!(late.next()["version"], 2);
    let message = late.next();
    assert_eq!(message["from"], Value::Null);
    assert!(message["parts"].to_string().contains(&result(13)));
}

#[test]
fn a_server_that_was_started_again_says_so() {
    let program = program();
    let page = program.get("/a.md");
    let run = page.attribute("data-run");
    let program = program.start_again();
    let mut browser = Browser::follow(&program, &format!("/-/follow/a.md?run={run}&version=1"));
    let hello = browser.next();
    assert_eq!(hello["kind"], "hello");
    assert_ne!(hello["run"], run.as_str());
    assert!(hello["read"].as_u64().unwrap() > 1_600_000_000_000);
    assert_eq!(browser.next()["from"], Value::Null);
    program.write("a.md", &sheet(13));
    browser.until_shown(&result(13));
}

#[test]
fn each_time_a_worksheet_is_read_is_told_on_a_line() {
    let program = program();
    let mut browser = Browser::of(&program, "/a.md");
    program.write("a.md", "```work\nx = 2 y\n```\n");
    browser.next();
    // The same text again is not told again.
    program.write("a.md", "```work\nx = 2 y\n```\n");
    assert_eq!(browser.within(Duration::from_millis(200)), None);
    fs::remove_file(program.path("a.md")).unwrap();
    browser.next();
    wait_until("three lines", || program.messages().lines().count() >= 3);
    let messages = program.messages();
    let lines: Vec<&str> = messages.lines().collect();
    let [first, second, third] = lines.as_slice() else {
        panic!("{lines:#?}");
    };
    assert_eq!(*first, "a.md: no errors");
    assert!(second.starts_with("a.md: 1 line refused"), "{second}");
    assert_eq!(
        *third,
        "setsquare: a.md cannot be read: there is no such file"
    );
}

/// What the program has used of the processor, in the system's ticks, and how often its threads
/// were woken.
#[cfg(target_os = "linux")]
fn effort(program: &Program) -> (u64, u64) {
    let process = program.process();
    let stat = fs::read_to_string(process.join("stat")).unwrap();
    let (_, after) = stat.rsplit_once(") ").unwrap();
    let ticks = after.split(' ').skip(11).take(2);
    let ticks = ticks.map(|count| count.parse::<u64>().unwrap()).sum();
    let threads = fs::read_dir(process.join("task")).unwrap();
    let woken = |thread: fs::DirEntry| {
        let status = fs::read_to_string(thread.path().join("status")).unwrap_or_default();
        let line = status
            .lines()
            .find_map(|line| line.strip_prefix("voluntary_ctxt_switches:"));
        line.map_or(0, |count| count.trim().parse::<u64>().unwrap())
    };
    (ticks, threads.map(|thread| woken(thread.unwrap())).sum())
}

#[cfg(target_os = "linux")]
#[test]
fn nothing_is_done_when_nothing_happens() {
    let program = program();
    let _page = Browser::of(&program, "/a.md");
    let mut index = Browser::of(&program, "/");
    index.until_shown("no errors");
    let rest = || {
        let before = effort(&program);
        std::thread::sleep(Duration::from_secs(1));
        let after = effort(&program);
        (after.0 - before.0, after.1 - before.1)
    };
    // What was begun before may still end; then there is a second without anything.
    wait_until("a second of rest", || rest() == (0, 0));
}
