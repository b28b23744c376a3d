//! A table that stands in a file: `file "log.csv"`, how it is laid out, and which of its columns
//! are taken: `p_i / kPa = column "P1 [kPa]"`.

use super::super::super::grammar::{self, Pair, Rule};
use super::super::super::{Word, diagnose, limits};
use super::heading::{self, Heading};
use super::lines::{self, without_words};
use super::said::{refused, trimmed};
use super::tree::{Column, Content, Data, Remark, Source, Unread};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::tables::{Encoding, Layout, Separator, Sign, Times, Which};
use crate::text::Span;

/// The words that say how a file is laid out.
const LAYOUT: &str = "`separated by semicolons`, `decimal comma`, `headings in line 3`, `text in Windows-1252`, `rows 1 to 500`, or a column: `t_i / s = column \"Time [s]\"`";

/// Whether a line says that the table stands in a file.
pub(super) fn begins(line: &str) -> bool {
    let rest = line.strip_prefix("file").unwrap_or("");
    rest.trim_start().starts_with('"')
}

/// Whether a table stands in a file: its first line says which, or lines below take columns of one.
pub(super) fn is_meant(text: &str, first: Span, lines: &[Span]) -> bool {
    let takes = |line: &Span| {
        let line = line.of(text);
        column(line).is_some() && !line.contains('|')
    };
    let first = first.of(text);
    begins(first) || (!first.contains('|') && lines.iter().any(takes))
}

/// Reads the lines of such a table; the first says which file.
pub(super) fn data(
    text: &str,
    first: Span,
    lines: &[Span],
    diagnostics: &mut Vec<Diagnostic>,
) -> (Data, Span) {
    let found = diagnostics.len();
    let mut reading = Reading {
        text,
        path: None,
        layout: Layout::default(),
        headings: Vec::new(),
        chosen: Vec::new(),
        said: Vec::new(),
        unread: Unread::default(),
    };
    let is_named = |line: &Span| begins(line.of(text));
    let has_file = is_named(&first) || lines.iter().any(is_named);
    if !has_file {
        diagnostics.push(no_file(first));
    }
    // A first line that is nothing else was to say which file.
    let is_known = || reading.reads(first);
    let begin = (has_file || is_known()).then_some(first);
    let (mut remarks, mut last) = (Vec::new(), first);
    for line in begin.into_iter().chain(lines.iter().copied()) {
        last = line;
        let names: Vec<_> = (reading.headings.iter())
            .filter_map(|heading| heading.name().cloned())
            .collect();
        let (body, _) = without_words(text, line);
        let read = match (
            column(line.of(text)),
            lines::is_statement(line.of(text), &names),
        ) {
            (Some(at), _) => reading.column(line, at, &mut remarks),
            (None, true) => {
                let Reading {
                    headings, unread, ..
                } = &mut reading;
                let known = has_file.then_some(headings.as_slice());
                let of = (headings.as_slice(), known);
                remarks.extend(lines::remark(text, line, of, unread, diagnostics));
                Ok(())
            }
            (None, false) => match body.of(text).find('=') {
                // No other line holds one.
                Some(at) => reading.column(line, at, &mut remarks),
                None => reading.layout(line),
            },
        };
        diagnostics.extend(read.err().map(|refusal| *refusal));
    }
    if reading.headings.is_empty() && diagnostics.len() == found {
        diagnostics.push(no_columns(first));
    }
    reading.layout.missing = lines::missing(&remarks);
    let is_broken = diagnostics[found..].iter().any(Diagnostic::is_error);
    let source = reading.path.map(|path| Source {
        path,
        layout: reading.layout,
        columns: reading.chosen,
    });
    let columns = reading.headings.into_iter().map(|heading| Column {
        span: heading.span,
        content: match heading.readings {
            None => Content::Words([].into()),
            Some(found) => {
                let times = found.pattern.map(Times::new);
                found.content(times, [].into())
            }
        },
    });
    let data = Data {
        heading: first,
        columns: columns.collect(),
        rows: 0,
        source,
        remarks,
        unread: reading.unread,
        is_broken,
    };
    (data, last)
}

