//! The machine-readable report: one JSON array with an object for each worksheet.
//!
//! The types here are made for the wire and are not used inside the engine. Printed values are
//! plain text; `value` is in `unit` and `si` in coherent SI units, both at full precision.

use serde::Serialize;

use crate::diagnostic::Severity;
use crate::resolve::{Expr, SymbolId};
use crate::typeset::{relation, text};
use crate::worksheet::{Body, Part, PartKind, Shown, Statement, Worksheet};

#[derive(Serialize)]
struct Report<'a> {
    worksheet: &'a str,
    results: Vec<Outcome>,
    checks: Vec<Check>,
    /// Steps of a derivation are not judged yet; the list is part of the format.
    steps: [(); 0],
    answers: Vec<Answer>,
    diagnostics: Vec<Finding<'a>>,
}

/// A computed quantity.
#[derive(Serialize)]
struct Outcome {
    name: String,
    line: usize,
    problem: Option<String>,
    value: Numbers,
    unit: String,
    si: Numbers,
    dimension: String,
    printed: String,
    figures: u8,
}

/// A number, or an array for a list. What is not finite is null.
#[derive(Serialize)]
#[serde(untagged)]
enum Numbers {
    One(Option<f64>),
    List(Vec<f64>),
}

#[derive(Serialize)]
struct Check {
    line: usize,
    text: String,
    holds: bool,
    left: String,
    right: String,
}

#[derive(Serialize)]
struct Answer {
    name: String,
    printed: String,
    direction: Option<String>,
}

#[derive(Serialize)]
struct Finding<'a> {
    code: String,
    severity: &'static str,
    message: &'a str,
    help: Option<&'a str>,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
}

/// The report on some worksheets as JSON.
pub fn report(worksheets: &[Worksheet]) -> String {
    let reports: Vec<Report> = worksheets.iter().map(one).collect();
    // Strings, numbers and lists of them always have a JSON form.
    serde_json::to_string_pretty(&reports).unwrap_or_else(|_| "[]".to_owned())
}

fn one(worksheet: &Worksheet) -> Report<'_> {
    let mut report = Report {
        worksheet: worksheet.source.name(),
        results: Vec::new(),
        checks: Vec::new(),
        steps: [],
        answers: Vec::new(),
        diagnostics: findings(worksheet),
    };
    for part in &worksheet.parts {
        let PartKind::Block { statements, .. } = &part.kind else {
            continue;
        };
        for statement in statements {
            add(worksheet, part, statement, &mut report);
        }
    }
    report
}

fn add(worksheet: &Worksheet, part: &Part, statement: &Statement, report: &mut Report) {
    match &statement.body {
        // Data that the author wrote are no results; what is computed from them is.
        Body::Given {
            symbol,
            formula: Some(_),
            shown,
        } => {
            let name = worksheet.symbols.symbol(*symbol).key.to_string();
            let outcome = outcome(worksheet, part, statement, name, shown);
            report.results.push(outcome);
        }
        Body::Work(work) => {
            let name = name(worksheet, &work.lead) + &conditions(worksheet, &work.conditions);
            let outcome = outcome(worksheet, part, statement, name, &work.shown);
            report.results.push(outcome);
        }
        Body::Check {
            members,
            relations,
            within,
            holds,
        } => {
            let sources: Vec<&str> = members
                .iter()
                .map(|(member, _)| worksheet.source.slice(member.span))
                .collect();
            let mut line = String::new();
            for (index, source) in sources.iter().enumerate() {
                let sign = index
                    .checked_sub(1)
                    .and_then(|before| relations.get(before));
                if let Some(sign) = sign {
                    line.push(' ');
                    line.push_str(relation(*sign));
                    line.push(' ');
                }
                line.push_str(source);
            }
            if let Some(within) = within {
                line.push_str(" within ");
                line.push_str(worksheet.source.slice(within.span));
            }
            let figures = |member: Option<&(Expr, Shown)>| {
                member.map(|(_, shown)| text(shown)).unwrap_or_default()
            };
            report.checks.push(Check {
                line: statement.line,
                text: line,
                holds: *holds,
                left: figures(members.first()),
                right: figures(members.last()),
            });
        }
        Body::Answer {
            expr,
            shown,
            direction,
        } => report.answers.push(Answer {
            name: name(worksheet, expr),
            printed: text(shown),
            direction: direction.as_ref().map(|direction| direction.0.clone()),
        }),
        _ => {}
    }
}

fn outcome(
    worksheet: &Worksheet,
    part: &Part,
    statement: &Statement,
    name: String,
    shown: &Shown,
) -> Outcome {
    let problem = worksheet.problems.get(part.problem);
    Outcome {
        name,
        line: statement.line,
        problem: problem.and_then(|problem| problem.title.clone()),
        value: numbers(&shown.values, shown.is_list),
        unit: shown.unit.text().to_owned(),
        si: numbers(&shown.si, shown.is_list),
        dimension: shown.unit.dimension().formula(),
        printed: text(shown),
        figures: shown.figures,
    }
}

fn numbers(values: &[f64], is_list: bool) -> Numbers {
    if is_list {
        Numbers::List(values.to_vec())
    } else {
        Numbers::One(values.first().copied().filter(|value| value.is_finite()))
    }
}

/// The canonical spelling of a symbol, the source of anything else.
fn name(worksheet: &Worksheet, expr: &Expr) -> String {
    match expr.as_symbol() {
        Some(id) => worksheet.symbols.symbol(id).key.to_string(),
        None => worksheet.source.slice(expr.span).to_owned(),
    }
}

/// " at Q = 40 L/s", so that a what-if is not taken for the result itself.
fn conditions(worksheet: &Worksheet, conditions: &[(SymbolId, Shown)]) -> String {
    let mut out = String::new();
    for (index, (symbol, shown)) in conditions.iter().enumerate() {
        out.push_str(if index == 0 { " at " } else { ", " });
        out.push_str(&worksheet.symbols.symbol(*symbol).key);
        out.push_str(" = ");
        out.push_str(&text(shown));
    }
    out
}

fn findings(worksheet: &Worksheet) -> Vec<Finding<'_>> {
    let findings = worksheet.diagnostics.iter().map(|diagnostic| {
        let start = worksheet.source.position(diagnostic.span.start);
        let end = worksheet.source.position(diagnostic.span.end);
        Finding {
            code: diagnostic.code.to_string(),
            severity: match diagnostic.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
            },
            message: &diagnostic.message,
            help: diagnostic.help.as_deref(),
            line: start.line,
            column: start.column,
            end_line: end.line,
            end_column: end.column,
        }
    });
    findings.collect()
}
