//! Files of separated values (RFC 4180) to columns.
//!
//! Only what is asked for is read: a column that nobody names may hold anything.

use std::borrow::Cow;

use csv::{ByteRecord, ReaderBuilder};

use super::encoding::{self, Encoding, NotText};
use super::number::{NoNumber, Reading, Sign, reading_with};
use super::time::{Pattern, Time};
use super::{MOST_COLUMNS, MOST_FIELD_BYTES, MOST_ROWS, is_missing};

/// What stands between the fields of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Separator {
    /// `,`
    Commas,
    /// `;`
    Semicolons,
    /// A tab.
    Tabs,
    /// `|`
    Bars,
    /// One or more blanks.
    Blanks,
}

impl Separator {
    /// Every separator.
    pub const ALL: [Self; 5] = [
        Self::Commas,
        Self::Semicolons,
        Self::Tabs,
        Self::Bars,
        Self::Blanks,
    ];

    /// As an author writes it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Commas => "commas",
            Self::Semicolons => "semicolons",
            Self::Tabs => "tabs",
            Self::Bars => "bars",
            Self::Blanks => "blanks",
        }
    }

    /// The byte that divides.
    pub fn byte(self) -> u8 {
        match self {
            Self::Commas => b',',
            Self::Semicolons => b';',
            Self::Tabs => b'\t',
            Self::Bars => b'|',
            Self::Blanks => b' ',
        }
    }
}

/// How a file is laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// What stands between the fields.
    pub separator: Separator,
    /// The decimal sign.
    pub sign: Sign,
    /// The line of the headings, from 1; none where there are none.
    pub headings: Option<usize>,
    /// How its characters are written.
    pub encoding: Encoding,
    /// The first and the last row that are read, from 1; none for all.
    pub rows: Option<[usize; 2]>,
    /// What stands where there is no reading, besides a dash.
    pub missing: Vec<Box<str>>,
}

impl Default for Layout {
    fn default() -> Self {
        Self {
            separator: Separator::Commas,
            sign: Sign::Point,
            headings: Some(1),
            encoding: Encoding::Utf8,
            rows: None,
            missing: Vec::new(),
        }
    }
}

/// Which column of a file is meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Which {
    /// That below this title.
    Titled(Box<str>),
    /// That with this number, from 1.
    Numbered(usize),
}

/// A column that is asked for.
#[derive(Debug, Clone, Copy)]
pub struct Wanted<'w> {
    /// Which.
    pub which: &'w Which,
    /// What it holds.
    pub holds: Holds,
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// Numbers.
    Readings,
    /// Times.
    Times(Pattern),
    /// Words.
    Words,
}

/// A column that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct FileColumn {
    /// Its title in the file.
    pub title: Option<Box<str>>,
    /// What stands below.
    pub fields: Fields,
}

/// What stands in a column.
#[derive(Debug, Clone, PartialEq)]
pub enum Fields {
    /// Readings; `None` where there is none.
    Readings(Vec<Option<Reading>>),
    /// Times in a pattern, and as they are written; `None` where there is none.
    Times(Pattern, Vec<(Option<Time>, Box<str>)>),
    /// Words.
    Words(Vec<Box<str>>),
}

