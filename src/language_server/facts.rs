//! What is known about a name: its value, the line that defines it, the lines that use it.

use super::documents::Document;
use super::names::{Occurrence, Role, Target};
use crate::resolve::{FunctionId, SymbolId};
use crate::text::Span;
use crate::typeset;
use crate::worksheet::{Body, Part, PartKind, Shown, Statement, Worksheet};

/// All statements with the part they stand in.
pub(super) fn statements(worksheet: &Worksheet) -> impl Iterator<Item = (&Part, &Statement)> {
    worksheet.parts.iter().flat_map(|part| {
        let statements = match &part.kind {
            PartKind::Block { statements, .. } => statements.as_slice(),
            _ => &[],
        };
        statements.iter().map(move |statement| (part, statement))
    })
}

/// The value of a quantity, as it is printed where it is defined.
pub(super) fn value(worksheet: &Worksheet, symbol: SymbolId) -> Option<&Shown> {
    statements(worksheet).find_map(|(_, statement)| given_here(&statement.body, symbol))
}

/// The value that a line gives a quantity; a what-if gives none.
pub(super) fn given_here(body: &Body, symbol: SymbolId) -> Option<&Shown> {
    match body {
        Body::Given {
            symbol: own, shown, ..
        } if *own == symbol => Some(shown),
        Body::Work(work) if work.lead.as_symbol() == Some(symbol) && work.conditions.is_empty() => {
            Some(&work.shown)
        }
        Body::System(system) => {
            let mut unknowns = system.unknowns.iter();
            let found = unknowns.find(|(own, _)| *own == symbol);
            found.map(|(_, shown)| &**shown)
        }
        _ => None,
    }
}

/// The symbols that a line gives a value.
pub(super) fn defined_by(body: &Body) -> Vec<SymbolId> {
    match body {
        Body::Given { symbol, .. } => vec![*symbol],
        Body::Work(work) if work.conditions.is_empty() => {
            work.lead.as_symbol().into_iter().collect()
        }
        Body::System(system) => system.unknowns.iter().map(|(symbol, _)| *symbol).collect(),
        _ => Vec::new(),
    }
}

/// The line that defines a function.
pub(super) fn function(worksheet: &Worksheet, function: FunctionId) -> Option<&Statement> {
    let is_it =
        |body: &Body| matches!(body, Body::Function { function: own, .. } if *own == function);
    statements(worksheet)
        .map(|(_, statement)| statement)
        .find(|statement| is_it(&statement.body))
}

/// The line with a label, and its number.
pub(super) fn labelled<'a>(
    worksheet: &'a Worksheet,
    problem: usize,
    label: &str,
) -> Option<(&'a Statement, usize)> {
    statements(worksheet).find_map(|(part, statement)| match &statement.label {
        Some((own, number)) if own == label && part.problem == problem => {
            Some((statement, *number))
        }
        _ => None,
    })
}

/// The statement at a place.
pub(super) fn statement_at(worksheet: &Worksheet, place: u32) -> Option<&Statement> {
    statements(worksheet)
        .map(|(_, statement)| statement)
        .find(|statement| statement.span.start <= place && place <= statement.span.end)
}

/// What the author wrote beside a line.
pub(super) fn description<'a>(worksheet: &'a Worksheet, statement: &Statement) -> Option<&'a str> {
    let source = &worksheet.source;
    let line = source.line_span(source.line_of(statement.span.end));
    let rest = source.slice(Span {
        start: statement.span.end.min(line.end),
        end: line.end,
    });
    let rest = rest.trim_start();
    let words = rest.strip_prefix("--").or(rest.strip_prefix('—'))?.trim();
    (!words.is_empty()).then_some(words)
}

/// "2 uses, on lines 14 and 20"; the same line is named once.
pub(super) fn uses(document: &Document, target: &Target) -> String {
    let used: Vec<&Occurrence> = document
        .names()
        .of(target)
        .filter(|name| name.role == Role::Use)
        .collect();
    let source = &document.worksheet().source;
    let mut lines: Vec<usize> = used
        .iter()
        .map(|name| source.line_of(name.span.start))
        .collect();
    lines.dedup();
    let texts: Vec<String> = lines.iter().map(usize::to_string).collect();
    match (used.len(), texts.as_slice()) {
        (0, _) => "not used".to_owned(),
        (1, _) => format!("used once, on line {}", texts.concat()),
        (count, [line]) => format!("used {count} times, on line {line}"),
        (count, [first @ .., last]) if first.len() < MOST_LINES => {
            format!(
                "used {count} times, on lines {} and {last}",
                first.join(", ")
            )
        }
        (count, _) => format!(
            "used {count} times, on lines {} and {} more",
            texts[..MOST_LINES].join(", "),
            texts.len() - MOST_LINES
        ),
    }
}

/// So many lines are listed, no more.
const MOST_LINES: usize = 8;

/// A value as it is printed, with its unit.
pub(super) fn printed(shown: &Shown) -> String {
    typeset::text(shown)
}
