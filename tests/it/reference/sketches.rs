//! Balances as they are written by hand, each of which has to agree with what is derived from its
//! sketch, and to differ from it once it is changed.

use serde_json::Value;
use setsquare::text::Source;
use setsquare::worksheet::{Agreement, Body};

use super::super::beside::compile;
use super::report::{cases, list, text};

fn lines(case: &Value, key: &str) -> String {
    let lines = list(case, key).iter();
    let lines = lines.map(|line| line.as_str().expect("a line is text"));
    lines.collect::<Vec<_>>().join("\n")
}

/// A worksheet of the case with these lines, and what is said of those that are compared.
fn compared(case: &Value, derived: &str) -> (Vec<Agreement>, Vec<String>) {
    let given = match case.get("given") {
        Some(_) => format!("```given\n{}\n```\n\n", lines(case, "given")),
        None => String::new(),
    };
    let sketch = lines(case, "sketch");
    let worksheet = format!("{given}```sketch\n{sketch}\n```\n\n```derive\n{derived}\n```\n");
    let sheet = compile(Source::new("sketches.md", worksheet));
    let found = sheet.statements();
    let found = found.filter_map(|(_, statement)| match &statement.body {
        Body::Equation { balance, .. } => balance.as_ref().map(|it| it.agreement.clone()),
        _ => None,
    });
    let told = sheet.diagnostics.iter();
    let told = told.map(|it| format!("{} {}", it.code.as_str(), it.message));
    (found.collect(), told.collect())
}

#[test]
fn balances_written_by_hand_are_those_of_their_sketches() {
    let mut faults = Vec::new();
    let mut count = 0;
    for case in cases("sketches.json") {
        let derived = lines(&case, "lines");
        let (found, told) = compared(&case, &derived);
        let wanted = derived.matches(" by balance ").count();
        let agree = |it: &&Agreement| matches!(it, Agreement::Agrees { .. });
        let agreed = found.iter().filter(agree).count();
        count += wanted;
        if agreed != wanted || !told.is_empty() {
            faults.push(format!(
                "{} {}: {agreed} of {wanted} agree: {told:?}",
                text(&case, "id"),
                text(&case, "title")
            ));
        }
    }
    assert!(count >= 60, "{count} balances");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// With a side turned, or twice as large, each is another equation; few may be left undecided.
#[test]
fn balances_written_by_hand_differ_once_they_are_changed() {
    let mut faults = Vec::new();
    let (mut count, mut undecided) = (0, 0);
    for case in cases("sketches.json") {
        let all: Vec<&str> = list(&case, "lines")
            .iter()
            .filter_map(Value::as_str)
            .collect();
        for (at, line) in all.iter().enumerate() {
            let Some((equation, by)) = line.split_once(" by ") else {
                continue;
            };
            let (left, right) = equation.split_once(" = ").expect("two sides");
            let before = all[..at].join("\n");
            for changed in [
                format!("{left} = -({right})"),
                format!("2 ({left}) = {right}"),
            ] {
                count += 1;
                let (found, _) = compared(&case, &format!("{before}\n{changed} by {by}"));
                undecided += usize::from(matches!(found.last(), Some(Agreement::NotDecided)));
                if matches!(found.last(), None | Some(Agreement::Agrees { .. })) {
                    faults.push(format!("{}: {changed}: {found:?}", text(&case, "id")));
                }
            }
        }
    }
    assert!(
        count >= 120 && 50 * undecided < count,
        "{undecided} of {count}"
    );
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
