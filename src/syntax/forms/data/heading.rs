//! Headings of columns: `l_i / mm`, `q_i / (W/m^2)`, `p_i / kPa gauge`, `note`.

use super::super::super::parse_unit_at;
use super::super::super::{
    Datum, Name, Size, UnitExpr, canonical, is_list_name, is_reserved, tokens,
};
use super::said::{self, refused, trimmed};
use super::tree::Unread;
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::quantity::is_unit;
use crate::tables::{Bars, Pattern, fields};
use crate::text::Span;

/// A heading, before the fields below it are read.
pub(super) struct Heading {
    pub span: Span,
    /// `None` over words.
    pub readings: Option<Readings>,
}

/// What a heading says of readings.
pub(super) struct Readings {
    pub name: Name,
    pub unit: Option<UnitExpr>,
    /// How times are written, in place of a unit.
    pub pattern: Option<Pattern>,
    pub datum: Option<Datum>,
    pub sizes: Vec<Size>,
}

impl Heading {
    /// The name of a list.
    pub(super) fn name(&self) -> Option<&Name> {
        self.readings.as_ref().map(|readings| &readings.name)
    }
}

/// Whether a line above the heading was to be the caption: words behind a single dash.
pub(super) fn is_caption(text: &str, line: Span) -> bool {
    let written = line.of(text);
    let is_dashed = ["- ", "– "].iter().any(|mark| written.starts_with(mark));
    is_dashed && !written.contains('|')
}

/// That a caption begins with two dashes.
pub(super) fn no_caption(text: &str, line: Span) -> Diagnostic {
    let dash = line.of(text).chars().next().map_or(0, char::len_utf8) as u32;
    let place = Span {
        end: line.start + dash,
        ..line
    };
    let words = line.of(text).get(dash as usize..).unwrap_or("").trim();
    refused(
        Code::K04,
        place,
        "a single dash is a missing reading, and a caption begins with two",
        format!("`-- {words}`"),
    )
    .with_fixes([Fix::write(Decision::None, place, "--")])
}

