//! The seventeen students of the example, as they are marked by hand.

use super::marked::{Answer, Marked, PartOf, Slip, Student, Verdict};

/// Each student's answers: marks, open ones where there are any, and what was found where that is
/// more than "right": `1+2o wrong`.
const STUDENTS: [(&str, [&str; 9]); 17] = [
    ("s01", ["2", "5", "4", "4", "2", "2", "3", "1", "3"]),
    ("s02", ["2", "5", "4", "4", "2", "2", "3", "1", "3"]),
    (
        "s03",
        [
            "0 diameter",
            "5 carried",
            "4 carried",
            "4",
            "2",
            "2",
            "3",
            "1",
            "3",
        ],
    ),
    (
        "s04",
        ["2", "5", "3 direction", "4", "2", "2", "3", "1", "3"],
    ),
    ("s05", ["2", "5", "4", "4", "2", "2", "3", "1", "3"]),
    (
        "s06",
        [
            "2",
            "2 pressure",
            "4 carried",
            "0+4o two routes",
            "2 carried",
            "2",
            "3",
            "1",
            "3",
        ],
    ),
    (
        "s07",
        [
            "2",
            "3 prefix",
            "4 carried",
            "2 factor",
            "2 carried",
            "2 carried",
            "3",
            "1",
            "2 answer",
        ],
    ),
    (
        "s08",
        [
            "2",
            "5",
            "1 sign",
            "2 left out",
            "2 carried",
            "2 carried",
            "3",
            "1",
            "3",
        ],
    ),
    ("s09", ["2", "5", "4", "4", "1 unit", "2", "3", "1", "3"]),
    (
        "s10",
        [
            "1 rounded",
            "5",
            "1+2o wrong",
            "3 rounded",
            "2",
            "2",
            "3",
            "1",
            "2 rounded",
        ],
    ),
    (
        "s11",
        [
            "0+1o wrong",
            "0+2o wrong",
            "2 by hand",
            "0+2o wrong",
            "0+1o wrong",
            "0+1o blank",
            "0+2o wrong",
            "1 carried",
            "3 carried",
        ],
    ),
    (
        "s12",
        [
            "2",
            "5",
            "0+4o to be read",
            "4",
            "2",
            "2",
            "0+2o wrong",
            "1 carried",
            "3 carried",
        ],
    ),
    (
        "s13",
        [
            "0+2o other version",
            "0+5o other version",
            "0+4o other version",
            "0+4o other version",
            "0+2o other version",
            "0+2o other version",
            "0+3o other version",
            "0+1o other version",
            "0+3o other version",
        ],
    ),
    ("s14", ["2", "5", "4", "4", "2", "2", "3", "1", "3"]),
    (
        "s15",
        [
            "2",
            "5 carried",
            "4",
            "0+4o two routes",
            "2 carried",
            "2 carried",
            "3",
            "1 carried",
            "3 carried",
        ],
    ),
    (
        "s16",
        [
            "0+1o blank",
            "0+5o to be read",
            "0+2o blank",
            "2 factor",
            "2 carried",
            "2 carried",
            "3",
            "0 blank",
            "0+2o blank",
        ],
    ),
    (
        "s17",
        [
            "1 rounded",
            "0+5o to be read",
            "4",
            "4",
            "2",
            "2",
            "3",
            "1",
            "3",
        ],
    ),
];

const PARTS: [(usize, char, &str, &str, u32, &str); 9] = [
    (1, 'a', "V_2", "V₂", 2, "17.4 m/s"),
    (1, 'b', "p_1", "p₁", 5, "151 kPa gauge"),
    (1, 'c', "R_x", "Rₓ", 4, "551 N upstream"),
    (2, 'a', "B", "B", 4, "2.75 kN up"),
    (2, 'b', "A", "A", 2, "5.14 kN up"),
    (2, 'c', "M", "M", 2, "6.36 kN·m"),
    (3, 'a', "T_m", "Tₘ", 3, "57.2 °C"),
    (3, 'b', "DT", "ΔT", 1, "10.8 K"),
    (3, 'c', "E", "E", 3, "10.2 MJ"),
];

/// What students wrote where the tests look at it.
const WRITTEN: [(&str, usize, &str); 9] = [
    ("s08", 2, "970 N"),
    ("s08", 3, "1.94 kN"),
    ("s08", 4, "5.95 kN"),
    ("s08", 5, "7.42 kN m"),
    ("s10", 2, "-600 N"),
    ("s11", 3, "3.11 kN"),
    ("s12", 2, "-551 N upstream"),
    ("s16", 1, "see back"),
    ("s17", 1, "1,200 kPa"),
];

/// The list of the example, marked.
pub(crate) fn marked() -> Marked {
    let parts: Vec<PartOf> = (PARTS.iter())
        .map(|(question, letter, name, printed, of, _)| PartOf {
            question: *question,
            letter: Some(*letter),
            name: (*name).to_owned(),
            printed: (*printed).to_owned(),
            of: *of,
        })
        .collect();
    let students = (STUDENTS.iter().enumerate()).map(|(row, (id, cells))| Student {
        id: (*id).into(),
        version: 0,
        line: row + 2,
        answers: (cells.iter().enumerate())
            .map(|(at, cell)| answer(id, at, cell))
            .collect(),
    });
    let students = students.collect();
    Marked { parts, students }
}

fn answer(id: &str, at: usize, cell: &str) -> Answer {
    let (numbers, found) = cell.split_once(' ').unwrap_or((cell, "right"));
    let (marks, open) = numbers.split_once('+').unwrap_or((numbers, "0"));
    let verdicts = [
        Verdict::Right,
        Verdict::Carried,
        Verdict::Rounded,
        Verdict::Direction,
        Verdict::Wrong,
        Verdict::Unit,
        Verdict::Blank,
        Verdict::ByHand,
        Verdict::ToBeRead,
        Verdict::OtherVersion,
        Verdict::TwoRoutes,
    ];
    let verdict = verdicts.into_iter().find(|it| it.words() == found);
    let slips = [
        ("diameter", "`D_2` taken for the radius"),
        ("pressure", "`p_1` made absolute"),
        ("prefix", "`p_1` without its prefix"),
        ("sign", "the other sign of `p_1 A_1`"),
        ("left out", "`G_b L/2` left out or next to nothing"),
        ("factor", "the factor 2 left out"),
        ("answer", "1000 times as large"),
    ];
    let slip = slips.into_iter().find(|(class, _)| *class == found);
    let written = WRITTEN
        .iter()
        .find(|(of, part, _)| (*of, *part) == (id, at));
    let carried = match (verdict, at) {
        (Some(Verdict::Carried), 4 | 5) => vec!["B".to_owned()],
        _ => Vec::new(),
    };
    Answer {
        written: written.map_or("", |(.., text)| text).into(),
        si: Vec::new(),
        value: Vec::new(),
        read_as: None,
        marks: marks.parse().unwrap(),
        open: open.trim_end_matches('o').parse().unwrap(),
        verdict: verdict.unwrap_or(Verdict::Slip),
        carried,
        is_own: false,
        other_version: (found == "other version").then_some(1),
        route: None,
        is_proposed: slip.is_some(),
        slip: slip.map(|(class, text)| Slip {
            class,
            text: text.to_owned(),
            place: ("fire-nozzle.md".to_owned(), 40),
        }),
        remarks: match found {
            "to be read" => vec!["it has two readings".to_owned()],
            _ => Vec::new(),
        },
        right: PARTS[at].5.to_owned(),
    }
}
