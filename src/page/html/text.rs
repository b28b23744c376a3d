//! Words, and what stands among them.

use super::super::tree::{Aside, Listed, Manner, Set, Text, cited};
use super::{Writer, escape};
use crate::document::{Image, Inline, Style, Tex, Width};
use crate::typeset::{self, mathml};

impl Writer<'_> {
    pub(super) fn text(&mut self, text: &Text) {
        self.inlines(&text.0);
    }

    /// A cell at the head of a column or a row: a plain one where it is empty, and one that has
    /// formulas alone is named by these.
    pub(super) fn head_cell(&mut self, tag: &str, inlines: &[Inline<Set>]) {
        let is_blank =
            |it: &Inline<Set>| matches!(it, Inline::Text(text) if text.trim().is_empty());
        if inlines.iter().all(is_blank) {
            self.out.push_str("<td></td>");
            return;
        }
        self.names_formulas = !inlines.iter().any(has_words);
        self.element(tag, |writer| writer.inlines(inlines));
        self.names_formulas = false;
    }

    pub(super) fn inlines(&mut self, inlines: &[Inline<Set>]) {
        inlines.iter().for_each(|inline| self.inline(inline));
    }

    fn inline(&mut self, inline: &Inline<Set>) {
        match inline {
            Inline::Text(words) => escape::text(self.out, words),
            Inline::LineBreak => self.out.push_str("<br />\n"),
            Inline::Styled(style, content) => {
                let tag = match style {
                    Style::Emphasis => "em",
                    Style::Strong => "strong",
                    Style::Struck => "del",
                };
                self.element(tag, |writer| writer.inlines(content));
            }
            Inline::Code(code) => self.element("code", |writer| escape::text(writer.out, code)),
            Inline::Tex(tex) => self.tex(tex),
            Inline::Link(link) => {
                self.out.push_str("<a href=\"");
                escape::destination(self.out, &link.url);
                self.out.push('"');
                self.title(&link.title);
                self.out.push('>');
                self.inlines(&link.content);
                self.out.push_str("</a>");
            }
            Inline::Image(image) => self.image(image),
            Inline::Note { number, is_first } => self.note_mark(*number, *is_first),
            Inline::Other(set) => self.set(set),
        }
    }

    /// A picture; its words where there is none.
    pub(super) fn image(&mut self, image: &Image) {
        let Some(source) = &image.source else {
            return self.element("span class=\"failed\"", |writer| {
                escape::text(writer.out, shown(image));
            });
        };
        self.out.push_str("<img src=\"");
        escape::destination(self.out, source);
        self.out.push_str("\" alt=\"");
        escape::attribute(self.out, &image.words);
        self.out.push('"');
        self.title(&image.title);
        match image.width {
            // Widths in attributes are whole pixels, of which an inch has 96.
            Some(Width::Millimetres(width)) => {
                let pixels = (width / 25.4 * 96.0).round().max(1.0);
                self.out.push_str(&format!(" width=\"{pixels}\""));
            }
            Some(Width::Part(part)) => {
                let percent = (part * 100.0).round().max(1.0);
                self.out.push_str(&format!(" width=\"{percent}%\""));
            }
            None => {}
        }
        self.out.push_str(" />");
    }

    fn title(&mut self, title: &str) {
        if !title.is_empty() {
            self.out.push_str(" title=\"");
            escape::attribute(self.out, title);
            self.out.push('"');
        }
    }

    /// TeX that cannot be read is shown as its source.
    fn tex(&mut self, tex: &Tex) {
        match &tex.mathml {
            Some(mathml) if self.names_formulas => {
                self.out.push_str("<math aria-label=\"");
                escape::attribute(self.out, &tex.tex);
                self.out.push('"');
                self.out
                    .push_str(mathml.strip_prefix("<math").unwrap_or(mathml));
            }
            Some(mathml) => self.out.push_str(mathml),
            None => self.element("code class=\"tex\"", |writer| {
                escape::text(writer.out, &tex.tex);
            }),
        }
    }

    /// Only the first mark of a footnote has a name to come back to.
    fn note_mark(&mut self, number: usize, is_first: bool) {
        self.out.push_str("<sup><a href=\"#fn-");
        self.number(number);
        self.out.push('"');
        if is_first {
            self.out.push_str(" id=\"fnref-");
            self.number(number);
            self.out.push('"');
        }
        self.out.push('>');
        self.number(number);
        self.out.push_str("</a></sup>");
    }

    fn set(&mut self, set: &Set) {
        match set {
            Set::Formula(node) if self.names_formulas => mathml::write_named(node, self.out),
            Set::Formula(node) => mathml::write(node, self.out),
            Set::Words(text) => self.text(text),
            Set::Span(manner, text) => self.element(span(*manner), |writer| writer.text(text)),
            Set::OwnLine(aside, text) => self.element(own_line(*aside), |writer| writer.text(text)),
            Set::To(id, text) => {
                self.out.push_str("<a href=\"#");
                escape::attribute(self.out, id);
                self.out.push_str("\">");
                self.text(text);
                self.out.push_str("</a>");
            }
            Set::Cited { id, words, number } => {
                self.out.push_str("<a href=\"#");
                escape::attribute(self.out, id);
                self.out.push_str("\" aria-label=\"");
                escape::attribute(self.out, words);
                self.out.push_str(if words.is_empty() { "" } else { " " });
                self.out.push_str(&format!("equation {number}\">"));
                escape::text(self.out, &cited(words, *number));
                self.out.push_str("</a>");
            }
            // Where it is not all of a paragraph, it is not set.
            Set::Picture(picture) => self.image(&picture.image),
            Set::MayBreak => self.out.push_str("<wbr/>"),
            Set::Room { digits, has_point } => {
                // No number has more digits there than the sheet knows.
                let (digits, point) = (digits.min(&15), if *has_point { "p" } else { "" });
                self.out
                    .push_str(&format!("<span class=\"d{digits}{point}\"></span>"));
            }
            Set::List { rows, columns } => self.list(rows, *columns),
        }
    }

    /// A list as a small table, its entries below those that they belong to.
    fn list(&mut self, rows: &[Listed], columns: usize) {
        let count = rows.last().map_or(0, |row| row.entries.len());
        self.out.push_str("<table class=\"list\">\n");
        for start in (0..count).step_by(columns) {
            for (at, row) in rows.iter().enumerate() {
                let is_head = at + 1 < rows.len();
                self.out.push_str("<tr>");
                self.head_cell("th scope=\"row\"", &row.name.0);
                for own in row.entries.iter().skip(start).take(columns) {
                    match is_head {
                        true => self.head_cell("th scope=\"col\"", &own.0),
                        false => self.element("td", |writer| writer.text(own)),
                    }
                }
                self.out.push_str("</tr>\n");
            }
        }
        self.out.push_str("</table>\n");
    }
}

