//! Lines below a table: what a column is, and which rows take no part.

use super::super::super::grammar::{self, Rule};
use super::super::super::literal::one_unit;
use super::super::super::reader::Reader;
use super::super::super::{Name, canonical, diagnose, is_list_name, limits, tokens};
use super::heading::{Heading, Readings};
use super::said::{self, refused, trimmed};
use super::source;
use super::tree::{Remark, Rows, Unread};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix, nearest};
use crate::text::Span;

/// Whether a line says something of the table, and is no row. What is said of a list that is no
/// column is no row either, where no bar divides it.
pub(super) fn is_statement(line: &str, names: &[Name]) -> bool {
    let mut words = tokens::tokens(line);
    let mut word = || words.next().map_or("", |token| token.text);
    let (first, second, third) = (word(), word(), word());
    match (first, second) {
        ("leave", "out") => matches!(third, "row" | "rows" | "where") || !line.contains('|'),
        // With its words in another order, or without quotes, it is no row either.
        ("leave", "row" | "rows") | ("no", "reading" | "readings") => !line.contains('|'),
        _ if named(first, names).is_some() => {
            let rest = line.get(first.len()..).unwrap_or("").trim_start();
            let is_said = ["±", "+/-", "+-", "(", ",", "-- ", "— "];
            is_said.iter().any(|mark| rest.starts_with(mark))
        }
        _ if is_list_name(&canonical(first)) && !line.contains('|') => {
            let rest = line.get(first.len()..).unwrap_or("").trim_start();
            let is_size = ["±", "+/-", "+-", "(resolution", "(Poisson"];
            is_size.iter().any(|mark| rest.starts_with(mark))
        }
        _ => false,
    }
}

fn named<'n>(word: &str, names: &'n [Name]) -> Option<&'n Name> {
    let key = canonical(word);
    names.iter().find(|name| name.key == key)
}

/// Reads such a line. What is said of other columns is refused where all are known.
pub(super) fn remark(
    text: &str,
    line: Span,
    (columns, known): (&[Heading], Option<&[Heading]>),
    unread: &mut Unread,
    diagnostics: &mut Vec<Diagnostic>,
) -> Option<Remark> {
    let (body, words) = without_words(text, line);
    if let Some(refusal) = limits::refuse(body.of(text), body.start as usize) {
        diagnostics.push(refusal);
        return None;
    }
    let read = match tokens::words(body.of(text)).next() {
        Some((_, "leave")) => leave_out(text, body, words),
        Some((_, "no")) => no_reading(text, body),
        _ => {
            let list = list_of(text, body);
            if list.as_ref().is_some_and(|list| is_unread(list, unread)) {
                return None;
            }
            let read = of_column(text, body, words, columns);
            let other = list.filter(|list| readings(&list.key, columns).is_none());
            let is_told = other.is_none() || known.is_some();
            unread.lists.extend(other);
            if !is_told {
                return None;
            }
            read
        }
    };
    read.map_err(|refusal| diagnostics.push(*refusal)).ok()
}

/// The list that a line speaks of.
fn list_of(text: &str, body: Span) -> Option<Name> {
    let word = tokens::word_at(body.of(text), 0);
    let key = canonical(word);
    is_list_name(&key).then(|| Name {
        span: Span {
            end: body.start + word.len() as u32,
            ..body
        },
        key,
    })
}

/// Whether a list is that of a heading that was refused.
fn is_unread(list: &Name, unread: &Unread) -> bool {
    unread.lists.iter().any(|other| other.key == list.key)
}

/// What stands where there is no reading.
pub(super) fn missing(remarks: &[Remark]) -> Vec<Box<str>> {
    let words = remarks.iter().filter_map(|remark| match remark {
        Remark::NoReading(words) => Some(words),
        Remark::Description { .. }
        | Remark::Uncertain { .. }
        | Remark::Together(_)
        | Remark::LeaveOut { .. } => None,
    });
    words.flatten().cloned().collect()
}

/// A line without its words, and the words.
pub(super) fn without_words(text: &str, line: Span) -> (Span, Option<Span>) {
    let content = line.of(text);
    let Some(end) = tokens::tail(content) else {
        return (line, None);
    };
    let mark = content.get(end..).and_then(tokens::tail_mark).unwrap_or("");
    let words = trimmed(
        text,
        Span {
            start: line.start + (end + mark.len()) as u32,
            ..line
        },
    );
    let body = trimmed(
        text,
        Span {
            end: line.start + end as u32,
            ..line
        },
    );
    (body, (!words.is_empty()).then_some(words))
}

type Found = Result<Remark, Box<Diagnostic>>;

