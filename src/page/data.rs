//! The table of a `data` block: its rows as they were written, those that take no part struck
//! through, and below it what was said of them.

use super::column::{Chosen, Column};
use super::notice::{self, without_result};
use super::tree::{Block, Table, TableKind, Text};
use super::{Page, prose};
use crate::document::Block as Markdown;
use crate::text::Series;
use crate::typeset;
use crate::worksheet::{self, Body, Entries, ReadingsUncertain, Statement, SymbolId, TableColumn};

/// The blocks that a table becomes.
pub(super) fn table(page: &Page, statement: &Statement) -> Vec<Block> {
    let Body::Table(table) = &statement.body else {
        return without_result(page, statement);
    };
    let columns: Vec<Column> = (table.columns.iter()).map(|it| column(page, it)).collect();
    let chosen = Chosen::new(table.rows, left_out(table), false);
    let shown = Block::Table(Table {
        kind: TableKind::Data,
        id: Some(page.anchor(&statement.id)),
        caption: caption(page, statement),
        columns: chosen.headings(&columns),
        rows: chosen.rows(&columns),
    });
    let below = remarks(page, table, &chosen);
    let below = below.map(|text| Block::Markdown(Markdown::Paragraph(text.0)));
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

/// All rows that take no part.
fn left_out(table: &worksheet::Table) -> Vec<usize> {
    let rows = table.left_out.iter().flat_map(|out| &out.rows);
    let mut rows: Vec<usize> = rows.copied().collect();
    rows.sort_unstable();
    rows.dedup();
    rows
}

fn column<'c>(page: &Page, column: &'c TableColumn) -> Column<'c> {
    match &column.entries {
        Entries::Readings {
            symbol,
            unit,
            times,
            word,
            summary,
            ..
        } => Column {
            heading: match times {
                Some(times) => as_read(page, *symbol, times.pattern.text()),
                None => heading(page, *symbol, unit.text(), *word),
            },
            entry: Box::new(|row| column.entry(row).into_owned()),
            is_number: times.is_none(),
            summary: summary.as_deref().cloned(),
        },
        Entries::Uncertainties { of, unit, .. } => Column {
            heading: in_unit(
                typeset::uncertainty_of_column(*of, &page.context),
                unit.text(),
            ),
            entry: Box::new(|row| column.entry(row).into_owned()),
            is_number: true,
            summary: None,
        },
        Entries::Words(_) => Column {
            heading: Text::new(column.heading.clone()),
            entry: Box::new(|row| column.entry(row).into_owned()),
            is_number: false,
            summary: None,
        },
    }
}

/// "*t* / hh:mm"
fn as_read(page: &Page, symbol: SymbolId, pattern: &str) -> Text {
    let mut text = Text::from(typeset::column(symbol, &page.context));
    text.say(format!("\u{a0}/\u{a0}{pattern}"));
    text
}

/// "*l* / mm"
pub(super) fn heading(page: &Page, symbol: SymbolId, unit: &str, word: Option<&str>) -> Text {
    let mut text = in_unit(typeset::column(symbol, &page.context), unit);
    if let Some(word) = word {
        text.say(format!("\u{a0}{word}"));
    }
    text
}

/// A quantity over its unit, as numbers of it stand in a table.
fn in_unit(quantity: typeset::Node, unit: &str) -> Text {
    let mut text = Text::from(quantity);
    if !unit.is_empty() {
        text.say("\u{a0}/\u{a0}");
        let is_compound = unit.contains([' ', '/', '·']);
        text.say(match is_compound {
            true => format!("({unit})"),
            false => unit.to_owned(),
        });
    }
    text
}

/// What each column is, and why rows are left out.
fn remarks(page: &Page, table: &worksheet::Table, chosen: &Chosen) -> Option<Text> {
    let mut text = Text::default();
    let mut part = |own: Text| {
        if !text.is_empty() {
            text.say("; ");
        }
        text.append(own);
    };
    chosen.note().map(Text::new).into_iter().for_each(&mut part);
    for column in &table.columns {
        if let Entries::Readings {
            symbol,
            description,
            uncertain,
            ..
        } = &column.entries
        {
            let name = || typeset::column(*symbol, &page.context);
            let mut own = Text::default();
            if !description.is_empty() {
                own.formula(name());
                own.say(": ");
                own.append(prose::text(page, description));
            }
            match uncertain.as_slice() {
                [
                    ReadingsUncertain {
                        size: Some((size, unit)),
                        is_standard: true,
                        of,
                    },
                ] => {
                    own.say(if own.is_empty() { "" } else { ", " });
                    own.formula(typeset::uncertainty_of_column(*symbol, &page.context));
                    own.say(" = ");
                    own.formula(typeset::amount(size, unit));
                    own.say(format!(", {of}"));
                }
                all => {
                    for said in all {
                        match own.is_empty() {
                            true => {
                                own.formula(name());
                                own.say(": ");
                            }
                            false => own.say(", "),
                        }
                        match &said.size {
                            Some((size, unit)) => own.formula(typeset::size(size, unit)),
                            None => own.say("as stated"),
                        }
                        own.say(format!(", {}", said.of));
                    }
                }
            }
            if !own.is_empty() {
                part(own);
            }
        }
    }
    for group in &table.together {
        let mut own = Text::default();
        for (at, name) in group.iter().enumerate() {
            own.say(match at {
                0 => "",
                at if at + 1 == group.len() => " and ",
                _ => ", ",
            });
            own.formula(typeset::column(*name, &page.context));
        }
        own.say(" read together");
        part(own);
    }
    for out in &table.left_out {
        let rows = Chosen::named(&out.rows);
        part(Text::new(format!("left out: {rows}, {}", out.reason)));
    }
    (!text.is_empty()).then(|| {
        text.say(".");
        text
    })
}
