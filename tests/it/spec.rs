//! The literate specification of the worksheet language.
//!
//! Each Markdown file under `tests/spec` is a suite. A level-2 heading names a case, a sentence
//! says why, a `worksheet` fence holds the worksheet and the `expect` fence after it what must
//! come of it, one expectation a line. Expected numbers are worked out without this crate.
//! `tests/spec/README.md` describes the forms; a line in any other form fails the suite, and so
//! does a diagnostic that the case does not list.
//!
//! `SPEC=lists cargo test --test it spec` runs the suites and cases whose name holds that word.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use setsquare::diagnostic::Code;

pub mod case;
mod expect;
mod facts;
mod laws;
pub mod printed;
mod reasoned;

use crate::explanations::OF_PAPERS;
use case::{Case, Suite};
use expect::Expectation;
use facts::Facts;

/// The specification shrinks only on purpose.
const FEWEST_CASES: usize = 640;

/// Lines of work that stand alone, so that what they print can be typed in again.
const FEWEST_LINES: usize = 380;

/// Codes that a worksheet's text alone cannot raise, beside those of papers: they are about the file
/// it comes from, or are raised where TeX and links are written to the page.
const ELSEWHERE: &[Code] = &[Code::T01, Code::T02, Code::T04, Code::M04];

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    let entries =
        fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    for entry in entries {
        let entry = entry.unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
        let path = entry.path();
        if path.is_dir() {
            // What stands beside the worksheets of the cases is no suite.
            if !path.ends_with("files") {
                files(&path, found);
            }
        } else if path.extension().is_some_and(|it| it == "md") && !path.ends_with("README.md") {
            found.push(path);
        }
    }
}

fn suites() -> Vec<Suite> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/spec");
    let mut found = Vec::new();
    files(&folder, &mut found);
    found.sort();
    found
        .iter()
        .map(|path| {
            let text = fs::read_to_string(path)
                .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            let name = path.strip_prefix(&folder).unwrap_or(path);
            case::read(&name.display().to_string(), &text)
                .unwrap_or_else(|error| panic!("{}: {error}", path.display()))
        })
        .collect()
}

/// What a case expects and does not find, one line each.
fn failures(case: &Case) -> Vec<String> {
    let expectations: Result<Vec<Expectation>, String> =
        case.expect.iter().map(|line| expect::read(line)).collect();
    match expectations {
        Ok(expectations) => Facts::of(&case.worksheet).compare(&expectations),
        Err(error) => vec![error],
    }
}

#[test]
fn the_engine_does_what_the_specification_says() {
    let wanted = std::env::var("SPEC").unwrap_or_default();
    let (mut total, mut failed, mut report) = (0, 0, String::new());
    for suite in suites() {
        let mut worked = 0;
        for case in &suite.cases {
            let whole = suite.name.contains(&wanted) || case.name.contains(&wanted);
            if !whole {
                continue;
            }
            worked += 1;
            let failures = failures(case);
            if !failures.is_empty() {
                failed += 1;
                report.push_str(&format!("\n{}:{}: {}\n", suite.name, case.line, case.name));
                for failure in failures {
                    report.push_str(&format!("    {failure}\n"));
                }
            }
        }
        println!("{worked:4} {}", suite.name);
        total += worked;
    }
    println!("{total:4} cases");
    assert!(failed == 0, "{failed} of {total} cases fail:\n{report}");
    assert!(
        !wanted.is_empty() || total >= FEWEST_CASES,
        "only {total} cases"
    );
}

#[test]
fn filling_and_emptying_gives_back_the_same_bytes() {
    let mut wrong = String::new();
    for suite in suites() {
        for case in &suite.cases {
            for fault in laws::fill_laws(&case.worksheet) {
                wrong.push_str(&format!(
                    "{}:{}: {}: {fault}\n",
                    suite.name, case.line, case.name
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn a_tidied_worksheet_says_the_same() {
    let mut wrong = String::new();
    for suite in suites() {
        for case in &suite.cases {
            for fault in laws::tidy_laws(&case.worksheet) {
                wrong.push_str(&format!(
                    "{}:{}: {}: {fault}\n",
                    suite.name, case.line, case.name
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn every_code_has_a_case_that_raises_it() {
    let mut raised = BTreeSet::new();
    for case in suites().iter().flat_map(|suite| &suite.cases) {
        for line in &case.expect {
            if let Ok(Expectation::Finding { code, .. }) = expect::read(line) {
                raised.insert(code);
            }
        }
    }
    let missing: Vec<&Code> = Code::ALL
        .iter()
        .filter(|code| !raised.contains(code) && !ELSEWHERE.contains(code))
        .filter(|code| !OF_PAPERS.contains(code))
        .collect();
    assert!(missing.is_empty(), "no case raises {missing:?}");
}

#[test]
fn no_two_cases_of_a_suite_have_one_name() {
    for suite in suites() {
        let mut names = BTreeSet::new();
        for case in &suite.cases {
            assert!(
                names.insert(&case.name),
                "{}: {} stands twice",
                suite.name,
                case.name
            );
        }
    }
}

/// The worksheets of all cases, with their names.
pub fn worksheets() -> impl Iterator<Item = (String, String)> {
    suites().into_iter().flat_map(|suite| {
        let name = suite.name;
        let cases = suite.cases.into_iter();
        cases.map(move |case| (format!("{name}: {}", case.name), case.worksheet))
    })
}

#[test]
fn what_is_printed_can_be_re_entered() {
    let (mut lines, mut wrong) = (0, String::new());
    for suite in suites() {
        for case in &suite.cases {
            let (tried, faults) = laws::re_entered(&case.worksheet);
            lines += tried;
            for fault in faults {
                wrong.push_str(&format!(
                    "{}:{}: {}: {fault}\n",
                    suite.name, case.line, case.name
                ));
            }
        }
    }
    println!("{lines} lines typed in again");
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(
        lines >= FEWEST_LINES,
        "only {lines} lines could be typed in again"
    );
}
