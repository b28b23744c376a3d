//! Worked cases and dimensional verdicts from outside, each written as a worksheet and compared.
//!
//! The cases stand in `tests/reference/*.json` with their sources. They are stated there in plain
//! mathematics; this file writes them in the language: the inputs as `given`, the equations as
//! `work`, the expected unit as the ask. Equations that hold their unknown implicitly are labelled
//! in `derive` and solved from there. Where the language needs another spelling, or decides
//! differently from the case, a table below says so with the reason.

use serde_json::Value;

mod algebra;
mod beams;
mod certain;
mod datums;
mod fits;
mod functions;
mod jcgm;
mod lists;
pub mod report;
mod roots;
mod sketches;
mod turning;
mod uncertainty;

use report::{agree, cases, diagnostics, list, text};

const TOPICS: [&str; 5] = [
    "fluids.json",
    "mechanics.json",
    "thermo.json",
    "electrical.json",
    "chemistry.json",
];

/// Unit spellings of the cases and what a worksheet writes: the unit, and the word after it.
const UNITS: &[(&str, &str, &str)] = &[
    ("", "", ""),
    ("1", "", ""),
    ("percent", "%", ""),
    ("delta_degC", "degC", "difference"),
    ("delta_degF", "degF", "difference"),
    // Inside a compound unit a degree is an interval without a word.
    ("J/(kg*delta_degC)", "J/(kg*degC)", ""),
    // Powers of units are whole numbers or fractions.
    ("m^0.37/s", "m^(37/100)/s", ""),
    ("m^1.4", "m^(7/5)", ""),
    ("Pa^(0.2857142857142857)", "Pa^(2/7)", ""),
];

/// Names that cannot be names in a worksheet: the case's name, and ours.
const NAMES: &[(&str, &str)] = &[
    // A subscript does not end in an underscore.
    ("rpm_", "n_r"),
];

/// Equations that a worksheet has to write differently: case, its equation, ours.
const EQUATIONS: &[(&str, &str, &str)] = &[
    // `P/n` takes rpm as an angular speed; the language counts revolutions and asks for `2 pi`.
    ("mech-07", "T = P/n", "T = P/(2*pi*n)"),
];

/// What is solved together, and where it is sought.
struct Sought {
    case: &'static str,
    /// The equations by number, from 1; as many as there are unknowns.
    equations: &'static [usize],
    /// The unknowns, each with the words that say where it is sought.
    unknowns: &'static [(&'static str, &'static str)],
}

/// Cases whose unknown stands in an implicit equation, or in a system.
const SOUGHT: &[Sought] = &[
    Sought {
        case: "fluid-13",
        equations: &[3],
        unknowns: &[("f", "between 0.005 and 0.1")],
    },
    Sought {
        case: "fluid-14",
        equations: &[1, 2],
        unknowns: &[("V", "near 2 m/s"), ("f", "near 0.02")],
    },
    Sought {
        case: "fluid-26",
        equations: &[1],
        unknowns: &[("y", "between 0.1 m and 10 m")],
    },
    Sought {
        case: "fluid-32",
        equations: &[1, 2, 3],
        unknowns: &[("V", "near 0.1 m/s"), ("Re", "near 100"), ("Cd", "near 1")],
    },
    // Linear equations need no start.
    Sought {
        case: "mech-04",
        equations: &[1, 2],
        unknowns: &[("RA", ""), ("RB", "")],
    },
    Sought {
        case: "mech-16",
        equations: &[1],
        unknowns: &[("E", "near 65 deg")],
    },
    // Above the critical pressure of the real gas the ideal one is a start beyond the root.
    Sought {
        case: "thermo-05",
        equations: &[1],
        unknowns: &[("v", "near 500 cm^3/mol")],
    },
    Sought {
        case: "elec-07",
        equations: &[1, 2],
        unknowns: &[("i1", ""), ("i2", "")],
    },
    Sought {
        case: "elec-10",
        equations: &[1],
        unknowns: &[("Id", "between 1 nA and 20 mA")],
    },
    Sought {
        case: "chem-05",
        equations: &[1],
        unknowns: &[("x", "near 1 mmol/L")],
    },
];

/// Verdicts that the language decides differently: case, our verdict.
const VERDICTS: &[(&str, &str)] = &[
    // "A plain `0` fits any dimension"; the case leaves this to the tool (its `policy`).
    ("dim-016", "ok"),
    // "In a product with anything dimensional a temperature of weight 1 counts as its absolute
    // (kelvin) temperature": a fourth power of a Celsius point is that of its kelvins.
    ("dim-104", "ok"),
    // "A speed of rotation in rpm counts revolutions; mixing the two unmarked is refused."
    ("dim-130", "error"),
];

