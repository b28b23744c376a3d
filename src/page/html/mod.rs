//! The tree of a page as HTML.
//!
//! Out comes a page that needs no network, no script and no other file: style and fonts are part
//! of it, and its security policy allows nothing else. It is well-formed XML apart from its
//! document type.

mod escape;
pub(super) mod exam;
mod figure;
mod height;
mod line;
mod markdown;
mod style;
mod table;
mod text;

use std::fmt::Write;

use super::head::CAUTION;
use super::tree::{Block, Entry, Name, Text, Top};
use crate::document::FrontMatter;

pub(super) use style::{sources as style_sources, write as styles};

/// A page with fewer sections is laid out as a whole.
const LONG_PAGE: usize = 60;

/// So many sections at the end of a long page are always laid out, so that the way there is known.
const END_OF_PAGE: usize = 8;

/// How many of so many sections, from the first on, are laid out only where they are in sight.
pub(super) fn far(of: usize) -> usize {
    match of >= LONG_PAGE {
        true => of - END_OF_PAGE,
        false => 0,
    }
}

/// Appends a section by its number from 0.
pub(super) fn section(number: usize, of: usize, markup: &str, out: &mut String) {
    match number < far(of) {
        // Writing to a string cannot fail.
        true => _ = writeln!(out, "<section class=\"far s{}\">", height::class(markup)),
        false => out.push_str("<section>\n"),
    }
    out.push_str(markup);
    out.push_str("</section>\n");
}

/// Appends everything up to the page's own text.
pub(super) fn head(front: &FrontMatter, title: &str, out: &mut String) {
    out.push_str("<!DOCTYPE html>\n<html lang=\"");
    escape::attribute(out, &front.language);
    out.push_str(
        "\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n",
    );
    let heads = style::running_heads(title, front.author.as_deref());
    style::policy(front.paper, &heads, out);
    for (name, value) in [("author", &front.author), ("dcterms.date", &front.date)] {
        if let Some(value) = value {
            out.push_str("<meta name=\"");
            out.push_str(name);
            out.push_str("\" content=\"");
            escape::attribute(out, value);
            out.push_str("\"/>\n");
        }
    }
    out.push_str("<title>");
    escape::text(out, title);
    out.push_str("</title>\n");
    style::write(front.paper, out);
    out.push_str("<style>");
    out.push_str(&heads);
    out.push_str("</style>\n</head>\n<body>\n<main>\n");
}

/// Appends the title and what else the front matter says.
pub(super) fn header(top: &Top, out: &mut String) {
    Writer::new(out).header(top);
}

/// Appends the lines that say what is wrong.
pub(super) fn summaries(summaries: &[Text], out: &mut String) {
    let mut writer = Writer::new(out);
    for summary in summaries {
        writer.element("p class=\"summary\" role=\"status\"", |writer| {
            writer.text(summary);
        });
        writer.out.push('\n');
    }
}

/// Appends blocks of the page.
pub(super) fn blocks(blocks: &[Block], out: &mut String) {
    Writer::new(out).blocks(blocks);
}

/// Appends what all pages end with, below their own text.
pub(super) fn footer(out: &mut String) {
    out.push_str("<footer><p>");
    escape::text(out, CAUTION);
    out.push_str("</p></footer>\n");
}

/// Appends everything after the last section.
pub(super) fn end(out: &mut String) {
    out.push_str("</main>\n");
    footer(out);
    out.push_str("</body>\n</html>\n");
}

struct Writer<'o> {
    out: &'o mut String,
    /// Whether formulas are given names in words.
    names_formulas: bool,
}

impl<'o> Writer<'o> {
    fn new(out: &'o mut String) -> Self {
        Self {
            out,
            names_formulas: false,
        }
    }
}

