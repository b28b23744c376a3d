//! The columns of a table that stands in a file, and what is wrong with the file.

use super::super::super::Resolver;
use crate::diagnostic::{self, Code, Decision, Diagnostic, Fix};
use crate::quantity::{Mark, Unit};
use crate::syntax::{self, Content, Datum, Source, UnitExpr};
use crate::tables::{
    self, Encoding, Fault, Fields, FileColumn, Holds, NoNumber, NotText, Separator, Sign, Times,
    Which,
};
use crate::text::{Span, Unread, counted};

impl Resolver<'_> {
    /// The table with what stands in its file, and the titles of its columns there; nothing where
    /// the file cannot be read so.
    pub(super) fn read_file(
        &mut self,
        data: &syntax::Data,
        source: &Source,
    ) -> Option<(syntax::Data, Vec<Option<Box<str>>>)> {
        if data.is_broken {
            return None;
        }
        let found = self.columns_of(data, source)?;
        let mut data = data.clone();
        let mut titles = Vec::new();
        for (column, own) in data.columns.iter_mut().zip(found) {
            titles.push(own.title);
            match (&mut column.content, own.fields) {
                (
                    Content::Readings { readings, .. } | Content::Uncertainties { readings, .. },
                    Fields::Readings(found),
                ) => {
                    data.rows = found.len();
                    *readings = found.into();
                }
                (
                    Content::Readings {
                        readings, times, ..
                    },
                    Fields::Times(pattern, found),
                ) => {
                    data.rows = found.len();
                    let (filled, seconds) = Times::filled(pattern, found.into_iter());
                    (*times, *readings) = (Some(filled), seconds);
                }
                (Content::Words(words), Fields::Words(found)) => {
                    data.rows = found.len();
                    *words = found.into();
                }
                // What was asked for was read.
                (Content::Readings { .. } | Content::Uncertainties { .. }, Fields::Words(_))
                | (Content::Uncertainties { .. }, Fields::Times(..))
                | (Content::Words(_), Fields::Readings(_) | Fields::Times(..)) => {}
            }
        }
        Some((data, titles))
    }

    fn columns_of(&mut self, data: &syntax::Data, source: &Source) -> Option<Vec<FileColumn>> {
        let place = source.path.span;
        let path = &*source.path.text;
        if let Some(refusal) = leads_out(path, place, "file") {
            self.diagnostics.push(refusal);
            return None;
        }
        let contents = self.reader.read(path);
        let bytes = match &*contents {
            Ok((bytes, _)) => bytes,
            Err(unread) => {
                let near = match unread {
                    Unread::Missing => diagnostic::nearest_file(path, self.reader),
                    Unread::TooLong(_) | Unread::Unreadable(_) => Vec::new(),
                };
                self.diagnostics
                    .push(not_read(path, place, unread, "file", &near));
                return None;
            }
        };
        let wanted: Vec<tables::Wanted<'_>> = (data.columns.iter().zip(&source.columns))
            .map(|(column, (which, _))| tables::Wanted {
                which,
                holds: match &column.content {
                    Content::Words(_) => Holds::Words,
                    Content::Uncertainties { .. } => Holds::Readings,
                    Content::Readings { times, .. } => match times {
                        Some(times) => Holds::Times(times.pattern),
                        None => Holds::Readings,
                    },
                },
            })
            .collect();
        match tables::columns(bytes, &source.layout, &wanted) {
            Ok(found) => Some(found),
            Err(faults) => {
                let said = Said {
                    source,
                    path,
                    names: (data.columns.iter())
                        .map(|column| match &column.content {
                            Content::Readings { name, .. } => name.span.of(self.text),
                            Content::Uncertainties { .. } => {
                                let heading = column.span.of(self.text);
                                heading
                                    .split_once(" /")
                                    .map_or(heading, |(before, _)| before)
                            }
                            Content::Words(_) => "",
                        })
                        .collect(),
                };
                let found = faults.iter().map(|fault| said.of(fault));
                self.diagnostics.extend(found);
                None
            }
        }
    }

    /// A unit that the file's own title names is that of the heading.
    pub(super) fn title_agrees(
        &mut self,
        title: &str,
        column: Span,
        written: Option<&UnitExpr>,
        (unit, datum): (&Unit, Option<Datum>),
    ) -> Option<()> {
        let Some(own) = TitleUnit::of(title) else {
            return Some(());
        };
        if own.agrees(unit, datum) {
            return Some(());
        }
        let heading = match unit.text() {
            "" => "a plain number".to_owned(),
            text => match datum.filter(|_| own.datum.is_some()) {
                Some(datum) => format!("{text} {}", datum.text()),
                None => text.to_owned(),
            },
        };
        let place = written.map_or(column, |unit| unit.span);
        let typed = own.typed();
        let message = format!(
            "the file says {}, the heading {heading}: one of the two is wrong",
            own.written
        );
        let help = format!("`/ {typed}`, or the column by its number where the file is wrong");
        let is_alone = written.is_some_and(|unit| {
            let after = self.text.get(unit.span.end as usize..).unwrap_or("");
            after.trim_start().starts_with('=')
        });
        let fix = is_alone.then(|| Fix::write(Decision::Choose, place, typed));
        self.diagnostics.push(
            Diagnostic::error(Code::K11, place, message)
                .with_help(help)
                .with_fixes(fix),
        );
        None
    }
}

