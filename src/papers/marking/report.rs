//! What is written of a list that was marked: a table for spreadsheets, a page for markers, one
//! page for each student, and the whole for machines.

mod json;
mod sentences;

use std::fmt::Write as _;

pub use json::json;

use super::marked::{Answer, Marked, Student, Verdict};
use super::summary::{Ends, Summary, summary};
use crate::document::FrontMatter;
use crate::page::exam::{MarksPage, MarksTable, Section, marks_page};
use crate::tables::separated;

/// So many parts stand beside each other in a table.
const MOST_COLUMNS: usize = 9;

/// The paper whose list was marked.
#[derive(Debug, Clone, Copy)]
pub struct Of<'a> {
    /// Its front matter.
    pub front: &'a FrontMatter,
    /// Its title.
    pub title: &'a str,
}

/// The table for spreadsheets, a row for each student in the order of the list.
pub fn csv(marked: &Marked) -> String {
    let mut head = vec!["id".to_owned(), "version".to_owned()];
    for part in &marked.parts {
        let column = part.column();
        head.extend(["marks", "open", "remark"].map(|what| format!("{column} {what}")));
    }
    head.extend(["total", "open"].map(str::to_owned));
    let rows = marked.students.iter().map(|student| {
        let mut row = vec![harmless(&student.id), student.version.to_string()];
        for answer in &student.answers {
            row.push(answer.marks.to_string());
            row.push(answer.open.to_string());
            row.push(remark(answer).to_owned());
        }
        row.extend([student.marks(), student.open()].map(|it| it.to_string()));
        row
    });
    separated(std::iter::once(head).chain(rows))
}

/// What is remarked of an answer, in a word; nothing of a right one with all its marks.
fn remark(answer: &Answer) -> &'static str {
    match answer.verdict {
        Verdict::Right if answer.remarks.is_empty() => "",
        verdict => verdict.words(),
    }
}

/// A text of a student as it may stand in a table: a quote before what a spreadsheet would run.
pub fn harmless(text: &str) -> String {
    match text.trim_start().starts_with(['=', '+', '-', '@']) || text.starts_with(['\t', '\r']) {
        true => format!("'{text}"),
        false => text.to_owned(),
    }
}

/// The page for markers: what is to be looked at first, the table, what the list says of the
/// paper.
pub fn markers(marked: &Marked, of: Of<'_>) -> String {
    let mut sections = Vec::new();
    look_at(marked, &mut sections);
    sections.push(Section::Heading("Marks".to_owned()));
    table(marked, &mut sections);
    sections.push(Section::Heading("Summary".to_owned()));
    told(marked, &summary(marked), &mut sections);
    marks_page(&MarksPage {
        front: of.front,
        title: of.title,
        what: "Marks",
        foot: String::new(),
        is_wide: true,
        sections,
    })
}

