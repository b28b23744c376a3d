//! Blocks of Markdown.

use super::super::tree::{Set, picture};
use super::{Writer, escape};
use crate::document::{Alignment, Block, Description, Inline, Item, Table};

/// So many columns may be broader than a narrow window.
pub(super) const BROAD: usize = 3;

impl Writer<'_> {
    pub(super) fn markdown(&mut self, block: &Block<Set>) {
        match block {
            Block::Paragraph(text) | Block::Plain(text) if picture(text).is_some() => {
                picture(text).into_iter().for_each(|it| self.picture(it));
            }
            Block::Paragraph(text) => self.closed("p", |writer| writer.inlines(text)),
            Block::Plain(text) => self.inlines(text),
            Block::Heading(level, text) => {
                self.closed(&format!("h{level}"), |writer| writer.inlines(text));
            }
            Block::Rule => self.out.push_str("<hr />\n"),
            Block::NewPage => self.out.push_str("<div class=\"new-page\"></div>\n"),
            Block::Code { language, text } => self.code(language, text),
            Block::Quote(content) => self.spread("blockquote", |writer| {
                writer.all(content);
            }),
            Block::List { start, items } => self.items(*start, items),
            Block::Descriptions(parts) => self.spread("dl", |writer| {
                parts.iter().for_each(|part| writer.description(part));
            }),
            Block::Table(table) => self.markdown_table(table),
            Block::Footnotes(notes) => self.notes(notes),
        }
    }

    /// An element with a line feed behind it.
    pub(super) fn closed(&mut self, tag: &str, write: impl FnOnce(&mut Self)) {
        self.element(tag, write);
        self.out.push('\n');
    }

    /// An element whose content begins on a new line.
    fn spread(&mut self, tag: &str, write: impl FnOnce(&mut Self)) {
        self.closed(tag, |writer| {
            writer.out.push('\n');
            write(writer);
        });
    }

    /// Blocks one after another; the words of a tight item end their line when something follows.
    fn all(&mut self, blocks: &[Block<Set>]) {
        for (index, block) in blocks.iter().enumerate() {
            self.markdown(block);
            if matches!(block, Block::Plain(_)) && index + 1 < blocks.len() {
                self.out.push('\n');
            }
        }
    }

    fn code(&mut self, language: &str, text: &str) {
        self.out.push_str("<pre><code");
        if !language.is_empty() {
            self.out.push_str(" class=\"language-");
            escape::attribute(self.out, language);
            self.out.push('"');
        }
        self.out.push('>');
        escape::text(self.out, text);
        self.out.push_str("</code></pre>\n");
    }

    fn items(&mut self, start: Option<usize>, items: &[Item<Set>]) {
        let tag = match start {
            None => "ul".to_owned(),
            Some(1) => "ol".to_owned(),
            Some(number) => format!("ol start=\"{number}\""),
        };
        self.spread(&tag, |writer| {
            for item in items {
                // The style sheet leaves out the mark of an item that goes on.
                let tag = match item.is_continued {
                    true => "li class=\"continued\"",
                    false => "li",
                };
                writer.closed(tag, |writer| writer.all(&item.content));
            }
        });
    }

    fn description(&mut self, part: &Description<Set>) {
        match part {
            Description::Term(words) => self.closed("dt", |writer| writer.inlines(words)),
            Description::Details(content) => self.closed("dd", |writer| writer.all(content)),
        }
    }

    fn markdown_table(&mut self, table: &Table<Set>) {
        // What may be broader than a phone is scrolled in a frame of its own.
        match table.columns.len() < BROAD {
            true => self.plain_table(table),
            false => self.closed(
                "div class=\"frame sheet\" tabindex=\"0\" role=\"group\" aria-label=\"table\"",
                |writer| writer.plain_table(table),
            ),
        }
    }

    fn plain_table(&mut self, table: &Table<Set>) {
        self.spread("table", |writer| {
            writer.spread("thead", |writer| {
                writer.row(true, &table.columns, &table.head);
            });
            if !table.rows.is_empty() {
                writer.spread("tbody", |writer| {
                    for row in &table.rows {
                        writer.row(false, &table.columns, row);
                    }
                });
            }
        });
    }

    fn row(&mut self, is_head: bool, columns: &[Alignment], cells: &[Vec<Inline<Set>>]) {
        let tag = if is_head { "th scope=\"col\"" } else { "td" };
        self.closed("tr", |writer| {
            for (cell, alignment) in cells.iter().zip(columns) {
                let class = match alignment {
                    Alignment::Natural => "",
                    Alignment::Left => " class=\"left\"",
                    Alignment::Center => " class=\"center\"",
                    Alignment::Right => " class=\"right\"",
                };
                let tag = format!("{tag}{class}");
                match is_head {
                    true => writer.head_cell(&tag, cell),
                    false => writer.element(&tag, |writer| writer.inlines(cell)),
                }
            }
        });
    }

    /// The footnotes, each with a way back to its first mark.
    fn notes(&mut self, notes: &[Vec<Block<Set>>]) {
        self.spread("section class=\"footnotes\"", |writer| {
            writer.spread("ol", |writer| {
                for (index, note) in notes.iter().enumerate() {
                    let number = index + 1;
                    writer.closed(&format!("li id=\"fn-{number}\""), |writer| {
                        writer.all(note);
                        let back = format!("a href=\"#fnref-{number}\" class=\"back\"");
                        writer.element(&back, |writer| writer.out.push('↩'));
                    });
                }
            });
        });
    }
}
