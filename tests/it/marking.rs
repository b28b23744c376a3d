//! Lists of answers, marked: the examples of a paper, and what holds of all lists.

mod laws;
mod students;
mod versions;

use setsquare::papers::marking::judge::Judge;
use setsquare::papers::marking::list;
use setsquare::papers::marking::marked::{Answer, Marked, Verdict};
use setsquare::papers::marking::printed::Printed;
use versions::Paper;

fn marked(printed: &Printed, list: &str) -> Marked {
    let list = list::read("answers.csv", list.as_bytes(), &printed.columns());
    assert!(list.diagnostics.is_empty(), "{:?}", list.diagnostics);
    Judge::of(printed).mark(&list)
}

fn examples() -> (Printed, Marked) {
    let printed = Paper::test_3().printed(&[0, 1, 2, 3]);
    let found = marked(&printed, &versions::file("answers.csv"));
    (printed, found)
}

/// The answer of a student in a column.
fn answer<'m>(marked: &'m Marked, id: &str, column: &str) -> &'m Answer {
    let student = marked.students.iter().find(|it| &*it.id == id).unwrap();
    let at = marked.parts.iter().position(|it| it.column() == column);
    &student.answers[at.unwrap()]
}

/// What the answers of all versions are, as the table has it.
#[test]
fn the_versions_have_the_answers_of_the_table() {
    let printed = Paper::test_3().printed(&[0, 1, 2, 3]);
    let list = "id,version\ns0,0\ns1,1\ns2,2\ns3,3\n";
    let found = marked(&printed, list);
    let table = [
        "17.4 m/s|151 kPa gauge|551 N upstream|2.75 kN up|5.14 kN up|6.36 kN·m|57.2 °C|10.8 K|10.2 MJ",
        "16.7 m/s|141 kPa gauge|828 N upstream|4.16 kN up|5.84 kN up|8.07 kN·m|65.7 °C|8.31 K|8.34 MJ",
        "20.5 m/s|210 kPa gauge|1.07 × 10³ N upstream|3.56 kN up|5.02 kN up|7.15 kN·m|63.2 °C|10.8 K|9.22 MJ",
        "16.7 m/s|138 kPa gauge|375 N upstream|3.12 kN up|5.31 kN up|8.00 kN·m|63.9 °C|11.1 K|10.9 MJ",
    ];
    for (student, row) in found.students.iter().zip(table) {
        let own: Vec<String> = (student.answers.iter())
            .map(|answer| answer.right.replace('\u{a0}', " "))
            .collect();
        assert_eq!(own.join("|"), row);
    }
}

#[test]
fn the_examples_have_the_marks_that_were_checked_by_hand() {
    let (_, found) = examples();
    let wanted = [
        ("s01", 26, 0),
        ("s02", 26, 0),
        ("s03", 24, 0),
        ("s04", 25, 0),
        ("s05", 26, 0),
        ("s06", 19, 4),
        ("s07", 21, 0),
        ("s08", 21, 0),
        ("s09", 25, 0),
        ("s10", 20, 2),
        ("s11", 6, 9),
        ("s12", 19, 6),
        ("s13", 0, 26),
        ("s14", 26, 0),
        ("s15", 22, 4),
        ("s16", 9, 10),
        ("s17", 20, 5),
    ];
    let own: Vec<(&str, u32, u32)> = (found.students.iter())
        .map(|student| (&*student.id, student.marks(), student.open()))
        .collect();
    let told: Vec<String> = (found.students.iter())
        .map(|student| {
            let answers = student.answers.iter().zip(&found.parts);
            let answers = answers.map(|(answer, part)| {
                let slip = answer.slip.as_ref().map_or("", |slip| slip.text.as_str());
                format!(
                    "{} `{}` {}/{} ({}) {} {slip} {:?} {:?}\n",
                    part.column(),
                    answer.written,
                    answer.marks,
                    part.of,
                    answer.open,
                    answer.verdict.words(),
                    answer.carried,
                    answer.remarks
                )
            });
            format!("{}\n{}", student.id, answers.collect::<String>())
        })
        .collect();
    assert_eq!(own, wanted, "{}", told.join("\n"));
}

