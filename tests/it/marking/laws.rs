//! What holds of the marks of every list.

use setsquare::papers::marking::judge::Judge;
use setsquare::papers::marking::marked::{Marked, Verdict};
use setsquare::papers::marking::printed::Printed;

use super::students::{Chance, Columns, Sheet};
use super::versions::{Paper, file};
use super::{answer, examples, marked};

const ALL: [u16; 4] = [0, 1, 2, 3];

fn head(found: &Marked) -> String {
    let columns: Vec<String> = found
        .parts
        .iter()
        .map(|it| format!("\"{}\"", it.column()))
        .collect();
    format!("id,version,{}\n", columns.join(","))
}

fn row(id: &str, version: u16, answers: &[String]) -> String {
    let quoted: Vec<String> = answers.iter().map(|it| format!("\"{it}\"")).collect();
    format!("{id},{version},{}\n", quoted.join(","))
}

/// The answers of all versions as they are printed.
fn table(printed: &Printed) -> (String, Vec<Vec<String>>) {
    let found = marked(printed, "id,version\nk0,0\nk1,1\nk2,2\nk3,3\n");
    let answers = found.students.iter();
    let answers = answers.map(|it| it.answers.iter().map(|it| it.right.clone()).collect());
    (head(&found), answers.collect())
}

#[test]
fn the_order_of_rows_changes_nothing() {
    let (printed, found) = examples();
    let text = file("answers.csv");
    let (head, rows) = text.split_once('\n').unwrap();
    let mut rows: Vec<&str> = rows.lines().collect();
    rows.reverse();
    let turned = marked(&printed, &format!("{head}\n{}\n", rows.join("\n")));
    for student in &found.students {
        let other = turned
            .students
            .iter()
            .find(|it| it.id == student.id)
            .unwrap();
        assert_eq!(student.answers, other.answers, "{}", student.id);
    }
}

#[test]
fn the_answers_of_the_table_have_all_marks_at_any_tolerance() {
    for within in ["0.001 %", "0.3 %", "1 %", "7 %"] {
        let text = file("test-3.md").replace("paper: A4", &format!("within: {within}"));
        let printed = Paper::of("test-3.md", &text).printed(&ALL);
        let (head, answers) = table(&printed);
        let rows = answers.iter().zip(ALL);
        let rows = rows.map(|(own, version)| row(&format!("s{version}"), version, own));
        let found = marked(&printed, &(head + &rows.collect::<String>()));
        for student in &found.students {
            assert_eq!(
                (student.marks(), student.open()),
                (26, 0),
                "{within} {student:#?}"
            );
        }
    }
}

#[test]
fn an_end_of_the_printed_range_is_right_and_a_step_beyond_is_not() {
    let paper = Paper::test_3();
    let printed = paper.printed(&ALL);
    let mut looked_at = 0;
    for version in ALL {
        let columns = Columns::of(&paper, version);
        for (part, ends) in columns.ends.iter().enumerate() {
            let (from, to, step) = *ends;
            for (number, is_in) in [
                (from, true),
                (to, true),
                (from - step, false),
                (to + step, false),
            ] {
                let decimals = (-step.log10().round()).max(0.0) as usize;
                let unit = &columns.units[part];
                let text = format!("{number:.decimals$} {unit}");
                let list = format!("id,version,{}\ns1,{version},{text}\n", columns.heads[part]);
                let found = marked(&printed, &list);
                let verdict = answer(&found, "s1", &columns.heads[part]).verdict;
                assert_eq!(verdict == Verdict::Right, is_in, "{version} {text}");
                looked_at += 1;
            }
        }
    }
    assert_eq!(looked_at, 4 * 9 * 4);
}

