//! The list of answers: bytes to rows of fields, each under a column that the paper knows.
//!
//! In go the bytes and a description of the paper; out come rows, and what was refused. A head
//! that is not understood refuses the list, anything else its own row; no message of one row
//! holds anything of another. What a field says is left to `field`.

mod columns;

use std::collections::BTreeMap;

use super::field::Signs;
use crate::diagnostic::{Code, Diagnostic};
use crate::tables::{Record, Separator, records};
use crate::text::{Source, Span, listed};

/// The largest list that is read, in bytes.
pub const MOST_BYTES: usize = 16 << 20;

/// So many rows are read.
pub const MOST_ROWS: usize = 10_000;

/// The longest id.
pub const MOST_ID: usize = 20;

/// What a list has to know of a paper.
#[derive(Debug, Clone, Default)]
pub struct Paper {
    /// Its questions, numbered from 1.
    pub questions: Vec<Question>,
    /// Its versions; one alone need not be named.
    pub versions: Vec<Version>,
}

/// A question.
#[derive(Debug, Clone, Default)]
pub struct Question {
    /// Its parts; one alone has no letter.
    pub parts: Vec<Part>,
    /// The names of its working and its data, in their canonical spelling.
    pub names: Vec<Named>,
}

/// A part of a question.
#[derive(Debug, Clone)]
pub struct Part {
    /// Its letter.
    pub letter: Option<char>,
    /// How many components its answer has; 1 for a number.
    pub components: usize,
    /// The word of each kind of marks, and how many of it the part has.
    pub marks: Vec<(Box<str>, u32)>,
}

/// A name of the working or of the data.
#[derive(Debug, Clone)]
pub struct Named {
    /// Its canonical spelling.
    pub name: Box<str>,
    /// How many components it has; 1 for a number or a column.
    pub components: usize,
}

/// A version that was printed.
#[derive(Debug, Clone)]
pub struct Version {
    /// Its number.
    pub number: u32,
    /// As it is printed at the foot.
    pub fingerprint: Option<Box<str>>,
}

/// A list that was read.
#[derive(Debug, Clone)]
pub struct List {
    /// Its text, for places; empty where it is no text.
    pub source: Source,
    /// Its columns but `id`, `version` and `fingerprint`.
    pub columns: Vec<Column>,
    /// Its rows that can be marked, in their order.
    pub rows: Vec<Row>,
    /// What was refused.
    pub diagnostics: Vec<Diagnostic>,
}

/// A column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// What it is headed.
    pub head: Box<str>,
    /// Where its head stands.
    pub span: Span,
    /// What it holds.
    pub holds: Holds,
}

/// What a column holds. Questions, parts and names are told by their indices in the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Holds {
    /// The answer to a part, or one component of it.
    Answer {
        /// Which question.
        question: usize,
        /// Which of its parts.
        part: usize,
        /// Which component.
        component: Option<usize>,
    },
    /// The student's value of a name.
    Own {
        /// Which question.
        question: usize,
        /// Which of its names.
        name: usize,
        /// Which component.
        component: Option<usize>,
    },
    /// Marks that a person gave.
    Marks {
        /// Which question.
        question: usize,
        /// Which of its parts.
        part: usize,
        /// Which kind of the part's marks; none for all of them.
        kind: Option<usize>,
    },
}

/// A row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// The line in which it begins.
    pub line: usize,
    /// The candidate number.
    pub id: Box<str>,
    /// Which of the paper's versions, by its index.
    pub version: usize,
    /// A cell for each column.
    pub cells: Vec<Cell>,
}

/// A cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// Where it stands.
    pub span: Span,
    /// What it says.
    pub says: Says,
}

/// What a cell says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Says {
    /// Nothing.
    Nothing,
    /// The words of an answer or a value.
    Words(Box<str>),
    /// Marks.
    Marks(u32),
}

impl Row {
    /// What its other fields say of the decimal sign.
    pub fn signs_beside(&self, cell: usize) -> Signs {
        let others = self.cells.iter().enumerate().filter(|(at, _)| *at != cell);
        others.fold(Signs::default(), |all, (_, cell)| match &cell.says {
            Says::Words(words) => all.and(Signs::of(words)),
            Says::Nothing | Says::Marks(_) => all,
        })
    }
}