/// The unit that a title names: `P1 [kPa]`, `T (°C)`, `t / s`.
struct TitleUnit<'t> {
    written: &'t str,
    unit: Unit,
    datum: Option<Datum>,
}

impl<'t> TitleUnit<'t> {
    fn of(title: &'t str) -> Option<Self> {
        let title = title.trim();
        let bracketed = |open: char, close: char| {
            let inner = title.strip_suffix(close)?;
            Some(inner.rsplit_once(open)?.1.trim())
        };
        let behind_slash = || {
            let (name, unit) = title.split_once('/')?;
            // `Flow m/s` names a unit of two parts, and no quotient of a quantity and a unit.
            let last = name.split_whitespace().next_back()?;
            let is_unit = name.trim() != last && Unit::from_source(last).is_ok();
            let unit = unit.trim();
            let inner = unit.strip_prefix('(').and_then(|it| it.strip_suffix(')'));
            // `m/s` is a unit, but `t / s` is a time in seconds.
            let is_quotient = name.ends_with(' ') || Unit::from_source(title).is_err();
            (is_quotient && !is_unit).then(|| inner.unwrap_or(unit))
        };
        // A bracket behind a slash belongs to what stands behind it.
        let written = match title.contains('/') && !title.contains('[') {
            true => behind_slash().or_else(|| bracketed('(', ')')),
            false => bracketed('[', ']').or_else(|| bracketed('(', ')')),
        }?;
        Self::read(written)
    }

    fn read(written: &'t str) -> Option<Self> {
        let data = [Datum::Gauge, Datum::Absolute, Datum::Difference];
        let (text, datum) = data
            .into_iter()
            .find_map(|datum| {
                let before = written.strip_suffix(datum.text())?;
                Some((before.strip_suffix(' ')?.trim_end(), Some(datum)))
            })
            .unwrap_or((written, None));
        if matches!(text, "1" | "-" | "–") {
            return Some(Self {
                written,
                unit: Unit::one(),
                datum: None,
            });
        }
        let unit = Unit::from_source(text).ok().filter(|_| !text.is_empty())?;
        let datum = match unit.mark() {
            Mark::Gauge => Some(Datum::Gauge),
            Mark::Absolute => Some(Datum::Absolute),
            _ => datum,
        };
        Some(Self {
            written,
            unit,
            datum,
        })
    }

    fn agrees(&self, unit: &Unit, datum: Option<Datum>) -> bool {
        // Two spellings of one unit differ by the rounding of their factors.
        const ROUNDING: f64 = 1e-12;
        self.unit.dimension() == unit.dimension()
            && (self.unit.factor() / unit.factor() - 1.0).abs() < ROUNDING
            && self.unit.offset() == unit.offset()
            && (self.datum.is_none() || self.datum == datum)
    }

    /// As a heading has it.
    fn typed(&self) -> String {
        let source = self.unit.source();
        let unit = match source {
            "" => "1".to_owned(),
            _ if source.contains([' ', '/', '*', '·']) => format!("({source})"),
            _ => source.to_owned(),
        };
        match self.datum.filter(|_| self.unit.mark() == Mark::None) {
            Some(datum) => format!("{unit} {}", datum.text()),
            None => unit,
        }
    }
}

/// A path that leads out of the worksheet's folder.
pub fn leads_out(path: &str, place: Span, word: &str) -> Option<Diagnostic> {
    let refused = |message: String, help: String| {
        Some(Diagnostic::error(Code::K07, place, message).with_help(help))
    };
    if path.contains('\\') {
        let written = path.replace('\\', "/");
        return refused(
            format!("folders of `{path}` are divided by `\\`"),
            format!("`{word} \"{written}\"`"),
        );
    }
    let is_name = |name: &str| !matches!(name, "" | "." | "..");
    if path.split('/').all(is_name) {
        return None;
    }
    refused(
        format!("`{path}` lies outside the worksheet's folder, or is no file"),
        format!("a file beside the worksheet or below its folder: `{word} \"…\"`"),
    )
}

