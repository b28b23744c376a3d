//! The table of a `data` block: its rows as they were written, those that take no part struck
//! through, and below it what was said of them.

use super::notice::{self, without_result};
use super::tree::{Block, Cell, Row, Table, TableKind, Text};
use super::{Page, prose};
use crate::document::Block as Markdown;
use crate::text::Series;
use crate::typeset;
use crate::worksheet::{self, Body, Entries, Statement, TableColumn};

/// The blocks that a table becomes.
pub(super) fn table(page: &Page, statement: &Statement) -> Vec<Block> {
    let Body::Table(table) = &statement.body else {
        return without_result(page, statement);
    };
    let shown = Block::Table(Table {
        kind: TableKind::Data,
        id: Some(page.anchor(&statement.id)),
        caption: caption(page, statement),
        columns: headings(page, table),
        rows: (0..table.rows).map(|at| row(table, at)).collect(),
    });
    let below = remarks(page, table).map(|text| Block::Markdown(Markdown::Paragraph(text.0)));
    (std::iter::once(shown).chain(below))
        .chain(notice::list(page, &statement.diagnostics))
        .collect()
}

/// "Table 1  Pressure ahead of the valve"
fn caption(page: &Page, statement: &Statement) -> Text {
    let mut caption = match &statement.label {
        Some((_, number)) => Text::new(Series::Table.reference(page.equation(*number))),
        None => Text::new("Table"),
    };
    if !statement.description.is_empty() {
        caption.say("\u{2002}");
        caption.append(prose::text(page, &statement.description));
    }
    caption
}

/// Whether rows are named anywhere, so that they have numbers.
fn has_numbers(table: &worksheet::Table) -> bool {
    !table.left_out.is_empty()
}

fn headings(page: &Page, table: &worksheet::Table) -> Vec<Text> {
    let number = has_numbers(table).then(|| Text::new("Row"));
    let columns = table.columns.iter().map(|column| heading(page, column));
    number.into_iter().chain(columns).collect()
}

/// "*l* / mm"
fn heading(page: &Page, column: &TableColumn) -> Text {
    let Entries::Readings {
        symbol,
        unit,
        times,
        word,
        ..
    } = &column.entries
    else {
        return Text::new(column.heading.clone());
    };
    let mut text = Text::from(typeset::symbol(*symbol, &page.context));
    if let Some(times) = times {
        text.say(format!("\u{a0}/\u{a0}{}", times.pattern.text()));
    } else if !unit.text().is_empty() {
        text.say("\u{a0}/\u{a0}");
        let is_compound = unit.text().contains([' ', '/', '·']);
        text.say(match is_compound {
            true => format!("({})", unit.text()),
            false => unit.text().to_owned(),
        });
    }
    if let Some(word) = word {
        text.say(format!("\u{a0}{word}"));
    }
    text
}

fn row(table: &worksheet::Table, at: usize) -> Row {
    let number = has_numbers(table).then(|| Text::new((at + 1).to_string()));
    let entries = table.columns.iter().map(|column| entry(column, at));
    let cells = number.into_iter().chain(entries).map(Cell::from).collect();
    match table.left_out.iter().any(|out| out.rows.contains(&at)) {
        true => Row::LeftOut(cells),
        false => Row::Cells(None, cells),
    }
}

fn entry(column: &TableColumn, at: usize) -> Text {
    let entry = column.entry(at);
    match &column.entries {
        Entries::Readings { times: None, .. } => Text::new(entry.replace('-', "\u{2212}")),
        // Dates and words have hyphens.
        Entries::Readings { .. } | Entries::Words(_) => Text::new(entry),
    }
}

/// What each column is, and why rows are left out.
fn remarks(page: &Page, table: &worksheet::Table) -> Option<Text> {
    let mut text = Text::default();
    let mut part = |own: Text| {
        if !text.is_empty() {
            text.say("; ");
        }
        text.append(own);
    };
    for column in &table.columns {
        if let Entries::Readings {
            symbol,
            description,
            uncertain,
            ..
        } = &column.entries
        {
            let said = description.iter().chain(uncertain);
            let said: Vec<&str> = said.map(String::as_str).collect();
            if !said.is_empty() {
                let mut own = Text::from(typeset::symbol(*symbol, &page.context));
                own.say(format!(": {}", said.join(", ")));
                part(own);
            }
        }
    }
    for out in &table.left_out {
        let numbers: Vec<String> = out.rows.iter().map(|row| (row + 1).to_string()).collect();
        let rows = if numbers.len() == 1 { "row" } else { "rows" };
        part(Text::new(format!(
            "left out: {rows} {}, {}",
            numbers.join(", "),
            out.reason
        )));
    }
    (!text.is_empty()).then(|| {
        text.say(".");
        text
    })
}