impl Writer<'_> {
    /// An element with what `write` writes in it; `tag` is its name with its attributes.
    fn element(&mut self, tag: &str, write: impl FnOnce(&mut Self)) {
        self.opened(tag, None);
        write(self);
        self.close(tag);
    }

    /// The element of a statement.
    fn statement(&mut self, tag: &str, id: Option<&str>, write: impl FnOnce(&mut Self)) {
        self.opened(tag, id);
        write(self);
        self.close(tag);
    }

    fn opened(&mut self, tag: &str, id: Option<&str>) {
        self.out.push('<');
        self.out.push_str(tag);
        if let Some(id) = id {
            self.out.push_str(" id=\"");
            escape::attribute(self.out, id);
            self.out.push('"');
        }
        self.out.push('>');
    }

    fn close(&mut self, tag: &str) {
        let name = tag.split(' ').next().unwrap_or(tag);
        self.out.push_str("</");
        self.out.push_str(name);
        self.out.push('>');
    }

    fn header(&mut self, top: &Top) {
        if top.title.is_none() && top.facts.is_empty() && top.contents.is_empty() {
            return;
        }
        self.out.push_str("<header>\n");
        if let Some((title, anchor)) = &top.title {
            self.opened("h1", anchor.as_deref());
            escape::text(self.out, title);
            self.out.push_str("</h1>\n");
        }
        if !top.facts.is_empty() {
            self.element("p class=\"facts\"", |writer| {
                for (index, fact) in top.facts.iter().enumerate() {
                    writer.out.push_str(if index > 0 { " · " } else { "" });
                    writer.element("span", |writer| escape::text(writer.out, fact));
                }
            });
            self.out.push('\n');
        }
        self.contents(&top.contents);
        self.out.push_str("</header>\n");
    }

    fn contents(&mut self, entries: &[(String, String)]) {
        if entries.is_empty() {
            return;
        }
        self.element("nav class=\"contents\" aria-label=\"Entries\"", |writer| {
            writer.element("ol", |writer| {
                for (anchor, words) in entries {
                    writer.out.push_str("<li><a href=\"#");
                    escape::attribute(writer.out, anchor);
                    writer.out.push_str("\">");
                    escape::text(writer.out, words);
                    writer.out.push_str("</a></li>");
                }
            });
        });
        self.out.push('\n');
    }

    fn blocks(&mut self, blocks: &[Block]) {
        blocks.iter().for_each(|block| self.block(block));
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Heading { level, id, text } => {
                let tag = format!("h{level}");
                self.opened(&tag, Some(id));
                self.text(text);
                self.close(&tag);
                self.out.push('\n');
            }
            Block::Markdown(markdown) => self.markdown(markdown),
            Block::Table(table) => self.table(table),
            Block::Required(name, entries) => self.required(*name, entries),
            Block::Answers(name, entries) => self.answers(*name, entries),
            Block::Lines(lines) => self.lines(lines),
            Block::Figure(figure) => self.figure(figure),
            Block::Refused(source) => {
                self.out.push_str("<pre class=\"refused\"><code>");
                escape::text(self.out, source);
                self.out.push_str("</code></pre>\n");
            }
            Block::Unevaluated(text) => {
                self.element("p class=\"unevaluated\"", |writer| writer.text(text));
                self.out.push('\n');
            }
            Block::Notice { is_error, text } => {
                let class = if *is_error { "error" } else { "warning" };
                self.element(&format!("p class=\"{class}\""), |writer| writer.text(text));
                self.out.push('\n');
            }
        }
    }

    fn name(&mut self, name: Name) {
        if let Some(name) = name {
            self.element("p class=\"name\"", |writer| escape::text(writer.out, name));
            self.out.push('\n');
        }
    }

    fn required(&mut self, name: Name, entries: &[Entry]) {
        self.out.push_str("<div class=\"required\">\n");
        self.name(name);
        self.out.push_str("<ul>\n");
        entries.iter().for_each(|entry| self.entry("li", entry));
        self.out.push_str("</ul>\n</div>\n");
    }

    fn answers(&mut self, name: Name, entries: &[Entry]) {
        self.out.push_str("<div class=\"answer\">\n");
        self.name(name);
        entries.iter().for_each(|entry| self.entry("div", entry));
        self.out.push_str("</div>\n");
    }

    fn entry(&mut self, tag: &str, entry: &Entry) {
        self.statement(tag, Some(&entry.id), |writer| {
            writer.text(&entry.text);
            writer.blocks(&entry.below);
        });
        self.out.push('\n');
    }

    /// `3`
    fn number(&mut self, number: usize) {
        // Writing to a string cannot fail.
        let _ = write!(self.out, "{number}");
    }
}
