//! Lines of `derive` and `work`.

use super::super::tree::{Line, Rung, Text};
use super::Writer;

/// The rungs of a line that stand in one column, and what stands beside them.
struct Column<'t> {
    lead: Option<&'t Text>,
    is_wide: bool,
    sides: Vec<Side<'t>>,
}

struct Side<'t> {
    text: &'t Text,
    is_quiet: bool,
}

impl Writer<'_> {
    pub(super) fn lines(&mut self, lines: &[Line]) {
        self.out.push('\n');
        self.command("worklines", |writer| {
            writer.out.push('\n');
            lines.iter().for_each(|line| writer.line(line));
        });
        self.out.push('\n');
    }

    fn line(&mut self, line: &Line) {
        line.id.iter().for_each(|id| self.target(id));
        let mut column = Column {
            lead: None,
            is_wide: false,
            sides: Vec::new(),
        };
        let mut side = |text, is_quiet| column.sides.push(Side { text, is_quiet });
        for rung in &line.rungs {
            match rung {
                Rung::Equation {
                    lead,
                    is_wide,
                    right,
                } => {
                    column.lead = Some(lead);
                    column.is_wide = *is_wide;
                    side(right, false);
                }
                Rung::Side(text) => side(text, false),
                Rung::Remark(text) => side(text, true),
                Rung::LeadIn(text) => self.paragraph(text),
                Rung::Line(line) => self.line(line),
                Rung::Table(table) => self.table(table),
                Rung::Words(text) => self.paragraph(text),
            }
        }
        if !column.sides.is_empty() {
            self.column(&column, line);
        }
        self.blocks(&line.below);
    }

    fn paragraph(&mut self, text: &Text) {
        self.out.push_str("\\leadin{");
        self.text(text);
        self.out.push_str("}\n");
    }

    fn column(&mut self, column: &Column, line: &Line) {
        let lead = column.lead.filter(|_| column.is_wide);
        if lead.is_some() {
            self.out.push_str("\\wideline");
        } else {
            self.out.push_str("\\workline");
            self.group(|writer| writer.large(column.lead.unwrap_or(&Text::default())));
        }
        self.group(|writer| {
            if let Some(lead) = lead {
                writer.large(lead);
                writer.out.push_str("\\hspace{.28em}");
            }
            for (index, side) in column.sides.iter().enumerate() {
                writer.out.push_str(if index > 0 { "\\par " } else { "" });
                match side.is_quiet {
                    true => writer.command("aboutwords", |writer| writer.text(side.text)),
                    false => writer.large(side.text),
                }
            }
        });
        self.group(|writer| writer.text(&line.about));
        self.group(|writer| {
            if let Some(number) = line.number {
                writer.words(&format!("({number})"));
            }
        });
        self.out.push('\n');
    }
}
