//! Rows of fields, to readings and words.

use super::heading::{Heading, Readings};
use super::said::{self, refused};
use super::tree::{Column, Content};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::tables::{Bars, NoNumber, Reading, Sign, Times, fields, is_missing, reading};
use crate::text::Span;

/// The columns with what stands below their headings.
pub(super) fn filled(
    text: &str,
    bars: Bars,
    headings: Vec<Heading>,
    rows: &[Span],
    missing: &[Box<str>],
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<Column> {
    let rows = fields_of(text, bars, rows, headings.len(), diagnostics);
    (headings.into_iter().enumerate())
        .map(|(at, heading)| {
            // A row that was refused has no fields.
            let fields = rows.iter().enumerate();
            let fields = fields.filter_map(|(row, fields)| Some((row, *fields.get(at)?)));
            let content = match heading.readings {
                None => Content::Words(fields.map(|(_, field)| field.of(text).into()).collect()),
                Some(found) => {
                    let mut refused = Vec::new();
                    let mut refuse = |row: usize, field: Span, why: Why| {
                        refused.push((row, field, why));
                    };
                    let (times, readings) = match found.pattern {
                        Some(pattern) => {
                            let read = |written: &str| {
                                let time = pattern.time(written, Sign::Point);
                                time.ok_or(NoNumber::Pattern(pattern))
                            };
                            let times = fields.map(|(row, field)| {
                                let time = entry(text, field, missing, read);
                                let time = time.unwrap_or_else(|why| {
                                    refuse(row, field, why);
                                    None
                                });
                                (time, field.of(text).into())
                            });
                            let (times, readings) = Times::filled(pattern, times);
                            (Some(times), readings)
                        }
                        None => {
                            let readings = fields.map(|(row, field)| {
                                entry(text, field, missing, reading).unwrap_or_else(|why| {
                                    refuse(row, field, why);
                                    None
                                })
                            });
                            (None, readings.collect())
                        }
                    };
                    diagnostics.extend(of_column(text, &found, &readings, refused));
                    found.content(times, readings)
                }
            };
            Column {
                span: heading.span,
                content,
            }
        })
        .collect()
}

/// The fields of each row; none where there are not as many as headings.
fn fields_of(
    text: &str,
    bars: Bars,
    rows: &[Span],
    wanted: usize,
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<Vec<Span>> {
    // Of rows that agree the heading is wrong.
    let is_said = agreed(text, bars, rows).is_some_and(|count| count != wanted);
    let mut all = Vec::with_capacity(rows.len());
    for line in rows {
        let start = line.start as usize;
        let mut found: Vec<Span> = fields(line.of(text), bars)
            .map(|field| Span::new(start + field.start, start + field.end))
            .collect();
        let is_around = |line: &str| line.starts_with('|') && line.ends_with('|') && line.len() > 1;
        if bars == Bars::Around && found.len() == wanted && !is_around(line.of(text)) {
            diagnostics.push(not_around(text, *line, &found));
        }
        if found.len() != wanted {
            if !is_said {
                diagnostics.push(wrong_count(text, *line, found.len(), wanted));
            }
            found.clear();
        }
        all.push(found);
    }
    all
}

/// A row without the bars that its heading has around.
fn not_around(text: &str, line: Span, fields: &[Span]) -> Diagnostic {
    let fields: Vec<&str> = fields.iter().map(|field| field.of(text)).collect();
    let row = format!("| {} |", fields.join(" | "));
    refused(
        Code::K01,
        line,
        "the heading begins and ends with a bar, and the row does not",
        format!("`{row}`"),
    )
    .with_fixes([Fix::write(Decision::None, line, row)])
}

/// How many fields all rows have, of several with several.
fn agreed(text: &str, bars: Bars, rows: &[Span]) -> Option<usize> {
    let mut counts = rows.iter().map(|line| fields(line.of(text), bars).count());
    let first = counts.next().filter(|first| *first > 1 && rows.len() > 1)?;
    counts.all(|count| count == first).then_some(first)
}

/// A first row that is no heading of those below: it holds numbers, or is divided otherwise.
pub(super) fn wrong_heading(
    text: &str,
    (heading, bars): (Span, Bars),
    rows: &[Span],
) -> Option<Diagnostic> {
    let written = heading.of(text);
    let of_heading: Vec<&str> = fields(written, bars)
        .filter_map(|field| written.get(field))
        .collect();
    let first = of_heading.first().copied().unwrap_or("");
    if reading(first).is_ok() {
        let headings = ["l_i / mm", "t_i / s", "note"];
        let help = headings[..of_heading.len().min(3)].join(" | ");
        return Some(refused(
            Code::K04,
            heading,
            format!("the first row is the heading, and `{first}` is a number"),
            format!("a row above it that says what stands below: `{help}`"),
        ));
    }
    let count = agreed(text, bars, rows).filter(|count| *count != of_heading.len())?;
    Some(other_count(text, heading, of_heading.len(), count))
}

fn counted(count: usize, one: &str, more: &str) -> String {
    match count {
        1 => format!("1 {one}"),
        _ => format!("{count} {more}"),
    }
}

fn other_count(text: &str, heading: Span, wanted: usize, count: usize) -> Diagnostic {
    let help = match heading.of(text).contains('|') {
        true => "a heading for each entry of a row, with bars between them",
        false => {
            "a heading for each entry of a row: `l_i / mm | t_i / s`; a caption above it begins with ` -- `"
        }
    };
    refused(
        Code::K01,
        heading,
        format!(
            "there {} {}, and every row has {}",
            if wanted == 1 { "is" } else { "are" },
            counted(wanted, "heading", "headings"),
            counted(count, "entry", "entries"),
        ),
        help,
    )
}

fn wrong_count(text: &str, line: Span, found: usize, wanted: usize) -> Diagnostic {
    let written = line.of(text);
    if found == 1 {
        // `287, 21.90`, or the numbers with blanks between them.
        for between in [',', ' ', '\t', ';'] {
            let parts: Vec<&str> = (written.split(between))
                .map(str::trim)
                .filter(|part| !part.is_empty())
                .collect();
            if parts.len() == wanted {
                let row = parts.join(" | ");
                return refused(
                    Code::K04,
                    line,
                    "the entries of a row stand between bars",
                    format!("`{row}`"),
                )
                .with_fixes([Fix::write(Decision::None, line, row)]);
            }
        }
    }
    refused(
        Code::K01,
        line,
        format!(
            "the row has {}, the heading has {}",
            counted(found, "entry", "entries"),
            wanted
        ),
        match found > wanted {
            true => "one bar less, or a heading for it",
            false => "an entry for each heading; `-` where there is no reading",
        },
    )
}

/// What is said of the entries of a column that are no readings. Where no entry is one, that is
/// said once; where readings have a decimal comma, too.
fn of_column(
    text: &str,
    of: &Readings,
    readings: &[Option<Reading>],
    refused: Vec<(usize, Span, Why)>,
) -> Vec<Diagnostic> {
    let written = of.called.of(text);
    let is_words = |(_, _, why): &(usize, Span, Why)| {
        matches!(why, Why::Empty | Why::NoNumber(NoNumber::Words))
    };
    let is_empty = |(_, _, why): &(usize, Span, Why)| matches!(why, Why::Empty);
    if refused.len() > 1
        && !of.are_uncertainties
        && readings.iter().all(Option::is_none)
        && refused.iter().all(is_words)
        && !refused.iter().all(is_empty)
    {
        let stem = written.strip_suffix("_i").unwrap_or(written);
        return vec![said::refused(
            Code::K02,
            of.called,
            format!("`{written}` is the name of readings, and below it stands no number"),
            format!("numbers, or a heading of words: `{stem}`"),
        )];
    }
    let is_comma = |(_, field, why): &(usize, Span, Why)| {
        let is_one = field.of(text).matches([',', '.']).count() == 1;
        matches!(why, Why::NoNumber(NoNumber::Comma)) && is_one
    };
    let (commas, others): (Vec<_>, Vec<_>) = refused.into_iter().partition(is_comma);
    let told = |(row, field, why): (usize, Span, Why)| match (of.are_uncertainties, &why) {
        (true, Why::Empty) => refused_size(text, field, row + 1, of),
        _ => no_reading(text, (field, row + 1), written, why),
    };
    let more: Vec<Span> = commas.iter().skip(1).map(|(_, field, _)| *field).collect();
    let first = commas.into_iter().next().map(told);
    let first = first.map(|first| with_more_commas(text, first, &more));
    first
        .into_iter()
        .chain(others.into_iter().map(told))
        .collect()
}

/// An empty place in a column of uncertainties.
fn refused_size(text: &str, field: Span, row: usize, of: &Readings) -> Diagnostic {
    said::refused(
        Code::K03,
        field,
        format!("row {row} has no `{}`", of.called.of(text)),
        "a number; `0` where the reading is exact, `-` where there is none",
    )
}

/// The same of further entries of a column.
fn with_more_commas(text: &str, mut first: Diagnostic, more: &[Span]) -> Diagnostic {
    if !more.is_empty() {
        let entries = counted(more.len(), "more entry", "more entries");
        first.message = format!("{}; {entries} of this column have a comma", first.message);
    }
    let with_point = |fix: Fix, field: &Span| fix.and(*field, field.of(text).replace(',', "."));
    first.fixes = (first.fixes.into_iter())
        .map(|fix| more.iter().fold(fix, with_point))
        .collect();
    first
}

enum Why {
    Empty,
    NoNumber(NoNumber),
}

fn entry<T>(
    text: &str,
    field: Span,
    missing: &[Box<str>],
    read: impl Fn(&str) -> Result<T, NoNumber>,
) -> Result<Option<T>, Why> {
    let written = field.of(text);
    if is_missing(written) || missing.iter().any(|it| **it == *written) {
        return Ok(None);
    }
    if written.is_empty() {
        return Err(Why::Empty);
    }
    read(written).map(Some).map_err(Why::NoNumber)
}

fn no_reading(text: &str, (field, row): (Span, usize), name: &str, why: Why) -> Diagnostic {
    let written = field.of(text);
    let of = |message: String, help: &str| refused(Code::K02, field, message, help);
    match why {
        Why::Empty => refused(
            Code::K03,
            field,
            format!("row {row} has no `{name}`"),
            "`-` where there is no reading",
        )
        .with_fixes([Fix::new(
            Decision::Choose,
            "write `-` for a missing reading",
            field,
            " - ",
        )]),
        Why::NoNumber(NoNumber::Comma) => {
            let point = written.replace(',', ".");
            let is_one = written.matches([',', '.']).count() == 1;
            let fix = is_one.then(|| Fix::write(Decision::Choose, field, point.clone()));
            let help = match is_one {
                true => format!("`{point}`"),
                false => {
                    "the number with one decimal point and without marks of thousands".to_owned()
                }
            };
            of(
                format!("`{written}` is not a number: readings have a decimal point"),
                &help,
            )
            .with_fixes(fix)
        }
        Why::NoNumber(NoNumber::Limit) => of(
            format!("`{written}` is a limit: a reading below it has no value"),
            "`-`, and a remark in a column of words",
        ),
        Why::NoNumber(NoNumber::Thousands) => of(
            format!("`{written}` is not a number: readings have no marks of thousands"),
            "the digits in one row",
        ),
        Why::NoNumber(NoNumber::Pattern(pattern)) => {
            let (message, help) = said::no_time(written, pattern, Sign::Point, name);
            refused(Code::K13, field, message, help)
        }
        Why::NoNumber(NoNumber::Time) => of(
            format!("`{written}` looks like a time, and the heading says numbers"),
            &format!("the pattern of the time in the heading, such as `{name} / mm:ss`"),
        ),
        Why::NoNumber(NoNumber::TooLarge) => of(
            format!("`{written}` has more digits, or a higher power of ten, than can be read"),
            "a number of at most 36 digits, below 1e300",
        ),
        // A number with a point is one here.
        Why::NoNumber(NoNumber::Words | NoNumber::Point) => of(
            format!("`{written}` is not a number"),
            "a number, or `-` where there is no reading",
        ),
    }
}
