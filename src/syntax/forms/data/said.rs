//! What the parts of a table say, and where.

use super::super::super::grammar::{self, Rule};
use super::super::super::reader::{Read, Reader};
use super::super::super::{Literal, Magnitude, Size, UnitExpr, diagnose, sizes as read};
use crate::diagnostic::{Code, Diagnostic};
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

/// `± 1.0 mm (k=2) common`: what readings with this unit are uncertain by.
pub(super) fn sizes(text: &str, place: Span, unit: Option<&UnitExpr>) -> Read<Vec<Size>> {
    let reader = Reader::new(place.of(text), place.start as usize);
    let pairs = grammar::parse(Rule::sizes_alone, reader.text).map_err(|stopped| {
        let at = diagnose::stop(reader.text, &stopped);
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
    read::refuse_sizes(&reader, &found)?;
    Ok(found.sizes)
}
