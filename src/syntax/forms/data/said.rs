//! What the parts of a table say, and where.

use super::super::super::grammar::{self, Rule};
use super::super::super::literal::is_percent;
use super::super::super::reader::{Read, Reader};
use super::super::super::{
    Amount, Literal, Magnitude, Name, Share, Size, UnitExpr, diagnose, sizes as read,
};
use crate::diagnostic::{Code, Diagnostic};
use crate::tables::{Pattern, Sign};
use crate::text::Span;

/// A place without the blanks around what stands there.
pub(super) fn trimmed(text: &str, place: Span) -> Span {
    let content = place.of(text);
    let start = place.start as usize + content.len() - content.trim_start().len();
    Span::new(start, start + content.trim().len())
}

/// An error of a table.
pub(super) fn refused(
    code: Code,
    place: Span,
    message: impl Into<String>,
    help: impl Into<String>,
) -> Diagnostic {
    Diagnostic::error(code, place, message).with_help(help)
}

/// That a field is no time in the pattern of its heading, and in which it is one.
pub fn no_time(written: &str, pattern: Pattern, sign: Sign, name: &str) -> (String, String) {
    let shown: String = written.chars().take(40).collect();
    let is_meant = |other: &Pattern| other.time(written, sign).is_some();
    let meant: Vec<String> = (Pattern::ALL.into_iter().filter(is_meant))
        .map(|other| format!("`{name} / {}`", other.text()))
        .collect();
    let message = format!(
        "`{shown}` is not a {} (`{}`)",
        pattern.noun(),
        pattern.text()
    );
    let help = match meant.is_empty() {
        true => "a time in this pattern, or `-` where there is no reading".to_owned(),
        false => meant.join(" or "),
    };
    (message, help)
}

/// Where it is said what readings are uncertain by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Where {
    /// In the heading, where numbers count in its unit.
    Heading,
    /// In a line below.
    Line,
}

/// `± 1.0 mm (k=2) common`: what readings of this name are uncertain by, which count in this unit.
pub(super) fn sizes(
    text: &str,
    place: Span,
    (name, column): (&Name, Option<&UnitExpr>),
    at: Where,
) -> Read<Vec<Size>> {
    let unit = column.filter(|_| at == Where::Line);
    let reader = Reader::new(place.of(text), place.start as usize);
    let pairs = grammar::parse(Rule::sizes_alone, reader.text).map_err(|stopped| {
        let at = diagnose::stop(reader.text, &stopped);
        if let Some(refusal) = diagnose::twice(reader.text, reader.start, at) {
            return refusal;
        }
        Box::new(refused(
            Code::Q02,
            diagnose::place(reader.text, reader.start, at),
            diagnose::cannot_stand(reader.text, at),
            "`± 1.0 mm`, `± 0.5 % common`, `± 0.2 mm (rectangular) each`, `(resolution 0.1 mm)` or `(Poisson)`",
        ))
    })?;
    let mut found = Literal {
        span: place,
        larger: Vec::new(),
        magnitude: Magnitude::List(Vec::new()),
        unit: unit.cloned(),
        datum: None,
        sizes: Vec::new(),
    };
    for pair in pairs {
        match pair.as_rule() {
            Rule::size => read::size(&reader, &mut found, pair)?,
            Rule::how => read::how_alone(&reader, &mut found, pair)?,
            _ => {}
        }
    }
    // One unit goes for a number and its uncertainty, but here that of the number is known.
    if let (None, Some(own)) = (unit, found.unit.take())
        && let Some(Amount::Sum(terms)) = found.sizes.first_mut().map(|size| &mut size.amount)
        && let Some(first) = terms.first_mut()
    {
        first.unit = Some(own);
    }
    read::refuse_sizes(&reader, &found)?;
    let is_plain = column.is_none_or(is_percent);
    let shares = found.sizes.iter().filter(|size| has_share(size));
    match shares.into_iter().next() {
        Some(size) if is_plain => Err(Box::new(share_of_plain(text, name, column, size))),
        _ => Ok(found.sizes),
    }
}

/// Whether a size is a share of the reading, or has one.
fn has_share(size: &Size) -> bool {
    let Amount::Sum(terms) = &size.amount else {
        return false;
    };
    terms.iter().any(|term| term.share == Some(Share::Value))
}

/// `x_i ± 1 %` of plain numbers, or of numbers in %.
fn share_of_plain(text: &str, name: &Name, column: Option<&UnitExpr>, size: &Size) -> Diagnostic {
    let (written, name) = (size.span.of(text).trim(), name.span.of(text));
    let (readings, help) = match column {
        Some(_) => (
            "a share of each reading, or percentages",
            format!(
                "in the heading, where it counts in %: `{name} / % ± 0.5`; a share in a column `u({name}) / %` beside"
            ),
        ),
        None => (
            "a share of each reading, or a number",
            format!("`{name} ± 0.5`, a number; a share in a column `u({name})` beside"),
        ),
    };
    refused(
        Code::U12,
        size.span,
        format!("`{written}` has two readings: {readings}"),
        help,
    )
}
