//! `setsquare page`: where pages go, and when none is written.

use std::fs;
use std::path::Path;

use super::desk::{Desk, GOOD, Run, bad, failing};

#[test]
fn a_page_is_written_beside_its_worksheet() {
    let desk = Desk::with(&[("tank.md", GOOD)]);
    desk.run(&["page", "tank.md"])
        .ends_with(0)
        .prints_nothing()
        .says("tank.md: no errors, 1 of 1 check holds; written to tank.html\n");
    assert!(
        desk.read("tank.html")
            .to_lowercase()
            .contains("<!doctype html>")
    );
    assert_eq!(desk.names(), ["tank.html", "tank.md"]);
}

#[test]
fn a_latex_document_is_written_beside_its_worksheet() {
    let desk = Desk::with(&[("tank.md", GOOD), ("deep/tank.md", GOOD)]);
    desk.run(&["page", "--latex", "tank.md"])
        .ends_with(0)
        .says("tank.md: no errors, 1 of 1 check holds; written to tank.tex\n");
    let written = desk.read("tank.tex");
    assert!(written.starts_with("\\documentclass"));
    assert!(written.ends_with("\\end{document}\n"));
    desk.run(&["page", "--latex", "tank.md", "-o", "-"])
        .ends_with(0)
        .prints("\\end{document}");
    desk.run(&["page", "--latex", "deep", "-o", "out/"])
        .ends_with(0);
    assert_eq!(desk.read("out/tank.tex"), written);
}

#[test]
fn a_page_is_the_same_bytes_every_time() {
    let desk = Desk::with(&[("tank.md", GOOD)]);
    desk.run(&["page", "tank.md"]).ends_with(0);
    let printed = desk.run(&["page", "tank.md", "-o", "-"]).ends_with(0).out;
    assert_eq!(printed, desk.read("tank.html"));
}

#[test]
fn a_worksheet_with_errors_leaves_the_good_page_alone() {
    let desk = Desk::with(&[("tank.md", &bad()), ("tank.html", "good page")]);
    desk.run(&["page", "tank.md"])
        .ends_with(1)
        .says("tank.md:8:7: error N01: ")
        .says("not written (--with-errors");
    assert_eq!(desk.read("tank.html"), "good page");
}

#[test]
fn a_worksheet_with_errors_writes_no_page_where_there_was_none() {
    let desk = Desk::with(&[("tank.md", &bad())]);
    desk.run(&["page", "tank.md"]).ends_with(1);
    assert_eq!(desk.names(), ["tank.md"]);
    desk.run_with(&["page", "-"], bad().as_bytes())
        .ends_with(1)
        .prints_nothing();
}

#[test]
fn errors_are_shown_in_place_when_that_is_asked_for() {
    let desk = Desk::with(&[("tank.md", &bad()), ("tank.html", "good page")]);
    desk.run(&["page", "--with-errors", "tank.md"])
        .ends_with(1)
        .says("written to tank.html");
    assert!(desk.read("tank.html").contains("missing_name"));
}

#[test]
fn a_check_that_does_not_hold_is_on_the_page_and_in_the_status() {
    let desk = Desk::with(&[("tank.md", &failing())]);
    desk.run(&["page", "tank.md"])
        .ends_with(1)
        .says("C01")
        .says("tank.md: no errors, 0 of 1 check holds; written to tank.html");
    assert!(desk.exists("tank.html"));
}

#[test]
fn standard_input_becomes_a_page_on_standard_output() {
    let desk = Desk::new();
    desk.run_with(&["page", "-"], GOOD.as_bytes())
        .ends_with(0)
        .prints("</html>")
        .says("-: no errors");
    #[cfg(unix)]
    desk.run_with(&["page", "-", "-o", "/dev/stdout"], GOOD.as_bytes())
        .ends_with(0)
        .prints("</html>");
    desk.run_with(&["page", "-", "-o", "tank.html"], GOOD.as_bytes())
        .ends_with(0)
        .prints_nothing();
    assert_eq!(desk.names(), ["tank.html"]);
}

#[test]
fn a_folder_becomes_pages_in_a_folder_that_is_made() {
    let desk = Desk::with(&[
        ("sheets/a.md", GOOD),
        ("sheets/deep/b.md", GOOD),
        ("sheets/.hidden.md", GOOD),
        ("sheets/notes.txt", "no worksheet"),
    ]);
    desk.run(&["page", "sheets", "-o", "out/pages"])
        .ends_with(0);
    assert!(desk.exists("out/pages/a.html"));
    assert!(desk.exists("out/pages/deep/b.html"));
    assert_eq!(desk.names().len(), 6);
}

#[test]
fn one_bad_worksheet_does_not_keep_the_others_from_their_pages() {
    let desk = Desk::with(&[("a.md", &bad()), ("c.md", GOOD)]);
    desk.run(&["page", "a.md", "b.md", "c.md"])
        .ends_with(2)
        .says("a.md:8:7: error N01")
        .says("setsquare: cannot read b.md: no such file or directory\n");
    assert_eq!(desk.names(), ["a.md", "c.html", "c.md"]);
}

