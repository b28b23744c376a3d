//! The tree of a page as a LaTeX document.
//!
//! Out comes a whole document for any engine (`pdflatex`, `lualatex`, `xelatex` and what is built
//! on them), in the words of the packages that every TeX system has. Whatever an author may
//! write compiles: text is escaped, and TeX in prose that is not known to compile is shown as it is
//! written.

mod figure;
mod line;
mod markdown;
mod table;
mod tex;
mod text;

use super::head::CAUTION;
use super::tree::{Block, Entry, Name, Set, Text, Top};
use crate::document::{FrontMatter, Paper};

/// The packages and the commands that a page is written in.
const PREAMBLE: &str = include_str!("preamble.tex");

/// So many answers stand in one frame; a frame is never divided between two sheets.
const ANSWERS_IN_A_FRAME: usize = 20;

/// Appends everything up to the first part.
pub(super) fn head(front: &FrontMatter, top: &Top, summaries: &[Text], out: &mut String) {
    let paper = match front.paper {
        Paper::A4 => "a4paper",
        Paper::Letter => "letterpaper",
    };
    out.push_str("\\documentclass[11pt,");
    out.push_str(paper);
    out.push_str("]{article}\n");
    out.push_str(PREAMBLE);
    out.push_str("\\begin{document}\n");
    let mut writer = Writer::new(out);
    writer.header(top);
    for summary in summaries {
        writer.command("noticeline", |writer| writer.text(summary));
        writer.out.push('\n');
    }
}

/// Appends blocks of the page.
pub(super) fn blocks(blocks: &[Block], out: &mut String) {
    Writer::new(out).blocks(blocks);
}

/// Appends everything after the last part.
pub(super) fn end(out: &mut String) {
    let mut writer = Writer::new(out);
    writer.out.push_str("\n\\vfill\n\\hrule\n{\\small ");
    writer.words(CAUTION);
    writer.out.push_str("\\par}\n\\end{document}\n");
}

struct Writer<'o> {
    out: &'o mut String,
    /// Whether fractions are set large.
    is_large: bool,
    /// How many lists and quotes stand around this place.
    depth: usize,
}

impl<'o> Writer<'o> {
    fn new(out: &'o mut String) -> Self {
        Self {
            out,
            is_large: false,
            depth: 0,
        }
    }

    /// A command with what `write` writes as its argument.
    fn command(&mut self, name: &str, write: impl FnOnce(&mut Self)) {
        self.out.push('\\');
        self.out.push_str(name);
        self.group(write);
    }

    /// What `write` writes in braces.
    fn group(&mut self, write: impl FnOnce(&mut Self)) {
        self.out.push('{');
        write(self);
        self.out.push('}');
    }

    fn header(&mut self, top: &Top) {
        if let Some((title, anchor)) = &top.title {
            anchor.iter().for_each(|anchor| self.target(anchor));
            self.out.push_str("{\\LARGE\\raggedright ");
            self.words(title);
            self.out.push_str("\\par}\n");
        }
        if !top.facts.is_empty() {
            self.words(&top.facts.join(" · "));
            self.out.push('\n');
        }
        if top.title.is_some() || !top.facts.is_empty() {
            self.out.push_str("\\par\\smallskip\\hrule\\bigskip\n");
        }
        for (anchor, words) in &top.contents {
            let mut line = Text::default();
            line.put(Set::To(anchor.clone(), Text::new(words.clone())));
            self.text(&line);
            self.out.push_str("\\par\n");
        }
    }

    fn blocks(&mut self, blocks: &[Block]) {
        blocks.iter().for_each(|block| self.block(block));
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Heading { level, id, text } => {
                self.out.push('\n');
                self.target(id);
                self.heading(*level, |writer| writer.text(text));
            }
            Block::Markdown(markdown) => {
                self.out.push('\n');
                self.markdown(markdown);
            }
            Block::Table(table) => self.table(table),
            Block::Required(name, entries) => {
                match name {
                    Some(name) => self.block_name(name),
                    None => self.out.push('\n'),
                }
                self.group(|writer| {
                    writer.out.push_str("\\parskip=.2em\n");
                    entries.iter().for_each(|entry| writer.entry(entry));
                });
                self.out.push('\n');
            }
            Block::Answers(name, entries) => self.answers(*name, entries),
            Block::Lines(lines) => self.lines(lines),
            Block::Figure(figure) => self.figure(figure),
            Block::Refused(source) => {
                self.command("refusedline", |writer| writer.code_lines(source));
                self.out.push('\n');
            }
            Block::Unevaluated(text) => {
                self.out.push_str("\\par ");
                self.text(text);
                self.out.push_str("\\par\n");
            }
            Block::Notice { text, .. } => {
                self.command("noticeline", |writer| writer.text(text));
                self.out.push('\n');
            }
        }
    }

    fn block_name(&mut self, name: &str) {
        self.out.push('\n');
        self.command("blockname", |writer| writer.words(name));
        self.out.push('\n');
    }

    fn heading(&mut self, level: u8, write: impl FnOnce(&mut Self)) {
        let command = match level {
            1 => "section*",
            2 => "subsection*",
            3 => "subsubsection*",
            _ => "paragraph*",
        };
        self.out.push_str("\\keeproom{8\\baselineskip}");
        self.command(command, write);
        self.out.push_str(if level > 3 {
            "\\leavevmode\\par\n"
        } else {
            "\n"
        });
    }

    fn entry(&mut self, entry: &Entry) {
        self.target(&entry.id);
        self.text(&entry.text);
        self.out.push_str("\\par\n");
        self.blocks(&entry.below);
    }

    fn answers(&mut self, name: Name, entries: &[Entry]) {
        for (index, entries) in entries.chunks(ANSWERS_IN_A_FRAME).enumerate() {
            self.out
                .push_str("\n\\par\\medskip\\setlength{\\fboxsep}{.8em}\\noindent\\fbox{%\n");
            self.out
                .push_str("\\begin{minipage}{\\dimexpr\\linewidth-2\\fboxsep-2\\fboxrule}");
            self.out.push_str("\\setlength{\\parskip}{.4em}\n");
            if let Some(name) = name.filter(|_| index == 0) {
                self.command("blockname", |writer| writer.words(name));
                self.out.push('\n');
            }
            entries.iter().for_each(|entry| self.entry(entry));
            self.out.push_str("\\end{minipage}}\\par\\medskip\n");
        }
    }
}