fn no_file(place: Span) -> Diagnostic {
    refused(
        Code::S01,
        place,
        "the table takes columns of a file, and no line says of which",
        "`file \"log.csv\"` in the first line",
    )
}

fn no_columns(place: Span) -> Diagnostic {
    refused(
        Code::S01,
        place,
        "the table takes no column of the file",
        "a line for each: `t_i / s = column \"Time [s]\"`, or by its number, `t_i / s = column 1`",
    )
}

/// Where the sign stands that a column of the file follows.
pub(super) fn column(line: &str) -> Option<usize> {
    line.match_indices('=').map(|(at, _)| at).find(|at| {
        let rest = line.get(at + 1..).unwrap_or("").trim_start();
        let rest = rest.strip_prefix("column").unwrap_or("");
        rest.starts_with([' ', '"'])
    })
}

struct Reading<'t> {
    text: &'t str,
    path: Option<Word>,
    layout: Layout,
    headings: Vec<Heading>,
    /// Which column of the file stands below each heading.
    chosen: Vec<(Which, Span)>,
    /// What was said of the layout, by its rule.
    said: Vec<(Rule, Span)>,
    unread: Unread,
}

type Read = Result<(), Box<Diagnostic>>;

impl Reading<'_> {
    /// Whether a line says something of a table in a file.
    fn reads(&self, line: Span) -> bool {
        let (body, _) = without_words(self.text, line);
        let body = body.of(self.text);
        body.contains('=') || grammar::parse(Rule::source_line, body).is_ok()
    }

    /// `t_i / s = column "Time [s]" -- words`
    fn column(&mut self, line: Span, equals: usize, remarks: &mut Vec<Remark>) -> Read {
        let read = self.read_column(line, equals, remarks);
        if read.is_err() {
            let at = line.start + equals as u32;
            let before = trimmed(self.text, Span { end: at, ..line });
            match heading::is_of_words(before.of(self.text)) {
                true => self.unread.headings.push(before),
                false => self.unread.lists.extend(heading::meant(self.text, before)),
            }
        }
        read
    }

    fn read_column(&mut self, line: Span, equals: usize, remarks: &mut Vec<Remark>) -> Read {
        let (body, words) = without_words(self.text, line);
        let at = line.start + equals as u32;
        let before = trimmed(self.text, Span { end: at, ..line });
        let after = trimmed(
            self.text,
            Span {
                start: at + 1,
                end: body.end.max(at + 1),
            },
        );
        let pairs = pairs(
            self.text,
            Rule::column_of_line,
            after,
            "`t_i / s = column \"Time [s]\"`, or by its number, `t_i / s = column 1`",
        )?;
        let which = pairs.into_iter().find_map(|(pair, place)| {
            let which = match pair.as_rule() {
                Rule::row_number => Which::Numbered(number(&pair)),
                Rule::quoted => Which::Titled(quoted(&pair).into()),
                _ => return None,
            };
            Some((which, place))
        });
        let readings = heading::readings(self.text, before)?;
        let heading = Heading {
            span: before,
            readings,
        };
        if let (Some(name), Some(words)) = (heading.name(), words) {
            remarks.push(Remark::Description {
                name: name.clone(),
                words,
            });
        }
        if let Some(which) = which {
            self.headings.push(heading);
            self.chosen.push(which);
        }
        Ok(())
    }

    /// A line that says which file, or how it is laid out.
    fn layout(&mut self, line: Span) -> Read {
        let (body, _) = without_words(self.text, line);
        for (pair, place) in pairs(self.text, Rule::source_line, body, LAYOUT)? {
            let rule = pair.as_rule();
            if let Some((_, before)) = self.said.iter().find(|(said, _)| *said == rule) {
                let written = before.of(self.text);
                return Err(Box::new(refused(
                    Code::S01,
                    place,
                    format!("the table says this twice: above stands `{written}`"),
                    "one of the two lines",
                )));
            }
            let mut parts = pair.into_inner();
            match rule {
                Rule::file_words => {
                    self.path = parts.next().map(|pair| Word {
                        span: place,
                        text: quoted(&pair).into(),
                    });
                }
                Rule::separated_words => {
                    self.layout.separator =
                        word(parts.next(), place, &Separator::ALL, Separator::word)?;
                }
                Rule::decimal_words => {
                    self.layout.sign = word(parts.next(), place, &Sign::ALL, Sign::word)?;
                }
                Rule::text_words => {
                    self.layout.encoding =
                        word(parts.next(), place, &Encoding::ALL, Encoding::word)?;
                }
                Rule::headings_words => {
                    self.layout.headings = parts.next().map(|pair| number(&pair));
                }
                Rule::rows_words => {
                    let ends: Vec<usize> = parts.map(|pair| number(&pair)).collect();
                    self.layout.rows = <[usize; 2]>::try_from(ends).ok();
                }
                _ => continue,
            }
            self.said.push((rule, place));
        }
        self.is_counted(body)
    }

    /// Lines, rows and columns are counted from 1, and the first stands before the last.
    fn is_counted(&self, place: Span) -> Read {
        let (wrong, help) = match (self.layout.headings, self.layout.rows) {
            (Some(0), _) => (
                "lines of a file are counted from 1".to_owned(),
                "`headings in line 1`".to_owned(),
            ),
            (_, Some([0, last])) => (
                "rows are counted from 1".to_owned(),
                format!("`rows 1 to {}`", last.max(1)),
            ),
            (_, Some([first, last])) if first > last => (
                format!("row {first} stands after row {last}"),
                format!("`rows {last} to {first}`"),
            ),
            _ => return Ok(()),
        };
        Err(Box::new(refused(Code::S01, place, wrong, help)))
    }
}