/// That a file behind `file` or `of` is not read, and which may be meant.
pub fn not_read(
    path: &str,
    place: Span,
    unread: &Unread,
    word: &str,
    near: &[String],
) -> Diagnostic {
    if let Some(first) = near.first() {
        let typed = |path: &String| format!("{word} \"{path}\"");
        let all: Vec<String> = near
            .iter()
            .map(|path| format!("`{}`", typed(path)))
            .collect();
        // The place of a file to take from is that between its quotes.
        let text = if word == "of" {
            first.clone()
        } else {
            typed(first)
        };
        let fix = (near.len() == 1).then(|| Fix::write(Decision::Choose, place, text));
        return Diagnostic::error(Code::K07, place, format!("`{path}`: {}", unread.reason()))
            .with_help(some_of(&all))
            .with_fixes(fix);
    }
    let (code, help) = match unread {
        Unread::Missing => (
            Code::K07,
            "a file beside the worksheet or below its folder, written as it is called there",
        ),
        Unread::TooLong(_) => (
            Code::K12,
            "the part of it that is needed, in a file of its own",
        ),
        Unread::Unreadable(_) => (Code::K07, "a file that may be read"),
    };
    let message = format!("`{path}`: {}", unread.reason());
    Diagnostic::error(code, place, message).with_help(help)
}

/// What is said of a file.
struct Said<'a> {
    source: &'a Source,
    path: &'a str,
    /// The names of the columns that are asked for, nothing where they are words.
    names: Vec<&'a str>,
}

