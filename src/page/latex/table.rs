//! Tables of data, of checks and of what matters for a result.

use super::super::tree::{Cell, Row, Table, TableKind};
use super::Writer;

impl Writer<'_> {
    pub(super) fn table(&mut self, table: &Table) {
        self.out.push('\n');
        table.id.iter().for_each(|id| self.target(id));
        if !table.caption.is_empty() {
            self.command("blockname", |writer| writer.text(&table.caption));
        }
        // A long table cannot stand among lines of equations.
        let is_long = table.kind != TableKind::Dimensions;
        let environment = if is_long { "longtable" } else { "tabular" };
        let is_crowded = table.columns.len() > CROWDED;
        self.out.push_str(if is_crowded {
            "\n{\\small\\setlength{\\tabcolsep}{4pt}"
        } else {
            ""
        });
        self.out
            .push_str(&format!("\n\\begin{{{environment}}}{{@{{}}"));
        for (index, width) in widths(table).into_iter().enumerate() {
            self.out.push_str(&match width {
                Width::Own if table.counts(index) => "r".to_owned(),
                Width::Own => "l".to_owned(),
                Width::Part(part) => {
                    format!(">{{\\raggedright\\arraybackslash}}p{{{part}\\linewidth}}")
                }
            });
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
        self.out.push_str(if is_crowded { "}\n" } else { "" });
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
            Row::Summary(cells) => {
                for (index, cell) in cells.iter().enumerate() {
                    self.out.push_str(if index > 0 { " & " } else { "" });
                    self.command("emph", |writer| writer.text(&cell.text));
                    self.ends(cell);
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
        self.ends(cell);
        self.blocks(&cell.below);
    }

    /// Room for the digits that others have behind the end of a number.
    fn ends(&mut self, cell: &Cell) {
        let Some(ends) = cell.number else {
            return;
        };
        let point = if ends.lacks_point { "." } else { "" };
        if ends.decimals > 0 || ends.lacks_point {
            let digits = "0".repeat(ends.decimals);
            self.out.push_str(&format!("\\phantom{{{point}{digits}}}"));
        }
    }
}

/// A table of more columns is set small, with less between them.
const CROWDED: usize = 6;

/// How wide a column is.
#[derive(Clone, Copy)]
enum Width {
    /// As wide as what stands in it.
    Own,
    /// This part of the line.
    Part(&'static str),
}

/// The widths of the columns, the first of which mostly names a row.
fn widths(table: &Table) -> Vec<Width> {
    use Width::{Own, Part};
    match table.kind {
        TableKind::Given => vec![Own, Part(".27"), Part(".53")],
        TableKind::Check => vec![Part(".45"), Part(".30"), Part(".18")],
        TableKind::Sensitivity => vec![Own, Part(".24"), Part(".26"), Part(".24")],
        TableKind::Dimensions => vec![Own, Part(".34"), Part(".30")],
        TableKind::Budget => {
            let numbers = table.columns.iter().skip(1).map(|_| Own);
            std::iter::once(Part(".22")).chain(numbers).collect()
        }
        TableKind::Trials | TableKind::Data => table.columns.iter().map(|_| Own).collect(),
    }
}
