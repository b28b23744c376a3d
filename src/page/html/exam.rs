//! The sheets of a paper as HTML.

use std::fmt::Write;

use super::{Writer, escape, style};
use crate::document::{Paper, Space};
use crate::page::exam::MarksTable;
use crate::page::tree::{Block, Text};

/// The look of these sheets, beyond that of all pages.
const EXAM: &str = include_str!("exam.css");

/// Lines of an answer, one beneath the other, for each mark; and the most of them.
const LINES_A_MARK: u32 = 3;
const MOST_LINES: u32 = 20;

/// How a sheet is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::page) enum Kind {
    /// Questions with space for answers.
    Questions,
    /// The same in large print.
    Large,
    /// Anything else.
    Plain,
    /// A table of many columns.
    Wide,
}

/// What a file begins and ends with.
pub(in crate::page) struct Shell<'s> {
    pub title: &'s str,
    /// "Marking guide"
    pub what: &'s str,
    pub language: &'s str,
    pub paper: Paper,
    /// At the foot of each sheet of paper.
    pub foot: String,
    pub kind: Kind,
}

/// The front page.
pub(in crate::page) struct Cover {
    /// Course and date; time, total and version.
    pub facts: [String; 2],
    /// Whether a candidate number is asked for.
    pub has_candidate: bool,
    pub instructions: Vec<Block>,
    /// The questions with their marks, for the marker.
    pub awarded: Vec<(String, u32)>,
}

/// A question with its parts.
pub(in crate::page) struct Question {
    pub heading: String,
    pub marks: String,
    pub blocks: Vec<Block>,
    pub asked: Vec<Asked>,
}

/// A part with what is left for its answer.
pub(in crate::page) struct Asked {
    pub letter: Option<char>,
    pub text: Text,
    pub marks: u32,
    /// "answer to 1 (a)"
    pub name: String,
    /// What stands before the line of the answer, and its unit behind.
    pub answer: Option<(Text, String)>,
}

/// The guide to a question.
pub(in crate::page) struct Guide {
    pub heading: String,
    pub marks: String,
    pub rows: Vec<GuideRow>,
    pub carried: Text,
}

/// A line of a guide.
pub(in crate::page) struct GuideRow {
    /// "(b) 5", at the first line of a part.
    pub part: Option<String>,
    pub line: Text,
    pub marks: String,
    pub notes: Vec<Text>,
}

/// An equation of a formula sheet.
pub(in crate::page) struct FormulaRow {
    pub label: String,
    pub formula: Text,
    pub question: usize,
}

/// A symbol of a formula sheet.
pub(in crate::page) struct SymbolRow {
    pub symbol: Text,
    pub said: Text,
}

/// The answers of all versions.
pub(in crate::page) struct AnswerTable {
    pub columns: Vec<Text>,
    pub rows: Vec<(String, Vec<Text>)>,
}

/// Question papers.
pub(in crate::page) fn questions(
    shell: &Shell<'_>,
    cover: &Cover,
    questions: &[Question],
    space: Space,
) -> String {
    shelled(shell, |writer| {
        writer.cover(shell, cover);
        for question in questions {
            writer.element("section class=\"question\"", |writer| {
                writer.marked_heading(&question.heading, &question.marks);
                writer.blocks(&question.blocks);
                if question.asked.iter().any(|it| it.letter.is_some()) {
                    writer.element("p class=\"find\"", |writer| writer.out.push_str("Find"));
                    writer.out.push('\n');
                }
                for asked in &question.asked {
                    writer.asked(asked, space);
                }
            });
            writer.out.push('\n');
        }
    })
}

/// Questions with whatever blocks they have.
pub(in crate::page) fn blocks(shell: &Shell<'_>, questions: &[(String, Vec<Block>)]) -> String {
    shelled(shell, |writer| {
        writer.plain_cover(shell);
        for (heading, blocks) in questions {
            writer.element("section class=\"solution\"", |writer| {
                writer.element("h2", |writer| escape::text(writer.out, heading));
                writer.out.push('\n');
                writer.blocks(blocks);
            });
            writer.out.push('\n');
        }
    })
}