/// What is wrong with a file. Lines, rows and columns are counted from 1.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// It is no text.
    NotText(NotText),
    /// Its headings would stand in a line that it does not have.
    NoHeadings {
        /// The lines that it has.
        lines: usize,
    },
    /// The headings do not stand where they were sought.
    NotHeadings {
        /// The line in which they were sought.
        line: usize,
        /// What stands there.
        text: Box<str>,
        /// The line that looks like them, and what separates its fields.
        likely: Option<(usize, Separator)>,
    },
    /// Its lines are one field each, and hold so many of another separator.
    OneField {
        /// The line.
        line: usize,
        /// The other separator.
        other: Separator,
        /// How many of it.
        count: usize,
    },
    /// A column that is asked for is not there.
    NoColumn {
        /// Which of those asked for.
        wanted: usize,
        /// The titles of the file.
        titles: Vec<String>,
    },
    /// Several columns have the title that is asked for.
    SameTitle {
        /// Which of those asked for.
        wanted: usize,
        /// Their numbers.
        columns: Vec<usize>,
    },
    /// A line has another number of fields than the first.
    Count {
        /// The line.
        line: usize,
        /// How many it has.
        found: usize,
        /// How many the first has.
        first: usize,
    },
    /// A field is no reading.
    Field {
        /// Which of those asked for.
        wanted: usize,
        /// The line.
        line: usize,
        /// The column.
        column: usize,
        /// What stands there.
        text: Box<str>,
        /// What it is instead; none where it is empty.
        why: Option<NoNumber>,
        /// How many more of this column are none.
        more: usize,
    },
    /// A quote is opened and never closed.
    Open {
        /// The line in which it is opened.
        line: usize,
    },
    /// It has more rows than are read.
    TooManyRows,
    /// A line has more fields than are read.
    TooManyColumns {
        /// The line.
        line: usize,
    },
    /// A field is longer than is read.
    TooLong {
        /// The line.
        line: usize,
    },
    /// It has fewer rows than are asked for.
    NoRows {
        /// How many it has.
        rows: usize,
    },
}

/// The columns of a file.
///
/// # Errors
/// Every [`Fault`] that can be told apart: the first that stops, or one for each column that
/// cannot be read.
pub fn columns(
    bytes: &[u8],
    layout: &Layout,
    wanted: &[Wanted<'_>],
) -> Result<Vec<FileColumn>, Vec<Fault>> {
    let text =
        encoding::decoded(bytes, layout.encoding).map_err(|fault| vec![Fault::NotText(fault)])?;
    let found = read(&text, layout, wanted);
    found.map_err(
        |faults| match likely::instead(&text, layout, wanted, &faults) {
            Some(fault) => vec![fault],
            None => faults,
        },
    )
}

fn read(text: &str, layout: &Layout, wanted: &[Wanted<'_>]) -> Found<Vec<FileColumn>> {
    let before = layout.headings.map_or(0, |line| line.saturating_sub(1));
    let start = start_of_line(text, before).ok_or_else(|| {
        vec![Fault::NoHeadings {
            lines: text.lines().count(),
        }]
    })?;
    let text = text.get(start..).unwrap_or("");
    let text = match layout.separator {
        Separator::Blanks => Cow::Owned(with_single_blanks(text)),
        _ => Cow::Borrowed(text),
    };
    Walk::new(&text, before, layout, wanted).columns()
}

/// Where a line begins that has so many before it.
fn start_of_line(text: &str, before: usize) -> Option<usize> {
    match before {
        0 => Some(0),
        _ => {
            let ends = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
            let (end, _) = ends.into_iter().nth(before - 1)?;
            Some(end + 1)
        }
    }
}

/// A text in which fields that blanks divide have one blank between them, and none around them.
fn with_single_blanks(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let (mut is_quoted, mut at_start, mut owed) = (false, true, false);
    for letter in text.chars() {
        match letter {
            ' ' | '\t' if !is_quoted => owed = !at_start,
            '\r' | '\n' if !is_quoted => {
                out.push(letter);
                (at_start, owed) = (true, false);
            }
            _ => {
                if owed {
                    out.push(' ');
                }
                if letter == '"' {
                    is_quoted = !is_quoted;
                }
                out.push(letter);
                (at_start, owed) = (false, false);
            }
        }
    }
    out
}

struct Walk<'a> {
    text: &'a str,
    /// How many lines of the file stand before the text.
    before: usize,
    layout: &'a Layout,
    wanted: &'a [Wanted<'a>],
    reader: csv::Reader<&'a [u8]>,
    record: ByteRecord,
}

type Found<T> = Result<T, Vec<Fault>>;