/// The broadest part that the page cannot break, about, in em.
pub(super) fn breadth(inlines: &[Inline<Set>]) -> f32 {
    let one = |inline: &Inline<Set>| match inline {
        Inline::Styled(_, content) => breadth(content),
        Inline::Link(link) => breadth(&link.content),
        Inline::Text(_)
        | Inline::Code(_)
        | Inline::LineBreak
        | Inline::Tex(_)
        | Inline::Image(_)
        | Inline::Note { .. } => 0.0,
        Inline::Other(set) => match &**set {
            Set::Formula(node) => typeset::breadth(node),
            Set::Words(text) | Set::Span(_, text) | Set::OwnLine(_, text) | Set::To(_, text) => {
                breadth(&text.0)
            }
            Set::Cited { .. } | Set::MayBreak | Set::Room { .. } | Set::Picture(_) => 0.0,
            Set::List { columns, .. } => 3.5 * *columns as f32,
        },
    };
    inlines.iter().map(one).fold(0.0, f32::max)
}

/// Whether letters stand there beside formulas.
fn has_words(inline: &Inline<Set>) -> bool {
    match inline {
        Inline::Text(text) | Inline::Code(text) => text.contains(char::is_alphanumeric),
        Inline::Styled(_, content) => content.iter().any(has_words),
        Inline::Link(link) => link.content.iter().any(has_words),
        Inline::LineBreak | Inline::Tex(_) => false,
        Inline::Image(_) | Inline::Note { .. } => true,
        Inline::Other(set) => match &**set {
            Set::Formula(node) => mathml::is_words(node),
            Set::Words(text) | Set::Span(_, text) | Set::OwnLine(_, text) | Set::To(_, text) => {
                text.0.iter().any(has_words)
            }
            Set::MayBreak | Set::Room { .. } => false,
            Set::Cited { .. } | Set::List { .. } | Set::Picture(_) => true,
        },
    }
}

/// What stands for a picture that there is not.
fn shown(image: &Image) -> &str {
    match image.words.is_empty() {
        true => &image.url,
        false => &image.words,
    }
}

fn span(manner: Manner) -> &'static str {
    match manner {
        Manner::Piece => "span",
        Manner::Value => "span class=\"value\"",
        Manner::Quiet => "span class=\"quiet\"",
        Manner::Failed => "span class=\"failed\"",
        Manner::AsWritten => "span class=\"as-written\"",
        Manner::Mark => "span class=\"mark\"",
        Manner::About => "span class=\"about\"",
    }
}

fn own_line(aside: Aside) -> &'static str {
    match aside {
        Aside::About => "div class=\"about\"",
        Aside::Verdict => "div class=\"verdict\"",
        Aside::More => "div",
    }
}
