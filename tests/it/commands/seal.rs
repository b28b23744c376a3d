//! `setsquare seal`: entries of a notebook and their ledger.

use super::desk::Desk;

const BOOK: &str = "# Tank\n\n```given\nd = 15 mm\n```\n\n## 2026-03-10 First\n\n\
                    ```answer\nd = ? mm\n```\n";
const SECOND: &str = "\n## 2026-03-11 Correction to 2026-03-10\n\nThe tape was 2 mm too low.\n";

#[test]
fn entries_are_sealed_once_and_each_after_the_other() {
    let desk = Desk::with(&[("a.md", BOOK)]);
    desk.run(&["seal", "a.md"]).ends_with(0).says(
        "a.md: above the first entry sealed\n\
         a.md: 2026-03-10 First sealed\n",
    );
    let first = desk.read("a.md.seal");
    assert_eq!(first.lines().count(), 3);
    assert!(
        first
            .lines()
            .nth(2)
            .unwrap()
            .contains(" | 2026-03-10 First | ")
    );
    assert!(first.contains(" | d = 15 mm | "));
    assert_eq!(desk.run(&["seal", "a.md"]).ends_with(0).messages, "");
    assert_eq!(desk.read("a.md.seal"), first);
    desk.write("a.md", format!("{BOOK}{SECOND}").as_bytes());
    desk.run(&["fill", "a.md"]).ends_with(0);
    desk.run(&["seal", "a.md"]).ends_with(0);
    let second = desk.read("a.md.seal");
    assert!(second.starts_with(&first) && second.lines().count() == 4);
    let run = desk.run(&["seal", "--check", "a.md"]).ends_with(0);
    assert_eq!(
        run.out,
        "a.md: above the first entry: as sealed\n\
         a.md: 2026-03-10 First: as sealed\n\
         a.md: 2026-03-11 Correction to 2026-03-10: as sealed\n"
    );
}

#[test]
fn what_was_altered_or_is_missing_is_told_and_not_sealed_again() {
    let desk = Desk::with(&[("a.md", &format!("{BOOK}{SECOND}"))]);
    desk.run(&["seal", "a.md"]).ends_with(0);
    let ledger = desk.read("a.md.seal");
    desk.write("a.md", BOOK.replace("15 mm", "16 mm").as_bytes());
    let run = desk.run(&["seal", "--check", "a.md"]).ends_with(1);
    assert_eq!(
        run.out,
        "a.md: above the first entry: altered\n\
         a.md: 2026-03-10 First: altered (its text is as sealed, but it answered d = 15 mm and \
         answers d = 16 mm now)\n\
         a.md: 2026-03-11 Correction to 2026-03-10: missing\n"
    );
    desk.run(&["seal", "a.md"])
        .ends_with(1)
        .says("a.md: 2026-03-10 First was altered after its seal: write a new entry\n");
    assert_eq!(desk.read("a.md.seal"), ledger);
}

#[test]
fn a_file_that_an_entry_reads_is_sealed_with_it() {
    let table = "```data log\nfile \"log.csv\"\nt_i / s = column \"t\"\n```\n";
    let text = format!("# Tank\n\n## 2026-03-10 First\n\n{table}\n# Other\n\nWords.\n");
    let desk = Desk::with(&[("a.md", &text), ("log.csv", "t\n1\n2\n")]);
    desk.run(&["seal", "a.md"]).ends_with(0);
    let ledger = desk.read("a.md.seal");
    assert_eq!(ledger.matches("log.csv ").count(), 1, "{ledger}");
    let run = desk.run(&["seal", "--check", "a.md"]).ends_with(0);
    assert!(run.out.contains("First: as sealed"), "{}", run.out);
    desk.write("log.csv", b"t\n1\n3\n");
    let run = desk.run(&["seal", "--check", "a.md"]).ends_with(1);
    assert!(run.out.contains("2026-03-10 First: altered"), "{}", run.out);
    assert!(run.out.contains("log.csv"), "{}", run.out);
    assert!(run.out.contains("Other: as sealed"), "{}", run.out);
}

#[test]
fn an_entry_names_the_files_of_its_own_lines_and_a_failed_check_is_told() {
    let first =
        "## 2026-03-10 First\n\n```data log\nfile \"log.csv\"\nt_i / s = column \"t\"\n```\n";
    let second = "## 2026-03-11 Second\n\n```work\nt = mean(t_i) = ? s\n```\n\n\
                  ```check\nt > 5 s\n```\n\n```answer\nt = ? s\n```\n";
    let text = format!("# Tank\n\n{first}\n{second}");
    let desk = Desk::with(&[("a.md", &text), ("log.csv", "t\n1\n2\n")]);
    let run = desk.run(&["seal", "a.md"]).ends_with(0);
    run.says(
        "a.md: above the first entry sealed\n\
         a.md: 2026-03-10 First sealed\n\
         a.md: 2026-03-11 Second sealed as it is: the check in line 17 does not hold\n",
    );
    let ledger = desk.read("a.md.seal");
    let names = |line: usize| ledger.lines().nth(line).unwrap().contains("log.csv");
    assert!(!names(1) && names(2) && !names(3), "{ledger}");
    desk.write("log.csv", b"t\n1\n3\n");
    let run = desk.run(&["seal", "--check", "a.md"]).ends_with(1);
    assert_eq!(
        run.out,
        "a.md: above the first entry: as sealed\n\
         a.md: 2026-03-10 First: as sealed\n\
         a.md: log.csv, of 2026-03-10 First: altered\n\
         a.md: 2026-03-11 Second: altered (its text is as sealed, but it answered t = 1.500 s and \
         answers t = 2.000 s now)\n"
    );
}