#[test]
fn commas_other_units_and_groups_change_no_marks() {
    let paper = Paper::test_3();
    let printed = paper.printed(&ALL);
    let mut chance = Chance(7);
    for round in 0..60 {
        let version = ALL[round % 4];
        let columns = Columns::of(&paper, version);
        let values: Vec<f64> = (columns.values.iter())
            .map(|right| match chance.below(3) {
                0 => right * (0.5 + chance.part()),
                _ => *right,
            })
            .collect();
        // Of numbers with a decimal sign in each, so that the rows decide.
        let plain: Vec<String> = values.iter().map(|value| format!("{:.2}", value)).collect();
        let with = |change: &dyn Fn(usize, &str) -> String| -> Vec<String> {
            plain
                .iter()
                .enumerate()
                .map(|(at, it)| change(at, it))
                .collect()
        };
        let unit = |at: usize| columns.units[at].clone();
        let forms = [
            with(&|at, it| format!("{it} {}", unit(at))),
            with(&|at, it| format!("{} {}", it.replace('.', ","), unit(at))),
            with(&|at, it| match unit(at).as_str() {
                "kN" => format!("{}e3 N", it),
                "kPa" => format!("{}e-3 MPa", it),
                "kN m" => format!("{}e3 N m", it),
                "MJ" => format!("{}e3 kJ", it),
                "m/s" => format!("{it}e2 cm/s"),
                unit => format!("{it} {unit}"),
            }),
            with(&|at, it| {
                let (whole, behind) = it.split_once('.').unwrap();
                let (sign, whole) = match whole.strip_prefix('-') {
                    Some(rest) => ("-", rest),
                    None => ("", whole),
                };
                let cut = whole.len().saturating_sub(3);
                let whole = match cut {
                    0 => whole.to_owned(),
                    cut => format!("{} {}", &whole[..cut], &whole[cut..]),
                };
                format!("{sign}{whole}.{behind} {}", unit(at))
            }),
        ];
        let mut list = columns.head();
        for (at, form) in forms.iter().enumerate() {
            list += &row(&format!("s{at}"), version, form);
        }
        let found = marked(&printed, &list);
        let marks: Vec<Vec<(u32, u32)>> = (found.students.iter())
            .map(|it| it.answers.iter().map(|it| (it.marks, it.open)).collect())
            .collect();
        for (at, own) in marks.iter().enumerate() {
            assert_eq!(own, &marks[0], "{:?}\n{:?}", forms[0], forms[at]);
        }
    }
}

#[test]
fn a_wrong_value_that_is_carried_loses_its_own_part_alone() {
    let paper = Paper::test_3();
    let printed = paper.printed(&ALL);
    let mut chance = Chance(11);
    let mut looked_at = 0;
    for round in 0..120 {
        let version = ALL[round % 4];
        let columns = Columns::of(&paper, version);
        let wrong = chance.below(columns.heads.len());
        let factor = 1.08 + 0.4 * chance.part();
        let sheet = Sheet::with_one_wrong(&paper, version, wrong, factor);
        let list = columns.head() + &row("s1", version, &sheet);
        let found = marked(&printed, &list);
        for (at, own) in found.students[0].answers.iter().enumerate() {
            if at != wrong {
                assert_eq!(own.marks, found.parts[at].of, "{wrong} {own:?} {sheet:?}");
                looked_at += 1;
            } else {
                assert!(own.marks < found.parts[at].of, "{own:?}");
            }
        }
    }
    assert_eq!(looked_at, 120 * 8);
}

#[test]
fn marks_and_what_is_open_never_exceed_the_total() {
    let printed = Paper::test_3().printed(&ALL);
    let (head, table) = table(&printed);
    let mut chance = Chance(3);
    let words = [
        "",
        "-",
        "see back",
        "1,200",
        "551 N upstream",
        "-3",
        "1e400 N",
        "NaN",
        "0 kN",
        "5 m",
        "57.2",
        "= 3 kN",
        "(1, 2) kN",
        "99999999999999999999 K",
        "12.3 degF",
        "10 %",
        "0",
    ];
    let mut list = head;
    for at in 0..600 {
        let version = ALL[chance.below(4)];
        let answers: Vec<String> = (0..9)
            .map(|part| match chance.below(3) {
                0 => words[chance.below(words.len())].to_owned(),
                1 => table[chance.below(4)][part].clone(),
                _ => format!("{:.3}", 30.0 * chance.part()),
            })
            .collect();
        list += &row(&format!("s{at}"), version, &answers);
    }
    let found = marked(&printed, &list);
    assert_eq!(found.students.len(), 600);
    for student in &found.students {
        for (own, part) in student.answers.iter().zip(&found.parts) {
            assert!(own.marks + own.open <= part.of, "{own:?}");
        }
    }
}