impl Said<'_> {
    fn of(&self, fault: &Fault) -> Diagnostic {
        let path = self.path;
        let of_file = |code: Code, message: String, help: String| {
            Diagnostic::error(code, self.source.path.span, message).with_help(help)
        };
        match fault {
            Fault::NotText(fault) => {
                let (message, help) = self.not_text(*fault);
                of_file(Code::K08, message, help)
            }
            Fault::NoHeadings { lines: 0 } => of_file(
                Code::K10,
                format!("{path} is empty"),
                "a file with a line of headings, and rows below it".to_owned(),
            ),
            Fault::NoHeadings { lines } => of_file(
                Code::K10,
                format!("{path} has {} and no headings there", counted(*lines, "line")),
                "`headings in line 1`, or `headings absent`".to_owned(),
            ),
            Fault::NotHeadings { line, text, likely } => self.not_headings(*line, text, *likely),
            Fault::OneField { line, other, count } => {
                let word = other.word();
                let one = word.trim_end_matches('s');
                let held = match count {
                    1 => format!("1 {one}"),
                    _ => format!("{count} {word}"),
                };
                of_file(
                    Code::K09,
                    format!("{path} line {line} is one column; it holds {held}"),
                    format!("`separated by {word}`"),
                )
            }
            Fault::NoColumn { wanted, titles } => self.no_column(*wanted, titles),
            Fault::SameTitle { wanted, columns } => {
                let numbers: Vec<String> = (columns.iter())
                    .map(|number| format!("`column {number}`"))
                    .collect();
                let message = format!("{} columns of {path} have this title", columns.len());
                Diagnostic::error(Code::K10, self.chosen(*wanted), message)
                    .with_help(numbers.join(" or "))
            }
            Fault::Count { line, found, first } => of_file(
                Code::K01,
                format!(
                    "{path} line {line} has {}, the first line has {first}",
                    counted(*found, "field")
                ),
                "what stands between the fields and the decimal sign as they are in the file; `rows 1 to 500` where something else stands at its end".to_owned(),
            ),
            Fault::Field {
                wanted,
                line,
                column,
                text,
                why,
                more,
            } => self.field(*wanted, [*line, *column], text, *why, *more),
            Fault::Open { line } => of_file(
                Code::K02,
                format!("{path} line {line}: a quote is opened and not closed"),
                "`\"` at the end of the field, or none at its start".to_owned(),
            ),
            Fault::TooManyRows => of_file(
                Code::K12,
                format!("{path} has more than {} rows", tables::MOST_ROWS),
                format!("`rows 1 to {}`", tables::MOST_ROWS),
            ),
            Fault::TooManyColumns { line } => of_file(
                Code::K12,
                format!("{path} line {line} has more than {} fields", tables::MOST_COLUMNS),
                "the columns that are needed, in a file of their own".to_owned(),
            ),
            Fault::TooLong { line } => of_file(
                Code::K12,
                format!(
                    "{path} line {line}: a field is longer than {} KiB",
                    tables::MOST_FIELD_BYTES / 1024
                ),
                "fields of numbers and words".to_owned(),
            ),
            Fault::NoRows { rows } => match self.source.layout.rows {
                Some([first, last]) if *rows > 0 => of_file(
                    Code::K10,
                    format!(
                        "{path} has {}, and rows {first} to {last} are asked for",
                        counted(*rows, "row")
                    ),
                    format!("`rows {} to {rows}`, or all without such a line", first.min(*rows)),
                ),
                Some(_) | None => of_file(
                    Code::K10,
                    format!("{path} has {}", counted(*rows, "row")),
                    "a file with rows below its headings".to_owned(),
                ),
            },
        }
    }

    /// Where a column of the file is chosen.
    fn chosen(&self, wanted: usize) -> Span {
        let chosen = self.source.columns.get(wanted);
        chosen.map_or(self.source.path.span, |(_, place)| *place)
    }

    fn name(&self, wanted: usize) -> &str {
        self.names.get(wanted).copied().unwrap_or("")
    }

    fn not_text(&self, fault: NotText) -> (String, String) {
        let path = self.path;
        let word = self.source.layout.encoding.word();
        match fault {
            NotText::Byte(byte, line) => (
                format!("{path} line {line} is not {word} (byte {byte:02X})"),
                match self.source.layout.encoding {
                    Encoding::Utf8 => "`text in Windows-1252`, if it comes from there".to_owned(),
                    _ => "the encoding in which the file was written".to_owned(),
                },
            ),
            NotText::Unit(line) => (
                format!("{path} line {line} is not UTF-16: half of a pair stands alone"),
                "the whole file, as it was written".to_owned(),
            ),
            NotText::NoMark => (
                format!(
                    "{path} does not begin with a byte order mark, so that nothing says which byte comes first"
                ),
                "the file written as UTF-8, or with the mark".to_owned(),
            ),
        }
    }

    /// That headings stand elsewhere, as far as it can be told.
    fn not_headings(
        &self,
        line: usize,
        text: &str,
        likely: Option<(usize, Separator)>,
    ) -> Diagnostic {
        let path = self.path;
        let layout = &self.source.layout;
        let shown = |text: &str| match text.char_indices().nth(40) {
            Some((end, _)) => format!("`{}…`", &text[..end]),
            None if text.trim().is_empty() => "nothing".to_owned(),
            None => format!("`{text}`"),
        };
        let held = format!("{path} line {line} holds {}", shown(text));
        let place = self.source.path.span;
        let code = match likely {
            Some((_, separator)) if separator != layout.separator => Code::K09,
            _ => Code::K10,
        };
        let Some((at, separator)) = likely else {
            return Diagnostic::error(code, place, format!("{held}, which is no line of headings"))
                .with_help(
                    "`headings in line 3`, with the line in which they stand, or `headings absent`",
                );
        };
        let help = match separator == layout.separator {
            true => format!("`headings in line {at}`"),
            false => format!(
                "`separated by {}` and `headings in line {at}`",
                separator.word()
            ),
        };
        Diagnostic::error(
            code,
            place,
            format!("{held}; line {at} looks like the headings"),
        )
        .with_help(help)
    }

    fn no_column(&self, wanted: usize, titles: &[String]) -> Diagnostic {
        let path = self.path;
        let place = self.chosen(wanted);
        let which = self.source.columns.get(wanted).map(|(which, _)| which);
        let of = |message: String| Diagnostic::error(Code::K10, place, message);
        match which {
            Some(Which::Titled(title)) if self.source.layout.headings.is_none() => of(format!(
                "{path} has no headings, and so no column \"{title}\""
            ))
            .with_help("a column by its number: `column 1`"),
            Some(Which::Titled(title)) => {
                let near = nearest_title(title, titles);
                let all: Vec<String> = titles.iter().map(|it| format!("\"{it}\"")).collect();
                let help = near.map_or_else(|| some_of(&all), |near| format!("\"{near}\""));
                let fix =
                    near.map(|near| Fix::write(Decision::Choose, place, format!("\"{near}\"")));
                of(format!("{path} has no column \"{title}\""))
                    .with_help(help)
                    .with_fixes(fix)
            }
            Some(Which::Numbered(number)) => of(format!("{path} has no column {number}"))
                .with_help("columns are counted from 1, in the line of the headings"),
            None => of(format!("{path} has no such column")),
        }
    }

    fn field(
        &self,
        wanted: usize,
        [line, column]: [usize; 2],
        text: &str,
        why: Option<NoNumber>,
        more: usize,
    ) -> Diagnostic {
        let at = format!("{} line {line}, column {column}", self.path);
        let shown: String = text.chars().take(40).collect();
        let sign = self.source.layout.sign;
        let (code, said, help) = match why {
            None => (
                Code::K03,
                "there is no reading".to_owned(),
                "`no reading empty`, if empty fields are missing readings".to_owned(),
            ),
            Some(NoNumber::Comma) => (
                Code::K02,
                format!("`{shown}` is not a number with a decimal point"),
                "`decimal comma`, if the comma is the decimal sign; marks of thousands are not read"
                    .to_owned(),
            ),
            Some(NoNumber::Point) => (
                Code::K02,
                format!("`{shown}` is not a number with a decimal comma"),
                "the line `decimal comma` left out, if the point is the decimal sign; marks of thousands are not read".to_owned(),
            ),
            Some(NoNumber::Limit) => (
                Code::K02,
                format!("`{shown}` is a limit: a reading below it has no value"),
                format!("`no reading \"{shown}\"`"),
            ),
            Some(NoNumber::Thousands) => (
                Code::K02,
                format!("`{shown}` is not a number: marks of thousands are not read"),
                "the digits in one row".to_owned(),
            ),
            Some(NoNumber::Pattern(pattern)) => {
                let (said, help) = syntax::no_time(text, pattern, sign, self.name(wanted));
                (Code::K13, said, help)
            }
            Some(NoNumber::Time) => (
                Code::K02,
                format!("`{shown}` looks like a time, and the heading says numbers"),
                "the pattern of the time in the heading, such as `t_i / hh:mm:ss`".to_owned(),
            ),
            Some(NoNumber::TooLarge) => (
                Code::K02,
                format!("`{shown}` has more digits, or a higher power of ten, than can be read"),
                "a number of at most 36 digits, below 1e300".to_owned(),
            ),
            Some(NoNumber::Words) => (
                Code::K02,
                format!("`{shown}` is not a number"),
                format!(
                    "`no reading \"{shown}\"`, if it stands for a missing reading; numbers have a decimal {}",
                    Sign::word(sign)
                ),
            ),
        };
        let more = match more {
            0 => String::new(),
            1 => "; 1 more field cannot be read".to_owned(),
            more => format!("; {more} more fields cannot be read"),
        };
        Diagnostic::error(code, self.chosen(wanted), format!("{at}: {said}{more}")).with_help(help)
    }
}

