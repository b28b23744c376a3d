//! Versions of problems: which candidates are accepted, and what they hang on.

use std::fs;

use proptest::prelude::*;
use setsquare::diagnostic::Code;
use setsquare::papers::versions::{Obstacle, Search, Version, choice};
use setsquare::text::{Beside, Source};
use setsquare::worksheet::{self, Placed, Worksheet};

/// The series of the examples.
const SERIES: &str = "spring 2027";

fn example(name: &str) -> String {
    let path = format!("{}/tests/papers/{name}.md", env!("CARGO_MANIFEST_DIR"));
    fs::read_to_string(path).unwrap()
}

fn compiled(text: &str) -> Worksheet {
    worksheet::compile(Source::new("problem.md", text))
}

/// The problem that varies.
fn varying(worksheet: &Worksheet) -> usize {
    let varies = |placed: &Placed| placed.problem.versions.is_some();
    worksheet.problems.iter().position(varies).unwrap()
}

/// What is found where no sheet counts as a copy: the versions, and the search.
fn found(text: &str, series: &str, count: usize) -> (Vec<Version>, Vec<(Obstacle, usize)>) {
    let worksheet = compiled(text);
    let beside = Beside::nothing();
    let search = Search::new(&worksheet, &beside, varying(&worksheet), series).unwrap();
    let found = search.find(count, |_, _| None);
    (found.versions, found.obstacles)
}

fn candidates(versions: &[Version]) -> Vec<u32> {
    versions.iter().map(|version| version.candidate).collect()
}

fn data(versions: &[Version]) -> Vec<Vec<String>> {
    let texts = |version: &Version| version.data.iter().map(|(_, text)| text.clone()).collect();
    versions.iter().map(texts).collect()
}

/// The printed answers of a problem, with their signs.
fn answers(worksheet: &Worksheet) -> Vec<f64> {
    let problem = &worksheet.problems[varying(worksheet)].problem;
    let asked = &problem.question.as_ref().unwrap().asked;
    let printed = asked.iter().map(|asked| {
        let shown = problem.answered(asked).unwrap();
        shown.digits[0].value()
    });
    printed.collect()
}

/// Candidates with their answers.
type Table = [(u32, [f64; 3]); 3];

/// Data and answers of the examples were worked out by another program.
#[test]
fn the_examples_have_the_candidates_and_answers_of_their_table() {
    let all: [(&str, Table); 3] = [
        (
            "fire-nozzle",
            [
                (0, [16.7, 141.0, -828.0]),
                (5, [20.5, 210.0, -1070.0]),
                (8, [16.7, 138.0, -375.0]),
            ],
        ),
        (
            "lifting-beam",
            [
                (0, [4.16, 5.84, 8.07]),
                (1, [3.56, 5.02, 7.15]),
                (2, [3.12, 5.31, 8.00]),
            ],
        ),
        (
            "mixing-tank",
            [
                (0, [65.7, 8.31, 8.34]),
                (1, [63.2, 10.8, 9.22]),
                (2, [63.9, 11.1, 10.9]),
            ],
        ),
    ];
    for (name, versions) in all {
        let worksheet = compiled(&example(name));
        let beside = Beside::nothing();
        let search = Search::new(&worksheet, &beside, varying(&worksheet), SERIES).unwrap();
        let first = search.find(10, |_, _| None);
        for (candidate, wanted) in versions {
            assert_eq!(
                answers(&search.compile(candidate)),
                wanted,
                "{name} {candidate}"
            );
            let is_accepted = candidates(&first.versions).contains(&candidate);
            assert!(is_accepted, "{name} {candidate}: {:?}", first.obstacles);
        }
    }
}

/// The first version of the nozzle, as its paper prints the data.
#[test]
fn a_version_is_the_worksheet_with_other_literals() {
    let text = example("fire-nozzle");
    let worksheet = compiled(&text);
    let beside = Beside::nothing();
    let search = Search::new(&worksheet, &beside, varying(&worksheet), SERIES).unwrap();
    let wanted = (text.replace("D_1 = 80 mm", "D_1 = 95 mm"))
        .replace("D_2 = 32 mm", "D_2 = 29 mm")
        .replace("Q   = 14.0 L/s", "Q   = 11.0 L/s");
    assert_eq!(search.text(0), wanted);
}

/// SHA-256 of the four lines, worked out by another program (`hashlib` of Python).
#[test]
fn a_choice_is_that_of_the_hash() {
    assert_eq!(choice(SERIES, "Force on a fire nozzle", "D_1", 0, 7), 5);
    assert_eq!(choice(SERIES, "Force on a fire nozzle", "Q", 0, 21), 2);
}

