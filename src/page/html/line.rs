//! Lines of `derive` and `work`.

use super::super::tree::{Line, Rung};
use super::Writer;
use super::text::breadth;

/// What is broader than this, in em, may have no room in the narrowest window (320 pixels).
const BROAD: f32 = 12.0;

impl Writer<'_> {
    pub(super) fn lines(&mut self, lines: &[Line]) {
        self.closed("div class=\"lines\"", |writer| {
            writer.out.push('\n');
            let lead = lead(lines);
            for line in lines {
                writer.line(line, lead);
                writer.out.push('\n');
            }
        });
    }

    /// Left sides take so much room, in em, in all lines of a block.
    fn line(&mut self, line: &Line, lead: f32) {
        let tag = match line.about.is_empty() {
            false => "div class=\"line\"",
            true => "div class=\"line bare\"",
        };
        self.statement(tag, line.id.as_deref(), |writer| {
            line.rungs.iter().for_each(|rung| writer.rung(rung, lead));
            if !line.about.is_empty() {
                writer.element("div class=\"about\"", |writer| writer.text(&line.about));
            }
            if let Some(number) = line.number {
                // A number in brackets is read out as what it is the number of.
                let tag =
                    format!("div class=\"number\" role=\"group\" aria-label=\"equation {number}\"");
                writer.element(&tag, |writer| {
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

    fn rung(&mut self, rung: &Rung, room: f32) {
        match rung {
            Rung::Equation {
                lead,
                is_wide: true,
                right,
            } => self.element(
                &side("side wide", breadth(&lead.0).max(breadth(&right.0))),
                |writer| {
                    writer.element("span", |writer| writer.text(lead));
                    writer.text(right);
                },
            ),
            Rung::Equation {
                lead,
                is_wide: false,
                right,
            } => {
                self.element("div class=\"lead\"", |writer| writer.text(lead));
                let width = room + breadth(&right.0);
                self.element(&side("side", width), |writer| writer.text(right));
            }
            Rung::Side(text) => {
                let tag = side("side", room + breadth(&text.0));
                self.element(&tag, |writer| writer.text(text));
            }
            Rung::Remark(text) => {
                self.element("div class=\"side quiet\"", |writer| writer.text(text));
            }
            Rung::LeadIn(text) => {
                self.element("p class=\"whole lead-in\"", |writer| writer.text(text));
            }
            Rung::Line(line) => self.line(line, room),
            Rung::Table(table) => {
                self.element("div class=\"whole\"", |writer| writer.table(table));
            }
            Rung::Words(text) => {
                self.element("div class=\"whole quiet\"", |writer| writer.text(text));
            }
        }
    }
}

/// How broad the broadest left side is.
fn lead(lines: &[Line]) -> f32 {
    let rungs = lines.iter().flat_map(|line| &line.rungs);
    let leads = rungs.map(|rung| match rung {
        Rung::Equation {
            lead,
            is_wide: false,
            ..
        } => breadth(&lead.0),
        Rung::Line(line) => self::lead(std::slice::from_ref(line)),
        _ => 0.0,
    });
    leads.fold(0.0, f32::max)
}

/// What may be too broad is scrolled, with keys as well.
fn side(class: &str, width: f32) -> String {
    let keys = match width > BROAD {
        true => " tabindex=\"0\" role=\"group\" aria-label=\"wide equation\"",
        false => "",
    };
    format!("div class=\"{class}\"{keys}")
}