/// A marking guide.
pub(in crate::page) fn guide(shell: &Shell<'_>, guides: &[Guide]) -> String {
    shelled(shell, |writer| {
        writer.plain_cover(shell);
        for guide in guides {
            writer.element("section class=\"guide\"", |writer| {
                writer.marked_heading(&guide.heading, &guide.marks);
                writer.guide(guide);
            });
            writer.out.push('\n');
        }
    })
}

/// A formula sheet.
pub(in crate::page) fn formulas(
    shell: &Shell<'_>,
    rows: &[FormulaRow],
    symbols: &[SymbolRow],
) -> String {
    shelled(shell, |writer| {
        writer.plain_cover(shell);
        writer.sheet("formulas", &["Equation", "Name", "Question"], |writer| {
            for row in rows {
                writer.cells(&[
                    &|writer| writer.text(&row.formula),
                    &|writer| escape::text(writer.out, &row.label),
                    &|writer| writer.number(row.question),
                ]);
            }
        });
        writer.sheet("symbols", &["Symbol", "Meaning"], |writer| {
            for row in symbols {
                writer.cells(&[&|writer| writer.text(&row.symbol), &|writer| {
                    writer.text(&row.said)
                }]);
            }
        });
    })
}

/// The table of answers.
pub(in crate::page) fn answers(shell: &Shell<'_>, table: &AnswerTable) -> String {
    shelled(shell, |writer| {
        writer.plain_cover(shell);
        writer.element(
            "div class=\"frame\" tabindex=\"0\" role=\"region\" aria-label=\"Answers\"",
            |writer| {
                writer.element("table class=\"all-answers\"", |writer| {
                    writer.element("thead", |writer| {
                        writer.element("tr", |writer| {
                            writer.element("th scope=\"col\"", |writer| {
                                writer.out.push_str("Version");
                            });
                            for column in &table.columns {
                                writer.element("th scope=\"col\"", |writer| writer.text(column));
                            }
                        });
                    });
                    writer.element("tbody", |writer| {
                        for (version, cells) in &table.rows {
                            writer.element("tr", |writer| {
                                writer.element("th scope=\"row\"", |writer| {
                                    escape::text(writer.out, version);
                                });
                                for cell in cells {
                                    writer.element("td", |writer| writer.text(cell));
                                }
                            });
                        }
                    });
                });
            },
        );
    })
}

/// A piece of a page of marks.
pub(in crate::page) enum Section<'s> {
    Heading(&'s str),
    Words(Text),
    Items(Vec<Text>),
    Table(&'s MarksTable),
}

/// A page of marks.
pub(in crate::page) fn told(shell: &Shell<'_>, sections: &[Section<'_>]) -> String {
    shelled(shell, |writer| {
        writer.plain_cover(shell);
        for section in sections {
            match section {
                Section::Heading(words) => {
                    writer.element("h2", |writer| escape::text(writer.out, words));
                }
                Section::Words(text) => {
                    writer.element("p class=\"told\"", |writer| writer.text(text));
                }
                Section::Items(items) => writer.element("ul class=\"told\"", |writer| {
                    for item in items {
                        writer.element("li", |writer| writer.text(item));
                        writer.out.push('\n');
                    }
                }),
                Section::Table(table) => writer.marks(table),
            }
            writer.out.push('\n');
        }
    })
}

fn shelled(shell: &Shell<'_>, write: impl FnOnce(&mut Writer<'_>)) -> String {
    let mut out = String::from("<!DOCTYPE html>\n<html lang=\"");
    escape::attribute(&mut out, shell.language);
    out.push_str(
        "\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n",
    );
    let mut own = String::from(EXAM);
    own.push_str(&style::foot(&shell.foot));
    if shell.kind == Kind::Wide {
        own.push_str(match shell.paper {
            Paper::A4 => "@page{size:A4 landscape}",
            Paper::Letter => "@page{size:letter landscape}",
        });
    }
    style::policy(shell.paper, &own, &mut out);
    out.push_str("<title>");
    escape::text(&mut out, &format!("{} – {}", shell.title, shell.what));
    out.push_str("</title>\n");
    style::write(shell.paper, &mut out);
    out.push_str("<style>");
    out.push_str(&own);
    out.push_str("</style>\n</head>\n<body class=\"exam");
    out.push_str(match shell.kind {
        Kind::Large => " large",
        Kind::Wide => " broad-sheet",
        Kind::Questions | Kind::Plain => "",
    });
    out.push_str("\">\n<main>\n");
    write(&mut Writer::new(&mut out));
    super::end(&mut out);
    out
}