/// `l_i ± 1.0 mm -- thread`, `V_i, I_i read together`
fn of_column(text: &str, body: Span, words: Option<Span>, columns: &[Heading]) -> Found {
    let written = body.of(text);
    if let Some(names) = written.strip_suffix("together") {
        let names = names.trim_end().strip_suffix("read");
        if let Some(names) = names {
            return together(text, body, names.len(), columns);
        }
    }
    let word = tokens::word_at(written, 0);
    let Some(readings) = readings(word, columns) else {
        let place = Span {
            end: body.start + word.len() as u32,
            ..body
        };
        return Err(not_there(place, word, columns));
    };
    let name = Name {
        span: Span {
            end: body.start + word.len() as u32,
            ..body
        },
        key: readings.name.key.clone(),
    };
    let rest = Span {
        start: name.span.end,
        ..body
    };
    match (rest.of(text).trim().is_empty(), words) {
        (true, Some(words)) => Ok(Remark::Description { name, words }),
        (true, None) => Err(no_column(body, written)),
        (false, words) => {
            let seconds = readings.pattern.map(|_| one_unit(readings.name.span, "s"));
            let unit = readings.unit.as_ref().or(seconds.as_ref());
            Ok(Remark::Uncertain {
                name,
                sizes: said::sizes(text, rest, (&readings.name, unit), said::Where::Line)?,
                words,
            })
        }
    }
}

fn readings<'c>(word: &str, columns: &'c [Heading]) -> Option<&'c Readings> {
    let key = canonical(word);
    let mut all = columns.iter().filter_map(|column| column.readings.as_ref());
    all.find(|readings| readings.name.key == key && !readings.are_uncertainties)
}

fn together(text: &str, body: Span, length: usize, columns: &[Heading]) -> Found {
    let mut at = body.start as usize;
    let list = body.of(text).get(..length).unwrap_or("");
    let mut names = Vec::new();
    for part in list.split(',') {
        let place = trimmed(text, Span::new(at, at + part.len()));
        at += part.len() + 1;
        let written = place.of(text);
        let Some(found) = readings(written, columns) else {
            return Err(not_there(place, written, columns));
        };
        names.push(Name {
            span: place,
            key: found.name.key.clone(),
        });
    }
    match names.len() {
        0 | 1 => Err(no_column(body, body.of(text))),
        _ => Ok(Remark::Together(names)),
    }
}

/// What is said of a list that is no column of the table.
fn not_there(place: Span, written: &str, columns: &[Heading]) -> Box<Diagnostic> {
    let names = || columns.iter().filter_map(Heading::name);
    // Of names of one letter each is near to every other.
    let is_near = |near: &&str| near.len() > 4 || near.eq_ignore_ascii_case(written);
    let near = nearest(written, names().map(|name| &*name.key)).filter(is_near);
    let known: Vec<String> = names().map(|name| format!("`{}`", name.key)).collect();
    let help = match (near, known.as_slice()) {
        (Some(near), _) => format!("`{near}`, or a heading `{written}`"),
        (None, []) => format!("a heading `{written}`"),
        (None, known) => format!("{}, or a heading `{written}`", known.join(", ")),
    };
    Box::new(
        refused(
            Code::K15,
            place,
            format!("`{written}` is no column of readings in this table"),
            help,
        )
        .with_fixes(near.map(|near| Fix::write(Decision::Choose, place, near.to_owned()))),
    )
}

fn no_column(place: Span, written: &str) -> Box<Diagnostic> {
    Box::new(refused(
        Code::S01,
        place,
        format!("`{written}` cannot be read as what is said of a column"),
        "`l_i ± 1.0 mm -- thread, to the top of the ball`, or `V_i, I_i read together`",
    ))
}

/// `leave out row 3 -- why`
fn leave_out(text: &str, body: Span, reason: Option<Span>) -> Found {
    let mut reader = Reader::new(body.of(text), body.start as usize);
    if let Some(refusal) = bar_in_condition(&reader) {
        return Err(refusal);
    }
    let pairs = grammar::parse(Rule::leave_out_line, reader.text)
        .map_err(|stopped| Box::new(not_left_out(&reader, &stopped)))?;
    let mut numbers = Vec::new();
    let (mut is_range, mut which) = (false, None);
    for pair in pairs {
        match pair.as_rule() {
            Rule::row_number => {
                // A number that is too large for this is no row of any table.
                let number = pair.as_str().parse().unwrap_or(usize::MAX);
                numbers.push((number, reader.span(&pair)));
            }
            Rule::to_word => is_range = true,
            Rule::which => which = Some(reader.which(pair)?),
            _ => {}
        }
    }
    let reason = reason.ok_or_else(|| no_reason(&reader, body))?;
    let rows = match (which, numbers.as_slice()) {
        (Some(which), _) => Rows::Where(which),
        (None, [first, last]) if is_range => Rows::FromTo([*first, *last]),
        (None, _) => Rows::These(numbers),
    };
    Ok(Remark::LeaveOut { rows, reason })
}