fn lookup<'a>(table: &[(&str, &'a str)], key: &'a str) -> &'a str {
    table
        .iter()
        .find(|(from, _)| *from == key)
        .map_or(key, |(_, to)| to)
}

/// A unit of a case with its word, as it follows a number or a question mark.
fn unit(spelling: &str) -> String {
    let (unit, word) = UNITS
        .iter()
        .find(|(from, ..)| *from == spelling)
        .map_or((spelling, ""), |(_, unit, word)| (*unit, *word));
    format!("{unit} {word}").trim().to_string()
}

/// Puts our names for the case's names.
fn renamed(expression: &str) -> String {
    let is_name = |c: char| c.is_ascii_alphanumeric() || c == '_';
    let mut out = String::new();
    let mut rest = expression;
    while let Some(first) = rest.chars().next() {
        let wanted = is_name(first);
        let end = rest.find(|c| is_name(c) != wanted).unwrap_or(rest.len());
        let (token, after) = rest.split_at(end);
        out += lookup(NAMES, token);
        rest = after;
    }
    out
}

/// The one spelling the report has for a name: `D1` is `D_1`.
fn canonical(name: &str) -> String {
    let name = lookup(NAMES, name);
    match name.find(|c: char| c.is_ascii_digit()) {
        Some(digit) if !name.contains('_') => format!("{}_{}", &name[..digit], &name[digit..]),
        _ => name.to_string(),
    }
}

fn given(case: &Value) -> String {
    let lines: String = list(case, "inputs")
        .iter()
        .map(|input| {
            let name = lookup(NAMES, text(input, "symbol"));
            format!(
                "{name} = {} {}\n",
                text(input, "value"),
                unit(text(input, "unit"))
            )
        })
        .collect();
    format!("```given\n{lines}```\n")
}

fn equations(case: &Value) -> Vec<String> {
    list(case, "equations")
        .iter()
        .map(|equation| {
            let equation = equation.as_str().unwrap_or_default();
            let ours = EQUATIONS
                .iter()
                .find(|(id, from, _)| *id == text(case, "id") && *from == equation)
                .map_or(equation, |(.., to)| to);
            renamed(ours)
        })
        .collect()
}

/// A case with numbers as a worksheet: every equation is a line of `work`, asked in the expected
/// unit where the case expects a value. What is sought goes through `derive`.
fn worked(case: &Value) -> String {
    let sought = SOUGHT.iter().find(|sought| sought.case == text(case, "id"));
    let mut derive = String::new();
    let mut work = String::new();
    for (index, equation) in equations(case).iter().enumerate() {
        let number = index + 1;
        match sought {
            Some(sought) if sought.equations.contains(&number) => {
                derive += &format!("e{number}: {equation}\n");
                // All are solved where the last of them stands.
                if sought.equations.last() == Some(&number) {
                    work += &solving(case, sought);
                }
            }
            _ => {
                let name = equation.split(" = ").next().unwrap_or_default();
                let ask = ask(case, name).map(|ask| format!(" = {ask}"));
                work += &format!("{equation}{}\n", ask.unwrap_or_default());
            }
        }
    }
    let derive = match sought {
        Some(_) => format!("```derive\n{derive}```\n"),
        None => String::new(),
    };
    format!("{}{derive}```work\n{work}```\n", given(case))
}

/// The ask for a name whose value the case expects.
fn ask(case: &Value, name: &str) -> Option<String> {
    list(case, "expected")
        .iter()
        .find(|row| lookup(NAMES, text(row, "symbol")) == name)
        .map(|row| {
            format!("? {}", unit(text(row, "unit")))
                .trim_end()
                .to_owned()
        })
}

/// The lines of `work` that solve: one unknown from its equation, several as a system.
fn solving(case: &Value, sought: &Sought) -> String {
    let labels: Vec<String> = sought.equations.iter().map(|at| format!("e{at}")).collect();
    let asked = |name: &str| ask(case, name).unwrap_or_else(|| "?".to_owned());
    if let ([label], [(name, place)]) = (labels.as_slice(), sought.unknowns) {
        return format!("{name} = {} from {label} {place}\n", asked(name));
    }
    let unknowns: Vec<String> = (sought.unknowns.iter())
        .map(|(name, place)| format!("{name} {place}").trim_end().to_owned())
        .collect();
    let shown: String = (sought.unknowns.iter())
        .map(|(name, _)| format!("{name} = {}\n", asked(name)))
        .collect();
    format!(
        "solve {} for {}\n{shown}",
        labels.join(", "),
        unknowns.join(", ")
    )
}

