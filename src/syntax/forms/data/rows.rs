//! Rows of fields, to readings and words.

use super::heading::Heading;
use super::said::{self, refused};
use super::tree::{Column, Content};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::tables::{Bars, NoNumber, Sign, Times, fields, is_missing, reading};
use crate::text::Span;

/// The columns with what stands below their headings.
pub(super) fn filled(
    text: &str,
    (line, bars): (Span, Bars),
    headings: Vec<Heading>,
    rows: &[Span],
    missing: &[Box<str>],
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<Column> {
    let rows = fields_of(text, (line, bars), rows, headings.len(), diagnostics);
    (headings.into_iter().enumerate())
        .map(|(at, heading)| {
            // A row that was refused has no fields.
            let fields = rows.iter().enumerate();
            let fields = fields.filter_map(|(row, fields)| Some((row, *fields.get(at)?)));
            let content = match heading.readings {
                None => Content::Words(fields.map(|(_, field)| field.of(text).into()).collect()),
                Some(found) => {
                    let name = found.name.span.of(text);
                    let mut refuse = |row: usize, field: Span, why: Why| {
                        diagnostics.push(no_reading(text, (field, row + 1), name, why));
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
                    Content::Readings {
                        name: found.name,
                        unit: found.unit,
                        times,
                        datum: found.datum,
                        sizes: found.sizes,
                        readings,
                    }
                }
            };
            Column {
                span: heading.span,
                content,
            }
        })
        .collect()
}

/// The fields of each row; none where there are not as many as headings. Where no row has as many
/// and all agree, the heading is wrong, and that is said once.
fn fields_of(
    text: &str,
    (heading, bars): (Span, Bars),
    rows: &[Span],
    wanted: usize,
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<Vec<Span>> {
    let fields_of = |line: &Span| -> Vec<Span> {
        let start = line.start as usize;
        fields(line.of(text), bars)
            .map(|field| Span::new(start + field.start, start + field.end))
            .collect()
    };
    let mut found: Vec<Vec<Span>> = rows.iter().map(fields_of).collect();
    let count = found.first().map_or(wanted, Vec::len);
    let all_agree = found.len() > 1 && count > 1 && found.iter().all(|it| it.len() == count);
    if all_agree && count != wanted {
        diagnostics.push(wrong_heading(text, heading, wanted, count));
        return vec![Vec::new(); rows.len()];
    }
    for (fields, line) in found.iter_mut().zip(rows) {
        if fields.len() != wanted {
            diagnostics.push(wrong_count(text, *line, fields.len(), wanted));
            fields.clear();
        }
    }
    found
}

fn counted(count: usize, one: &str, more: &str) -> String {
    match count {
        1 => format!("1 {one}"),
        _ => format!("{count} {more}"),
    }
}

fn wrong_heading(text: &str, heading: Span, wanted: usize, count: usize) -> Diagnostic {
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
