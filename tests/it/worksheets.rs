//! The worked worksheets: right against a second computation, and printed as a hand would.
//!
//! `tests/reference/worksheets.json` is computed by `tests/reference/worksheets.py` in plain
//! floating-point numbers, without this crate and without any library of units.

use std::collections::HashMap;

use serde_json::Value;

use super::reference::report;
use report::{agree, cases, diagnostics, list, text};

/// A worksheet with its answers as worked out by hand.
struct Worked {
    name: &'static str,
    /// Name, value as printed, and what its sign means.
    answers: &'static [(&'static str, &'static str, &'static str)],
}

const WORKSHEETS: &[Worked] = &[
    Worked {
        name: "penstock-bend",
        answers: &[
            ("R_x", "-47.5 kN", "upstream"),
            ("R_y", "89.4 kN", "up"),
            ("R", "101 kN", ""),
            ("phi", "118°", ""),
            ("W_b", "40.2 kN", ""),
        ],
    },
    Worked {
        name: "pump-house",
        answers: &[
            ("H", "148 ft", ""),
            ("P", "23.7 hp", ""),
            ("H", "54.1 m", ""),
            ("P", "24.9 kW", ""),
            ("E", "149 kWh", ""),
        ],
    },
    Worked {
        name: "heated-pipe",
        answers: &[
            ("Qdot", "5.32 kW", ""),
            ("T_o", "15.8 °C", ""),
            ("Delta_T", "6.9 K", ""),
            ("E", "86.1 GJ", ""),
        ],
    },
    Worked {
        name: "balcony-beam",
        answers: &[
            ("M", "15.5 kN m", "hogging"),
            ("sigma", "169 MPa", ""),
            ("delta", "5.4 mm", "down"),
        ],
    },
    Worked {
        name: "calibration-tank",
        answers: &[("m", "0.538 kg", ""), ("e", "1.3 %", "too high")],
    },
    Worked {
        name: "sluice-gate",
        answers: &[
            ("y_2", "0.255 m", ""),
            ("a", "0.418 m", ""),
            ("F", "13.5 kN/m", "downstream"),
            ("F_g", "32.5 kN", "downstream"),
        ],
    },
    Worked {
        name: "pipe-friction",
        answers: &[
            ("f", "0.0239", ""),
            ("h_f", "9.41 m", ""),
            ("tau", "4.22 Pa", ""),
            ("Q_1", "26.7 L/s", ""),
            ("Q_2", "11.3 L/s", ""),
            ("Q_3", "15.4 L/s", ""),
            ("H", "31.0 m", ""),
        ],
    },
    Worked {
        name: "truss-joint",
        answers: &[
            ("F_1", "18.4 kN", "tension"),
            ("F_2", "-13.8 kN", "compression"),
            ("R_A", "(-15.6, 9.75) kN", ""),
            ("R_B", "(13.1, 4.25) kN", ""),
            ("R", "(-4.03, 1.42, 2.97) kN", ""),
            ("M_R", "(-5.51, -18.1, 1.17) kN m", ""),
            ("d", "3.64 m", ""),
            ("M_t", "-1.2 kN m", "clockwise"),
        ],
    },
    Worked {
        name: "pendulum-period",
        answers: &[
            ("T_0", "5.075 s", ""),
            ("T", "5.107 s", ""),
            ("V", "2.48 m/s", ""),
            ("theta_p", "16.2°", ""),
        ],
    },
    Worked {
        name: "loading-jib",
        answers: &[
            ("S", "7.97 kN", "at phi above left"),
            ("A_x", "6.53 kN", "right"),
            ("A_y", "2.83 kN", "up"),
            ("T", "3.97 kN", ""),
        ],
    },
    Worked {
        name: "orchard-ladder",
        answers: &[
            ("s", "2.8 m", ""),
            ("N_B", "304 N", "to the left"),
            ("N_A", "878 N", "up"),
        ],
    },
    Worked {
        name: "feed-branch",
        answers: &[
            ("F_x", "-6.27 kN", "upstream"),
            ("F_y", "8.69 kN", "to the branch"),
            ("F", "10.7 kN", ""),
        ],
    },
    Worked {
        name: "hill-tank",
        answers: &[
            ("h_p", "40.9 m", ""),
            ("P", "10.6 kW", ""),
            ("p_3", "-26.9 kPa gauge", ""),
        ],
    },
];

/// The worksheets that take steps in symbols or are solved in them, and how many there are of both.
const STEPS: &[(&str, usize)] = &[
    ("sluice-gate", 8),
    ("pipe-friction", 5),
    ("truss-joint", 7),
    ("pendulum-period", 7),
    ("loading-jib", 4),
    ("orchard-ladder", 3),
    ("feed-branch", 3),
    ("hill-tank", 2),
];

/// The lines that `calibration-tank.md` shows as refused, and the code of each.
const REFUSED: &[(&str, &str)] = &[
    ("m_1 = p_1 V/(R T_1)", "R02"),
    ("x = p_2/p_1", "R02"),
    ("s = p_1 + P_2", "R01"),
    ("T = T_1 + T_2", "R03"),
];

fn source(name: &str) -> String {
    let path = format!("{}/worksheets/{name}.md", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("cannot read {path}: {error}"))
}

fn report_of(name: &str) -> Value {
    report::report(&format!("{name}.md"), &source(name))
}

