//! Tables of data, of checks and of what matters for a result.

use super::super::tree::{Cell, Row, Table, TableKind};
use super::Writer;
use super::markdown::BROAD;

impl Writer<'_> {
    pub(super) fn table(&mut self, table: &Table) {
        let tag = match table.kind {
            TableKind::Given => "table class=\"given\"",
            TableKind::Check => "table class=\"check\"",
            TableKind::Sensitivity => "table class=\"sensitivity\"",
            TableKind::Trials => "table class=\"trials\"",
            TableKind::Budget => "table class=\"budget\"",
            TableKind::Dimensions => "table class=\"dimensions\"",
            TableKind::Data if table.columns.len() >= BROAD => {
                "table class=\"data\" tabindex=\"0\""
            }
            TableKind::Data => "table class=\"data\"",
        };
        self.statement(tag, table.id.as_deref(), |writer| {
            writer.out.push('\n');
            if !table.caption.is_empty() {
                writer.closed("caption class=\"name\"", |writer| {
                    writer.text(&table.caption);
                });
            }
            writer.closed("thead", |writer| {
                writer.element("tr", |writer| {
                    for (index, column) in table.columns.iter().enumerate() {
                        let tag = match table.counts(index) {
                            true => "th scope=\"col\" class=\"number\"",
                            false => "th scope=\"col\"",
                        };
                        writer.head_cell(tag, &column.0);
                    }
                });
            });
            writer.closed("tbody", |writer| {
                writer.out.push('\n');
                for row in &table.rows {
                    writer.table_row(table, row);
                }
            });
        });
        self.out.push('\n');
    }

    fn table_row(&mut self, table: &Table, row: &Row) {
        let whole = format!("td colspan=\"{}\"", table.columns.len());
        match row {
            Row::Cells(id, cells) => self.statement("tr", id.as_deref(), |writer| {
                for (index, cell) in cells.iter().enumerate() {
                    writer.cell(table.kind, index, cell);
                }
            }),
            Row::LeftOut(cells) => self.element("tr class=\"out\"", |writer| {
                for (index, cell) in cells.iter().enumerate() {
                    writer.cell(table.kind, index, cell);
                }
            }),
            Row::Summary(cells) => self.element("tr class=\"sums\"", |writer| {
                for (index, cell) in cells.iter().enumerate() {
                    writer.cell(table.kind, index, cell);
                }
            }),
            Row::Whole(id, blocks) => self.statement("tr", Some(id), |writer| {
                writer.element(&whole, |writer| writer.blocks(blocks));
            }),
            Row::Note(blocks) => self.element("tr class=\"note\"", |writer| {
                writer.element(&whole, |writer| writer.blocks(blocks));
            }),
        }
        self.out.push('\n');
    }

    fn cell(&mut self, kind: TableKind, index: usize, cell: &Cell) {
        if let Some(ends) = cell.number {
            let point = if ends.lacks_point { "p" } else { "" };
            // No number has more decimals than the sheet knows.
            let tag = match (ends.decimals.min(15), point) {
                (0, "") => "td class=\"number\"".to_owned(),
                (decimals, point) => format!("td class=\"number d{decimals}{point}\""),
            };
            self.element(&tag, |writer| writer.text(&cell.text));
            return;
        }
        let tag = match (kind, index) {
            (TableKind::Data, _) => "td",
            (_, 0) if cell.below.is_empty() => {
                return self.head_cell("th scope=\"row\"", &cell.text.0);
            }
            (_, 0) => "th scope=\"row\"",
            (TableKind::Check, 2) => "td class=\"verdict\"",
            (
                TableKind::Given
                | TableKind::Check
                | TableKind::Sensitivity
                | TableKind::Budget
                | TableKind::Trials
                | TableKind::Dimensions,
                _,
            ) => "td",
        };
        self.element(tag, |writer| {
            writer.text(&cell.text);
            writer.blocks(&cell.below);
        });
    }
}