/// A case with a verdict as a worksheet: an equation is stated, an expression is evaluated in the
/// unit of its result.
fn judged(case: &Value) -> String {
    let result = unit(text(&case["expected"][0], "result_unit"));
    let lines: Vec<String> = equations(case);
    let (block, lines) = match lines.first() {
        Some(equation) if equation.contains(" = ") => ("derive", lines.join("\n")),
        Some(expression) if result.is_empty() => ("work", format!("result = {expression}")),
        Some(expression) => ("work", format!("result = {expression} = ? {result}")),
        None => panic!("{} has no equation", case["id"]),
    };
    format!("{}```{block}\n{lines}\n```\n", given(case))
}

fn number(entry: &Value, key: &str) -> f64 {
    match &entry[key] {
        Value::String(digits) => digits
            .parse()
            .unwrap_or_else(|_| panic!("`{digits}` is not a number")),
        value => value.as_f64().unwrap_or_default(),
    }
}

/// What is wrong with a worked case: nothing, or a line for each difference.
fn differences(case: &Value) -> Vec<String> {
    let source = worked(case);
    let report = report::report(text(case, "id"), &source);
    // The names are those of the source, `eps` among them.
    let is_about_names = |said: &String| said.contains("warning N17");
    let mut found = diagnostics(&report);
    found.retain(|said| !is_about_names(said));
    for row in list(case, "expected") {
        let name = canonical(text(row, "symbol"));
        let result = list(&report, "results")
            .iter()
            .rfind(|result| text(result, "name") == name);
        let expected = number(row, "value");
        match result.and_then(|result| result["value"].as_f64()) {
            None => found.push(format!("{name} has no value")),
            Some(value) => {
                if !agree(
                    value,
                    expected,
                    number(row, "rel_tol"),
                    number(row, "abs_tol"),
                ) {
                    found.push(format!("{name} is {value}, expected {expected}"));
                }
            }
        }
    }
    if !found.is_empty() {
        found.insert(
            0,
            format!("{} {}\n{source}", text(case, "id"), text(case, "title")),
        );
    }
    found
}

#[test]
fn worked_cases_of_fluids_mechanics_heat_electricity_and_chemistry_agree() {
    let cases: Vec<Value> = TOPICS.into_iter().flat_map(cases).collect();
    let found: Vec<String> = cases.iter().flat_map(differences).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
    // None may be lost unseen: as many as the files held when they were put here.
    assert_eq!(cases.len(), 70);
    let is_used = |sought: &Sought| cases.iter().any(|case| text(case, "id") == sought.case);
    assert!(SOUGHT.iter().all(is_used));
}

/// What is wrong with a verdict: nothing, or what was found instead.
fn misjudged(case: &Value) -> Option<String> {
    let source = judged(case);
    let id = text(case, "id");
    let report = report::report(id, &source);
    let errors: Vec<&Value> = list(&report, "diagnostics")
        .iter()
        .filter(|entry| text(entry, "severity") == "error")
        .collect();
    let verdict = lookup(VERDICTS, id);
    let verdict = if verdict == id {
        text(&case["expected"][0], "value")
    } else {
        verdict
    };
    let right = match verdict {
        "ok" => errors.is_empty(),
        // Refused for its dimensions or for a datum, and for nothing else.
        _ => {
            !errors.is_empty()
                && errors
                    .iter()
                    .all(|entry| text(entry, "code").starts_with(['D', 'R']))
        }
    };
    (!right).then(|| {
        let found = diagnostics(&report).join("\n");
        format!("{id} should be {verdict}\n{source}{found}\n")
    })
}

#[test]
fn dimensional_verdicts_agree() {
    let cases = cases("dims.json");
    let found: Vec<String> = cases.iter().filter_map(misjudged).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
    assert_eq!(cases.len(), 88);
}

#[test]
fn left_out_cases_have_a_reason_and_are_not_among_the_others() {
    let ids: Vec<String> = TOPICS
        .into_iter()
        .flat_map(cases)
        .map(|case| text(&case, "id").to_string())
        .collect();
    for case in cases("left_out.json") {
        assert!(!text(&case, "reason").is_empty(), "{case}");
        assert!(!ids.iter().any(|id| id == text(&case, "id")), "{case}");
    }
}
