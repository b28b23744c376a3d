//! Published and recomputed roots, each found through a worksheet: the equations labelled in
//! `derive`, the unknowns sought in `work` near the start of the case.

use serde_json::Value;

use super::number;
use super::report::{self, agree, cases, diagnostics, list, text};

/// What is said where there is no root.
const ABSENT: [&str; 3] = ["E11", "E13", "E14"];

/// A case as a worksheet.
fn worksheet(case: &Value) -> String {
    let equations = list(case, "equations");
    let labels: Vec<String> = (1..=equations.len()).map(|at| format!("e{at}")).collect();
    let derive: String = labels
        .iter()
        .zip(equations)
        .map(|(label, equation)| format!("{label}: {}\n", equation.as_str().unwrap_or_default()))
        .collect();
    let unknowns: Vec<&str> = (list(case, "unknowns").iter())
        .filter_map(Value::as_str)
        .collect();
    let start = |name: &str| text(&case["start"], name).to_owned();
    let work = match (labels.as_slice(), unknowns.as_slice()) {
        ([label], [name]) => format!("{name} = ? from {label} near {}\n", start(name)),
        _ => {
            let sought: Vec<String> = (unknowns.iter())
                .map(|name| format!("{name} near {}", start(name)))
                .collect();
            let shown: String = unknowns
                .iter()
                .map(|name| format!("{name} = ?\n"))
                .collect();
            let labels = labels.join(", ");
            format!("solve {labels} for {}\n{shown}", sought.join(", "))
        }
    };
    format!("```derive\n{derive}```\n\n```work\n{work}```\n")
}

/// The errors of a report, by their codes.
fn errors(report: &Value) -> Vec<&str> {
    (list(report, "diagnostics").iter())
        .filter(|entry| text(entry, "severity") == "error")
        .map(|entry| text(entry, "code"))
        .collect()
}

/// Whether the results are those of the root with this number.
fn is_root(report: &Value, case: &Value, root: &Value) -> bool {
    (list(case, "expected").iter())
        .filter(|row| row["root_index"] == *root)
        .all(|row| {
            let name = super::canonical(text(row, "symbol"));
            let found = list(report, "results")
                .iter()
                .find(|result| text(result, "name") == name)
                .and_then(|result| result["si"].as_f64());
            found.is_some_and(|value| {
                let (expected, relative) = (number(row, "value"), number(row, "rel_tol"));
                // A root at 0 has no relative size.
                let least = if expected == 0.0 { relative } else { 0.0 };
                agree(value, expected, relative, number(row, "abs_tol").max(least))
            })
        })
}

/// What is wrong with a case: nothing, or what was found instead.
fn difference(case: &Value) -> Option<String> {
    let id = text(case, "id");
    let source = worksheet(case);
    let report = report::report(id, &source);
    let codes = errors(&report);
    let right = match case["n_roots"].as_i64() {
        // None at all, or infinitely many: an error that says so.
        Some(0) => !codes.is_empty() && codes.iter().all(|code| ABSENT.contains(code)),
        Some(-1) => codes == ["E14"],
        _ => {
            let mut rows = list(case, "expected").iter();
            codes.is_empty() && rows.any(|row| is_root(&report, case, &row["root_index"]))
        }
    };
    (!right).then(|| {
        let results: Vec<String> = (list(&report, "results").iter())
            .map(|result| format!("{} = {}", text(result, "name"), result["si"]))
            .collect();
        let found = diagnostics(&report).join("\n");
        let title = text(case, "title");
        format!("{id} {title}\n{source}{}\n{found}\n", results.join(", "))
    })
}

#[test]
fn roots_are_found_through_worksheets_or_their_absence_is_said() {
    let cases = cases("roots.json");
    assert_eq!(cases.len(), 24);
    let found: Vec<String> = cases.iter().filter_map(difference).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}
