//! Lines of `derive` and `work`.

use super::super::tree::{Line, Rung};
use super::Writer;

impl Writer<'_> {
    pub(super) fn lines(&mut self, lines: &[Line]) {
        self.closed("div class=\"lines\"", |writer| {
            writer.out.push('\n');
            for line in lines {
                writer.line(line);
                writer.out.push('\n');
            }
        });
    }

    fn line(&mut self, line: &Line) {
        let tag = match line.about.is_empty() {
            false => "div class=\"line\"",
            true => "div class=\"line bare\"",
        };
        self.statement(tag, line.id.as_deref(), |writer| {
            line.rungs.iter().for_each(|rung| writer.rung(rung));
            if !line.about.is_empty() {
                writer.element("div class=\"about\"", |writer| writer.text(&line.about));
            }
            if let Some(number) = line.number {
                writer.element("div class=\"number\"", |writer| {
                    writer.out.push('(');
                    writer.number(number);
                    writer.out.push(')');
                });
            }
            if !line.below.is_empty() {
                writer.element("div class=\"whole\"", |writer| writer.blocks(&line.below));
            }
        });
    }

    fn rung(&mut self, rung: &Rung) {
        match rung {
            Rung::Equation {
                lead,
                is_wide: true,
                right,
            } => self.element("div class=\"side wide\"", |writer| {
                writer.element("span", |writer| writer.text(lead));
                writer.text(right);
            }),
            Rung::Equation {
                lead,
                is_wide: false,
                right,
            } => {
                self.element("div class=\"lead\"", |writer| writer.text(lead));
                self.element("div class=\"side\"", |writer| writer.text(right));
            }
            Rung::Side(text) => self.element("div class=\"side\"", |writer| writer.text(text)),
            Rung::Remark(text) => {
                self.element("div class=\"side quiet\"", |writer| writer.text(text));
            }
            Rung::LeadIn(text) => {
                self.element("p class=\"whole lead-in\"", |writer| writer.text(text));
            }
            Rung::Line(line) => self.line(line),
            Rung::Table(table) => {
                self.element("div class=\"whole\"", |writer| writer.table(table));
            }
            Rung::Words(text) => {
                self.element("div class=\"whole quiet\"", |writer| writer.text(text));
            }
        }
    }
}
