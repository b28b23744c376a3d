//! Balances of control volumes as they are written by hand, each of which has to agree with what is
//! derived from its sketch.

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

#[test]
fn balances_written_by_hand_are_those_of_their_sketches() {
    let mut faults = Vec::new();
    let mut count = 0;
    for case in cases("sketches.json") {
        let given = match case.get("given") {
            Some(_) => format!("```given\n{}\n```\n\n", lines(&case, "given")),
            None => String::new(),
        };
        let (sketch, derived) = (lines(&case, "sketch"), lines(&case, "lines"));
        let worksheet = format!("{given}```sketch\n{sketch}\n```\n\n```derive\n{derived}\n```\n");
        let sheet = compile(Source::new("sketches.md", worksheet));
        let found: Vec<&Agreement> = sheet
            .statements()
            .filter_map(|(_, statement)| match &statement.body {
                Body::Equation { balance, .. } => balance.as_ref().map(|it| &it.agreement),
                _ => None,
            })
            .collect();
        let wanted = derived.matches(" by balance ").count();
        let agree = |it: &&&Agreement| matches!(it, Agreement::Agrees { .. });
        let agreed = found.iter().filter(agree).count();
        count += wanted;
        if agreed != wanted || !sheet.diagnostics.is_empty() {
            let told: Vec<&str> = sheet.diagnostics.iter().map(|it| &*it.message).collect();
            faults.push(format!(
                "{} {}: {agreed} of {wanted} agree: {told:?}",
                text(&case, "id"),
                text(&case, "title")
            ));
        }
    }
    assert!(count >= 30, "{count} balances");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
