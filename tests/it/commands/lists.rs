//! What needs no worksheet: units, codes, completions, help.

use super::desk::Desk;

/// The commands that a file or a word follows.
const COMMANDS: [&str; 8] = [
    "page",
    "check",
    "fill",
    "tidy",
    "units",
    "constants",
    "why",
    "completions",
];

#[test]
fn units_are_listed_in_columns() {
    let desk = Desk::new();
    let all = desk.run(&["units"]).ends_with(0);
    assert!(all.out.starts_with("symbol "));
    let run = desk
        .run(&["units", "psi"])
        .ends_with(0)
        .prints("6894.757293168");
    assert!(run.out.lines().count() < all.out.lines().count());
    let heading = run.out.lines().next().unwrap();
    let column = heading.find("dimension").unwrap();
    let row = run
        .out
        .lines()
        .find(|line| line.contains("6894.757"))
        .unwrap();
    assert!(row[column..].starts_with("pressure"), "{row}");
    desk.run(&["units", "PRESSURE"]).ends_with(0).prints("Pa");
}

#[test]
fn an_unknown_unit_word_suggests_the_nearest() {
    let desk = Desk::new();
    desk.run(&["units", "pascla"])
        .ends_with(1)
        .prints_nothing()
        .says("no unit has the word `pascla`; did you mean `pascal`?");
    desk.run(&["units", "presure"])
        .says("did you mean `pressure`?");
    desk.run(&["units", "zzzzzzzz"])
        .ends_with(1)
        .says("lists them all");
}

#[test]
fn constants_are_listed_as_units_are() {
    let desk = Desk::new();
    let all = desk.run(&["constants"]).ends_with(0);
    assert!(all.out.starts_with("name "));
    assert_eq!(all.out.lines().count(), 356);
    let run = desk
        .run(&["constants", "Gravitation"])
        .ends_with(0)
        .prints("6.67430e-11")
        .prints("0.00015e-11");
    assert_eq!(run.out.lines().count(), 3);
    let heading = run.out.lines().next().unwrap();
    let column = heading.find("unit").unwrap();
    assert!(column < heading.find("source").unwrap());
    desk.run(&["constants", "molar gas"]).prints("exact");
    desk.run(&["constants", "magnetic flux quantum"])
        .ends_with(0)
        .prints("mag. flux quantum");
}

#[test]
fn an_unknown_constant_word_suggests_the_nearest() {
    let desk = Desk::new();
    desk.run(&["constants", "gas konstant"])
        .ends_with(1)
        .prints_nothing()
        .says("no constant has the word `gas konstant`; did you mean `molar gas constant`?");
    desk.run(&["constants", "zzzzzzzz"])
        .ends_with(1)
        .says("lists them all");
}

#[test]
fn a_code_is_explained_in_either_case() {
    let desk = Desk::new();
    let page = desk.run(&["why", "D02"]).ends_with(0);
    assert!(page.out.starts_with("# D02"), "{page:#?}");
    assert_eq!(desk.run(&["why", "d02"]).ends_with(0).out, page.out);
    desk.run(&["why"])
        .ends_with(0)
        .prints("D02  sides of different dimensions\n");
    desk.run(&["why", "D2"])
        .ends_with(2)
        .prints_nothing()
        .says("setsquare: there is no code `D2`; did you mean `D02`?\n");
}

#[test]
fn completions_are_there_for_the_common_shells() {
    let desk = Desk::new();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        desk.run(&["completions", shell])
            .ends_with(0)
            .prints("setsquare")
            .prints("with-errors");
    }
    desk.run(&["completions", "tcsh"]).ends_with(2);
}

#[test]
fn help_says_what_the_exit_status_means_and_what_the_program_cannot_know() {
    let desk = Desk::new();
    let long = desk.run(&["--help"]).ends_with(0).prints("Exit status:");
    let short = desk.run(&["-h"]).ends_with(0);
    assert!(short.out.len() < long.out.len());
    for help in [&long, &short] {
        assert!(help.out.contains("Caution: "));
        for command in COMMANDS {
            assert!(help.out.contains(&format!("\n  {command} ")), "{command}");
        }
    }
    desk.run(&["page", "--help"])
        .ends_with(0)
        .prints("Caution: ");
    for command in COMMANDS {
        let long = desk.run(&[command, "--help"]).ends_with(0);
        assert!(long.out.len() > desk.run(&[command, "-h"]).ends_with(0).out.len());
    }
    let version = format!("setsquare {}\n", env!("CARGO_PKG_VERSION"));
    assert_eq!(desk.run(&["--version"]).ends_with(0).out, version);
}