#[test]
fn pages_never_go_over_a_worksheet_or_over_each_other() {
    let desk = Desk::with(&[("a.md", GOOD), ("b/a.md", GOOD), ("c.html", GOOD)]);
    desk.run(&["page", "a.md", "-o", "a.md"])
        .ends_with(2)
        .says("is a worksheet");
    desk.run(&["page", "c.html"])
        .ends_with(2)
        .says("is a worksheet");
    desk.run(&["page", "a.md", "b/a.md", "-o", "out"])
        .ends_with(2)
        .says("would both be written to out/a.html");
    assert_eq!(desk.names(), ["a.md", "b/a.md", "c.html"]);
    assert_eq!(desk.read("a.md"), GOOD);
}

#[test]
fn places_that_cannot_be_written_are_named_with_the_reason() {
    let desk = Desk::with(&[("a.md", GOOD), ("b.md", GOOD), ("file", "text")]);
    desk.run(&["page", "a.md", "-o", "no/such/a.html"])
        .ends_with(2)
        .says("setsquare: cannot write no/such/a.html: its folder does not exist\n");
    desk.run(&["page", "a.md", "-o", "file/a.html"])
        .ends_with(2)
        .says("cannot write file/a.html");
    desk.run(&["page", "a.md", "b.md", "-o", "file"])
        .ends_with(2)
        .says("the pages need a folder, but file is a file");
    assert_eq!(desk.names(), ["a.md", "b.md", "file"]);
    assert_eq!(desk.read("file"), "text");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_and_a_folder_without_room_for_files_end_in_a_clear_error() {
    let desk = Desk::with(&[("a.md", GOOD)]);
    desk.run(&["page", "a.md", "-o", "/dev/full"])
        .ends_with(2)
        .says("setsquare: cannot write /dev/full: no space left on device\n");
    assert!(Path::new("/dev/full").exists());
    desk.run(&["page", "a.md", "-o", "/proc/a.html"])
        .ends_with(2)
        .says("setsquare: cannot write /proc/a.html: ");
    desk.run(&["page", "a.md", "-o", "/proc/pages/"])
        .ends_with(2)
        .says("setsquare: cannot write /proc/pages/a.html: ");
    assert_eq!(desk.names(), ["a.md"]);
}

#[cfg(unix)]
#[test]
fn an_old_page_keeps_its_permissions_and_a_read_only_one_its_text() {
    use std::os::unix::fs::PermissionsExt;
    let desk = Desk::with(&[("a.md", GOOD), ("a.html", "old")]);
    let page = desk.path("a.html");
    let set = |mode| fs::set_permissions(&page, fs::Permissions::from_mode(mode)).unwrap();
    set(0o640);
    desk.run(&["page", "a.md"]).ends_with(0);
    assert_eq!(
        fs::metadata(&page).unwrap().permissions().mode() & 0o777,
        0o640
    );
    let written = desk.read("a.html");
    set(0o440);
    desk.write("a.md", GOOD.replace("Tank", "Pool").as_bytes());
    desk.run(&["page", "a.md"])
        .ends_with(2)
        .says("setsquare: cannot write a.html: the file is marked read-only\n");
    assert_eq!(desk.read("a.html"), written);
}

#[cfg(unix)]
#[test]
fn a_page_that_is_a_link_stays_a_link() {
    let desk = Desk::with(&[("a.md", GOOD), ("site/page.html", "old")]);
    std::os::unix::fs::symlink("site/page.html", desk.path("a.html")).unwrap();
    desk.run(&["page", "a.md"]).ends_with(0);
    assert!(
        fs::symlink_metadata(desk.path("a.html"))
            .unwrap()
            .is_symlink()
    );
    assert_ne!(desk.read("site/page.html"), "old");
}

#[cfg(target_os = "linux")]
#[test]
fn a_page_is_opened_with_the_program_of_the_system() {
    use std::os::unix::fs::PermissionsExt;
    let desk = Desk::with(&[("a.md", GOOD)]);
    desk.write(
        "bin/xdg-open",
        b"#!/bin/sh\necho \"$1\" > opened.part && mv opened.part opened\n",
    );
    let executable = fs::Permissions::from_mode(0o755);
    fs::set_permissions(desk.path("bin/xdg-open"), executable).unwrap();
    let path = format!(
        "{}:{}",
        desk.path("bin").display(),
        std::env::var("PATH").unwrap()
    );
    let mut command = desk.command(&["page", "a.md", "--open"]);
    Run::of(command.env("PATH", path).output().unwrap()).ends_with(0);
    // The program is not waited for.
    let opened = (0..200).any(|_| {
        std::thread::sleep(std::time::Duration::from_millis(20));
        desk.exists("opened")
    });
    assert!(opened);
    let page = fs::canonicalize(desk.path("a.html")).unwrap();
    assert_eq!(desk.read("opened").trim_end(), page.to_str().unwrap());
}

#[cfg(target_os = "linux")]
#[test]
fn a_system_that_cannot_open_pages_still_gets_its_page() {
    let desk = Desk::with(&[("a.md", GOOD)]);
    let mut command = desk.command(&["page", "a.md", "--open"]);
    let output = command.env("PATH", desk.path("nothing")).output().unwrap();
    Run::of(output)
        .ends_with(0)
        .says("there is no program `xdg-open` here: open ");
    assert!(desk.exists("a.html"));
    desk.run(&["page", "-", "--open"])
        .ends_with(2)
        .says("cannot be opened");
}
