use super::*;
use crate::diagnostic::explanation;
use proptest::prelude::*;

fn part(letter: Option<char>, components: usize, marks: &[(&str, u32)]) -> Part {
    Part {
        letter,
        components,
        marks: marks
            .iter()
            .map(|(word, count)| ((*word).into(), *count))
            .collect(),
    }
}

fn paper() -> Paper {
    let named = |name: &str, components| Named {
        name: name.into(),
        components,
    };
    let marks: &[(&str, u32)] = &[("method", 2), ("answer", 1), ("by hand", 1)];
    Paper {
        questions: vec![
            Question {
                parts: vec![
                    part(Some('a'), 1, marks),
                    part(Some('b'), 2, marks),
                    part(Some('c'), 1, &[]),
                ],
                names: vec![named("V_1", 1), named("R", 2), named("alpha", 1)],
            },
            Question {
                parts: vec![part(None, 1, marks)],
                names: vec![named("x_i", 1)],
            },
            Question::default(),
            Question {
                parts: vec![part(None, 1, marks)],
                names: vec![named("x_i", 1)],
            },
        ],
        versions: (0..4)
            .map(|number| Version {
                number,
                fingerprint: Some(format!("K7Q2-M5Z{number}").into()),
            })
            .collect(),
    }
}

fn list(text: &str) -> List {
    read("answers.csv", text.as_bytes(), &paper())
}

/// The codes of what was refused, with the places and messages.
fn refused(text: &str) -> Vec<(Code, String, String)> {
    let found = list(text);
    (found.diagnostics.iter())
        .map(|it| {
            assert!(it.help.is_some(), "{}", it.message);
            let place = found.source.position(it.span.start);
            (
                it.code,
                format!("{}:{}", place.line, place.column),
                it.message.clone(),
            )
        })
        .collect()
}

#[track_caller]
fn check(text: &str, code: Code, place: &str, message: &str) {
    let found = refused(text);
    let is_it = found.len() == 1
        && found[0].0 == code
        && found[0].1 == place
        && found[0].2.contains(message);
    assert!(
        is_it,
        "{}: {found:?}",
        text.chars().take(200).collect::<String>()
    );
}

#[test]
fn columns_are_known_by_the_paper() {
    let head = "id,version,fingerprint,1a,2,1b.x,1b.y,1 V_1,1 R.x,1 R.y,1 α,4 x_i,1a method,1a by hand,2 marks";
    let found = list(&format!("{head}\n"));
    assert_eq!(found.diagnostics, []);
    let holds: Vec<Holds> = found.columns.iter().map(|it| it.holds).collect();
    let answer = |question, part, component| Holds::Answer {
        question,
        part,
        component,
    };
    let own = |question, name, component| Holds::Own {
        question,
        name,
        component,
    };
    let marks = |question, part, kind| Holds::Marks {
        question,
        part,
        kind,
    };
    assert_eq!(
        holds,
        [
            answer(0, 0, None),
            answer(1, 0, None),
            answer(0, 1, Some(0)),
            answer(0, 1, Some(1)),
            own(0, 0, None),
            own(0, 1, Some(0)),
            own(0, 1, Some(1)),
            own(0, 2, None),
            own(3, 0, None),
            marks(0, 0, Some(0)),
            marks(0, 0, Some(2)),
            marks(1, 0, None),
        ]
    );
}

#[test]
fn a_head_that_is_not_known_refuses_the_list() {
    check(
        "id,version,1d\n",
        Code::L01,
        "1:12",
        "`1d` is no part of question 1, which has a to c",
    );
    check(
        "id,version,2a\n",
        Code::L01,
        "1:12",
        "question 2, which has one, `2`",
    );
    check(
        "id,version,9a\n",
        Code::L01,
        "1:12",
        "is of question 9, and the paper has 4",
    );
    check("id,version,1 W\n", Code::L01, "1:12", "no name `W`");
    check("id,version,1a,1a\n", Code::L01, "1:15", "stands twice");
    check("id,version,1a.x\n", Code::L01, "1:12", "`1a.x`");
    check("id,version,1b.x\n", Code::L01, "1:12", "has no column");
    check(
        "id,version,1b,1b.x,1b.y\n",
        Code::L01,
        "1:20",
        "in components",
    );
    check("id,version,01a\n", Code::L01, "1:12", "`01a`");
    check("id,version,\n", Code::L01, "1:12", "no head");
    check("id,version,comment\n", Code::L01, "1:12", "none of a list");
    check("version,1a\n", Code::L02, "1:1", "no column `id`");
    check(
        "id,1a\n",
        Code::L03,
        "1:1",
        "no column `version`, and the paper has 4",
    );
    for title in ["Name", "e-mail", "Date of Birth", "first_name", "Vorname"] {
        check(
            &format!("id,{title},version\n"),
            Code::L08,
            "1:4",
            "ids only",
        );
    }
    let near = |text: &str| list(text).diagnostics[0].help.clone().unwrap();
    assert_eq!(near("id,version,1A\n"), "`1a`");
    assert_eq!(near("id,verison,1a\n"), "`version`");
    assert_eq!(near("id,version,1a metod\n"), "`1a method`");
    assert_eq!(near("id,version,1 V_2\n"), "`1 V_1`");
}