#[test]
fn the_rules_of_reading_and_of_order_do_what_the_table_says() {
    let (_, found) = examples();
    let all = [
        ("s06", "2a", Verdict::TwoRoutes, 0, 4),
        ("s06", "2b", Verdict::Carried, 2, 0),
        ("s06", "1b", Verdict::Slip, 2, 0),
        ("s10", "1a", Verdict::Rounded, 1, 0),
        ("s10", "1c", Verdict::Wrong, 1, 2),
        ("s11", "1b", Verdict::Wrong, 0, 2),
        ("s11", "1c", Verdict::Blank, 2, 0),
        ("s12", "1c", Verdict::ToBeRead, 0, 4),
        ("s13", "1a", Verdict::OtherVersion, 0, 2),
        ("s14", "2b", Verdict::Right, 2, 0),
        ("s15", "1a", Verdict::Right, 2, 0),
        ("s15", "1b", Verdict::Carried, 5, 0),
        ("s15", "2a", Verdict::TwoRoutes, 0, 4),
        ("s15", "2b", Verdict::Carried, 2, 0),
        ("s15", "3a", Verdict::Right, 3, 0),
        ("s15", "3b", Verdict::Carried, 1, 0),
        ("s15", "3c", Verdict::Carried, 3, 0),
        ("s16", "2a", Verdict::Slip, 2, 0),
        ("s16", "1a", Verdict::Blank, 0, 1),
        ("s16", "1b", Verdict::ToBeRead, 0, 5),
        ("s16", "1c", Verdict::Blank, 0, 2),
        ("s17", "1b", Verdict::ToBeRead, 0, 5),
        ("s03", "1a", Verdict::Slip, 0, 0),
        ("s08", "1c", Verdict::Slip, 1, 0),
        ("s08", "2a", Verdict::Slip, 2, 0),
        ("s07", "2b", Verdict::SlipAgain, 2, 0),
        ("s09", "2b", Verdict::Unit, 1, 0),
        ("s04", "1c", Verdict::Direction, 3, 0),
    ];
    for (id, column, verdict, marks, open) in all {
        let own = answer(&found, id, column);
        assert_eq!(
            (own.verdict, own.marks, own.open),
            (verdict, marks, open),
            "{id} {column}: {own:?}"
        );
    }
    let says = |id: &str, column: &str, text: &str| {
        let own = answer(&found, id, column);
        let remarks = own.remarks.join("; ");
        assert!(remarks.contains(text), "{id} {column}: {remarks}");
    };
    says("s06", "2a", "by the alternative right with your `A`");
    says("s16", "2a", "or by the alternative right with your `A`");
    says(
        "s13",
        "1a",
        "3 answers of question 1 are those of version 1, and not right in version 0",
    );
    says("s16", "1b", "`see back` is not understood");
    says("s17", "1b", "has two readings");
    says("s12", "1c", "the sign and the word say it twice");
    assert_eq!(answer(&found, "s13", "1a").other_version, Some(1));
    assert_eq!(answer(&found, "s11", "1b").si, [1.2e6]);
    assert!(answer(&found, "s15", "1b").is_own);
    assert_eq!(answer(&found, "s08", "2b").carried, ["B"]);
    let slip = |id: &str, column: &str| answer(&found, id, column).slip.clone().unwrap();
    for (id, column, class, text) in [
        ("s03", "1a", "diameter", "`D_2` taken for the radius, or"),
        ("s06", "1b", "pressure", "made absolute"),
        ("s07", "1b", "answer", "1/1000 of the answer"),
        ("s07", "3c", "answer", "1000 times the answer"),
        ("s07", "2a", "left out", "`g`"),
        ("s08", "1c", "sign", "p_1 A_1"),
        ("s08", "2a", "left out", "G_b L/2"),
        ("s16", "2a", "factor", "2"),
    ] {
        let own = slip(id, column);
        assert_eq!(own.class, class, "{id} {column}: {own:?}");
        assert!(own.text.contains(text), "{id} {column}: {own:?}");
    }
    assert_eq!(slip("s08", "1c").place, ("fire-nozzle.md".to_owned(), 32));
}

/// The readings of a student stand for those of the worksheet.
#[test]
fn own_readings_are_judged_by_what_comes_of_them() {
    let printed = Paper::alone("spring-lab.md").printed(&[0]);
    let rows = "id,1 x_i,1a,1b\n\
        own,20 39 61 80 99 mm,246 N/m,0.633 s\n\
        theirs,20 39 61 80 99 mm,241 N/m,0.640 s\n\
        four,20 39 61 80 mm,246 N/m,0.633 s\n\
        none,,241 N/m,0.640 s\n";
    let found = marked(&printed, rows);
    let marks = |id: &str| {
        let student = found.students.iter().find(|it| &*it.id == id).unwrap();
        (student.marks(), student.open())
    };
    assert_eq!(marks("own"), (6, 0));
    assert_eq!(marks("none"), (6, 0));
    assert_eq!(marks("four"), (0, 6));
    assert!(marks("theirs").0 < 6);
    let remarks = &answer(&found, "four", "1a").remarks;
    assert_eq!(remarks.as_slice(), ["`x_i` has 4 readings, the table 5"]);
    assert!(answer(&found, "own", "1a").right.starts_with("246"));
}