#[test]
fn a_version_does_not_hang_on_how_many_are_asked_for() {
    for name in ["fire-nozzle", "winch-drive", "hill-reservoir"] {
        let text = example(name);
        let (few, _) = found(&text, SERIES, 3);
        let (many, _) = found(&text, SERIES, 12);
        assert_eq!(few.len(), 3);
        assert_eq!(candidates(&few), candidates(&many)[..3], "{name}");
        assert_eq!(data(&few), data(&many)[..3], "{name}");
        let texts = |all: &[Version]| -> Vec<String> {
            let texts = all.iter().map(|it| it.worksheet.source.text().to_owned());
            texts.take(3).collect()
        };
        assert_eq!(texts(&few), texts(&many), "{name}");
    }
}

#[test]
fn a_change_of_prose_changes_no_version() {
    let text = example("fire-nozzle");
    let (before, _) = found(&text, SERIES, 4);
    let other = text.replace(
        "The nozzle lies level",
        "It is of brass. The nozzle lies level",
    );
    let other = other.replace("flow rate", "the flow");
    assert_ne!(text, other);
    let (after, _) = found(&other, SERIES, 4);
    assert_eq!(candidates(&before), candidates(&after));
    assert_eq!(data(&before), data(&after));
}

#[test]
fn another_series_has_other_numbers() {
    let text = example("fire-nozzle");
    assert_ne!(
        data(&found(&text, SERIES, 3).0),
        data(&found(&text, "spring 2028", 3).0)
    );
}

#[test]
fn a_new_datum_leaves_the_choices_of_the_others() {
    let text = example("mixing-tank");
    let less = text.replace("m_2 from 30 kg to 60 kg in steps of 5 kg\n", "");
    assert_ne!(text, less);
    let beside = Beside::nothing();
    let (more, less) = (compiled(&text), compiled(&less));
    let of = |worksheet: &Worksheet, candidate: u32| {
        let search = Search::new(worksheet, &beside, varying(worksheet), SERIES).unwrap();
        search.data(candidate)
    };
    for candidate in 0..20 {
        let (all, few) = (of(&more, candidate), of(&less, candidate));
        assert_eq!((all.len(), few.len()), (4, 3));
        assert!(few.iter().all(|it| all.contains(it)), "{all:?} {few:?}");
    }
}

/// A rod whose load varies, with lines of `versions` besides.
fn rod(work: &str, more: &str) -> String {
    format!(
        "# Rod\n\n```given\nF = 12 kN\nA = 300 mm^2\n```\n\n```required\nS = ? MPa\n```\n\n## Solution\n\n\
         ```work\n{work}\n```\n\n```versions\nF from -6 kN to 20 kN in steps of 1 kN\n{more}\n```\n"
    )
}

fn loads(text: &str) -> Vec<i32> {
    let (versions, _) = found(text, SERIES, 300);
    let mut loads: Vec<i32> = (data(&versions).iter())
        .map(|data| data[0].parse().unwrap())
        .collect();
    // The load as it is written is that of version 0.
    assert!(!loads.contains(&12));
    loads.push(12);
    loads.sort_unstable();
    loads
}

#[test]
fn an_answer_keeps_its_sign_unless_it_may_change() {
    let all: Vec<i32> = (-6..=20).collect();
    assert_eq!(loads(&rod("S = F/A = ? MPa", "")), all[7..]);
    assert_eq!(
        loads(&rod("S = F/A = ? MPa", "S may change direction")),
        all
    );
}

#[test]
fn a_formula_keeps_its_branch_unless_it_may_change() {
    let all: Vec<i32> = (-6..=20).collect();
    let from = |least: i32| (least..=20).collect::<Vec<i32>>();
    for (formula, least) in [
        ("max(F, 5 kN)/A", 6),
        ("cases(F/A for F > 8 kN, 30 MPa otherwise)", 9),
        ("|F|/A + 1 MPa", 0),
        ("abs(F)/A + 1 MPa", 0),
    ] {
        let work = format!("S = {formula} = ? MPa");
        assert_eq!(loads(&rod(&work, "")), from(least), "{formula}");
        assert_eq!(loads(&rod(&work, "S may change branch")), all, "{formula}");
    }
}

#[test]
fn conditions_have_to_hold_in_versions() {
    assert_eq!(
        loads(&rod("S = F/A = ? MPa", "30 MPa < S < 45 MPa")),
        [10, 11, 12, 13]
    );
    // Where it is broken as it is written, too.
    assert_eq!(loads(&rod("S = F/A = ? MPa", "S > 60 MPa")), [12, 19, 20]);
}