/// What is written into a cell.
type Cell<'c, 'o> = &'c dyn Fn(&mut Writer<'o>);

impl<'o> Writer<'o> {
    fn cells(&mut self, cells: &[Cell<'_, 'o>]) {
        self.out.push_str("<tr>");
        for cell in cells {
            self.out.push_str("<td>");
            cell(self);
            self.out.push_str("</td>");
        }
        self.out.push_str("</tr>\n");
    }

    fn heads(&mut self, heads: &[&str]) {
        self.out.push_str("<thead><tr>");
        for head in heads {
            self.out.push_str("<th scope=\"col\">");
            self.out.push_str(head);
            self.out.push_str("</th>");
        }
        self.out.push_str("</tr></thead>\n");
    }
}

impl Writer<'_> {
    fn sheet(&mut self, class: &str, heads: &[&str], rows: impl FnOnce(&mut Self)) {
        self.element(&format!("table class=\"{class}\""), |writer| {
            writer.heads(heads);
            writer.element("tbody", rows);
        });
        self.out.push('\n');
    }

    /// A table in a frame that keys reach where it is too wide.
    fn marks(&mut self, table: &MarksTable) {
        self.out
            .push_str("<div class=\"frame\" tabindex=\"0\" role=\"region\" aria-label=\"");
        escape::attribute(self.out, &table.caption);
        self.out.push_str("\"><table class=\"marks-of\"><caption>");
        escape::text(self.out, &table.caption);
        self.out.push_str("</caption><thead><tr>");
        for head in &table.heads {
            self.element("th scope=\"col\"", |writer| {
                escape::text(writer.out, head);
            });
        }
        self.out.push_str("</tr></thead>\n<tbody>\n");
        for row in &table.rows {
            self.out.push_str("<tr>");
            for (at, cell) in row.iter().enumerate() {
                let tag = match at {
                    0 => "th scope=\"row\"",
                    // How long it is says the number beside it.
                    _ if table.bar == Some(at) => "td class=\"bar\" aria-hidden=\"true\"",
                    _ => "td",
                };
                self.element(tag, |writer| escape::text(writer.out, cell));
            }
            self.out.push_str("</tr>\n");
        }
        self.out.push_str("</tbody></table></div>");
    }

    fn plain_cover(&mut self, shell: &Shell<'_>) {
        self.element("header", |writer| {
            writer.element("h1", |writer| escape::text(writer.out, shell.title));
            let facts = match shell.foot.is_empty() {
                true => shell.what.to_owned(),
                false => format!("{} · {}", shell.what, shell.foot),
            };
            writer.element("p class=\"facts\"", |writer| {
                escape::text(writer.out, &facts)
            });
        });
        self.out.push('\n');
    }

    fn cover(&mut self, shell: &Shell<'_>, cover: &Cover) {
        self.element("header class=\"cover\"", |writer| {
            writer.element("h1", |writer| escape::text(writer.out, shell.title));
            for facts in cover.facts.iter().filter(|it| !it.is_empty()) {
                writer.element("p class=\"facts\"", |writer| {
                    escape::text(writer.out, facts)
                });
                writer.out.push('\n');
            }
            if cover.has_candidate {
                writer.element("p class=\"candidate\"", |writer| {
                    writer.out.push_str("Candidate number ");
                    writer
                        .out
                        .push_str("<span class=\"boxes\" role=\"img\" aria-label=\"six boxes\">");
                    writer.out.push_str(&"<span></span>".repeat(6));
                    writer.out.push_str("</span>");
                });
                writer.out.push('\n');
            }
            writer.blocks(&cover.instructions);
            if !cover.awarded.is_empty() {
                writer.awarded(&cover.awarded);
            }
        });
        self.out.push('\n');
    }

    fn awarded(&mut self, rows: &[(String, u32)]) {
        self.out.push_str(
            "<table class=\"awarded\"><caption>For the marker</caption>\
             <thead><tr><th scope=\"col\">Question</th><th scope=\"col\">Marks</th>\
             <th scope=\"col\">Awarded</th></tr></thead>\n<tbody>\n",
        );
        let total = rows.iter().map(|(_, marks)| marks).sum();
        let total = ("Total".to_owned(), total);
        for (question, marks) in rows.iter().chain([&total]) {
            self.out.push_str("<tr><th scope=\"row\">");
            escape::text(self.out, question);
            // Writing to a string cannot fail.
            let _ = writeln!(self.out, "</th><td>{marks}</td><td></td></tr>");
        }
        self.out.push_str("</tbody></table>\n");
    }

    fn marked_heading(&mut self, heading: &str, marks: &str) {
        self.element("h2", |writer| {
            escape::text(writer.out, heading);
            writer.out.push_str(" <span class=\"marks\">[");
            escape::text(writer.out, marks);
            writer.out.push_str("]</span>");
        });
        self.out.push('\n');
    }

    fn asked(&mut self, asked: &Asked, space: Space) {
        self.element("div class=\"part\"", |writer| {
            writer.element("p class=\"ask\"", |writer| {
                if let Some(letter) = asked.letter {
                    let _ = write!(writer.out, "<span class=\"letter\">({letter})</span> ");
                }
                writer.element("span class=\"words\"", |writer| writer.text(&asked.text));
                let count = asked.marks;
                let plural = if count == 1 { "mark" } else { "marks" };
                let _ = write!(
                    writer.out,
                    " <span class=\"marks\" role=\"img\" aria-label=\"{count} {plural}\">[{count}]</span>"
                );
            });
            writer.out.push('\n');
            writer.space(asked.marks, space);
            if let Some((label, unit)) = &asked.answer {
                writer.element("p class=\"answer-line\"", |writer| {
                    writer.element("span", |writer| writer.text(label));
                    writer.out.push_str("<span class=\"blank\" role=\"img\" aria-label=\"");
                    escape::attribute(writer.out, &asked.name);
                    writer.out.push_str("\"></span>");
                    escape::text(writer.out, unit);
                });
                writer.out.push('\n');
            }
        });
        self.out.push('\n');
    }

    /// Room to work in.
    fn space(&mut self, marks: u32, space: Space) {
        let lines = (LINES_A_MARK * marks).min(MOST_LINES) as usize;
        let class = match space {
            Space::None => return,
            Space::Lines => "ruled",
            Space::Boxes => "box",
        };
        self.element(
            &format!("div class=\"{class}\" aria-hidden=\"true\""),
            |writer| {
                writer.out.push_str(&"<div></div>".repeat(lines));
            },
        );
        self.out.push('\n');
    }

    fn guide(&mut self, guide: &Guide) {
        self.sheet("guide", &["Part", "Line", "Marks", "Note"], |writer| {
            for row in &guide.rows {
                let begins = if row.part.is_some() {
                    " class=\"begins\""
                } else {
                    ""
                };
                let _ = write!(writer.out, "<tr{begins}><td>");
                escape::text(writer.out, row.part.as_deref().unwrap_or(""));
                writer.out.push_str("</td><td class=\"line-of\">");
                writer.text(&row.line);
                writer.out.push_str("</td><td class=\"earned\">");
                escape::text(writer.out, &row.marks);
                writer.out.push_str("</td><td>");
                for (index, note) in row.notes.iter().enumerate() {
                    writer.out.push_str(if index > 0 { "; " } else { "" });
                    writer.text(note);
                }
                writer.out.push_str("</td></tr>\n");
            }
        });
        if !guide.carried.is_empty() {
            self.element("p class=\"carried\"", |writer| writer.text(&guide.carried));
            self.out.push('\n');
        }
    }
}
