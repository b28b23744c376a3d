//! The laboratory notebooks among the worksheets: right against a second computation.
//!
//! `tests/reference/notebook.json` is computed by `tests/reference/notebook.py` with general
//! libraries of numerics, without this crate.

use serde_json::Value;

use super::reference::report;
use report::{agree, cases, diagnostics, list, text};

/// A notebook with its answers as they have to be printed.
struct Notebook {
    name: &'static str,
    answers: &'static [(&'static str, &'static str)],
}

const NOTEBOOKS: &[Notebook] = &[
    Notebook {
        name: "pendulum-notebook",
        answers: &[("g", "(9.810 ± 0.065) m/s² (k = 1.96, 95 %)")],
    },
    Notebook {
        name: "resistor-budget",
        answers: &[("R_0", "(99.872 ± 0.033) Ω (k = 2.23, 95 %)")],
    },
    Notebook {
        name: "weir-calibration",
        answers: &[("Q_0", "(22.43 ± 0.12) L/s"), ("n", "(1.5264 ± 0.0085)")],
    },
    Notebook {
        name: "water",
        answers: &[
            ("nu_m", "(1.203 ± 0.016) mm²/s"),
            ("T_w", "(20.156 ± 0.012) °C"),
        ],
    },
    Notebook {
        name: "pump-and-plant",
        answers: &[
            ("Q", "(40.2 ± 1.2) L/s (k = 2)"),
            ("H", "(23.25 ± 0.55) m (k = 2)"),
        ],
    },
];

/// How far a value may be from the second computation, whose derivatives are differences.
const VALUE: f64 = 1e-6;

/// How far an uncertainty may be from the second computation: that moves every reading through
/// the whole reduction, so that it holds terms beyond the first order of a fit.
const UNCERTAINTY: f64 = 5e-4;

fn report_of(name: &str) -> Value {
    let path = format!("{}/worksheets/{name}.md", env!("CARGO_MANIFEST_DIR"));
    let source = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
    report::report(&format!("{name}.md"), &source)
}

fn plain(printed: &str) -> String {
    printed.replace(['\u{a0}', '\u{2009}', '\u{202f}'], " ")
}

fn numbers(value: &Value) -> Vec<Option<f64>> {
    match value.as_array() {
        Some(entries) => entries.iter().map(Value::as_f64).collect(),
        None => vec![value.as_f64()],
    }
}

#[test]
fn every_notebook_compiles_without_a_word_and_its_checks_hold() {
    for Notebook { name, .. } in NOTEBOOKS {
        let report = report_of(name);
        assert_eq!(diagnostics(&report), [""; 0], "{name}");
        assert!(list(&report, "checks").len() >= 3, "{name}");
        for check in list(&report, "checks") {
            assert_eq!(check["holds"], true, "{name}: {check}");
        }
    }
}

#[test]
fn values_and_uncertainties_agree_with_the_second_computation() {
    let rows = cases("notebook.json");
    for Notebook { name, .. } in NOTEBOOKS {
        let report = report_of(name);
        for result in list(&report, "results") {
            let known = rows.iter().find(|row| {
                text(row, "worksheet") == *name && text(row, "name") == text(result, "name")
            });
            let known = known.unwrap_or_else(|| panic!("{name}: not computed twice: {result}"));
            if !known["degrees_of_freedom"].is_null() {
                let [computed, expected] = [result, known]
                    .map(|of| of["degrees_of_freedom"].as_f64().unwrap_or(f64::INFINITY));
                assert!(
                    agree(computed, expected, UNCERTAINTY, 0.0),
                    "{result}, expected {known}"
                );
            }
            for (key, tolerance) in [("value", VALUE), ("uncertainty", UNCERTAINTY)] {
                let (computed, expected) = (numbers(&result[key]), numbers(&known[key]));
                let close = |(one, other): (&Option<f64>, &Option<f64>)| match (one, other) {
                    (Some(one), Some(other)) => agree(*one, *other, tolerance, 0.0),
                    (one, other) => one.unwrap_or(0.0) == other.unwrap_or(0.0),
                };
                assert!(
                    computed.len() == expected.len() && computed.iter().zip(&expected).all(close),
                    "{key}: {result}, expected {known}"
                );
            }
        }
    }
}

#[test]
fn answers_are_printed_as_a_laboratory_states_them() {
    for Notebook { name, answers } in NOTEBOOKS {
        let report = report_of(name);
        let printed: Vec<(String, String)> = list(&report, "answers")
            .iter()
            .map(|answer| {
                (
                    text(answer, "name").to_owned(),
                    plain(text(answer, "printed")),
                )
            })
            .collect();
        let expected: Vec<(String, String)> = answers
            .iter()
            .map(|(name, value)| ((*name).to_owned(), (*value).to_owned()))
            .collect();
        assert_eq!(printed, expected, "{name}");
    }
}