/// The headings of a table.
pub(super) fn columns(
    text: &str,
    line: Span,
    bars: Bars,
    unread: &mut Unread,
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<Heading> {
    let start = line.start as usize;
    fields(line.of(text), bars)
        .map(|field| {
            let span = Span::new(start + field.start, start + field.end);
            let readings = readings(text, span).unwrap_or_else(|refusal| {
                diagnostics.push(*refusal);
                unread.lists.extend(meant(text, span));
                None
            });
            Heading { span, readings }
        })
        .collect()
}

/// The list that a refused heading was to name.
pub(super) fn meant(text: &str, heading: Span) -> Option<Name> {
    let word = tokens::word_at(heading.of(text), 0);
    let is_name = !word.is_empty() && !is_reserved(word);
    is_name.then(|| Name {
        span: Span {
            end: heading.start + word.len() as u32,
            ..heading
        },
        key: canonical(&list(word)),
    })
}

/// Whether a heading stands over words: it has no unit, and is no name of a list.
pub(super) fn is_of_words(heading: &str) -> bool {
    slash(heading).is_none() && !is_list_name(&canonical(tokens::word_at(heading, 0)))
}

/// The name of a list that is nearest: `L_i` for `L`, `t_i` for `t_j`.
fn list(word: &str) -> String {
    if is_list_name(&canonical(word)) {
        return word.to_owned();
    }
    let indices = ["_j", "_k", "_n"];
    let stem = indices.iter().find_map(|index| word.strip_suffix(index));
    format!("{}_i", stem.unwrap_or(word))
}

type Found<T> = Result<T, Box<Diagnostic>>;

/// The name, unit and datum of a heading; nothing where it is words.
pub(super) fn readings(text: &str, whole: Span) -> Found<Option<Readings>> {
    let (heading, sizes) = without_sizes(text, whole);
    let (name, unit) = match slash(heading.of(text)) {
        Some(at) => {
            let [name, unit] = parted(text, heading, at);
            (name, Some(unit))
        }
        None => (heading, None),
    };
    let word = name.of(text);
    let key = canonical(word);
    let is_name = tokens::is_word(word) && !is_reserved(word);
    if !(is_name && is_list_name(&key)) {
        let list = tokens::word_at(heading.of(text), 0);
        let is_list = is_list_name(&canonical(list)) && !is_reserved(list);
        return match unit {
            Some(unit) if is_name && is_of_readings(unit.of(text)) => {
                Err(Box::new(no_list(text, name)))
            }
            _ if is_list => Err(Box::new(no_slash(text, heading, list))),
            _ => Ok(None),
        };
    }
    let name = Name { span: name, key };
    let pattern = unit.map(|unit| pattern(text, unit)).transpose()?.flatten();
    if let (Some(pattern), Some(place)) = (pattern, sizes) {
        return Err(Box::new(size_of_times(text, &name, pattern, place)));
    }
    // They count in the unit of the column.
    let sizes = match sizes {
        Some(place) => said::sizes(text, place, None)?,
        None => Vec::new(),
    };
    let Some(unit) = unit.filter(|_| pattern.is_none()) else {
        return Ok(Some(Readings {
            name,
            unit: None,
            pattern,
            datum: None,
            sizes,
        }));
    };
    let (unit, datum) = without_datum(text, unit);
    Ok(Some(Readings {
        name,
        unit: unit_of(text, unit)?,
        pattern: None,
        datum,
        sizes,
    }))
}

/// The pattern of times that stands in place of a unit, if one does.
fn pattern(text: &str, place: Span) -> Found<Option<Pattern>> {
    let written = place.of(text);
    if let Some(pattern) = Pattern::read(written) {
        return Ok(Some(pattern));
    }
    let is_meant = ["YY", "DD", "yy"].iter().any(|it| written.contains(it));
    if !(is_meant || written.contains(':')) {
        return Ok(None);
    }
    let all = || Pattern::ALL.into_iter();
    let alike = all().find(|pattern| pattern.text().eq_ignore_ascii_case(written));
    let help = match alike {
        Some(pattern) => format!("`{}`", pattern.text()),
        None => {
            "`mm:ss` of a stopwatch, `hh:mm`, `hh:mm:ss`, and a date before them: `YYYY-MM-DD hh:mm:ss`, `DD.MM.YYYY hh:mm`; seconds may have a fraction".to_owned()
        }
    };
    let fix = alike.map(|pattern| Fix::write(Decision::None, place, pattern.text()));
    let message = format!("`{written}` is no pattern of times");
    Err(Box::new(
        refused(Code::K13, place, message, help).with_fixes(fix),
    ))
}

/// `t_i / mm:ss ± 0.2`: hours, minutes or seconds.
fn size_of_times(text: &str, name: &Name, pattern: Pattern, place: Span) -> Diagnostic {
    let (written, name) = (place.of(text), name.span.of(text));
    let message = format!(
        "`{written}` behind `{}` has two readings: it says in no unit",
        pattern.text()
    );
    let help = format!("a line below the table: `{name} ± 0.5 s`");
    refused(Code::K04, place, message, help)
}

/// Whether a text behind a slash says that readings stand below.
fn is_of_readings(text: &str) -> bool {
    unit_text(text).is_some() || Pattern::read(text).is_some()
}

/// A heading without what its readings are uncertain by, and where that stands.
fn without_sizes(text: &str, heading: Span) -> (Span, Option<Span>) {
    let written = heading.of(text);
    let marks = ["±", "+/-", "+-", "(Poisson", "(resolution"];
    let at = marks.iter().filter_map(|mark| written.find(mark)).min();
    let Some(at) = at.filter(|at| *at > 0) else {
        return (heading, None);
    };
    let [before, after] = [
        Span {
            end: heading.start + at as u32,
            ..heading
        },
        Span {
            start: heading.start + at as u32,
            ..heading
        },
    ];
    (trimmed(text, before), Some(after))
}

/// Where the slash between name and unit stands.
fn slash(heading: &str) -> Option<usize> {
    heading.find('/')
}

fn parted(text: &str, heading: Span, at: usize) -> [Span; 2] {
    let at = heading.start + at as u32;
    let before = Span { end: at, ..heading };
    let after = Span {
        start: at + 1,
        ..heading
    };
    [trimmed(text, before), trimmed(text, after)]
}

/// The unit without the word of its datum.
fn without_datum(text: &str, unit: Span) -> (Span, Option<Datum>) {
    let written = unit.of(text);
    let data = [Datum::Gauge, Datum::Absolute, Datum::Difference];
    let found = data.into_iter().find_map(|datum| {
        let before = written.strip_suffix(datum.text())?;
        let is_apart = before.ends_with([' ', ')']);
        is_apart.then_some((before.trim_end().len(), datum))
    });
    match found {
        Some((end, datum)) => {
            let end = unit.start + end as u32;
            (Span { end, ..unit }, Some(datum))
        }
        None => (unit, None),
    }
}

/// What is a unit in a text that may be one: what stands in its brackets, or the whole.
fn unit_text(text: &str) -> Option<&str> {
    let inner = text
        .strip_prefix('(')
        .and_then(|text| text.strip_suffix(')'));
    let inner = inner.unwrap_or(text);
    (inner == "1" || is_unit(inner) || parse_unit_at(inner, 0).is_ok()).then_some(inner)
}

/// The unit of a heading: one symbol, or more of them in brackets.
fn unit_of(text: &str, place: Span) -> Found<Option<UnitExpr>> {
    let written = place.of(text);
    if written == "1" {
        return Ok(None);
    }
    let inner = written
        .strip_prefix('(')
        .and_then(|it| it.strip_suffix(')'));
    let (inner, place) = match inner {
        Some(inner) => {
            let inside = Span {
                start: place.start + 1,
                end: place.end - 1,
            };
            (inner, inside)
        }
        None => (written, place),
    };
    let is_bracketed = inner.len() < written.len();
    let unit = parse_unit_at(inner, place.start as usize)?;
    if unit.factors.len() > 1 && !is_bracketed {
        let message = format!(
            "`/ {written}` has two readings: divided by `{}` alone, or by all",
            unit.factors.first().map_or("", |first| first.span.of(text))
        );
        let help = format!("`/ ({written})`");
        let brackets = Fix::write(Decision::None, place, format!("({written})"));
        return Err(Box::new(
            refused(Code::K04, place, message, help).with_fixes([brackets]),
        ));
    }
    Ok(Some(unit))
}

/// `l_i mm`: the unit stands behind a slash.
fn no_slash(text: &str, heading: Span, list: &str) -> Diagnostic {
    let rest = heading.of(text).get(list.len()..).unwrap_or("").trim();
    let bracketed = |open, close| rest.strip_prefix(open)?.strip_suffix(close);
    let unit = bracketed('[', ']')
        .or_else(|| bracketed('(', ')'))
        .unwrap_or(rest);
    let unit = unit.trim();
    let typed = match unit.contains(['/', ' ', '*']) {
        true => format!("{list} / ({unit})"),
        false => format!("{list} / {unit}"),
    };
    let fix = unit_text(unit).map(|_| Fix::write(Decision::None, heading, typed.clone()));
    let help = match fix {
        Some(_) => format!("`{typed}`"),
        None => format!("`{list} / mm`, or words that do not begin with the name of a list"),
    };
    refused(
        Code::K04,
        heading,
        format!("behind the name of the readings `{list}` stands a slash and their unit"),
        help,
    )
    .with_fixes(fix)
}

/// `L / mm`: readings need the name of a list.
fn no_list(text: &str, name: Span) -> Diagnostic {
    let written = name.of(text);
    let list = list(written);
    refused(
        Code::K04,
        name,
        format!("`{written}` is a column of readings, and its name is not that of a list"),
        format!("`{list}`"),
    )
    .with_fixes([Fix::write(Decision::None, name, list)])
}