/// `no reading "NaN", empty`
fn no_reading(text: &str, body: Span) -> Found {
    let written = body.of(text);
    let pairs = grammar::parse(Rule::no_reading_line, written)
        .map_err(|stopped| Box::new(no_quotes(body, written, &stopped)))?;
    let word = |pair: grammar::Pair<'_>| {
        let inner = pair.into_inner().next();
        inner.map_or("", |pair| source::quoted(&pair)).into()
    };
    Ok(Remark::NoReading(
        pairs
            .filter(|pair| pair.as_rule() == Rule::none_word)
            .map(word)
            .collect(),
    ))
}

/// `no reading -9999`: words stand in quotes.
fn no_quotes(body: Span, written: &str, stopped: &grammar::Stopped) -> Diagnostic {
    let at = diagnose::stop(written, stopped);
    let behind = tokens::words(written).nth(1);
    let list = behind.and_then(|(from, word)| written.get(from + word.len()..));
    let words = list
        .unwrap_or("")
        .split(',')
        .map(|word| word.trim().trim_matches('"'));
    let quoted: Vec<String> = words
        .filter(|word| !word.is_empty() && !word.contains('"'))
        .map(|word| match word {
            "empty" => word.to_owned(),
            word => format!("\"{word}\""),
        })
        .collect();
    let typed = format!("no reading {}", quoted.join(", "));
    let fix = (!quoted.is_empty()).then(|| Fix::write(Decision::Choose, body, typed.clone()));
    let help = match fix {
        Some(_) => format!("`{typed}`"),
        None => "`no reading \"NaN\", \"-9999\", empty`".to_owned(),
    };
    refused(
        Code::S01,
        diagnose::place(written, body.start as usize, at),
        "what stands for a missing reading is written in quotes, or is `empty`",
        help,
    )
    .with_fixes(fix)
}

/// What was to be left out, as far as it can be told.
fn not_left_out(reader: &Reader<'_>, stopped: &grammar::Stopped) -> Diagnostic {
    let at = diagnose::stop(reader.text, stopped);
    let (before, after) = reader.text.split_at(at.min(reader.text.len()));
    let (before, after) = (before.trim_end(), after.trim_start());
    let place = diagnose::place(reader.text, reader.start, at);
    let is_whole = grammar::parse(Rule::leave_out_line, before).is_ok();
    let range = after.strip_prefix('-').map(str::trim_start);
    if is_whole && let Some(last) = range.filter(|last| last.parse::<usize>().is_ok()) {
        let first = tokens::words(before).count();
        let first = before
            .split_whitespace()
            .last()
            .filter(|_| first > 2)
            .unwrap_or("1");
        let turned = first.parse::<usize>().ok() > last.parse::<usize>().ok();
        let (first, last) = if turned { (last, first) } else { (first, last) };
        let help = format!("`leave out rows {first} to {last}`");
        return refused(
            Code::S01,
            place,
            "a range of rows is written with `to`",
            help,
        );
    }
    if is_whole && after.starts_with("and ") {
        let help = format!("`{before}, {}`", after["and ".len()..].trim_start());
        return refused(Code::S01, place, "several rows stand after commas", help);
    }
    if is_whole {
        let reason = after.trim_start_matches(['-', '–', ':', ',']).trim_start();
        return refused(
            Code::K06,
            place,
            "the reason stands after two dashes",
            format!("`{before} -- {reason}`"),
        );
    }
    refused(
        Code::S01,
        place,
        diagnose::cannot_stand(reader.text, at),
        "`leave out row 3 -- why`, `leave out rows 3, 5 -- why`, `leave out rows 3 to 5 -- why` or `leave out where t_i < 30 s -- why`",
    )
}

fn no_reason(reader: &Reader<'_>, body: Span) -> Box<Diagnostic> {
    let written = reader.slice(body);
    Box::new(
        refused(
            Code::K06,
            body,
            "the reason is missing, and what is left out without one cannot be judged",
            format!("`{written} -- why`"),
        )
        .with_fixes([Fix::new(
            Decision::Complete,
            "write the reason after ` -- `",
            body.at_end(),
            " -- …",
        )]),
    )
}

/// `leave out where |x_i| > 2 mm`
fn bar_in_condition(reader: &Reader<'_>) -> Option<Box<Diagnostic>> {
    let open = reader.text.find('|')?;
    let close = open + 1 + reader.text.get(open + 1..)?.find('|')?;
    let inner = reader.text.get(open + 1..close)?;
    let written = format!("abs({})", inner.trim());
    let place = Span::new(reader.start + open, reader.start + close + 1);
    Some(Box::new(
        refused(
            Code::K04,
            place,
            "a bar divides the fields of a table, and is no magnitude here",
            format!("`{written}`"),
        )
        .with_fixes([Fix::write(Decision::None, place, written)]),
    ))
}