#[test]
fn a_row_that_is_refused_takes_no_other_with_it() {
    let head = "id,version,1a,1a method";
    let rows = [
        ("s01,1,17.4 m/s,2", None),
        (",1,17.4 m/s,", Some((Code::L02, "no id"))),
        (
            "A. Student,1,17.4 m/s,",
            Some((Code::L02, "of another form")),
        ),
        ("=s02,1,17.4 m/s,", Some((Code::L02, "of another form"))),
        (
            "s03,7,17.4 m/s,",
            Some((Code::L03, "no version `7`: the paper has 0 to 3")),
        ),
        ("s04,,17.4 m/s,", Some((Code::L03, "no version: the paper"))),
        ("s05,1,17.4 m/s", Some((Code::L09, "3 entries of 4"))),
        ("s06,1,17,4 m/s,2", Some((Code::L09, "5 entries of 4"))),
        (
            "s07,1,17.4 m/s,3",
            Some((Code::L07, "3 method marks by hand of 2")),
        ),
        (
            "s08,1,17.4 m/s,2.5",
            Some((Code::L07, "`2.5` is no whole number")),
        ),
        ("s09,1,17.4 m/s,+1", Some((Code::L07, "no whole number"))),
        ("s10,1,17.4 m/s,", None),
        (
            "S11,1,1,",
            Some((Code::L02, "`S11` stands in lines 15 and 16")),
        ),
        (
            "s11,1,1,",
            Some((Code::L02, "`s11` stands in lines 15 and 16")),
        ),
        (",,,", None),
        ("s12,1,\"17,4 m/s\",", None),
    ];
    let mut text = format!("{head}\n\n");
    text += &rows.map(|(row, _)| row).join("\n");
    let found = list(&text);
    let ids: Vec<&str> = found.rows.iter().map(|row| &*row.id).collect();
    assert_eq!(ids, ["s01", "s10", "s12"]);
    let mut told = found.diagnostics.iter();
    for (at, (row, expected)) in rows.iter().enumerate() {
        if let Some((code, message)) = expected {
            let one = told.next().expect(row);
            assert_eq!(one.code, *code, "{row}");
            assert!(one.message.contains(message), "{row}: {}", one.message);
            assert_eq!(found.source.line_of(one.span.start), at + 3, "{row}");
        }
    }
    assert!(told.next().is_none());
    let last = &found.rows[2];
    assert_eq!(last.cells[0].says, Says::Words("17,4 m/s".into()));
    assert_eq!(found.source.slice(last.cells[0].span), "\"17,4 m/s\"");
    assert_eq!(found.rows[0].cells[1].says, Says::Marks(2));
    assert_eq!((found.rows[0].line, found.rows[0].version), (3, 1));
}

#[test]
fn a_fingerprint_has_to_be_that_of_the_version() {
    let head = "id,version,fingerprint\n";
    assert_eq!(list(&format!("{head}s01,2,k7q2-m5z2\n")).rows.len(), 1);
    assert_eq!(list(&format!("{head}s01,2,\n")).rows.len(), 1);
    check(
        &format!("{head}s01,2,K7Q2-M5Z3\n"),
        Code::L03,
        "2:7",
        "that of version 3, and the row is of version 2",
    );
    check(
        &format!("{head}s01,2,AAAA-AAAA\n"),
        Code::L03,
        "2:7",
        "not that of version 2",
    );
}

#[test]
fn one_version_need_not_be_named() {
    let mut paper = paper();
    paper.versions.truncate(1);
    let found = read("a.csv", b"id,1a\ns01,5 N\n", &paper);
    assert_eq!((found.rows.len(), found.diagnostics.len()), (1, 0));
    let found = read("a.csv", b"id,version,1a\ns01,,5 N\n", &paper);
    assert_eq!((found.rows.len(), found.diagnostics.len()), (1, 0));
    let found = read("a.csv", b"id,version,1a\ns01,1,5 N\n", &paper);
    assert!(found.diagnostics[0].message.contains("has 0 alone"));
}

#[test]
fn a_list_is_separated_in_one_way() {
    for separator in [",", ";", "\t"] {
        let text = "id|version|1a\ns01|1|5 N\n".replace('|', separator);
        assert_eq!(list(&text).rows.len(), 1, "{separator:?}");
        assert_eq!(
            list(&format!("\u{feff}{}", text.replace('\n', "\r\n")))
                .rows
                .len(),
            1
        );
    }
    check(
        "id;version,1a\ns01;1,5 N\n",
        Code::L09,
        "1:1",
        "separated by commas and semicolons",
    );
    check("", Code::L09, "1:1", "no head row");
    check(
        "id,version,1a\ns01,1,\"5 N\ns02,1,6 N\n",
        Code::L09,
        "2:1",
        "opened in line 2 is never closed",
    );
    let found = read("a.csv", b"id,version\ns01,1\n\xB0", &paper());
    assert!(
        found.diagnostics[0].message.contains("line 3"),
        "{:?}",
        found.diagnostics
    );
    assert_eq!(found.diagnostics[0].code, Code::L09);
}

