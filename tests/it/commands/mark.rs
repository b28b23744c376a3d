//! `setsquare mark` and the record by which it marks.

use super::desk::Desk;

const ROD: &str = "---\ntitle: Rod\n---\n\n# Rod\n\nA rod is puled.\n\n```given\nF = 12.0 kN -- pull\n\
                   A = 300 mm^2\n```\n\n```required\nsigma = ? MPa -- stress (3 marks)\n\
                   W = ? N -- of a metre (1 mark)\n```\n\n## Solution\n\n```work\n\
                   sigma = F/A = ? MPa -- (3 answer)\nW = (77.0 kN/m^3) A (1 m) = ? N -- (1 answer)\n```\n";

const ANSWERS: &str = "id,version,1a,1b\ns02,0,40.0 MPa,23.1 N\ns01,0,see back,-\n";

fn printed() -> Desk {
    let desk = Desk::with(&[("rod.md", ROD), ("answers.csv", ANSWERS)]);
    desk.run(&["paper", "rod.md", "--only", "questions"])
        .ends_with(0);
    desk
}

#[test]
fn marks_and_reports_are_written_for_their_owner_alone() {
    let desk = printed();
    let run = desk.run(&["mark", "rod.md", "answers.csv", "--reports", "-o", "out"]);
    let run = run.ends_with(0);
    assert!(
        run.out.starts_with("answers.csv: 2 students"),
        "{}",
        run.out
    );
    assert!(
        run.out
            .ends_with("written: rod.marks.csv, rod.marks.html, rod.reports/ (2)\n")
    );
    let written = [
        "out/rod.marks.csv",
        "out/rod.marks.html",
        "out/rod.reports/s01.html",
        "out/rod.reports/s02.html",
    ];
    let names = desk.names();
    for name in written {
        assert!(names.iter().any(|it| it == name), "{names:?}");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = std::fs::metadata(desk.path(name))
                .unwrap()
                .permissions()
                .mode();
            assert_eq!(mode & 0o777, 0o600, "{name}");
        }
    }
    // In the order of the list.
    let table = desk.read("out/rod.marks.csv");
    let ids: Vec<&str> = table
        .lines()
        .map(|row| row.split(',').next().unwrap())
        .collect();
    assert_eq!(ids, ["id", "s02", "s01"]);
    // Fonts are bytes in which anything may stand.
    let page = desk.read("out/rod.reports/s01.html");
    let (_, body) = page.split_once("<main>").unwrap();
    assert!(body.contains("1 (a)") && !body.contains("s02"), "{body}");
    // Nothing of students stands in the record.
    assert!(!desk.read("rod.record.json").contains("s02"));
}

#[test]
fn json_is_printed_and_no_file_is_written() {
    let desk = printed();
    let before = desk.names();
    let run = desk
        .run(&["mark", "rod.md", "answers.csv", "--json"])
        .ends_with(0);
    let found: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(found["paper"], "rod.md");
    assert_eq!(found["students"][0]["id"], "s02");
    assert_eq!(found["students"][0]["parts"][0]["unit"], "MPa");
    assert_eq!(found["students"][0]["of"], 4);
    assert_eq!(desk.names(), before);
}

#[test]
fn a_row_that_is_refused_is_told_and_the_others_are_marked() {
    let desk = printed();
    desk.write(
        "answers.csv",
        format!("{ANSWERS}s03,7,40 MPa,\n").as_bytes(),
    );
    let run = desk.run(&["mark", "rod.md", "answers.csv"]).ends_with(1);
    assert!(run.messages.contains("L03"), "{}", run.messages);
    assert_eq!(desk.read("rod.marks.csv").lines().count(), 3);
    // A head that is refused leaves nothing to mark, and the marks as they are.
    desk.write("answers.csv", b"id,name,1a\ns01,X,40 MPa\n");
    let run = desk.run(&["mark", "rod.md", "answers.csv"]).ends_with(1);
    assert!(run.messages.contains("L08") && run.messages.ends_with("answers.csv: not marked\n"));
    assert_eq!(desk.read("rod.marks.csv").lines().count(), 3);
    desk.run(&["mark", "rod.md", "none.csv"]).ends_with(2);
}

