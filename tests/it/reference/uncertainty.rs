//! Uncertainties against published examples of JCGM 100 and another program's propagation.
//!
//! Each case of `uncertainty.json` that states its inputs with standard uncertainties and no
//! trials is a worksheet: value and standard uncertainty of every result are compared, and of the
//! first example the degrees of freedom.

use serde_json::Value;

use super::report::{cases, report, text};

/// The cases that are no such worksheets, and why.
const OTHERS: [(&str, &str); 2] = [
    (
        "monte_carlo",
        "trials; those published are cases of tests/spec/uncertainty/trials.md",
    ),
    ("readings", "tables of readings"),
];

/// The entries of a list that a case may have.
fn list<'a>(case: &'a Value, key: &str) -> &'a [Value] {
    case.get(key)
        .and_then(Value::as_array)
        .map_or(&[], Vec::as_slice)
}

fn number(case: &Value, key: &str) -> Option<f64> {
    case.get(key)?.as_str()?.parse().ok()
}

fn unit(of: &Value) -> &str {
    match text(of, "unit") {
        "1" => "",
        unit => unit,
    }
}

/// The worksheet of a case, where all of its inputs are uncertain numbers.
fn worksheet(case: &Value) -> Option<String> {
    let has = |key: &str| case.get(key).is_some_and(|it| it != &Value::Bool(false));
    if OTHERS.iter().any(|(key, _)| has(key)) {
        return None;
    }
    let mut given = String::new();
    for input in list(case, "inputs") {
        let (symbol, value) = (text(input, "symbol"), text(input, "value"));
        number(input, "value")?;
        let degrees = input.get("degrees_of_freedom").and_then(Value::as_u64);
        let how = degrees.map_or(String::new(), |it| format!(" ({it} degrees of freedom)"));
        let spread = match input.get("std_uncertainty").and_then(Value::as_str) {
            Some(size) if size.parse::<f64>().is_ok_and(|size| size > 0.0) => format!(" ± {size}"),
            _ => String::new(),
        };
        given.push_str(&format!(
            "{symbol} = {value}{spread} {}{how}\n",
            unit(input)
        ));
    }
    for pair in list(case, "correlations") {
        let part = |at: usize| pair.get(at).and_then(Value::as_str).unwrap_or_default();
        given.push_str(&format!(
            "correlation({}, {}) = {}\n",
            part(0),
            part(1),
            part(2)
        ));
    }
    let expected = list(case, "expected");
    let equations = list(case, "equations");
    let work: String = (equations.iter().filter_map(Value::as_str))
        .map(|line| {
            let name = line.split('=').next().unwrap_or_default().trim();
            let asked = expected.iter().find(|it| text(it, "symbol") == name);
            match asked {
                Some(asked) => format!("{line} = ? {}\n", unit(asked)),
                None => format!("{line}\n"),
            }
        })
        .collect();
    let is_asked = work.contains('?');
    is_asked.then(|| format!("```given\n{given}```\n\n```work\n{work}```\n"))
}

#[test]
fn values_and_uncertainties_are_those_of_others() {
    let (mut faults, mut compared) = (Vec::new(), 0);
    for case in cases("uncertainty.json") {
        let Some(written) = worksheet(&case) else {
            continue;
        };
        let id = text(&case, "id");
        let found = report(id, &written);
        for expected in list(&case, "expected") {
            let name = text(expected, "symbol");
            let results = found["results"].as_array().cloned().unwrap_or_default();
            let own = results.iter().find(|it| it["name"] == name);
            let Some(own) = own else {
                faults.push(format!(
                    "{id}: no {name}:\n{written}{}",
                    found["diagnostics"]
                ));
                continue;
            };
            for (key, own, tolerance) in [
                ("value", &own["value"], number_or(expected, "rel_tol", 1e-9)),
                (
                    "std_uncertainty",
                    &own["uncertainty"],
                    number_or(expected, "u_rel_tol", 1e-8),
                ),
            ] {
                let Some(wanted) = number(expected, key) else {
                    continue;
                };
                let own = own.as_f64().unwrap_or(0.0);
                compared += 1;
                if (own - wanted).abs() > tolerance * wanted.abs() {
                    faults.push(format!("{id}: {key} of {name} is {own}, not {wanted}"));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(compared >= 20, "{compared}");
}

fn number_or(of: &Value, key: &str, other: f64) -> f64 {
    of.get(key).and_then(Value::as_f64).unwrap_or(other)
}

/// JCGM 100, H.1: printed are 32 nm and 16.7 degrees of freedom. Its inputs are printed exactly, so
/// that the file has both with all digits, and twelve are held.
#[test]
fn the_end_gauge_has_its_uncertainty_and_its_degrees_of_freedom() {
    let all = cases("uncertainty.json");
    let case = |id: &str| all.iter().find(|case| text(case, "id") == id).expect(id);
    let expected = |id: &str, symbol: &str, key: &str| {
        let mut all = list(case(id), "expected").iter();
        let own = all.find(|it| text(it, "symbol") == symbol);
        own.and_then(|own| number(own, key)).expect(symbol)
    };
    let found = report("unc-01", &worksheet(case("unc-01")).expect("a worksheet"));
    let results = found["results"].as_array().expect("results");
    let own = results.iter().find(|it| it["name"] == "l").expect("l");
    for (key, wanted) in [
        ("value", expected("unc-01", "l", "value")),
        ("uncertainty", expected("unc-01", "l", "std_uncertainty")),
        ("degrees_of_freedom", expected("unc-02", "nuefl", "value")),
    ] {
        let found = own[key].as_f64().expect(key);
        assert!(
            (found / wanted - 1.0).abs() < 1e-12,
            "{key}: {found} {wanted}"
        );
    }
}
