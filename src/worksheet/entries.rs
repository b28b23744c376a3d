//! The entries of a notebook: what stands under a level-2 heading that begins with a date.

use super::model::{Entry, PartKind, Placed, Section};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::{Date, Span, is_written_as_date};

/// What the heading of a correction says before the date of what it corrects.
const CORRECTION: &str = "Correction to ";

/// The entries from the top of the page to its bottom, and what is wrong with their dates.
pub(super) fn find(placed: &[Placed], sections: &[Section]) -> (Vec<Entry>, Vec<Diagnostic>) {
    let mut diagnostics = Vec::new();
    let mut entries: Vec<Entry> = Vec::new();
    for section in sections {
        let placed = &placed[section.problem];
        let parts = placed.problem.parts.get(section.parts.clone());
        for part in parts.unwrap_or(&[]) {
            let PartKind::Heading {
                level: 2, at, text, ..
            } = &part.kind
            else {
                continue;
            };
            let span = placed.span(part.span);
            let Some((date, title)) = dated(text) else {
                diagnostics.extend(no_date(text, span));
                continue;
            };
            diagnostics.extend(falls(&entries, date, span));
            entries.push(Entry {
                date,
                title: title.to_owned(),
                span,
                problem: placed.number,
                heading: *at,
                anchor: placed.heading(*at).to_owned(),
                corrects: None,
                corrections: Vec::new(),
                seal: None,
            });
        }
    }
    diagnostics.extend(correct(&mut entries));
    (entries, diagnostics)
}

/// The date that a heading begins with, and the rest of it.
fn dated(text: &str) -> Option<(Date, &str)> {
    let (first, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    Some((Date::read(first)?, rest.trim()))
}

fn no_date(text: &str, span: Span) -> Option<Diagnostic> {
    let first = text.split_whitespace().next()?;
    is_written_as_date(first).then(|| {
        let message = format!("`{first}` is no day of the calendar: this is no entry");
        Diagnostic::warning(Code::M10, span, message)
            .with_help("year, month and day, as in `## 2026-03-12 First draining`")
    })
}

fn falls(entries: &[Entry], date: Date, span: Span) -> Option<Diagnostic> {
    let latest = entries.iter().max_by_key(|entry| entry.date)?;
    (date < latest.date).then(|| {
        let message = format!("the entry of {date} stands below that of {}", latest.date);
        Diagnostic::warning(Code::M10, span, message)
            .with_note("the later entry", latest.span)
            .with_help("entries in the order of their dates; what was forgotten is a new entry")
    })
}

/// Finds what each correction corrects.
fn correct(entries: &mut [Entry]) -> Vec<Diagnostic> {
    let mut diagnostics = Vec::new();
    for at in 0..entries.len() {
        let Some(of) = entries[at].title.strip_prefix(CORRECTION) else {
            continue;
        };
        let Some((date, title)) = dated(of) else {
            continue;
        };
        let above = entries[..at].iter().enumerate();
        let meant: Vec<usize> = above
            .filter(|(_, it)| it.date == date && (title.is_empty() || it.title == title))
            .map(|(index, _)| index)
            .collect();
        match meant.as_slice() {
            [only] => {
                let correction = (entries[at].date, entries[at].anchor.clone());
                entries[*only].corrections.push(correction);
                entries[at].corrects = Some(entries[*only].anchor.clone());
            }
            [] => diagnostics.push(
                Diagnostic::warning(
                    Code::M10,
                    entries[at].span,
                    format!("there is no entry `{of}` above to be corrected"),
                )
                .with_help("the date of an entry above, with its words where several have it"),
            ),
            [first, second, ..] => diagnostics.push(
                Diagnostic::warning(
                    Code::M10,
                    entries[at].span,
                    format!("several entries above are of {date}: it is open which is corrected"),
                )
                .with_note("this one, or", entries[*first].span)
                .with_note("this one", entries[*second].span)
                .with_help(format!(
                    "`{CORRECTION}{date} {}`, with the words of the entry",
                    entries[*first].title
                )),
            ),
        }
    }
    diagnostics
}
