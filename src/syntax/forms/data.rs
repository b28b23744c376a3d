//! `data`: a table of readings under its headings, and what the lines below it say of them.
//!
//! In go the lines of the block, out comes one statement. Fields are divided and numbers read in
//! `tables`; which name or unit a heading means is left to others.

mod heading;
mod layout;
mod lines;
mod rows;
mod said;
mod source;
mod tree;

pub(in super::super) use layout::{DataLine, DataRow, data_lines};
pub use said::no_time;
pub use tree::{Column, Content, Data, Remark, Rows, Source, Unread};

use super::super::Name;
use super::super::tokens;
use super::{Line, Statement};
use crate::diagnostic::Diagnostic;
use crate::tables::{self, Bars};
use crate::text::Span;
use said::trimmed;

/// Reads the lines of a table; none where there is not even a heading.
pub(in super::super) fn data(
    text: &str,
    lines: &[Span],
    diagnostics: &mut Vec<Diagnostic>,
) -> Option<Line> {
    let mut open = lines
        .iter()
        .map(|line| without_comment(text, *line))
        .filter(|line| !line.is_empty())
        .peekable();
    let caption = open.next_if(|line| caption(line.of(text)).is_some());
    let description = caption.and_then(|line| {
        let words = caption_words(line, text);
        (!words.is_empty()).then_some(words)
    });
    let heading = open.next()?;
    let whole = |data: Data, last: Span| Line {
        span: caption.unwrap_or(heading).cover(last),
        label: None,
        description,
        statement: Statement::Data(Box::new(data)),
    };
    let rest: Vec<Span> = open.collect();
    if source::is_meant(text, heading, &rest) {
        let (data, last) = source::data(text, heading, &rest, diagnostics);
        return Some(whole(data, last));
    }
    let found = diagnostics.len();
    let mut open = rest.into_iter().peekable();
    let (heading, bars) = match heading::is_caption(text, heading)
        .then(|| open.next())
        .flatten()
    {
        Some(below) => {
            diagnostics.push(heading::no_caption(text, heading));
            (below, Bars::of(below.of(text)))
        }
        None => (heading, Bars::of(heading.of(text))),
    };
    let mut unread = Unread::default();
    let columns = heading::columns(text, heading, bars, &mut unread, diagnostics);
    let names: Vec<Name> = (columns.iter())
        .filter_map(|column| column.name().cloned())
        .collect();
    open.next_if(|line| tables::is_rule(line.of(text), bars));
    let below: Vec<Span> = open.collect();
    let last = below.last().copied().unwrap_or(heading);
    let is_said = |line: &Span| lines::is_statement(line.of(text), &names);
    let (said, rows): (Vec<Span>, Vec<Span>) = below.into_iter().partition(is_said);
    if diagnostics.len() == found {
        diagnostics.extend(rows::wrong_heading(text, (heading, bars), &rows));
    }
    // Below a heading that is refused nobody knows which columns there are.
    let known = (diagnostics.len() == found).then_some(columns.as_slice());
    let mut remarks = Vec::new();
    for line in said {
        let of = (columns.as_slice(), known);
        remarks.extend(lines::remark(text, line, of, &mut unread, diagnostics));
    }
    let missing = lines::missing(&remarks);
    let columns = rows::filled(text, bars, columns, &rows, &missing, diagnostics);
    let is_broken = diagnostics[found..].iter().any(Diagnostic::is_error);
    let data = Data {
        heading,
        columns,
        rows: rows.len(),
        source: None,
        remarks,
        unread,
        is_broken,
    };
    Some(whole(data, last))
}

/// A line without its comment and the blanks around it.
fn without_comment(text: &str, line: Span) -> Span {
    let content = line.of(text);
    let end = tokens::comment(content).unwrap_or(content.len());
    trimmed(
        text,
        Span {
            end: line.start + end as u32,
            ..line
        },
    )
}

/// The mark of a caption at the start of a line.
fn caption(line: &str) -> Option<&'static str> {
    tokens::tail_mark(line).filter(|mark| {
        let rest = line.get(mark.len()..).unwrap_or("");
        *mark != "#" && rest.starts_with(char::is_whitespace)
    })
}

fn caption_words(line: Span, text: &str) -> Span {
    let mark = caption(line.of(text)).map_or(0, str::len);
    trimmed(
        text,
        Span {
            start: line.start + mark as u32,
            ..line
        },
    )
}
