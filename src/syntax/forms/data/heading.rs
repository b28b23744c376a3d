//! Headings of columns: `l_i / mm`, `q_i / (W/m^2)`, `p_i / kPa gauge`, `u(l_i) / mm`, `note`.

use std::sync::Arc;

use super::super::super::parse_unit_at;
use super::super::super::{
    Datum, Name, Size, UnitExpr, canonical, is_list_name, is_reserved, tokens,
};
use super::said::{self, refused, trimmed};
use super::tree::{Content, Unread};
use crate::diagnostic::{Code, Decision, Diagnostic, Fix};
use crate::quantity::is_unit;
use crate::tables::{self, Bars, Pattern, Times, fields};
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
    /// What they are called: the name, or `u(l_i)`.
    pub called: Span,
    /// Whether they are the standard uncertainties of the readings of that name.
    pub are_uncertainties: bool,
    pub unit: Option<UnitExpr>,
    /// How times are written, in place of a unit.
    pub pattern: Option<Pattern>,
    pub datum: Option<Datum>,
    pub sizes: Vec<Size>,
}

impl Heading {
    /// The name of a list.
    pub(super) fn name(&self) -> Option<&Name> {
        let readings = self.readings.as_ref();
        let readings = readings.filter(|readings| !readings.are_uncertainties)?;
        Some(&readings.name)
    }
}

impl Readings {
    /// The same with what stands below.
    pub(super) fn content(
        self,
        times: Option<Times>,
        readings: Arc<[Option<tables::Reading>]>,
    ) -> Content {
        match self.are_uncertainties {
            true => Content::Uncertainties {
                of: self.name,
                unit: self.unit,
                readings,
            },
            false => Content::Readings {
                name: self.name,
                unit: self.unit,
                times,
                datum: self.datum,
                sizes: self.sizes,
                readings,
            },
        }
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
    if behind_u(text, heading).is_some() {
        return None;
    }
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
    if let Some([name, behind]) = behind_u(text, heading) {
        return uncertainties(text, heading, [name, behind], sizes);
    }
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
            Some(unit) if is_name && is_of_readings(text, unit) => {
                Err(Box::new(no_list(text, name)))
            }
            _ if is_list => Err(Box::new(no_slash(text, heading, list))),
            _ => Ok(None),
        };
    }
    let called = name;
    let name = Name { span: name, key };
    let pattern = unit.map(|unit| pattern(text, unit)).transpose()?.flatten();
    if let (Some(pattern), Some(place)) = (pattern, sizes) {
        return Err(Box::new(size_of_times(text, &name, pattern, place)));
    }
    let mut read = Readings {
        name,
        called,
        are_uncertainties: false,
        unit: None,
        pattern,
        datum: None,
        sizes: Vec::new(),
    };
    if let Some(unit) = unit.filter(|_| pattern.is_none()) {
        let (unit, datum) = without_datum(text, unit);
        read.unit = unit_of(text, unit)?;
        read.datum = datum;
    }
    if let Some(place) = sizes {
        let column = (&read.name, read.unit.as_ref());
        read.sizes = said::sizes(text, place, column, said::Where::Heading)?;
    }
    Ok(Some(read))
}

/// Of `u(l_i) / mm` the list, and what stands behind the bracket.
fn behind_u(text: &str, heading: Span) -> Option<[Span; 2]> {
    let written = heading.of(text);
    let list = written.strip_prefix("u(")?.split_once(')')?.0;
    let start = heading.start + "u(".len() as u32;
    let end = start + list.len() as u32;
    let behind = Span {
        start: end + 1,
        ..heading
    };
    Some([trimmed(text, Span { start, end }), trimmed(text, behind)])
}

/// `u(l_i) / mm`: the standard uncertainties of readings, in a column of their own.
fn uncertainties(
    text: &str,
    heading: Span,
    [name, behind]: [Span; 2],
    sizes: Option<Span>,
) -> Found<Option<Readings>> {
    let called = Span {
        end: name.end + 1,
        ..heading
    };
    let (word, rest) = (name.of(text), behind.of(text));
    let key = canonical(word);
    let is_list = tokens::is_word(word) && !is_reserved(word) && is_list_name(&key);
    let unit = rest.strip_prefix('/').map(|unit| {
        let start = behind.end - unit.len() as u32;
        trimmed(text, Span { start, ..behind })
    });
    let refuse = |place, message: String, unit: &str| {
        let help = format!("`{} / {unit}`", called.of(text));
        Err(Box::new(refused(Code::K04, place, message, help)))
    };
    match unit {
        Some(unit) if !is_list && is_of_readings(text, unit) => {
            return Err(Box::new(no_list(text, name)));
        }
        _ if !is_list => return Ok(None),
        None if !rest.is_empty() => {
            return Err(Box::new(no_slash(text, heading, called.of(text))));
        }
        Some(_) | None => {}
    }
    let mut read = Readings {
        name: Name { span: name, key },
        called,
        are_uncertainties: true,
        unit: None,
        pattern: None,
        datum: None,
        sizes: Vec::new(),
    };
    let typed = unit.map_or("1", |unit| unit.of(text));
    if let Some(place) = sizes {
        let message = "a column of uncertainties has none of its own".to_owned();
        return refuse(place, message, typed);
    }
    let Some(unit) = unit else {
        return Ok(Some(read));
    };
    if Pattern::read(typed).is_some() {
        let message = format!("an uncertainty is no time in the pattern `{typed}`");
        return refuse(unit, message, "s");
    }
    let (alone, datum) = without_datum(text, unit);
    if let Some(datum) = datum {
        let message = format!(
            "`{}` says what a reading counts from, and an uncertainty counts from nothing",
            datum.text()
        );
        return refuse(unit, message, alone.of(text));
    }
    read.unit = unit_of(text, unit)?;
    Ok(Some(read))
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
        "`{written}` after `{}` has two readings: it says in no unit",
        pattern.text()
    );
    let help = format!("a line below the table: `{name} ± 0.5 s`");
    refused(Code::K04, place, message, help)
}

/// Whether a text behind a slash says that readings stand below.
fn is_of_readings(text: &str, place: Span) -> bool {
    let (unit, _) = without_datum(text, place);
    unit_text(unit.of(text)).is_some() || Pattern::read(place.of(text)).is_some()
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
        format!("after the name of the readings `{list}` stands a slash and their unit"),
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