/// Printed text with every kind of blank and minus as a keyboard has them.
fn plain(printed: &str) -> String {
    printed
        .replace(['\u{a0}', '\u{2009}', '\u{202f}', '\u{22c5}', '·'], " ")
        .replace('\u{2212}', "-")
}

#[test]
fn every_worksheet_compiles_without_a_word() {
    for Worked { name, .. } in WORKSHEETS {
        assert_eq!(diagnostics(&report_of(name)), [""; 0], "{name}");
    }
}

#[test]
fn every_check_holds() {
    for Worked { name, .. } in WORKSHEETS {
        let report = report_of(name);
        assert!(list(&report, "checks").len() >= 5, "{name}");
        for check in list(&report, "checks") {
            assert_eq!(check["holds"], true, "{name}: {check}");
        }
    }
}

#[test]
fn every_step_is_proved() {
    for Worked { name, .. } in WORKSHEETS {
        let report = report_of(name);
        let steps = list(&report, "steps");
        let expected = STEPS.iter().find(|(of, _)| of == name);
        assert_eq!(
            steps.len(),
            expected.map_or(0, |(_, count)| *count),
            "{name}"
        );
        for step in steps {
            assert_eq!(text(step, "verdict"), "follows", "{name}: {step}");
        }
    }
}

/// A number, or the components of a vector.
fn numbers(value: &Value) -> Vec<f64> {
    let one = |value: &Value| value.as_f64().unwrap_or(f64::NAN);
    match value.as_array() {
        Some(components) => components.iter().map(one).collect(),
        None => vec![one(value)],
    }
}

#[test]
fn values_agree_with_the_second_computation() {
    let rows = cases("worksheets.json");
    let names = WORKSHEETS.iter().map(|worked| worked.name);
    let reports: HashMap<&str, Value> = names.map(|name| (name, report_of(name))).collect();
    for row in rows {
        let report = &reports[text(&row, "worksheet")];
        let found: Vec<&Value> = list(report, "results")
            .iter()
            .filter(|result| {
                plain(text(result, "name")) == text(&row, "name")
                    && result["problem"] == row["problem"]
            })
            .collect();
        assert!(!found.is_empty(), "not reported: {row}");
        for result in found {
            for key in ["value", "si"] {
                let (computed, expected) = (numbers(&result[key]), numbers(&row[key]));
                let close = |(left, right): (&f64, &f64)| agree(*left, *right, 1e-9, 0.0);
                assert!(
                    computed.len() == expected.len() && computed.iter().zip(&expected).all(close),
                    "{key}: {result}, expected {row}"
                );
            }
        }
    }
}

#[test]
fn every_reported_value_is_computed_a_second_time() {
    let rows = cases("worksheets.json");
    for Worked { name, .. } in WORKSHEETS {
        for result in list(&report_of(name), "results") {
            let known = rows.iter().any(|row| {
                text(row, "worksheet") == *name
                    && row["problem"] == result["problem"]
                    && text(row, "name") == plain(text(result, "name"))
            });
            assert!(known, "{name}: {result}");
        }
    }
}

#[test]
fn answers_are_printed_as_by_hand() {
    for Worked { name, answers } in WORKSHEETS {
        let report = report_of(name);
        let printed: Vec<(String, String, String)> = list(&report, "answers")
            .iter()
            .map(|answer| {
                (
                    text(answer, "name").to_string(),
                    plain(text(answer, "printed")),
                    text(answer, "direction").to_string(),
                )
            })
            .collect();
        let expected: Vec<(String, String, String)> = answers
            .iter()
            .map(|(name, value, way)| (name.to_string(), value.to_string(), way.to_string()))
            .collect();
        assert_eq!(printed, expected, "{name}");
    }
}

/// The first block of a worksheet with this name, fences included.
fn block<'a>(source: &'a str, name: &str) -> &'a str {
    let start = source.find(&format!("```{name}\n")).unwrap_or_default();
    let length = source[start..].find("\n```\n").unwrap_or_default();
    &source[start..start + length + 5]
}

#[test]
fn what_the_tank_shows_as_refused_is_refused() {
    let tank = source("calibration-tank");
    for (line, code) in REFUSED {
        assert!(tank.contains(&format!("```text\n{line}\n```")), "{line}");
        let given = block(&tank, "given");
        let known = "R = R_u/M\nP_2 = absolute(p_2)";
        let problem = format!("{given}\n```work\n{known}\n{line}\n```\n");
        let report = report::report("calibration-tank.md", &problem);
        let codes: Vec<&str> = list(&report, "diagnostics")
            .iter()
            .map(|entry| text(entry, "code"))
            .collect();
        assert_eq!(codes, [*code], "{line}");
    }
}

/// A line of prose without what is evaluated (code spans) and without set formulas.
fn words_alone(line: &str) -> String {
    let mut words = String::new();
    let mut until = None;
    for c in line.chars() {
        match until {
            Some(end) if c == end => until = None,
            Some(_) => {}
            None if c == '`' || c == '$' => until = Some(c),
            None => words.push(c),
        }
    }
    words
}

#[test]
fn no_number_is_typed_in_prose() {
    for Worked { name, .. } in WORKSHEETS {
        let source = source(name);
        let body = source.splitn(3, "---\n").nth(2).unwrap_or_default();
        let prose = body.split("```").step_by(2);
        for line in prose.flat_map(str::lines) {
            let words = words_alone(line);
            assert!(
                !words.contains(|c: char| c.is_ascii_digit()),
                "{name}: {line}"
            );
        }
    }
}
