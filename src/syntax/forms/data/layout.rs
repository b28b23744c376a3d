//! Which lines of a block are rows of its table, and where their parts stand.
//!
//! As for the reading of the block, but no line is refused.

use super::super::super::{Name, tokens};
use super::lines::is_statement;
use super::{Unread, caption, heading, source, trimmed, without_comment};
use crate::tables::{self, Bars};
use crate::text::Span;

/// A line of `data`.
#[derive(Debug, Clone, PartialEq)]
pub(in super::super::super) enum DataLine {
    /// The heading, a row, or the rule between them.
    Fields(DataRow),
    /// A line that says something.
    Said {
        /// The line without its words.
        code: Span,
        /// Where the sign stands that goes under those of its neighbours.
        sign: Option<u32>,
        /// Its words, with the mark before them, or its comment.
        tail: Span,
        /// Whether its words go under those of its neighbours.
        is_apart: bool,
    },
    /// Anything else.
    Other,
}

/// A row between bars.
#[derive(Debug, Clone, PartialEq)]
pub(in super::super::super) struct DataRow {
    /// The line without its comment.
    pub code: Span,
    /// Its fields.
    pub fields: Vec<Span>,
    /// Whether bars stand around it.
    pub is_around: bool,
    /// Whether it is the rule below the heading.
    pub is_rule: bool,
}

/// The lines of a block.
pub(in super::super::super) fn data_lines(text: &str, lines: &[Span]) -> Vec<DataLine> {
    let mut reading = Reading {
        text,
        bars: None,
        names: Vec::new(),
        count: 0,
        is_file: false,
        is_begun: false,
    };
    lines.iter().map(|line| reading.line(*line)).collect()
}

struct Reading<'t> {
    text: &'t str,
    /// How the heading is divided, once it was met.
    bars: Option<Bars>,
    names: Vec<Name>,
    /// How many fields the heading has.
    count: usize,
    is_file: bool,
    is_begun: bool,
}

impl Reading<'_> {
    fn line(&mut self, line: Span) -> DataLine {
        let body = without_comment(self.text, line);
        let content = body.of(self.text);
        if content.is_empty() {
            return DataLine::Other;
        }
        let is_first = !std::mem::replace(&mut self.is_begun, true);
        if is_first && caption(content).is_some() {
            self.is_begun = true;
            return DataLine::Other;
        }
        if self.is_file || (self.bars.is_none() && source::begins(content)) {
            self.is_file = true;
            return self.said(line, source::column(content));
        }
        let Some(bars) = self.bars else {
            return self.heading(body);
        };
        match is_statement(content, &self.names) {
            true => self.said(line, None),
            false => self.row(body, bars),
        }
    }

    fn heading(&mut self, body: Span) -> DataLine {
        let bars = Bars::of(body.of(self.text));
        self.bars = Some(bars);
        let mut refused = Vec::new();
        let mut unread = Unread::default();
        let columns = heading::columns(self.text, body, bars, &mut unread, &mut refused);
        self.count = columns.len();
        self.names = columns.iter().filter_map(|it| it.name().cloned()).collect();
        self.row(body, bars)
    }

    fn row(&self, body: Span, bars: Bars) -> DataLine {
        let content = body.of(self.text);
        let start = body.start as usize;
        let fields = tables::fields(content, bars);
        let fields: Vec<Span> = fields
            .map(|field| Span::new(start + field.start, start + field.end))
            .collect();
        if fields.len() != self.count {
            return DataLine::Other;
        }
        DataLine::Fields(DataRow {
            code: body,
            fields,
            is_around: bars == Bars::Around,
            is_rule: tables::is_rule(content, bars),
        })
    }

    /// A line that says something; a column of a file has its sign at `equals`.
    fn said(&mut self, line: Span, equals: Option<usize>) -> DataLine {
        let content = line.of(self.text);
        let end = tokens::tail(content).unwrap_or(content.len());
        let at = |place: usize| line.start + place as u32;
        let code = Span {
            end: at(end),
            ..line
        };
        let code = trimmed(self.text, code);
        let tail = Span {
            start: at(end),
            ..line
        };
        let written = code.of(self.text);
        if equals.is_some() {
            let column = heading::readings(
                self.text,
                trimmed(
                    self.text,
                    Span {
                        end: code.start + equals.unwrap_or(0) as u32,
                        ..code
                    },
                ),
            );
            let name = column.ok().flatten().map(|it| it.name);
            self.names.extend(name);
        }
        let word = tokens::word_at(written, 0);
        let is_of_column = self.names.iter().any(|it| it.span.of(self.text) == word);
        let size = (is_of_column && equals.is_none())
            .then(|| written.find('±'))
            .flatten()
            .filter(|at| written[word.len()..*at].trim().is_empty());
        DataLine::Said {
            code,
            sign: equals.or(size).map(|at| code.start + at as u32),
            tail: trimmed(self.text, tail),
            is_apart: equals.is_some() || is_of_column,
        }
    }
}