#[test]
fn what_stands_in_the_way_is_told() {
    let text = rod("S = F/A = ? MPa", "S > 66 MPa");
    let worksheet = compiled(&text);
    let beside = Beside::nothing();
    let search = Search::new(&worksheet, &beside, varying(&worksheet), SERIES).unwrap();
    let none = search.find(2, |_, _| None);
    assert_eq!((none.versions.len(), none.tried), (1, 2000));
    let refusal = search.refusal(&none, 2).unwrap();
    assert_eq!(
        refusal.message,
        "1 of 2 versions was found in 2000 tries: 1974 came again, 25 broke `S > 66 MPa`"
    );
    let copied = search.find(1, |_, _| Some(Obstacle::Copied));
    assert_eq!(copied.versions.len(), 0);
    assert_eq!(
        copied
            .obstacles
            .iter()
            .map(|(_, count)| count)
            .sum::<usize>(),
        2000
    );
    assert!(copied.obstacles.contains(&(Obstacle::Copied, 1)));
    assert!(search.refusal(&search.find(1, |_, _| None), 1).is_none());
}

/// What else stands in the way is asked with all before, version 0 among them.
#[test]
fn a_copy_is_no_version() {
    let text = rod("S = F/A = ? MPa", "");
    let worksheet = compiled(&text);
    let beside = Beside::nothing();
    let search = Search::new(&worksheet, &beside, varying(&worksheet), SERIES).unwrap();
    let force = |placed: &Placed| {
        let asked = &placed.problem.question.as_ref().unwrap().asked[0];
        placed.problem.answered(asked).unwrap().si[0] * 300e-6
    };
    let of = |worksheet: &Worksheet| force(&worksheet.problems[varying(worksheet)]);
    let found = search.find(300, |own, before| {
        let is_near = |other: &&std::sync::Arc<Worksheet>| (of(own) - of(other)).abs() < 2500.0;
        before.iter().any(is_near).then_some(Obstacle::Copied)
    });
    let mut loads: Vec<f64> = (found.versions.iter())
        .map(|it| force(&it.worksheet.problems[varying(&it.worksheet)]))
        .collect();
    loads.push(12e3);
    loads.sort_by(f64::total_cmp);
    assert!(loads.len() > 3);
    assert!(
        loads.windows(2).all(|pair| pair[1] - pair[0] >= 2500.0),
        "{loads:?}"
    );
}

#[test]
fn claims_and_numbers_of_the_engine_are_asks_in_versions() {
    let text = rod("S = F/A = 40.0 MPa", "") + "\n```answer\nS = 40.00 MPa ? \n```\n";
    let (versions, obstacles) = found(&text, SERIES, 3);
    assert_eq!(versions.len(), 3, "{obstacles:?}");
    let own = versions[0].worksheet.source.text();
    assert!(own.contains("S = F/A = ? MPa to 3 figures"), "{own}");
    assert!(own.contains("S = ? MPa"), "{own}");
}

#[test]
fn a_problem_varies_what_all_share_for_itself() {
    let text = "```given\ng = 9.81 m/s^2\n```\n\n# Crate\n\n```given\nm = 40 kg\n```\n\n```required\nW = ? N\n```\n\n\
                ```work\nW = m g = ? N\n```\n\n```versions\ng from [9.79, 9.81, 9.83] m/s^2\n```\n\n\
                # Stone\n\n```given\nh = 3 m\n```\n\n```work\nv = sqrt(2 g h) = ? m/s\n```\n";
    let (versions, _) = found(text, SERIES, 3);
    assert_eq!(versions.len(), 2);
    assert!(versions.iter().all(|version| {
        let own = version.worksheet.source.text();
        own == text.replace(
            "9.81 m/s^2\n```\n\n# Crate",
            &format!("{} m/s^2\n```\n\n# Crate", version.data[0].1),
        )
    }));
}

#[test]
fn a_search_without_data_that_vary_is_none() {
    let worksheet = compiled(&rod("S = F/A = ? MPa", "").replace("F from", "S < 3 kPa\n// F from"));
    let beside = Beside::nothing();
    assert!(Search::new(&worksheet, &beside, varying(&worksheet), SERIES).is_none());
}