/// Reads a list; `name` is what messages call it.
pub fn read(name: &str, bytes: &[u8], paper: &Paper) -> List {
    let refused = |text: &str, diagnostics| List {
        source: Source::new(name, text),
        columns: Vec::new(),
        rows: Vec::new(),
        diagnostics,
    };
    let start = Span::new(0, 0);
    if bytes.len() > MOST_BYTES {
        let error = Diagnostic::error(Code::L09, start, "the list is larger than 16 MiB")
            .with_help("several lists");
        return refused("", vec![error]);
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let before = bytes.get(..error.valid_up_to()).unwrap_or_default();
            let line = 1 + before.iter().filter(|byte| **byte == b'\n').count();
            let message = format!("the list is not UTF-8: line {line} holds a byte of no letter");
            let error = Diagnostic::error(Code::L09, start, message)
                .with_help("the list saved in UTF-8 (`CSV UTF-8` in a spreadsheet)");
            return refused("", vec![error]);
        }
    };
    match rows(name, text, paper) {
        Ok(list) => list,
        Err(diagnostics) => refused(text, diagnostics),
    }
}

fn rows(name: &str, text: &str, paper: &Paper) -> Result<List, Vec<Diagnostic>> {
    const MARK: &str = "\u{feff}";
    let from = if text.starts_with(MARK) {
        MARK.len()
    } else {
        0
    };
    let body = text.get(from..).unwrap_or("");
    let separator = separator(body, from).map_err(|error| vec![*error])?;
    // One more than the head has, so that too many are told apart from enough.
    let width = records(body, separator, 0)
        .next()
        .map_or(0, |head| head.count);
    let mut all = records(body, separator, width + 1).map(|record| moved(record, from));
    let head = all.next().filter(|head| !head.is_open);
    let Some(head) = head else {
        let message = "the list has no head row";
        let error = Diagnostic::error(Code::L09, Span::new(0, 0), message)
            .with_help("a first row with the names of the columns: `id,version,1a,1b`");
        return Err(vec![error]);
    };
    let head = columns::read(&head, paper)?;
    let source = Source::new(name, text);
    let mut reader = Reader {
        paper,
        source: &source,
        head: &head,
        width,
        diagnostics: Vec::new(),
    };
    let mut found = Vec::new();
    for (count, record) in all.enumerate() {
        if count == MOST_ROWS {
            let place = first_line(text, &record);
            let error = Diagnostic::error(Code::L09, place, "the list has more than 10,000 rows")
                .with_help("several lists");
            return Err(vec![error]);
        }
        if record.is_open {
            let message = format!(
                "a quote that is opened in line {} is never closed",
                source.line_of(record.place.start as u32)
            );
            let error = Diagnostic::error(Code::L09, first_line(text, &record), message)
                .with_help("a quote at the end of the field, and two for one within it");
            reader.diagnostics.push(error);
            continue;
        }
        found.extend(reader.row(&record));
    }
    let rows = reader.told_apart(found);
    let mut diagnostics = reader.diagnostics;
    diagnostics.sort_by_key(|it| it.span.start);
    Ok(List {
        columns: head.columns.into_iter().map(|(_, column)| column).collect(),
        source,
        rows,
        diagnostics,
    })
}

/// A row at its place in the whole text.
fn moved(record: Record, by: usize) -> Record {
    let place = |at: std::ops::Range<usize>| at.start + by..at.end + by;
    let mut record = record;
    record.place = place(record.place);
    for field in &mut record.fields {
        field.place = place(field.place.clone());
    }
    record
}

/// The place of a row in its first line: further lines of it may be other rows, that an open
/// quote has taken.
fn first_line(text: &str, record: &Record) -> Span {
    let written = text.get(record.place.clone()).unwrap_or("");
    let first = written.lines().next().unwrap_or("");
    Span::new(record.place.start, record.place.start + first.len())
}

/// What separates the fields of the head row.
fn separator(text: &str, from: usize) -> Result<Separator, Box<Diagnostic>> {
    let start = text.len() - text.trim_start_matches(['\r', '\n']).len();
    let head = text.get(start..).unwrap_or("").lines().next().unwrap_or("");
    let plain: String = head.split('"').step_by(2).collect();
    let all = [Separator::Commas, Separator::Semicolons, Separator::Tabs];
    let found: Vec<Separator> = (all.into_iter())
        .filter(|separator| plain.contains(char::from(separator.byte())))
        .collect();
    match found.as_slice() {
        [] => Ok(Separator::Commas),
        [only] => Ok(*only),
        _ => {
            let words: Vec<&str> = found.iter().map(|it| it.word()).collect();
            let message = format!("the head row is separated by {}", listed(&words));
            let place = Span::new(from + start, from + start + head.len());
            let error = Diagnostic::error(Code::L09, place, message)
                .with_help("one of them throughout, and quotes around a field that holds it");
            Err(Box::new(error))
        }
    }
}