#[test]
fn a_sheet_of_another_version_is_met() {
    let printed = Paper::test_3().printed(&ALL);
    let judge = Judge::of(&printed);
    let (head, table) = table(&printed);
    let (mut list, mut pairs) = (head, Vec::new());
    for own in ALL {
        for from in ALL.into_iter().filter(|from| *from != own) {
            for question in 0..3 {
                let (marks, of) = judge.copy(own.into(), question, from.into());
                assert!(
                    2 * marks <= of,
                    "{question}: {from} in {own} has {marks} of {of}"
                );
            }
            list += &row(&format!("s{own}-{from}"), own, &table[usize::from(from)]);
            pairs.push(from);
        }
    }
    let found = marked(&printed, &list);
    for (student, from) in found.students.iter().zip(pairs) {
        for question in 0..3 {
            let own = &student.answers[3 * question..3 * question + 3];
            let wrong = own.iter().filter(|it| it.verdict != Verdict::Right).count();
            if wrong < 2 {
                continue;
            }
            for it in own.iter().filter(|it| it.verdict != Verdict::Right) {
                assert_eq!(it.verdict, Verdict::OtherVersion, "{} {it:?}", student.id);
                assert_eq!((it.marks, it.other_version), (0, Some(from)));
            }
        }
    }
}

/// Marks that a person gave stand instead of what is computed, in all that they are of.
#[test]
fn marks_by_hand_stand_for_those_that_are_computed() {
    let printed = Paper::test_3().printed(&[0]);
    let list = "id,1a,1a marks,1b,1b method,2a,2a method\n\
        s1,31.7 m/s,2,151 kPa,1,5 kN,2\n\
        s2,17.4 m/s,0,see back,2,,\n";
    let found = marked(&printed, list);
    let of = |id: &str, column: &str| {
        let own = answer(&found, id, column);
        (own.marks, own.open, own.verdict)
    };
    assert_eq!(of("s1", "1a"), (2, 0, Verdict::ByHand));
    assert_eq!(of("s1", "1b"), (4, 0, Verdict::Right));
    assert_eq!(of("s1", "2a"), (2, 0, Verdict::Wrong));
    assert_eq!(of("s2", "1a"), (0, 0, Verdict::ByHand));
    assert_eq!(of("s2", "1b"), (2, 3, Verdict::ToBeRead));
    assert_eq!(of("s2", "2a"), (0, 2, Verdict::Blank));
    let remarks = &answer(&found, "s1", "1b").remarks;
    assert_eq!(remarks.as_slice(), ["1 method by hand for 2 computed"]);
}

/// A line between that stands in the list is judged by itself, and carried.
#[test]
fn a_value_of_a_line_between_is_judged_by_itself() {
    let printed = Paper::test_3().printed(&[0]);
    let list = "id,1 A_1,1 V_1,1a,1b,1c\n\
        right,50.3 cm^2,2.79 m/s,17.4 m/s,140 kPa,-551 N\n\
        wrong,40.0 cm^2,3.50 m/s,17.4 m/s,149 kPa,-386 N\n";
    let found = marked(&printed, list);
    // The answer of `A_1` and the method of `V_1` are earned, of the rest 3 are lost or open.
    let own = answer(&found, "right", "1b");
    assert_eq!((own.marks, own.open, own.verdict), (2, 1, Verdict::Wrong));
    let own = answer(&found, "wrong", "1b");
    assert_eq!((own.marks, own.open, own.verdict), (4, 0, Verdict::Carried));
    assert_eq!(own.carried, ["V_1"]);
}