/// A kind of answer that a person looks at: what it is called, and which are of it.
type Kind = (&'static str, fn(&Answer) -> bool);

/// What a person looks at, in the order in which it matters.
const LOOK_AT: [Kind; 5] = [
    ("Answers of another version", |it| {
        it.verdict == Verdict::OtherVersion
    }),
    ("Two routes", |it| it.verdict == Verdict::TwoRoutes),
    ("Two readings, or not understood", |it| {
        it.verdict == Verdict::ToBeRead
    }),
    ("Open marks", |it| it.open > 0),
    ("Proposed marks", |it| it.is_proposed),
];

fn look_at(marked: &Marked, sections: &mut Vec<Section>) {
    sections.push(Section::Heading("To be looked at".to_owned()));
    let mut is_some = false;
    for (at, (name, is_of)) in LOOK_AT.iter().enumerate() {
        let before = LOOK_AT.get(..at).unwrap_or_default();
        let mut items = Vec::new();
        for student in &marked.students {
            for (part, answer) in marked.parts.iter().zip(&student.answers) {
                // Each stands once, where it matters most.
                if is_of(answer) && !before.iter().any(|(_, is_of)| is_of(answer)) {
                    let mut item = format!("{}, {}: ", student.id, part.told());
                    item.push_str(&sentences::for_markers(answer, part));
                    items.push(item);
                }
            }
        }
        if !items.is_empty() {
            is_some = true;
            let count = items.len();
            sections.push(Section::Words(format!("{name} ({count})"), String::new()));
            sections.push(Section::Items(items));
        }
    }
    if !is_some {
        sections.push(Section::Words(String::new(), "Nothing.".to_owned()));
    }
}

fn table(marked: &Marked, sections: &mut Vec<Section>) {
    let count = marked.parts.len();
    let chunks = count.div_ceil(MOST_COLUMNS).max(1);
    for chunk in 0..chunks {
        let from = chunk * MOST_COLUMNS;
        let parts = marked.parts.iter().skip(from).take(MOST_COLUMNS);
        let mut heads = vec!["Student".to_owned(), "Version".to_owned()];
        // Totals stand first, where they are seen without scrolling.
        let is_first = chunk == 0;
        if is_first {
            let of: u32 = marked.parts.iter().map(|part| part.of).sum();
            heads.extend([format!("Total [{of}]"), "Open".to_owned()]);
        }
        heads.extend(parts.map(|part| format!("{} [{}]", part.column(), part.of)));
        let rows = marked.students.iter().map(|student| {
            let mut row = vec![student.id.to_string(), student.version.to_string()];
            if is_first {
                row.push(student.marks().to_string());
                row.push(match student.open() {
                    0 => String::new(),
                    open => open.to_string(),
                });
            }
            let answers = student.answers.iter().skip(from).take(MOST_COLUMNS);
            row.extend(answers.map(cell));
            row
        });
        let caption = match chunks {
            1 => "A row for each student, in the order of the list".to_owned(),
            _ => format!(
                "Parts {} to {} of {count}",
                from + 1,
                (from + MOST_COLUMNS).min(count)
            ),
        };
        sections.push(Section::Table(MarksTable {
            caption,
            heads,
            rows: rows.collect(),
            bar: None,
        }));
    }
}

/// "2", "1 sign", "0 + 4 open"
fn cell(answer: &Answer) -> String {
    let mut out = answer.marks.to_string();
    if answer.open > 0 {
        // Writing to a string cannot fail.
        let _ = write!(out, " + {} open", answer.open);
    } else if let (Verdict::Slip, Some(slip)) = (answer.verdict, &answer.slip) {
        let _ = write!(out, " {}", slip.class);
    } else if !remark(answer).is_empty() {
        let _ = write!(out, " {}", answer.verdict.words());
    }
    out
}

/// "2.65 to 3.47", or one number where nothing is open; a dash where there is none.
fn ends(ends: Ends, decimals: usize) -> String {
    let (from, to) = (
        format!("{:.decimals$}", ends.from),
        format!("{:.decimals$}", ends.to),
    );
    match ends.from.is_nan() || ends.to.is_nan() {
        true => DASH.to_owned(),
        false if from == to => from,
        false => format!("{from} to {to}"),
    }
}

const DASH: &str = "–";

fn told(marked: &Marked, found: &Summary, sections: &mut Vec<Section>) {
    let parts = marked.parts.iter().zip(&found.parts);
    let rows = parts.map(|(part, found)| {
        let discrimination = found.discrimination;
        vec![
            format!("{} {}", part.column(), part.printed),
            part.of.to_string(),
            found.full.to_string(),
            found.some.to_string(),
            found.none.to_string(),
            found.open.to_string(),
            ends(found.mean, 2),
            ends(found.difficulty, 2),
            discrimination.map_or(DASH.to_owned(), |it| format!("{it:.2}").replace('-', "−")),
        ]
    });
    let heads = [
        "Part",
        "Marks",
        "Full",
        "Some",
        "None",
        "Open",
        "Mean",
        "Difficulty",
        "Discrimination",
    ];
    sections.push(Section::Table(MarksTable {
        caption:
            "Full, some and none are of answers without open marks; difficulty is the mean as \
                  a part of the marks, and 1 is easy; discrimination is the correlation with the \
                  rest of the total"
                .to_owned(),
        heads: heads.map(str::to_owned).to_vec(),
        rows: rows.collect(),
        bar: None,
    }));
    sections.push(Section::Words(
        "Totals:".to_owned(),
        format!(
            "{} students, median {}, mean {}, of {}.",
            found.students,
            // Half of a mark is the least that a median has.
            ends(found.median, 1).replace(".0", ""),
            ends(found.mean, 1),
            found.of
        ),
    ));
    sections.push(Section::Table(distribution(found)));
    if !found.versions.is_empty() {
        versions(found, sections);
    }
    if !found.slips.is_empty() {
        let slips: Vec<String> = (found.slips.iter())
            .map(|(class, count)| format!("{class} {count}"))
            .collect();
        sections.push(Section::Words(
            "Slips met:".to_owned(),
            slips.join(", ") + ".",
        ));
    }
    if !found.shared.is_empty() {
        let words = "a slip that is not looked for, or a mistake in the worksheet.";
        let name = "The same wrong answer of several students:";
        sections.push(Section::Words(name.to_owned(), words.to_owned()));
        let items = found.shared.iter().filter_map(|it| {
            let part = marked.parts.get(it.part)?;
            Some(format!(
                "{}, version {}: {} ({} times)",
                part.told(),
                it.version,
                sentences::quoted(&it.written),
                it.count
            ))
        });
        sections.push(Section::Items(items.collect()));
    }
}

fn distribution(found: &Summary) -> MarksTable {
    const LONGEST: usize = 40;
    let is_open = found.tenths.iter().any(|it| it.given != it.with_open);
    let most = found.tenths.iter().map(|it| it.given).max().unwrap_or(0);
    let mut heads = vec!["Part of the marks", "Students", ""];
    if is_open {
        heads.push("With all open marks");
    }
    let rows = found.tenths.iter().enumerate().map(|(at, tenth)| {
        let last = if at == 9 { 100 } else { 10 * at + 9 };
        // One character each, while there is room.
        let length = match most > LONGEST {
            true => (tenth.given * LONGEST).div_ceil(most),
            false => tenth.given,
        };
        let mut row = vec![
            format!("{} to {last} %", 10 * at),
            tenth.given.to_string(),
            "█".repeat(length),
        ];
        if is_open {
            row.push(tenth.with_open.to_string());
        }
        row
    });
    MarksTable {
        caption: "How many students have which part of the marks".to_owned(),
        heads: heads.into_iter().map(str::to_owned).collect(),
        rows: rows.collect(),
        bar: Some(2),
    }
}

fn versions(found: &Summary, sections: &mut Vec<Section>) {
    let name = |at: usize| {
        let versions = found.versions.get(at).map_or(&[][..], |it| &it.versions);
        let versions: Vec<String> = versions.iter().map(ToString::to_string).collect();
        crate::text::listed(&versions)
    };
    let rows = found.versions.iter().enumerate().map(|(at, it)| {
        vec![
            name(at),
            it.students.to_string(),
            ends(it.mean, 1),
            it.error
                .map_or(DASH.to_owned(), |error| format!("{error:.2}")),
        ]
    });
    let heads = ["Version", "Students", "Mean", "Standard error"];
    sections.push(Section::Table(MarksTable {
        caption: "Totals by version; fewer than 5 students are told with others".to_owned(),
        heads: heads.map(str::to_owned).to_vec(),
        rows: rows.collect(),
        bar: None,
    }));
    let notes = found.differ.iter().map(|(one, other)| {
        format!(
            "Versions {} and {} differ by more than two standard errors.",
            name(*one),
            name(*other)
        )
    });
    let notes: Vec<String> = notes.collect();
    if !notes.is_empty() {
        sections.push(Section::Items(notes));
    }
}

/// The page of a student: nothing on it is of anybody else.
pub fn student(marked: &Marked, student: &Student, of: Of<'_>) -> String {
    marks_page(&MarksPage {
        front: of.front,
        title: of.title,
        what: &student.id,
        foot: format!("version {}", student.version),
        is_wide: false,
        sections: of_student(marked, student),
    })
}

/// What a student is told.
pub(super) fn of_student(marked: &Marked, student: &Student) -> Vec<Section> {
    let of: u32 = marked.parts.iter().map(|part| part.of).sum();
    let mut words = format!("{} of {of}.", student.marks());
    match student.open() {
        0 => {}
        1 => words.push_str(" 1 mark is open: a person looks at it."),
        open => {
            let _ = write!(words, " {open} marks are open: a person looks at them.");
        }
    }
    let mut sections = vec![Section::Words("Marks:".to_owned(), words)];
    let mut is_rest = false;
    for (at, (part, answer)) in marked.parts.iter().zip(&student.answers).enumerate() {
        if answer.verdict == Verdict::Right && answer.marks == part.of {
            is_rest = true;
            continue;
        }
        let lead = format!(
            "{} {}: {} of {}.",
            part.told(),
            sentences::named(part, answer),
            answer.marks,
            part.of
        );
        let words = sentences::for_student(marked, student, at);
        sections.push(Section::Words(lead, words));
    }
    let all_right = match (is_rest, sections.len()) {
        (false, _) => "",
        (true, 1) => "All is right.",
        (true, _) => "All else is right.",
    };
    if !all_right.is_empty() {
        sections.push(Section::Words(String::new(), all_right.to_owned()));
    }
    sections
}

#[cfg(test)]
mod tests;
