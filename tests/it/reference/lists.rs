//! Functions of lists, and of rows that conditions choose, against plain arithmetic.

use serde_json::Value;

use super::report::{cases, list, report, text};

/// How far a value may lie beside its own size, and an uncertainty, whose derivatives there are
/// differences.
const TOLERANCES: [(&str, f64); 2] = [("value", 1e-9), ("uncertainty", 1e-6)];

/// The numbers of an entry; nothing where it has none.
fn numbers(found: &Value) -> Vec<Option<f64>> {
    match found {
        Value::Array(all) => all.iter().map(Value::as_f64).collect(),
        one => vec![one.as_f64()],
    }
}

#[test]
fn values_of_lists_are_those_of_plain_arithmetic() {
    let (mut faults, mut compared) = (Vec::new(), 0);
    for (at, case) in cases("lists.json").iter().enumerate() {
        let written = text(case, "worksheet");
        let found = report(&format!("case {at}"), written);
        let errors = list(&found, "diagnostics");
        let errors = errors.iter().filter(|it| text(it, "severity") == "error");
        faults.extend(errors.map(|it| format!("case {at}: {}", text(it, "message"))));
        for wanted in list(case, "results") {
            let name = text(wanted, "name");
            let mut results = list(&found, "results").iter();
            let Some(own) = results.find(|it| text(it, "name") == name) else {
                faults.push(format!("case {at}: no {name}"));
                continue;
            };
            for (key, tolerance) in TOLERANCES {
                let (own, wanted) = (numbers(&own[key]), numbers(&wanted[key]));
                for (row, wanted) in wanted.iter().enumerate() {
                    compared += 1;
                    let own = own.get(row).copied().flatten();
                    let is_same = match (own, wanted, key) {
                        (own, Some(wanted), _) => {
                            let own = own.unwrap_or(0.0);
                            (own - wanted).abs() <= tolerance * wanted.abs().max(1e-3)
                        }
                        (None, None, _) => true,
                        (Some(own), None, "uncertainty") => own == 0.0,
                        (Some(_), None, _) => false,
                    };
                    if !is_same {
                        let line = written
                            .lines()
                            .find(|line| line.starts_with(&format!("{name} ")));
                        faults.push(format!(
                            "case {at}: {key} of row {row} of {} is {own:?}, not {wanted:?}",
                            line.unwrap_or_default()
                        ));
                    }
                }
            }
        }
    }
    assert!(compared > 1000, "{compared}");
    assert!(
        faults.is_empty(),
        "{} of {compared}: {:#?}",
        faults.len(),
        &faults[..faults.len().min(12)]
    );
}
