//! What is known about a name: its value, the line that defines it, the lines that use it.

use super::documents::Document;
use super::names::{Occurrence, Role, Target};
use crate::resolve::{FunctionId, SymbolId};
use crate::typeset;
use crate::worksheet::{
    Body, Entries, Placed, Problem, Shown, Statement, Table, TableColumn, Worksheet,
};

/// The value of a quantity, as it is printed where it is defined.
pub(super) fn value(problem: &Problem, symbol: SymbolId) -> Option<&Shown> {
    (problem.statements()).find_map(|statement| given_here(&statement.body, symbol))
}

/// The column of readings with a name, with its table.
pub(super) fn column(
    problem: &Problem,
    symbol: SymbolId,
) -> Option<(&Statement, &Table, &TableColumn)> {
    problem.statements().find_map(|statement| {
        let Body::Table(table) = &statement.body else {
            return None;
        };
        let is_it = |column: &&TableColumn| {
            matches!(&column.entries, Entries::Readings { symbol: own, .. } if *own == symbol)
        };
        Some((statement, &**table, table.columns.iter().find(is_it)?))
    })
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
pub(super) fn function(problem: &Problem, function: FunctionId) -> Option<&Statement> {
    let is_it = |body: &Body| match body {
        Body::Function { function: own, .. } => *own == function,
        Body::Shear(cut) => cut.lines.iter().any(|(own, _)| *own == function),
        _ => false,
    };
    problem
        .statements()
        .find(|statement| is_it(&statement.body))
}

/// The line with a label, and its number in the problem.
pub(super) fn labelled<'a>(problem: &'a Problem, label: &str) -> Option<(&'a Statement, usize)> {
    let own = problem.blocks().flatten();
    own.filter_map(|statement| Some((statement, statement.label.as_ref()?)))
        .find(|(_, (own, _))| own == label)
        .map(|(statement, (_, number))| (statement, *number))
}

/// The statement at a place of the worksheet, with its problem.
pub(super) fn statement_at(worksheet: &Worksheet, at: u32) -> Option<(&Placed, &Statement)> {
    let placed = worksheet.problem_at(at);
    let own = placed.own_place(at)?;
    let mut statements = placed.problem.blocks().flatten();
    let found = statements.find(|line| line.span.start <= own && own <= line.span.end);
    Some((placed, found?))
}

/// What the author wrote beside a line.
pub(super) fn description<'a>(problem: &'a Problem, statement: &Statement) -> Option<&'a str> {
    let rest = problem.text.get(statement.span.end as usize..)?;
    let rest = rest.lines().next()?.trim_start();
    let words = rest.strip_prefix("--").or(rest.strip_prefix('—'))?.trim();
    (!words.is_empty()).then_some(words)
}

/// "2 uses, on lines 14 and 20"; the same line is named once.
pub(super) fn uses(document: &Document, target: &Target) -> String {
    let mut used: Vec<Occurrence> = document.names().of(target);
    used.retain(|name| name.role == Role::Use);
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
