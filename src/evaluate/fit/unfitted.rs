//! What is said of a fit that there is none of, and of one whose residuals are no chance.

use super::judge::Judgement;
use super::solve::Failure;
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

/// What a message needs to know about the lines.
pub struct Names<'a> {
    /// The text of the worksheet.
    pub text: &'a str,
    /// Where the formula stands.
    pub line: Span,
    /// Where its sides stand.
    pub sides: [Span; 2],
    /// Where the first parameter with a start stands.
    pub first_start: Option<Span>,
    /// Where each parameter is written.
    pub parameters: &'a [Span],
    /// Writes a value of a parameter in its unit.
    pub shown: &'a dyn Fn(usize, f64) -> String,
}

/// The diagnostic of a fit that there is none of.
pub fn diagnostic(failure: &Failure, names: &Names<'_>) -> Diagnostic {
    let name = |j: &usize| names.parameters[*j].of(names.text);
    let place = |j: &usize| names.parameters[*j];
    let side = |side: usize| names.sides[side].of(names.text);
    let parameters = names.parameters.len();
    let line = names.line;
    let (code, span, message, help) = match failure {
            Failure::Fault(_) => (Code::F12, line, String::new(), String::new()),
            Failure::NoRows => (
                Code::F01,
                line,
                "the formula has no list, so that there is nothing to fit".to_owned(),
                "readings of one table, or lists of `given`: `y_i = a + b x_i`".to_owned(),
            ),
            Failure::TooFew(rows) => (
                Code::F02,
                line,
                format!(
                    "{parameters} parameter{} and {rows} row{}",
                    if parameters == 1 { "" } else { "s" },
                    if *rows == 1 { "" } else { "s" },
                ),
                "fewer parameters, or more readings: one more than parameters where the spread is from residuals".to_owned(),
            ),
            Failure::Start(row) => (
                Code::F12,
                names.first_start.unwrap_or(line),
                format!("at the start, row {} has no value", row + 1),
                "another start, at which the formula has a value in every row".to_owned(),
            ),
            Failure::Endless(places) => {
                let at = |(j, value): &(usize, f64)| {
                    format!("`{}` = {}", name(j), (names.shown)(*j, *value))
                };
                let places: Vec<String> = places.iter().map(at).collect();
                let where_ = if places.is_empty() {
                    String::new()
                } else {
                    format!("; it was at {}", places.join(", "))
                };
                (
                    Code::F04,
                    line,
                    format!("the search did not end{where_}"),
                    "another start, or `between` two values".to_owned(),
                )
            }
            Failure::NoParameter(j) => (
                Code::F04,
                place(j),
                format!("no value of `{}` gives what the readings say", name(j)),
                "another formula: what stands in it of the parameter comes out with a sign that it cannot have".to_owned(),
            ),
            Failure::Dependent(places) => {
                let names: Vec<String> = places.iter().map(|j| format!("`{}`", name(j))).collect();
                let message = match names.as_slice() {
                    [only] => format!("the readings say nothing about {only}"),
                    [first @ .., last] => format!(
                        "{} and {last} cannot be told apart: their correlation is 1",
                        first.join(", ")
                    ),
                    [] => "the parameters cannot be told apart".to_owned(),
                };
                (
                    Code::F05,
                    places.last().map_or(line, place),
                    message,
                    "one of them in `given`, or rows that differ more".to_owned(),
                )
            }
            Failure::AtBound(j, value) => (
                Code::F07,
                place(j),
                format!(
                    "`{}` ends at its bound {}, and has no uncertainty there",
                    name(j),
                    (names.shown)(*j, *value)
                ),
                "a wider range, or the value in `given`".to_owned(),
            ),
            Failure::RightOnly => (
                Code::F10,
                names.sides[1],
                format!("the readings in `{}` are uncertain, those in `{}` are not", side(1), side(0)),
                "`± …` after the readings of the left side, or `spread from residuals`".to_owned(),
            ),
            Failure::Exact(_) | Failure::ByScatter(_) | Failure::NoCounts(_) => {
                return refused_weight(line, side(0), failure);
            }
            Failure::Weight(row) => (
                Code::F11,
                line,
                format!("the weight of row {} is no positive number", row + 1),
                "a positive weight in each row".to_owned(),
            ),
        };
    Diagnostic::error(code, span, message).with_help(help)
}

/// What is said of a row that has no weight of its own.
pub fn refused_weight(line: Span, list: &str, failure: &Failure) -> Diagnostic {
    let (code, message, help) = match failure {
        Failure::ByScatter(row) => (
            Code::U16,
            format!(
                "the uncertainty of row {} of `{list}` is the scatter of its few readings, which is no weight",
                row + 1
            ),
            "`pooled(…)`, by one scatter of all rows; in a fit also `weighted equally`",
        ),
        Failure::NoCounts(row) => (
            Code::U10,
            format!(
                "row {} is a count of 0, which has no weight of its own",
                row + 1
            ),
            "longer counts, or a fit in which the formula is not 0 there: it weights by the fitted counts",
        ),
        Failure::Exact(row) => (
            Code::F11,
            format!("row {} has no uncertainty and would decide alone", row + 1),
            "`± …` in that row; in a fit also `weighted equally`",
        ),
        _ => (
            Code::F11,
            "a row has no weight".to_owned(),
            "a positive weight in each row",
        ),
    };
    Diagnostic::error(code, line, message).with_help(help)
}

/// The warning that a judgement is.
pub fn warning(line: Span, judgement: &Judgement) -> Option<Diagnostic> {
    match judgement {
        Judgement::Scatter(times) => Some(
            Diagnostic::warning(
                Code::F08,
                line,
                format!(
                    "the readings scatter {} as much as their uncertainties say",
                    match *times >= 1.0 {
                        true => format!("{} times", crate::quantity::to_figures(*times, 2).text()),
                        false => crate::quantity::to_figures(*times, 2).text(),
                    }
                ),
            )
            .with_help("`spread from residuals`, another formula, or uncertainties that were looked at again"),
        ),
        Judgement::Runs(count, above) => Some(
            Diagnostic::warning(
                Code::F09,
                line,
                format!(
                    "the signs of the residuals run, the first {count} {}: the formula may lack a term",
                    if *above { "above" } else { "below" },
                ),
            )
            .with_help("a formula with a term more; `residuals of` it in a plot shows its form"),
        ),
        Judgement::LackOfFit(_) => None,
    }
}