/// An open quote takes the rows behind it, whose answers are nothing to its message.
#[test]
fn a_message_holds_nothing_of_another_row() {
    let text = "id,version,1a\ns01,1,\"5 N\ns02,1,secret\ns03,1,\"6 N\"\ns04,1,7 N\n";
    let found = list(text);
    assert_eq!(found.rows.len(), 1);
    let shown: String = (found.diagnostics.iter())
        .map(|it| {
            let colour = crate::diagnostic::terminal::Colour::Never;
            crate::diagnostic::terminal::render(it, &found.source, colour)
        })
        .collect();
    assert!(shown.contains("goes on to line 4"), "{shown}");
    assert!(!shown.contains("secret"), "{shown}");
    let text = "id,version,1a\ns01,1,\"5 N\ns02,1,secret\"\ns04,1,7 N\n";
    let found = list(text);
    assert_eq!(found.rows.len(), 1);
    assert!(found.diagnostics[0].message.contains("begins in line 2"));
}

#[test]
fn a_list_has_its_limits() {
    let row = |at: usize| format!("s{at},1,5 N\n");
    let mut text = "id,version,1a\n".to_owned();
    text.extend((0..MOST_ROWS).map(row));
    let found = list(&text);
    assert_eq!((found.rows.len(), found.diagnostics.len()), (MOST_ROWS, 0));
    text += &row(MOST_ROWS);
    check(&text, Code::L09, "10002:1", "more than 10,000 rows");
    let large = vec![b'a'; MOST_BYTES + 1];
    assert!(
        read("a.csv", &large, &paper()).diagnostics[0]
            .message
            .contains("16 MiB")
    );
    // A field of 1 MiB is a field; whether it is a quantity is asked elsewhere.
    let found = list(&format!("id,version,1a\ns01,1,{}\n", "9".repeat(1 << 20)));
    assert_eq!((found.rows.len(), found.diagnostics.len()), (1, 0));
    check(
        &format!("id,version,1a\n{}\n", ",".repeat(1 << 20)),
        Code::L09,
        "2:1",
        "entries of 3",
    );
}

#[test]
fn other_fields_of_a_row_tell_the_decimal_sign() {
    use crate::papers::marking::field::Signs;
    let found = list("id,version,1a,1c,1a method\ns01,1,\"1,200 kPa\",31.7 N,2\n");
    let row = &found.rows[0];
    assert_eq!(row.signs_beside(0), Signs::of("31.7"));
    assert_eq!(row.signs_beside(1), Signs::default());
}

/// The list in a fence below a heading.
fn example(code: Code, heading: &str) -> Option<&'static str> {
    let (_, after) = explanation(code).page.split_once(heading)?;
    let (_, inside) = after.split_once("````csv\n")?;
    inside.split_once("````").map(|(list, _)| list)
}

#[test]
fn the_pages_of_the_codes_show_what_they_say() {
    use Code::{L01, L02, L03, L05, L06, L07, L08, L09, L11};
    for code in [L01, L02, L03, L07, L08, L09] {
        let found = refused(example(code, "## Refused").expect("an example"));
        assert!(
            !found.is_empty() && found.iter().all(|it| it.0 == code),
            "{code}: {found:?}"
        );
    }
    for code in [L01, L02, L03, L05, L06, L07, L08, L09, L11] {
        let accepted = example(code, "## Accepted").expect("an example");
        assert_eq!(refused(accepted), [], "{code}");
    }
}

proptest! {
    #[test]
    fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..60)) {
        let _ = read("a.csv", &bytes, &paper());
    }

    #[test]
    fn a_bad_row_is_nothing_to_the_others(
        bad in "[a-z0-9,;\t\u{e9}.]{0,20}", at in 0..4_usize,
    ) {
        let mut rows = vec!["s01,1,5 N", "s02,1,6 N", "s03,1,7 N"];
        rows.insert(at.min(3), &bad);
        let text = format!("id,version,1a\n{}\n", rows.join("\n"));
        let found = list(&text);
        let kept = found.rows.iter().filter(|row| row.id.starts_with("s0")).count();
        // The row may be another of theirs.
        prop_assert!(kept >= 3 || bad.to_lowercase().starts_with("s0"), "{:?}", found.diagnostics);
    }

    #[test]
    fn heads_of_any_letters_are_known_or_refused(title in "[0-9a-z. _é-]{0,12}") {
        let found = list(&format!("id,version,{title}\ns01,1,5\n"));
        prop_assert!(found.diagnostics.iter().all(|it| it.help.is_some()));
    }
}