#[test]
fn an_edited_paper_is_marked_only_as_it_is_told() {
    let desk = printed();
    desk.write("rod.md", ROD.replace("puled", "pulled").as_bytes());
    desk.run(&["mark", "rod.md", "answers.csv"]).ends_with(0);
    desk.write("rod.md", ROD.replace("12.0 kN", "12.5 kN").as_bytes());
    let run = desk.run(&["mark", "rod.md", "answers.csv"]).ends_with(1);
    assert!(
        run.messages.contains(
            "the paper was edited after it was printed: question 1 version 0, `F` was 12.0 kN \
             and is 12.5 kN"
        ),
        "{}",
        run.messages
    );
    let right = |option: &str| {
        let arguments = ["mark", "rod.md", "answers.csv", "--json", option];
        let run = desk.run(&arguments).ends_with(0);
        let found: serde_json::Value = serde_json::from_str(&run.out).unwrap();
        found["students"][0]["parts"][0]["right"]
            .as_str()
            .unwrap()
            .to_owned()
    };
    assert!(
        right("--as-printed").starts_with("40.00"),
        "{}",
        right("--as-printed")
    );
    assert!(
        right("--as-edited").starts_with("41.67"),
        "{}",
        right("--as-edited")
    );
    desk.run(&[
        "mark",
        "rod.md",
        "answers.csv",
        "--as-edited",
        "--as-printed",
    ])
    .ends_with(2);
}

#[test]
fn a_record_is_written_over_by_the_same_paper_or_by_a_reprint() {
    let desk = printed();
    let before = desk.read("rod.record.json");
    desk.run(&["paper", "rod.md", "--only", "questions"])
        .ends_with(0);
    assert_eq!(desk.read("rod.record.json"), before);
    desk.write(
        "rod.md",
        ROD.replace("(3 answer)", "(2 answer, 1 method)").as_bytes(),
    );
    let run = desk
        .run(&["paper", "rod.md", "--only", "questions"])
        .ends_with(1);
    assert!(
        run.messages.contains("P17") && run.messages.contains("`sigma` had (3 answer) and has"),
        "{}",
        run.messages
    );
    assert_eq!(desk.read("rod.record.json"), before);
    desk.run(&["paper", "rod.md", "--only", "questions", "-o", "other"])
        .ends_with(0);
    desk.run(&["paper", "rod.md", "--only", "questions", "--reprint"])
        .ends_with(0);
    assert_ne!(desk.read("rod.record.json"), before);
    desk.write("rod.record.json", b"{}");
    let run = desk.run(&["mark", "rod.md", "answers.csv"]).ends_with(2);
    assert!(
        run.messages.contains("it is no record of a paper"),
        "{}",
        run.messages
    );
    desk.run(&[
        "mark",
        "rod.md",
        "answers.csv",
        "--as-printed",
        "-o",
        "none",
    ])
    .ends_with(2);
}

#[test]
fn a_data_file_that_is_another_one_is_named() {
    let sheet = ROD.replace(
        "```required",
        "```data readings\nfile \"pull.csv\"\nx_i / mm = column 1\n```\n\n```required",
    );
    let desk = Desk::with(&[
        ("rod.md", &sheet),
        ("answers.csv", ANSWERS),
        ("pull.csv", "x\n1\n2\n"),
    ]);
    let run = desk.run(&["paper", "rod.md", "--only", "questions"]);
    if run.status != 0 {
        panic!("{}", run.messages);
    }
    desk.write("pull.csv", b"x\n1\n3\n");
    let run = desk
        .run(&["mark", "rod.md", "answers.csv", "--as-printed"])
        .ends_with(1);
    assert!(
        run.messages.contains("`pull.csv` is another file now"),
        "{}",
        run.messages
    );
}