/// Each case compiles some dozens of worksheets; `PROPTEST_CASES=1000` tries more.
fn cases() -> u32 {
    let wanted = std::env::var("PROPTEST_CASES");
    wanted.ok().and_then(|it| it.parse().ok()).unwrap_or(24)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), ..ProptestConfig::default() })]

    /// Which candidates are versions is what plain arithmetic says of their data: the section by
    /// hand, the conditions on it, the sign of the answer, the branch of the larger of two.
    #[test]
    fn acceptance_is_that_of_plain_arithmetic(
        from in 1_i64..60, step in 1_i64..9, count in 2_i64..12,
        loads in prop::collection::vec(-40_i64..60, 2..7),
        least in 1_i64..40, series in "[a-z]{1,6}",
        may_turn in any::<bool>(), may_branch in any::<bool>(),
    ) {
        let to = from + step * count;
        let list: Vec<String> = loads.iter().map(i64::to_string).collect();
        let (turn, branch) = (
            if may_turn { "S may change direction" } else { "" },
            if may_branch { "S may change branch" } else { "" },
        );
        let text = format!(
            "# Bar\n\n```given\na = 20 mm\nF = 12 kN\n```\n\n```required\nS = ? MPa\n```\n\n## Solution\n\n\
             ```work\nA = max(a, {least} mm) * 10 mm = ? mm^2\nS = max(F, -10 kN)/A = ? MPa\n```\n\n\
             ```versions\na from {from} mm to {to} mm in steps of {step} mm\nF from [{}] kN\nA < 500 mm^2\n{turn}\n{branch}\n```\n",
            list.join(", ")
        );
        let worksheet = compiled(&text);
        let beside = Beside::nothing();
        let search = Search::new(&worksheet, &beside, varying(&worksheet), &series).unwrap();
        let found = search.find(40, |_, _| None);
        // Version 0 is none of them.
        let mut seen: Vec<(i64, i64)> = vec![(20, 12)];
        let mut wanted = Vec::new();
        for candidate in 0..found.tried {
            let side = choice(&series, "Bar", "a", candidate, usize::try_from(count).unwrap() + 1);
            let side = from + step * i64::try_from(side).unwrap();
            let load = loads[choice(&series, "Bar", "F", candidate, loads.len())];
            if seen.contains(&(side, load)) {
                continue;
            }
            seen.push((side, load));
            let area = side.max(least) * 10;
            let keeps_sign = may_turn || load > 0;
            let keeps_branch = may_branch || load >= -10;
            let of_section = (side >= least) == (20 >= least);
            // Of two that are equal either may be meant.
            if side == least || least == 20 || load == -10 {
                prop_assume!(false);
            }
            if area < 500 && keeps_sign && keeps_branch && of_section {
                wanted.push(candidate);
            }
        }
        prop_assert_eq!(candidates(&found.versions), wanted, "{} {:?}", text, found.obstacles);
    }
}

/// Units of length, and what power of ten of a micrometre each is.
const LENGTHS: [(&str, u32); 5] = [("µm", 0), ("mm", 3), ("cm", 4), ("dm", 5), ("m", 6)];

/// A count of 10⁻³ µm as a decimal number of a unit that is so many powers of ten above.
fn in_unit(count: u64, power: u32) -> String {
    let scale = 10_u64.pow(power + 3);
    let (whole, part) = (count / scale, count % scale);
    let decimals = format!("{part:0width$}", width = power as usize + 3);
    match decimals.trim_end_matches('0') {
        "" => whole.to_string(),
        decimals => format!("{whole}.{decimals}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), ..ProptestConfig::default() })]

    #[test]
    fn numbers_in_words_are_found_exactly_where_they_are_the_value(
        datum in 1_000_u64..100_000_000,
        own in 0..LENGTHS.len(),
        said in proptest::collection::vec((0..LENGTHS.len(), -2_i64..=2, 0..4_usize), 1..6),
    ) {
        let mut words = String::new();
        let mut expected = Vec::new();
        for (unit, off, frame) in said {
            let (symbol, power) = LENGTHS[unit];
            let count = datum.saturating_add_signed(off);
            let number = in_unit(count, power);
            let (before, glue, after) = [
                ("It is ", " ", " long.\n\n"),
                ("- a **", " ", "**, or so\n\n"),
                ("> (", "\u{a0}", ")\n\n"),
                ("A ", "-", " rod, not `w = ? m`.\n\n"),
            ][frame];
            words.push_str(before);
            if off == 0 {
                expected.push(words.len());
            }
            words.push_str(&format!("{number}{glue}{symbol}{after}"));
        }
        let given = format!("{} {}", in_unit(datum, LENGTHS[own].1), LENGTHS[own].0);
        let text = format!(
            "{words}```given\nL = {given}\nw = 3 m\n```\n\n```required\nA = ? m^2\n```\n\n\
             ## Solution\n\n```work\nA = w L = ? m^2\n```\n\n\
             ```versions\nL from [1, 2, 3] {}\n```\n",
            LENGTHS[own].0
        );
        let worksheet = compiled(&text);
        let found: Vec<usize> = (worksheet.diagnostics.iter())
            .filter(|it| it.code == Code::P07)
            .map(|it| it.span.start as usize)
            .collect();
        prop_assert_eq!(found, expected, "{}", text);
        let others = worksheet.diagnostics.iter().filter(|it| it.code != Code::P07);
        prop_assert_eq!(others.count(), 0, "{:?}", worksheet.diagnostics);
    }
}
