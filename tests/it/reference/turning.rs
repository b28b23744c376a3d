//! The table of turning, which plain arithmetic computed: every kind by every operation in every
//! unit, each as a worksheet of its own.

use serde_json::Value;

use super::report::{agree, diagnostics, list, read, report, text};

fn block(word: &str, lines: &[Value]) -> String {
    let lines: String = (lines.iter())
        .map(|line| format!("{}\n", line.as_str().unwrap_or_default()))
        .collect();
    if lines.is_empty() {
        String::new()
    } else {
        format!("```{word}\n{lines}```\n\n")
    }
}

fn worksheet(given: &[Value], case: &Value) -> String {
    let derive = block("derive", list(case, "derive"));
    let check = block("check", lines(case, "check"));
    block("given", given) + &derive + &block("work", list(case, "work")) + &check
}

/// Lines that a case need not have.
fn lines<'a>(case: &'a Value, word: &str) -> &'a [Value] {
    case[word].as_array().map_or(&[], Vec::as_slice)
}

/// The numbers of a value: one, or those of a list.
fn numbers(value: &Value) -> Vec<f64> {
    match value.as_array() {
        Some(values) => values.iter().filter_map(Value::as_f64).collect(),
        None => value.as_f64().into_iter().collect(),
    }
}

/// What is wrong with a case, if anything.
fn fault(given: &[Value], case: &Value) -> Option<String> {
    let report = report(text(case, "title"), &worksheet(given, case));
    let said = diagnostics(&report);
    if case["refused"] == true {
        let is_refused = said.iter().any(|line| line.contains("error R05"));
        return (!is_refused).then(|| format!("not refused: {said:?} {:?}", report["results"]));
    }
    let known = numbers(&case["value"]);
    let result = (list(&report, "results").iter())
        .rfind(|entry| entry["name"] == case["name"])
        .map(|entry| (numbers(&entry["value"]), text(entry, "unit").to_owned()));
    let Some((found, _)) = result else {
        return Some(format!("no result: {said:?}"));
    };
    let agrees = found.len() == known.len()
        && (found.iter().zip(&known)).all(|(found, known)| agree(*found, *known, 1e-12, 1e-13));
    (!agrees || !said.is_empty()).then(|| format!("{found:?} for {known:?}: {said:?}"))
}

#[test]
fn turning_comes_to_what_plain_arithmetic_makes_of_it() {
    let table = read("turning.json");
    let (given, cases) = (list(&table, "given"), list(&table, "cases"));
    let faults: Vec<String> = (cases.iter())
        .filter_map(|case| Some(format!("{}: {}", text(case, "title"), fault(given, case)?)))
        .collect();
    assert!(cases.len() > 1000, "{}", cases.len());
    let (count, shown) = (faults.len(), faults.join("\n"));
    assert!(faults.is_empty(), "{count} of {}:\n{shown}", cases.len());
}