struct Reader<'l> {
    paper: &'l Paper,
    source: &'l Source,
    head: &'l columns::Head,
    width: usize,
    diagnostics: Vec<Diagnostic>,
}

impl Reader<'_> {
    fn refuse(&mut self, code: Code, span: Span, message: String, help: impl Into<String>) {
        let error = Diagnostic::error(code, span, message).with_help(help);
        self.diagnostics.push(error);
    }

    /// A row with the place of its id; nothing where it is refused, or has no entry at all.
    fn row(&mut self, record: &Record) -> Option<(Span, Row)> {
        let text = self.source.text();
        let place = first_line(text, record);
        let line = self.source.line_of(place.start);
        let last = self.source.line_of(record.place.end as u32);
        let is_seen = record.count == record.fields.len();
        if is_seen && record.fields.iter().all(|it| it.text.trim().is_empty()) {
            return None;
        }
        let over = match last > line {
            true => format!(", and goes on to line {last}: a quote may not be closed"),
            false => String::new(),
        };
        if record.count != self.width {
            let message = format!(
                "the row has {} entries of {}{over}",
                record.count, self.width
            );
            let help = "an entry for each column, and quotes around one that holds a separator";
            self.refuse(Code::L09, place, message, help);
            return None;
        }
        if last > line {
            let help = "each entry in one line";
            self.refuse(
                Code::L09,
                place,
                format!("the row begins in line {line}{over}"),
                help,
            );
            return None;
        }
        let id = self.id(record, place)?;
        let version = self.version(record, place)?;
        let mut cells = Vec::with_capacity(self.head.columns.len());
        for (at, column) in &self.head.columns {
            cells.push(self.cell(record, *at, column)?);
        }
        let row = Row {
            line,
            id: id.1,
            version,
            cells,
        };
        Some((id.0, row))
    }

    /// A field without the blanks around it, and its place.
    fn field<'r>(&self, record: &'r Record, at: usize) -> (Span, &'r str) {
        match record.fields.get(at) {
            Some(field) => (
                Span::new(field.place.start, field.place.end),
                field.text.trim(),
            ),
            None => (Span::new(record.place.end, record.place.end), ""),
        }
    }

    fn id(&mut self, record: &Record, row: Span) -> Option<(Span, Box<str>)> {
        let (span, text) = self.field(record, self.head.id);
        if text.is_empty() {
            let help = "the candidate number in the column `id`";
            self.refuse(Code::L02, row, "the row has no id".to_owned(), help);
            return None;
        }
        let is_sign = |letter: char| matches!(letter, '-' | '_');
        let is_id = text.len() <= MOST_ID
            && text.starts_with(|it: char| it.is_ascii_alphanumeric())
            && text
                .chars()
                .all(|it| it.is_ascii_alphanumeric() || is_sign(it));
        if !is_id {
            // What stands there may be a name, and is not repeated.
            let message = "the id is of another form".to_owned();
            let help = "letters from a to z, digits, `-` and `_`, at most 20, beginning with a letter or a digit: `s01`";
            self.refuse(Code::L02, span, message, help);
            return None;
        }
        Some((span, text.into()))
    }

    /// The index of the version, if the fingerprint is that of it.
    fn version(&mut self, record: &Record, row: Span) -> Option<usize> {
        let versions = &self.paper.versions;
        let numbers = || {
            let numbers: Vec<u32> = versions.iter().map(|it| it.number).collect();
            match (numbers.iter().min(), numbers.iter().max()) {
                (Some(first), Some(last)) if first != last => format!("{first} to {last}"),
                (Some(only), _) => format!("{only} alone"),
                (None, _) => "none".to_owned(),
            }
        };
        let written = self.head.version.map(|at| self.field(record, at));
        let at = match written.filter(|(_, text)| !text.is_empty()) {
            Some((span, text)) => {
                let number = text.parse::<u32>().ok();
                let found = versions.iter().position(|it| Some(it.number) == number);
                let Some(found) = found else {
                    let message = format!(
                        "there is no version `{}`: the paper has {}",
                        shortened(text),
                        numbers()
                    );
                    self.refuse(
                        Code::L03,
                        span,
                        message,
                        "the version at the foot of the sheet",
                    );
                    return None;
                };
                found
            }
            None if versions.len() == 1 => 0,
            None => {
                let message = format!("the row has no version: the paper has {}", numbers());
                self.refuse(
                    Code::L03,
                    row,
                    message,
                    "the version at the foot of the sheet",
                );
                return None;
            }
        };
        let written = self.head.fingerprint.map(|at| self.field(record, at));
        let Some((span, text)) = written.filter(|(_, text)| !text.is_empty()) else {
            return Some(at);
        };
        let is_of = |version: &Version| {
            let own = version.fingerprint.as_deref();
            own.is_some_and(|own| own.eq_ignore_ascii_case(text))
        };
        if versions.get(at).is_some_and(is_of) {
            return Some(at);
        }
        let number = versions.get(at).map_or(0, |it| it.number);
        let message = match versions.iter().find(|it| is_of(it)) {
            Some(other) => format!(
                "the fingerprint is that of version {}, and the row is of version {number}",
                other.number
            ),
            None => format!("the fingerprint is not that of version {number}"),
        };
        let help = "the version and the fingerprint of one sheet, or no fingerprint";
        self.refuse(Code::L03, span, message, help);
        None
    }

    fn cell(&mut self, record: &Record, at: usize, column: &Column) -> Option<Cell> {
        let (span, text) = self.field(record, at);
        let says = match column.holds {
            _ if text.is_empty() => Says::Nothing,
            Holds::Answer { .. } | Holds::Own { .. } => Says::Words(text.into()),
            Holds::Marks {
                question,
                part,
                kind,
            } => Says::Marks(self.marks((question, part, kind), span, text)?),
        };
        Some(Cell { span, says })
    }

    fn marks(
        &mut self,
        (question, part, kind): (usize, usize, Option<usize>),
        span: Span,
        text: &str,
    ) -> Option<u32> {
        let marks = (self.paper.questions.get(question))
            .and_then(|question| question.parts.get(part))
            .map_or(&[][..], |part| &part.marks);
        let (word, most) = match kind.and_then(|kind| marks.get(kind)) {
            Some((word, most)) => (&**word, *most),
            None => ("", marks.iter().map(|(_, count)| count).sum()),
        };
        let word = match word {
            "by hand" | "" => "",
            word => word,
        };
        let digits = text.bytes().all(|byte| byte.is_ascii_digit());
        let given = text.parse::<u32>().ok().filter(|_| digits);
        let message = match given {
            Some(given) if given <= most => return Some(given),
            Some(given) => format!(
                "{given} {word}{}{} by hand of {most}",
                if word.is_empty() { "" } else { " " },
                if given == 1 { "mark" } else { "marks" },
            ),
            None => format!("`{}` is no whole number of marks", shortened(text)),
        };
        self.refuse(
            Code::L07,
            span,
            message,
            format!("a whole number from 0 to {most}, or nothing"),
        );
        None
    }

    /// The rows whose id no other has. Ids that differ in capitals are one, as names of files are.
    fn told_apart(&mut self, rows: Vec<(Span, Row)>) -> Vec<Row> {
        let mut lines: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (_, row) in &rows {
            lines
                .entry(row.id.to_lowercase())
                .or_default()
                .push(row.line);
        }
        let mut kept = Vec::with_capacity(rows.len());
        for (span, row) in rows {
            let lines = lines
                .get(&row.id.to_lowercase())
                .map_or(&[][..], Vec::as_slice);
            if lines.len() < 2 {
                kept.push(row);
                continue;
            }
            const SHOWN: usize = 5;
            let mut all: Vec<String> = lines.iter().take(SHOWN).map(ToString::to_string).collect();
            if lines.len() > SHOWN {
                all.push(format!("{} more", lines.len() - SHOWN));
            }
            let message = format!("`{}` stands in lines {}", row.id, listed(&all));
            self.refuse(
                Code::L02,
                span,
                message,
                "one row for each candidate number",
            );
        }
        kept
    }
}

/// The start of a text that is long.
fn shortened(text: &str) -> String {
    const MOST: usize = 20;
    match text.chars().nth(MOST) {
        Some(_) => format!("{}…", text.chars().take(MOST).collect::<String>()),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests;
