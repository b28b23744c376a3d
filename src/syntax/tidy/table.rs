//! Lines of `data`: bars under each other, and what is said of columns below them.
//!
//! In go the lines of a table, out come those that should read otherwise. Fields, numbers and
//! words stay as they are; only the blanks between them are set.

use super::super::forms::{DataLine, data_lines};
use super::columns::{BEFORE_COLUMN, BEFORE_LATE, WIDEST_CODE, WIDEST_LEFT};
use crate::diagnostic::Edit;
use crate::text::Span;

/// The widest field that others are moved for, in characters.
const WIDEST_FIELD: usize = 40;

/// The lines of a table that are not tidy, with the text that each should have.
pub(super) fn edits(text: &str, lines: &[Span]) -> Vec<Edit> {
    let read = data_lines(text, lines);
    let widths = widths(text, &read);
    let mut set: Vec<String> = Vec::with_capacity(lines.len());
    for (line, own) in lines.iter().zip(&read) {
        set.push(match own {
            DataLine::Fields(row) => fields(text, row, &widths),
            DataLine::Said { code, .. } => code.of(text).to_owned(),
            DataLine::Other => line.of(text).trim_matches([' ', '\t']).to_owned(),
        });
    }
    let mut at = 0;
    for group in read.chunk_by(|one, next| is_said(one) && is_said(next)) {
        said(text, group, &mut set[at..at + group.len()]);
        at += group.len();
    }
    for ((line, own), set) in lines.iter().zip(&read).zip(&mut set) {
        let end = match own {
            DataLine::Fields(row) => row.code.end,
            // What is said has its words already.
            DataLine::Said { .. } | DataLine::Other => continue,
        };
        let tail = Span {
            start: end,
            ..*line
        };
        let tail = tail.of(text).trim_matches([' ', '\t']);
        if !tail.is_empty() {
            set.extend(std::iter::repeat_n(' ', BEFORE_LATE));
            set.push_str(tail);
        }
    }
    (lines.iter().zip(set))
        .map(|(line, text)| Edit::new(*line, text))
        .filter(|edit| edit.span.of(text) != edit.text)
        .collect()
}

fn is_said(line: &DataLine) -> bool {
    matches!(line, DataLine::Said { .. })
}

/// How wide each column is.
fn widths(text: &str, lines: &[DataLine]) -> Vec<usize> {
    let mut widths = Vec::new();
    for line in lines {
        let DataLine::Fields(row) = line else {
            continue;
        };
        for (at, field) in row.fields.iter().enumerate() {
            if widths.len() <= at {
                widths.push(0);
            }
            let own = field.of(text).chars().count();
            if !row.is_rule && own <= WIDEST_FIELD {
                widths[at] = own.max(widths[at]);
            }
        }
    }
    widths
}

/// A row with its bars under those of the others.
fn fields(text: &str, row: &super::super::forms::DataRow, widths: &[usize]) -> String {
    let padded = row.fields.iter().zip(widths).map(|(field, width)| {
        let field = field.of(text);
        if !row.is_rule {
            return format!("{field:width$}");
        }
        let [left, right] = [field.starts_with(':'), field.ends_with(':')];
        let [left, right] = [left, right].map(|is_set| if is_set { ":" } else { "" });
        let dashes = "-".repeat(width.saturating_sub(left.len() + right.len()).max(3));
        format!("{left}{dashes}{right}")
    });
    let padded: Vec<String> = padded.collect();
    let joined = padded.join(" | ");
    match row.is_around {
        true => format!("| {joined} |"),
        false => joined.trim_end().to_owned(),
    }
}

/// Lines below a table, neighbours, with their signs and their words under each other.
fn said(text: &str, lines: &[DataLine], set: &mut [String]) {
    for sign in ['±', '='] {
        let place = |line: &DataLine| match line {
            DataLine::Said {
                code,
                sign: Some(at),
                ..
            } => {
                let left = Span { end: *at, ..*code };
                let after = Span {
                    start: *at,
                    ..*code
                };
                let is_own = (after.of(text).starts_with('=')) == (sign == '=');
                let left = left.of(text).trim_end();
                let width = left.chars().count();
                (is_own && width <= WIDEST_LEFT).then(|| (left, width, after.of(text)))
            }
            _ => None,
        };
        let Some(column) = lines.iter().filter_map(&place).map(|it| it.1).max() else {
            continue;
        };
        for (line, set) in lines.iter().zip(set.iter_mut()) {
            let Some((left, _, after)) = place(line) else {
                continue;
            };
            let rest = after.strip_prefix(sign).unwrap_or(after).trim_start();
            *set = format!("{left:column$} {sign} {rest}");
        }
    }
    let words = |line: &DataLine| match line {
        DataLine::Said { tail, is_apart, .. } => (tail.of(text).to_owned(), *is_apart),
        DataLine::Fields(_) | DataLine::Other => (String::new(), false),
    };
    let widths = lines.iter().zip(set.iter()).filter_map(|(line, set)| {
        let (tail, is_apart) = words(line);
        (is_apart && !tail.is_empty()).then(|| set.chars().count())
    });
    let column = widths.filter(|width| *width <= WIDEST_CODE).max();
    for (line, set) in lines.iter().zip(set.iter_mut()) {
        let (tail, is_apart) = words(line);
        if tail.is_empty() {
            continue;
        }
        let width = set.chars().count();
        let gap = match column {
            _ if !is_apart => 1,
            Some(column) => (column + BEFORE_COLUMN)
                .saturating_sub(width)
                .max(BEFORE_LATE),
            None => BEFORE_LATE,
        };
        set.extend(std::iter::repeat_n(' ', gap));
        set.push_str(&tail);
    }
}
