//! What pressures, temperatures and levels count from, against plain arithmetic.
//!
//! Each case of `datums.json` is a worksheet; its last result has the number, unit and word that
//! were worked out, or one line is refused with the code. What has a number is filled, too: it is
//! then accepted as it stands, and emptied it is the same text again.

use serde_json::Value;
use setsquare::text::Source;
use setsquare::worksheet::{compile, fill, unfill};

use super::report::{agree, cases, diagnostics, list, report, text};

#[test]
fn readings_count_from_what_plain_arithmetic_says() {
    let cases = cases("datums.json");
    let faults: Vec<String> = cases.iter().filter_map(|case| check(case).err()).collect();
    assert!(
        faults.is_empty(),
        "{} of {}:\n{}",
        faults.len(),
        cases.len(),
        faults.join("\n")
    );
    assert!(cases.len() > 400, "{}", cases.len());
}

fn worksheet(case: &Value) -> String {
    let lines = |key: &str| -> String {
        let lines = list(case, key).iter().filter_map(Value::as_str);
        lines.map(|line| format!("{line}\n")).collect()
    };
    let (given, work) = (lines("given"), lines("work"));
    format!("```given\n{given}```\n\n```work\n{work}```\n")
}

fn check(case: &Value) -> Result<(), String> {
    let name = text(case, "case");
    let written = worksheet(case);
    let found = report(name, &written);
    let said = diagnostics(&found);
    if let Some(code) = case["refused"].as_str() {
        let codes: Vec<&str> = (list(&found, "diagnostics").iter())
            .map(|entry| text(entry, "code"))
            .collect();
        return (codes == [code])
            .then_some(())
            .ok_or_else(|| format!("{name}: {code} expected, but {said:?}"));
    }
    if !said.is_empty() {
        return Err(format!("{name}: {said:?}"));
    }
    let result = list(&found, "results").last();
    let result = result.ok_or_else(|| format!("{name}: no result"))?;
    let has_value = same(&case["value"], &result["value"]);
    let unit = text(result, "unit");
    let has_word = match case["word"].as_str() {
        Some(word) => {
            text(result, "datum") == word && text(result, "printed").ends_with(&format!(" {word}"))
        }
        // `psig` says itself what it counts from.
        None => result["datum"].is_null() || unit.starts_with("psi"),
    };
    if !(has_value && has_word && unit == text(case, "unit")) {
        return Err(format!("{name}: {case} expected, but {result}"));
    }
    filled(name, &written)
}

/// The numbers of two entries, one or several.
fn same(left: &Value, right: &Value) -> bool {
    match (left.as_array(), right.as_array()) {
        (Some(left), Some(right)) => {
            left.len() == right.len()
                && left
                    .iter()
                    .zip(right)
                    .all(|(left, right)| same(left, right))
        }
        _ => match (left.as_f64(), right.as_f64()) {
            (Some(left), Some(right)) => agree(left, right, 1e-9, 1e-9),
            _ => false,
        },
    }
}

fn filled(name: &str, written: &str) -> Result<(), String> {
    let sheet = |text: &str| compile(Source::new(name, text));
    let with_numbers = fill(&sheet(written));
    let said = diagnostics(&report(name, &with_numbers));
    if !said.is_empty() {
        return Err(format!("{name}, filled: {said:?}\n{with_numbers}"));
    }
    if fill(&sheet(&with_numbers)) != with_numbers {
        return Err(format!("{name}: filled twice it is another text"));
    }
    let emptied = unfill(&compile(Source::new(name, &*with_numbers)));
    (emptied == written)
        .then_some(())
        .ok_or_else(|| format!("{name}, emptied:\n{emptied}"))
}