/// The title that is nearest: spelled nearly so, or with the same beginning.
fn nearest_title<'t>(title: &str, titles: &'t [String]) -> Option<&'t str> {
    let all = || titles.iter().map(String::as_str);
    diagnostic::nearest(title, all()).or_else(|| {
        let begins = |own: &&str| {
            let own = own.to_lowercase();
            !title.is_empty() && own.starts_with(&title.to_lowercase())
        };
        let mut found = all().filter(begins);
        found.next().filter(|_| found.next().is_none())
    })
}

/// Some of many, each in its quotes.
fn some_of(all: &[String]) -> String {
    const SHOWN: usize = 8;
    let shown = all
        .iter()
        .take(SHOWN)
        .cloned()
        .collect::<Vec<_>>()
        .join(", ");
    match all.len() > SHOWN {
        true => format!("{shown} and {} more", all.len() - SHOWN),
        false => shown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_names_a_unit_in_brackets_or_behind_a_slash() {
        let unit = |title| TitleUnit::of(title).map(|it| it.unit.source().to_owned());
        let named = [
            ("P1 [kPa]", "kPa"),
            ("P1 (bar)", "bar"),
            ("t / s", "s"),
            ("v/(m/s)", "m/s"),
            ("v / m/s", "m/s"),
            ("Q [L/s]", "L/s"),
            ("p [kPa gauge]", "kPa"),
        ];
        for (title, expected) in named {
            assert_eq!(unit(title).as_deref(), Some(expected), "{title}");
        }
        for title in [
            "Time",
            "Time [local]",
            "ok/nok",
            "Flow m/s",
            "m/s",
            "",
            "[]",
        ] {
            assert_eq!(unit(title), None, "{title}");
        }
        assert_eq!(unit("x [-]").as_deref(), Some(""));
    }
}