#[test]
fn a_worksheet_that_an_entry_takes_from_is_sealed_with_what_it_reads() {
    let water = "```data water\nfile \"rho.csv\"\nT_i / degC = column 1\nrho_i / (kg/m^3) = column 2\n```\n\n\
                 ```work\nrho(T) = rho_i against T_i\n```\n\n```given\nmu = 1.0 mPa s\n```\n";
    let first =
        "## 2026-03-10 First\n\n```given\nrho = rho of \"t/water.md\" at T = 15 degC\n```\n";
    let second = "## 2026-03-11 Second\n\n```given\nf(T) = rho of \"t/water.md\"\n```\n";
    let text = format!("# Tank\n\n{first}\n{second}\n## 2026-03-12 Third\n\nWords.\n");
    let desk = Desk::with(&[
        ("a.md", &text),
        ("t/water.md", water),
        ("t/rho.csv", "T,rho\n10,999.7\n20,998.2\n"),
    ]);
    desk.run(&["seal", "a.md"]).ends_with(0);
    let ledger = desk.read("a.md.seal");
    let named = |line: usize| ledger.lines().nth(line).unwrap().matches("t/").count();
    assert_eq!([1, 2, 3, 4].map(named), [0, 2, 2, 0], "{ledger}");
    desk.run(&["seal", "--check", "a.md"]).ends_with(0);
    desk.write("t/rho.csv", b"T,rho\n10,999.7\n20,998.3\n");
    let run = desk.run(&["seal", "--check", "a.md"]).ends_with(1);
    assert!(
        run.out.contains("t/rho.csv, of 2026-03-10 First: altered"),
        "{}",
        run.out
    );
    assert!(
        run.out.contains("t/rho.csv, of 2026-03-11 Second: altered"),
        "{}",
        run.out
    );
    assert!(
        run.out
            .contains("t/water.md, of 2026-03-10 First: as sealed"),
        "{}",
        run.out
    );
    desk.write("t/water.md", water.replace("1.0", "1.1").as_bytes());
    let run = desk.run(&["seal", "--check", "a.md"]).ends_with(1);
    assert!(
        run.out
            .contains("t/water.md, of 2026-03-11 Second: altered"),
        "{}",
        run.out
    );
}

#[test]
fn a_page_shows_the_seals_and_what_was_altered_since() {
    let desk = Desk::with(&[("d/a.md", &format!("{BOOK}{SECOND}"))]);
    desk.run(&["seal", "d/a.md"]).ends_with(0);
    desk.run(&["page", "d/a.md"]).ends_with(0);
    let page = desk.read("d/a.html");
    assert_eq!(page.matches("Sealed ").count(), 2);
    assert!(page.contains("<a href=\"#h-2026-03-11-correction-to-2026-03-10\">2026-03-11</a>"));
    desk.write(
        "d/a.md",
        format!("{BOOK}{SECOND}")
            .replace("2 mm too", "3 mm too")
            .as_bytes(),
    );
    desk.run(&["page", "d/a.md"]).ends_with(0);
    let page = desk.read("d/a.html");
    assert_eq!(page.matches("Sealed ").count(), 1);
    assert_eq!(page.matches("Altered after it was sealed on").count(), 1);
    let json = desk.run(&["check", "--json", "d/a.md"]).ends_with(0).out;
    assert!(json.contains("\"sealed\": \"altered\""), "{json}");
}

#[test]
fn an_entry_with_an_error_is_not_sealed_and_the_others_are() {
    let text = format!("{BOOK}{SECOND}").replace("d = ? mm", "h = ? mm");
    let desk = Desk::with(&[("a.md", &text)]);
    desk.run(&["seal", "a.md"])
        .ends_with(1)
        .says("a.md: 2026-03-10 First has an error in line 10 and is not sealed\n");
    assert_eq!(desk.read("a.md.seal").lines().count(), 3);
    let run = desk.run(&["seal", "--check", "a.md"]).ends_with(1);
    assert!(run.out.contains("2026-03-10 First: not sealed\n"));
}

#[test]
fn a_ledger_that_was_changed_is_refused_with_the_first_line_that_is_broken() {
    let desk = Desk::with(&[("a.md", &format!("{BOOK}{SECOND}"))]);
    desk.run(&["seal", "a.md"]).ends_with(0);
    let changed = desk.read("a.md.seal").replace("d = 15 mm", "d = 15.1 mm");
    desk.write("a.md.seal", changed.as_bytes());
    let run = desk.run(&["seal", "--check", "a.md"]).ends_with(1);
    assert_eq!(
        run.out,
        "a.md.seal:4: broken: it does not go on from the line before it\n"
    );
    desk.run(&["seal", "a.md"])
        .ends_with(2)
        .says("nothing is sealed");
    assert_eq!(desk.read("a.md.seal"), changed);
}

#[test]
fn headings_that_are_alike_and_standard_input_are_refused() {
    let desk = Desk::with(&[("a.md", &format!("{BOOK}\n## 2026-03-10 First\n"))]);
    desk.run(&["seal", "a.md"])
        .ends_with(1)
        .says("a.md:13: `2026-03-10 First` stands twice");
    assert_eq!(desk.names(), ["a.md"]);
    desk.run_with(&["seal", "-"], BOOK.as_bytes())
        .ends_with(2)
        .says("no ledger beside it");
}
