//! Compiles a worksheet and reads its machine-readable report.

use serde_json::Value;
use setsquare::text::Source;

/// The report of one worksheet: what `check --json` prints for it.
pub fn report(name: &str, text: &str) -> Value {
    let worksheet = setsquare::worksheet::compile(Source::new(name, text));
    let json = setsquare::page::report(&[worksheet]);
    let mut reports: Value =
        serde_json::from_str(&json).unwrap_or_else(|error| panic!("{name}: {error}\n{json}"));
    reports[0].take()
}

/// The entries of a list in a report.
pub fn list<'a>(report: &'a Value, key: &str) -> &'a [Value] {
    report[key]
        .as_array()
        .unwrap_or_else(|| panic!("no list `{key}` in {report:#}"))
}

/// A text in an entry; empty where there is none.
pub fn text<'a>(entry: &'a Value, key: &str) -> &'a str {
    entry[key].as_str().unwrap_or_default()
}

/// One line for each diagnostic of a report: line, severity, code, message.
pub fn diagnostics(report: &Value) -> Vec<String> {
    list(report, "diagnostics")
        .iter()
        .map(|entry| {
            format!(
                "{}: {} {}: {}",
                entry["line"],
                text(entry, "severity"),
                text(entry, "code"),
                text(entry, "message")
            )
        })
        .collect()
}

/// Reads a file of outside values.
pub fn cases(file: &str) -> Vec<Value> {
    match read(file) {
        Value::Array(cases) => cases,
        other => panic!("{file} is no list of cases: {other}"),
    }
}

/// Reads a file of outside values, whatever its form.
pub fn read(file: &str) -> Value {
    let path = format!("{}/tests/reference/{file}", env!("CARGO_MANIFEST_DIR"));
    let json = std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("cannot read {path}: {error}"));
    serde_json::from_str(&json).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// Whether two numbers agree within a relative tolerance, or an absolute one.
pub fn agree(left: f64, right: f64, relative: f64, absolute: f64) -> bool {
    (left - right).abs() <= absolute.max(relative * left.abs().max(right.abs()))
}
