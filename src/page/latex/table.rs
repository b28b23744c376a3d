//! Tables of data, of checks and of what matters for a result.

use super::super::tree::{Cell, Row, Table, TableKind};
use super::Writer;

impl Writer<'_> {
    pub(super) fn table(&mut self, table: &Table) {
        self.out.push('\n');
        table.id.iter().for_each(|id| self.target(id));
        self.command("blockname", |writer| writer.text(&table.caption));
        // A long table cannot stand among lines of equations.
        let is_long = table.kind != TableKind::Dimensions;
        let environment = if is_long { "longtable" } else { "tabular" };
        self.out
            .push_str(&format!("\n\\begin{{{environment}}}{{@{{}}"));
        // What names a row is as wide as it is.
        let is_named = table.kind != TableKind::Check;
        self.out.push_str(if is_named { "l" } else { "" });
        if table.kind == TableKind::Data {
            self.out.push_str(&"l".repeat(table.columns.len() - 1));
        }
        for width in widths(table.kind) {
            self.out.push_str(&format!(
                ">{{\\raggedright\\arraybackslash}}p{{{width}\\linewidth}}"
            ));
        }
        self.out.push_str("@{}}\\toprule\n");
        for (index, column) in table.columns.iter().enumerate() {
            self.out.push_str(if index > 0 { " & " } else { "" });
            self.command("emph", |writer| writer.text(column));
        }
        self.out.push_str(" \\\\ \\midrule");
        self.out
            .push_str(if is_long { "\\endhead\n" } else { "\n" });
        table.rows.iter().for_each(|row| self.row(table, row));
        self.out
            .push_str(&format!("\\bottomrule\n\\end{{{environment}}}\n"));
    }

    fn row(&mut self, table: &Table, row: &Row) {
        match row {
            Row::Cells(id, cells) => {
                if let Some(id) = id {
                    self.out.push_str("\\leavevmode");
                    self.target(id);
                }
                for (index, cell) in cells.iter().enumerate() {
                    self.out.push_str(if index > 0 { " & " } else { "" });
                    self.cell(table.kind, cell);
                }
            }
            Row::LeftOut(cells) => {
                for (index, cell) in cells.iter().enumerate() {
                    self.out.push_str(if index > 0 { " & " } else { "" });
                    self.command("struckout", |writer| writer.cell(table.kind, cell));
                }
            }
            Row::Whole(id, blocks) => self.whole(table, |writer| {
                writer.out.push_str("\\leavevmode");
                writer.target(id);
                writer.blocks(blocks);
            }),
            Row::Note(blocks) => self.whole(table, |writer| writer.blocks(blocks)),
        }
        self.out.push_str(match table.kind {
            TableKind::Check => " \\\\ \\addlinespace\n",
            TableKind::Given
            | TableKind::Sensitivity
            | TableKind::Dimensions
            | TableKind::Data
            | TableKind::Trials
            | TableKind::Budget => " \\\\\n",
        });
    }

    fn whole(&mut self, table: &Table, write: impl FnOnce(&mut Self)) {
        self.out.push_str(&format!(
            "\\multicolumn{{{}}}{{@{{}}p{{\\linewidth}}@{{}}}}{{",
            table.columns.len()
        ));
        write(self);
        self.out.push('}');
    }

    fn cell(&mut self, kind: TableKind, cell: &Cell) {
        match kind {
            TableKind::Check => self.large(&cell.text),
            TableKind::Given
            | TableKind::Sensitivity
            | TableKind::Dimensions
            | TableKind::Data
            | TableKind::Trials
            | TableKind::Budget => {
                self.text(&cell.text);
            }
        }
        self.blocks(&cell.below);
    }
}

/// The widths of the columns whose width is set, as parts of the line.
fn widths(kind: TableKind) -> &'static [&'static str] {
    match kind {
        TableKind::Given => &[".27", ".53"],
        TableKind::Check => &[".45", ".30", ".18"],
        TableKind::Sensitivity => &[".24", ".26", ".24"],
        TableKind::Trials => &[".30", ".17", ".14", ".17"],
        TableKind::Budget => &[".16", ".12", ".09", ".12", ".05", ".14", ".12"],
        TableKind::Dimensions => &[".34", ".30"],
        // As wide as what stands in them.
        TableKind::Data => &[],
    }
}
