//! The published cases of `tests/reference/roots.json`.

use super::expression::{Expr, equation};
use super::{between_text, near_text, solve};

use serde_json::Value;
use std::collections::BTreeMap;

use super::super::{Failure, Solution};

struct Case {
    id: String,
    equations: Vec<Expr>,
    text: Vec<String>,
    start: Vec<f64>,
    bracket: Option<(f64, f64)>,
    /// For each listed root, per unknown the value with its relative and absolute tolerance.
    roots: Vec<Vec<(f64, f64, f64)>>,
    many: bool,
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .or_else(|| value.as_str()?.parse().ok())
        .expect("a number")
}

fn read(case: &Value) -> Case {
    let list = |key: &str| case[key].as_array().cloned().unwrap_or_default();
    let texts = |key: &str| -> Vec<String> {
        list(key)
            .iter()
            .map(|v| v.as_str().expect("text").to_owned())
            .collect()
    };
    let unknowns = texts("unknowns");
    let names: Vec<&str> = unknowns.iter().map(String::as_str).collect();
    let mut roots: BTreeMap<u64, Vec<(f64, f64, f64)>> = BTreeMap::new();
    let many = case["n_roots"] == -1;
    for expected in list("expected").iter().filter(|_| !many) {
        let root = roots
            .entry(expected["root_index"].as_u64().expect("an index"))
            .or_default();
        assert_eq!(
            expected["symbol"],
            names[root.len()],
            "the roots are listed in order"
        );
        let absolute = expected.get("abs_tol").map_or(0.0, number);
        root.push((
            number(&expected["value"]),
            number(&expected["rel_tol"]),
            absolute,
        ));
    }
    let bracket = list("bracket");
    Case {
        id: case["id"].as_str().expect("an id").to_owned(),
        equations: texts("equations")
            .iter()
            .map(|text| equation(text, &names))
            .collect(),
        text: texts("equations"),
        start: names
            .iter()
            .map(|name| number(&case["start"][name]))
            .collect(),
        bracket: (bracket.len() == 2).then(|| (number(&bracket[0]), number(&bracket[1]))),
        roots: roots.into_values().collect(),
        many,
    }
}

fn cases() -> Vec<Case> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/roots.json");
    let text = std::fs::read_to_string(path).expect("the reference cases");
    let cases: Vec<Value> = serde_json::from_str(&text).expect("JSON");
    assert!(cases.len() >= 24);
    cases.iter().map(read).collect()
}

impl Case {
    fn lists(&self, values: &[f64]) -> bool {
        self.roots.iter().any(|root| {
            root.iter()
                .zip(values)
                .all(|(&(expected, relative, absolute), value)| {
                    (value - expected).abs() <= (relative * expected.abs()).max(absolute)
                })
        })
    }
}

#[test]
fn every_published_system_is_solved_from_its_start() {
    for case in cases() {
        match solve(&case.equations, &case.start) {
            Ok(Solution {
                values, residual, ..
            }) => {
                assert!(!case.many && case.lists(&values), "{}: {values:?}", case.id);
                assert!(residual < 1e-13, "{}: {residual:e}", case.id);
            }
            Err(failure) => {
                let dependent = matches!(failure, Failure::Dependent { .. });
                assert!(case.many && dependent, "{}: {failure:?}", case.id);
            }
        }
    }
}

#[test]
fn every_published_equation_is_solved_near_its_start_and_in_its_bracket() {
    let mut count = 0;
    for case in cases().into_iter().filter(|case| case.start.len() == 1) {
        count += 1;
        let near = near_text(&case.text[0], case.start[0]);
        let near = near.unwrap_or_else(|failure| panic!("{}: {failure:?}", case.id));
        assert!(case.lists(&[near.value]), "{}: {near:?}", case.id);
        let (low, high) = case.bracket.expect("a bracket");
        let root = between_text(&case.text[0], low, high);
        let root = root.unwrap_or_else(|failure| panic!("{}: {failure:?}", case.id));
        assert!(case.lists(&[root.value]), "{}: {root:?}", case.id);
    }
    assert!(count >= 9);
}

#[test]
fn freudenstein_and_roth_does_not_end_at_the_minimum() {
    let case = cases()
        .into_iter()
        .find(|case| case.id == "root-002")
        .expect("root-002");
    // From beside the minimum as well, where no way may be found, but none may be invented.
    for start in [[0.5, -2.0], [11.4, -0.9], [11.412_778_9, -0.896_805_3]] {
        match solve(&case.equations, &start) {
            Ok(solution) => assert!(case.lists(&solution.values), "{solution:?}"),
            Err(failure) => assert!(matches!(failure, Failure::Minimum { .. }), "{failure:?}"),
        }
    }
}