impl<'a> Walk<'a> {
    fn new(text: &'a str, before: usize, layout: &'a Layout, wanted: &'a [Wanted<'a>]) -> Self {
        let reader = ReaderBuilder::new()
            .delimiter(layout.separator.byte())
            .has_headers(false)
            .flexible(true)
            .from_reader(text.as_bytes());
        Self {
            text,
            before,
            layout,
            wanted,
            reader,
            record: ByteRecord::new(),
        }
    }

    /// Whether there is another line of fields.
    fn next(&mut self) -> Found<bool> {
        // Bytes in memory are always read, and of lines with any number of fields each is one.
        let is_read = self.reader.read_byte_record(&mut self.record);
        if !is_read.unwrap_or(false) {
            return Ok(false);
        }
        // A quote that is never closed runs to the end of the file.
        let is_last = self.reader.position().byte() as usize >= self.text.len();
        if is_last && self.is_open() {
            return Err(vec![Fault::Open { line: self.line() }]);
        }
        if self.record.len() > MOST_COLUMNS {
            return Err(vec![Fault::TooManyColumns { line: self.line() }]);
        }
        let is_long = self.record.as_slice().len() > MOST_FIELD_BYTES;
        if is_long && self.record.iter().any(|it| it.len() > MOST_FIELD_BYTES) {
            return Err(vec![Fault::TooLong { line: self.line() }]);
        }
        Ok(true)
    }

    /// The line of the file in which the present fields begin.
    fn line(&self) -> usize {
        let start = self.record.position().map_or(0, csv::Position::byte) as usize;
        // Empty lines before it are no fields.
        let from = self.text.get(start..).unwrap_or("");
        let empty = from.len() - from.trim_start_matches(['\r', '\n']).len();
        let above = self
            .text
            .as_bytes()
            .get(..start + empty)
            .unwrap_or_default();
        1 + self.before + above.iter().filter(|byte| **byte == b'\n').count()
    }

    /// Whether a quote of the present fields is never closed.
    fn is_open(&self) -> bool {
        let start = self.record.position().map_or(0, csv::Position::byte) as usize;
        let end = self.reader.position().byte() as usize;
        let written = self
            .text
            .get(start..end)
            .unwrap_or("")
            .trim_start_matches(['\r', '\n']);
        let separator = char::from(self.layout.separator.byte());
        let (mut is_quoted, mut at_start) = (false, true);
        for letter in written.chars() {
            match letter {
                // A quote within a field that has none at its start is a letter of it.
                '"' if is_quoted || at_start => is_quoted = !is_quoted,
                _ if is_quoted => {}
                _ => at_start = letter == separator,
            }
        }
        is_quoted
    }

    fn columns(mut self) -> Found<Vec<FileColumn>> {
        let mut titles: Option<Vec<Box<str>>> = None;
        let mut is_ahead = self.next()?;
        if !is_ahead {
            return Err(vec![match self.layout.headings {
                Some(_) => Fault::NoHeadings { lines: self.before },
                None => Fault::NoRows { rows: 0 },
            }]);
        }
        let (first, width) = (self.line(), self.record.len());
        if self.layout.headings.is_some() {
            titles = Some(self.record.iter().map(words).collect());
        }
        let places = self.places(titles.as_deref(), first)?;
        if titles.is_some() {
            is_ahead = self.next()?;
        }
        let mut found: Vec<Fields> = (self.wanted.iter())
            .map(|wanted| match wanted.holds {
                Holds::Readings => Fields::Readings(Vec::new()),
                Holds::Times(pattern) => Fields::Times(pattern, Vec::new()),
                Holds::Words => Fields::Words(Vec::new()),
            })
            .collect();
        let mut faults: Vec<Option<Fault>> = vec![None; found.len()];
        let [from, to] = self.layout.rows.unwrap_or([1, usize::MAX]);
        let (mut row, mut taken) = (0, 0);
        while is_ahead && row < to {
            row += 1;
            if row >= from {
                taken += 1;
                if taken > MOST_ROWS {
                    return Err(vec![Fault::TooManyRows]);
                }
                if self.record.len() != width {
                    return Err(vec![Fault::Count {
                        line: self.line(),
                        found: self.record.len(),
                        first: width,
                    }]);
                }
                for (at, column) in places.iter().enumerate() {
                    self.take(at, *column, &mut found[at], &mut faults[at]);
                }
            }
            is_ahead = self.next()?;
        }
        if row < from || (self.layout.rows.is_some() && row < to) {
            return Err(vec![Fault::NoRows { rows: row }]);
        }
        let faults = with_one_sign(faults.into_iter().flatten());
        if !faults.is_empty() {
            return Err(faults);
        }
        let title = |column: usize| {
            titles
                .as_ref()
                .and_then(|titles| titles.get(column))
                .cloned()
        };
        Ok((places.into_iter().zip(found))
            .map(|(column, fields)| FileColumn {
                title: title(column),
                fields,
            })
            .collect())
    }

    /// Takes one field of the present line.
    fn take(&self, wanted: usize, column: usize, into: &mut Fields, fault: &mut Option<Fault>) {
        let bytes = self.record.get(column).unwrap_or_default();
        // What was cut out of a text between separators is text.
        let text = std::str::from_utf8(bytes).unwrap_or("").trim();
        let is_none = is_missing(text) || self.layout.missing.iter().any(|it| **it == *text);
        let sign = self.layout.sign;
        let why = match into {
            Fields::Words(into) => return into.push(text.into()),
            Fields::Readings(into) if is_none => return into.push(None),
            Fields::Times(_, into) if is_none => return into.push((None, text.into())),
            Fields::Readings(into) => match reading_with(text, sign) {
                Ok(reading) => return into.push(Some(reading)),
                Err(why) => why,
            },
            Fields::Times(pattern, into) => match pattern.time(text, sign) {
                Some(time) => return into.push((Some(time), text.into())),
                None => NoNumber::Pattern(*pattern),
            },
        };
        match fault {
            Some(Fault::Field { more, .. }) => *more += 1,
            _ => {
                *fault = Some(Fault::Field {
                    wanted,
                    line: self.line(),
                    column: column + 1,
                    text: text.into(),
                    why: (!text.is_empty()).then_some(why),
                    more: 0,
                });
            }
        }
    }

    /// Which column of the file each of those asked for is.
    fn places(&self, titles: Option<&[Box<str>]>, line: usize) -> Found<Vec<usize>> {
        let mut faults = Vec::new();
        let mut places = Vec::new();
        for (wanted, own) in self.wanted.iter().enumerate() {
            let found: Vec<usize> = match own.which {
                Which::Numbered(number) => (number.checked_sub(1).into_iter())
                    .filter(|at| *at < self.record.len())
                    .collect(),
                Which::Titled(title) => (titles.unwrap_or_default().iter().enumerate())
                    .filter(|(_, own)| *own == title)
                    .map(|(at, _)| at)
                    .collect(),
            };
            match found.as_slice() {
                [at] => places.push(*at),
                [] => faults.push(Fault::NoColumn {
                    wanted,
                    titles: titles
                        .unwrap_or_default()
                        .iter()
                        .map(ToString::to_string)
                        .collect(),
                }),
                _ => faults.push(Fault::SameTitle {
                    wanted,
                    columns: found.iter().map(|at| at + 1).collect(),
                }),
            }
        }
        if faults.is_empty() {
            return Ok(places);
        }
        Err(self.one_field(line).map_or(faults, |fault| vec![fault]))
    }

    /// A line that is one field and holds another separator.
    fn one_field(&self, line: usize) -> Option<Fault> {
        let alone = self.record.get(0).filter(|_| self.record.len() == 1)?;
        let count = |other: Separator| alone.iter().filter(|byte| **byte == other.byte()).count();
        let (other, count) = (Separator::ALL.into_iter())
            .filter(|other| *other != self.layout.separator)
            .map(|other| (other, count(other)))
            .find(|(_, count)| *count > 0)?;
        Some(Fault::OneField { line, other, count })
    }
}

/// Columns with the other decimal sign are one fault, told of the first.
fn with_one_sign(faults: impl Iterator<Item = Fault>) -> Vec<Fault> {
    let is_of_sign = |fault: &Fault| {
        let Fault::Field { why, .. } = fault else {
            return false;
        };
        matches!(why, Some(NoNumber::Comma | NoNumber::Point))
    };
    let (signs, mut others): (Vec<Fault>, Vec<Fault>) = faults.partition(is_of_sign);
    let joined = signs.into_iter().reduce(|mut first, next| {
        if let (Fault::Field { more, .. }, Fault::Field { more: own, .. }) = (&mut first, next) {
            *more += 1 + own;
        }
        first
    });
    others.extend(joined);
    others
}

fn words(bytes: &[u8]) -> Box<str> {
    String::from_utf8_lossy(bytes).trim().into()
}

mod likely;
#[cfg(test)]
mod tests;
