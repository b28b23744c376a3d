//! Blocks of Markdown.

use super::super::tree::{Set, Text, picture};
use super::Writer;
use crate::document::{Alignment, Block, Description, Inline, Item, Table};

/// LaTeX nests its lists no deeper than this; what is deeper is indented no more.
const DEEPEST: usize = 4;

impl Writer<'_> {
    pub(super) fn markdown(&mut self, block: &Block<Set>) {
        match block {
            Block::Paragraph(text) | Block::Plain(text) => {
                if let Some(picture) = picture(text) {
                    return self.picture(picture);
                }
                if matches!(text.as_slice(), [Inline::Tex(tex)] if tex.display) {
                    self.out.push_str("\\centeredline");
                    self.group(|writer| writer.inlines(text));
                } else {
                    self.inlines(text);
                }
                self.out.push_str("\\par\n");
            }
            Block::Heading(level, text) => self.heading(*level, |writer| writer.inlines(text)),
            Block::NewPage => self.out.push_str("\\newpage\n"),
            Block::Rule => self.out.push_str("\\par\\medskip\\hrule\\medskip\n"),
            Block::Code { text, .. } => {
                self.out.push_str("\\par{\\raggedright\\small\\ttfamily ");
                self.code_lines(text);
                self.out.push_str("\\par}\n");
            }
            Block::Quote(content) => self.indented(|writer| writer.all(content)),
            Block::List { start, items } => self.items(*start, items),
            Block::Descriptions(parts) => {
                parts.iter().for_each(|part| self.description(part));
            }
            Block::Table(table) => self.markdown_table(table),
            Block::Footnotes(notes) => self.notes(notes),
        }
    }

    fn all(&mut self, blocks: &[Block<Set>]) {
        blocks.iter().for_each(|block| self.markdown(block));
    }

    /// Indented, but for what is inside of very much else.
    fn indented(&mut self, write: impl FnOnce(&mut Self)) {
        self.depth += 1;
        let is_indented = self.depth <= DEEPEST;
        if is_indented {
            self.out.push_str("\\begin{inset}\n");
        }
        write(self);
        if is_indented {
            self.out.push_str("\\end{inset}\n");
        }
        self.depth -= 1;
    }

    /// Code line by line, with its blanks.
    pub(super) fn code_lines(&mut self, text: &str) {
        let lines = text.trim_end_matches('\n').split('\n');
        for (index, line) in lines.enumerate() {
            if index > 0 {
                self.out.push_str("\\hfil\\break\n");
            }
            let code = line.trim_start_matches([' ', '\t']);
            self.out.push_str("\\mbox{}");
            self.out.push_str(&"~".repeat(line.len() - code.len()));
            self.words(code);
        }
    }

    fn items(&mut self, start: Option<usize>, items: &[Item<Set>]) {
        for (index, item) in items.iter().enumerate() {
            self.indented(|writer| {
                if !item.is_continued {
                    writer.out.push_str("\\leavevmode\\llap{");
                    match start {
                        Some(start) => writer.words(&format!("{}.", start.saturating_add(index))),
                        None => writer.out.push_str("\\textbullet"),
                    }
                    writer.out.push_str("\\enspace}");
                }
                writer.all(&item.content);
            });
        }
    }

    fn description(&mut self, part: &Description<Set>) {
        match part {
            Description::Term(words) => {
                self.command("textbf", |writer| writer.inlines(words));
                self.out.push_str("\\par\n");
            }
            Description::Details(content) => self.indented(|writer| writer.all(content)),
        }
    }

    fn markdown_table(&mut self, table: &Table<Set>) {
        self.out.push_str("\\par\\begin{longtable}[l]{@{}");
        let width = width(table);
        for alignment in &table.columns {
            self.out.push_str(&column(*alignment, width));
        }
        self.out.push_str("@{}}\\toprule\n");
        self.cells(&table.head);
        self.out.push_str(" \\midrule\\endhead\n");
        for row in &table.rows {
            self.cells(row);
            self.out.push('\n');
        }
        self.out.push_str("\\bottomrule\n\\end{longtable}\n");
    }

    fn cells(&mut self, cells: &[Vec<Inline<Set>>]) {
        for (index, cell) in cells.iter().enumerate() {
            self.out.push_str(if index > 0 { " & " } else { "" });
            self.inlines(cell);
        }
        self.out.push_str(" \\\\");
    }

    fn notes(&mut self, notes: &[Vec<Block<Set>>]) {
        self.out
            .push_str("\\par\\bigskip\\hrule width 4em\\relax\n");
        for (index, note) in notes.iter().enumerate() {
            let number = index + 1;
            self.out.push_str("{\\small");
            self.target(&format!("fn-{number}"));
            self.command("textsuperscript", |writer| {
                writer.text(&Text::new(number.to_string()));
            });
            self.out.push_str("\\,");
            self.all(note);
            self.out.push_str("}\n");
        }
    }
}

/// Narrow tables have columns as wide as their cells; this many letters stand in a line.
const LINE: usize = 70;

/// How wide each column of a table is made, as a part of the line; nothing for narrow tables.
fn width(table: &Table<Set>) -> Option<f64> {
    let columns = table.columns.len();
    let rows = std::iter::once(&table.head).chain(&table.rows);
    let widest = |column: usize| {
        let cells = rows.clone().filter_map(|row| row.get(column));
        cells.map(|cell| letters(cell)).max().unwrap_or(0)
    };
    let letters: usize = (0..columns).map(widest).sum();
    (letters > LINE).then(|| 0.9 / columns as f64)
}

/// About how many letters wide a text is.
fn letters(text: &[Inline<Set>]) -> usize {
    let of_inline = |inline: &Inline<Set>| match inline {
        Inline::Text(words) | Inline::Code(words) => words.chars().count(),
        Inline::Tex(tex) => tex.tex.len(),
        Inline::Styled(_, content) => letters(content),
        Inline::Link(link) => letters(&link.content),
        Inline::Image(_) | Inline::LineBreak => LINE,
        Inline::Note { .. } => 1,
        // Values are about so long.
        Inline::Other(_) => 15,
    };
    text.iter().map(of_inline).sum()
}

fn column(alignment: Alignment, width: Option<f64>) -> String {
    let (letter, ragged) = match alignment {
        Alignment::Natural | Alignment::Left => ("l", "raggedright"),
        Alignment::Center => ("c", "centering"),
        Alignment::Right => ("r", "raggedleft"),
    };
    match width {
        None => letter.to_owned(),
        Some(width) => {
            format!(">{{\\{ragged}\\arraybackslash}}p{{{width:.3}\\linewidth}}")
        }
    }
}