/// The pairs of a line, with their places.
fn pairs<'t>(
    text: &'t str,
    rule: Rule,
    place: Span,
    help: &str,
) -> Result<Vec<(Pair<'t>, Span)>, Box<Diagnostic>> {
    let body = place.of(text);
    let start = place.start as usize;
    if let Some(refusal) = limits::refuse(body, start) {
        return Err(Box::new(refusal));
    }
    let found = grammar::parse(rule, body).map_err(|stopped| {
        let at = diagnose::stop(body, &stopped);
        Box::new(refused(
            Code::S01,
            diagnose::place(body, start, at),
            diagnose::cannot_stand(body, at),
            help,
        ))
    })?;
    let placed = found.map(|pair| {
        let place = grammar::span(&pair, start);
        (pair, place)
    });
    Ok(placed.collect())
}

/// What stands between quotes.
pub(super) fn quoted<'p>(pair: &Pair<'p>) -> &'p str {
    pair.as_str().trim_matches('"').trim()
}

/// A number too large for this is no line, row or column of any file.
fn number(pair: &Pair<'_>) -> usize {
    pair.as_str().parse().unwrap_or(usize::MAX)
}

/// One of a few words.
fn word<T: Copy>(
    pair: Option<Pair<'_>>,
    place: Span,
    all: &[T],
    word: fn(T) -> &'static str,
) -> Result<T, Box<Diagnostic>> {
    let written = pair.as_ref().map_or("", Pair::as_str);
    let is_meant = |one: &&T| word(**one).eq_ignore_ascii_case(written);
    if let Some(one) = all.iter().find(is_meant) {
        return Ok(*one);
    }
    let known: Vec<String> = all.iter().map(|one| format!("`{}`", word(*one))).collect();
    let place = Span {
        start: place.end - written.len() as u32,
        ..place
    };
    let near = crate::diagnostic::nearest(written, all.iter().map(|one| word(*one)));
    Err(Box::new(
        refused(
            Code::S01,
            place,
            format!("`{written}` is not known here"),
            known.join(", "),
        )
        .with_fixes(near.map(|near| Fix::write(Decision::Choose, place, near.to_owned()))),
    ))
}
