//! Every printed figure against an arbitrary-precision library: random formulas with units, in
//! which all functions of the table and much that cancels.
//!
//! `tests/reference/certain.py` makes them and says how the digits were found.

use setsquare::diagnostic::Severity;
use setsquare::text::Source;
use setsquare::worksheet::{self, Body};

/// A formula: its text, the unit that is asked, the figures, and the digits.
type Case<'a> = [&'a str; 4];

/// The data and the formulas of each worksheet.
fn sheets(text: &str) -> Vec<(Vec<&str>, Vec<Case<'_>>)> {
    let mut sheets: Vec<(Vec<&str>, Vec<Case<'_>>)> = Vec::new();
    for line in text.lines() {
        let fields: Vec<&str> = line.split('\t').collect();
        match (fields.as_slice(), sheets.last_mut()) {
            (["given"], _) => sheets.push((Vec::new(), Vec::new())),
            (["work"], _) => {}
            ([given], Some((data, _))) => data.push(given),
            ([formula, unit, figures, digits], Some((_, cases))) => {
                cases.push([formula, unit, figures, digits]);
            }
            _ => panic!("no line of the reference: {line}"),
        }
    }
    sheets
}

fn written(data: &[&str], cases: &[Case<'_>]) -> String {
    let mut text = format!("```given\n{}\n```\n\n```work\n", data.join("\n"));
    for (at, [formula, unit, figures, _]) in cases.iter().enumerate() {
        text.push_str(&format!(
            "y_{at} = {formula} = ? {unit} to {figures} figures\n"
        ));
    }
    text + "```\n"
}

/// A printed number as a whole number with its power of ten: `1.230e-7` is `1230e-10`.
fn digits(printed: &str) -> String {
    let (mantissa, exponent) = printed.split_once('e').unwrap_or((printed, "0"));
    let exponent: i32 = exponent.parse().expect(printed);
    let decimals = mantissa.split_once('.').map_or(0, |(_, after)| after.len());
    let sign = if mantissa.starts_with('-') { "-" } else { "" };
    let all: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    let significant = all.trim_start_matches('0');
    format!("{sign}{significant}e{}", exponent - decimals as i32)
}

#[test]
fn every_printed_figure_is_that_of_an_arbitrary_precision_library() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/certain.txt");
    let text = std::fs::read_to_string(path).expect("the reference");
    let mut wrong = Vec::new();
    let mut compared = 0;
    for (data, cases) in sheets(&text) {
        let sheet = worksheet::compile(Source::new("certain.md", written(&data, &cases)));
        let errors = sheet.diagnostics.iter();
        let errors: Vec<&str> = errors
            .filter(|it| it.severity == Severity::Error)
            .map(|it| it.message.as_str())
            .collect();
        assert!(errors.is_empty(), "{errors:?}");
        let results = sheet.statements().filter_map(|(_, line)| match &line.body {
            Body::Work(work) => Some(work.shown.digits[0].ascii()),
            _ => None,
        });
        let results: Vec<String> = results.collect();
        assert_eq!(results.len(), cases.len());
        for (printed, [formula, unit, figures, expected]) in results.iter().zip(&cases) {
            compared += 1;
            if digits(printed) != *expected {
                wrong.push(format!(
                    "{formula} = {printed} {unit} to {figures} figures, expected {expected}"
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{} wrong: {wrong:#?}", wrong.len());
    assert!(compared >= 20_000, "{compared}");
}
