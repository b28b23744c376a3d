//! What the parts of a table say, and where.

use super::super::super::grammar::{self, Rule};
use super::super::super::reader::{Read, Reader};
use super::super::super::{Amount, Literal, Magnitude, Size, UnitExpr, diagnose, sizes as read};
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

/// `± 1.0 mm (k=2) common`: what readings with this unit are uncertain by.
pub(super) fn sizes(text: &str, place: Span, unit: Option<&UnitExpr>) -> Read<Vec<Size>> {
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
    Ok(found.sizes)
}
