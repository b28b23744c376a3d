//! Lines under each other: equals signs, descriptions, and the lines that a statement goes on in.
//!
//! In go lines whose blanks are set, out comes the text of each. Statements with no blank line
//! and no refused line between them are neighbours.

use super::super::lines::Bare;
use super::spacing::{Kind, Set};
use crate::text::Span;

/// The widest left side that others are moved for, in characters.
pub(super) const WIDEST_LEFT: usize = 16;
/// The widest statement that descriptions are moved for.
pub(super) const WIDEST_CODE: usize = 50;
/// Blanks before the descriptions in their column.
pub(super) const BEFORE_COLUMN: usize = 4;
/// Blanks before a description that is too far right for the column.
pub(super) const BEFORE_LATE: usize = 2;
/// The farthest right that a statement goes on at.
const DEEPEST: usize = 40;
/// Where it goes on otherwise.
const SHALLOW: usize = 4;

/// A line of a block as it should be.
pub(super) struct Row {
    /// Where it stands.
    pub line: Span,
    content: Content,
}

enum Content {
    /// Byte for byte what it was.
    Kept,
    /// A blank line or a comment.
    Bare(String),
    /// A line of a statement.
    Code {
        set: Set,
        /// The place of the equals sign that goes under those of the neighbours.
        equals: Option<usize>,
        indent: usize,
        /// Which line of its statement it is.
        row: usize,
        /// Description or comment, with its mark.
        tail: String,
        /// Blanks before it.
        gap: usize,
    },
}

impl Row {
    pub fn kept(line: Span) -> Self {
        let content = Content::Kept;
        Self { line, content }
    }

    pub fn bare(line: Span, content: &str) -> Self {
        let content = Content::Bare(content.to_owned());
        Self { line, content }
    }

    pub fn into_text(self, text: &str) -> String {
        match self.content {
            Content::Kept => self.line.of(text).to_owned(),
            Content::Bare(content) => content,
            Content::Code {
                set,
                indent,
                tail,
                gap,
                ..
            } => {
                let mut out = " ".repeat(indent);
                out.push_str(&set.text);
                if !tail.is_empty() {
                    out.extend(std::iter::repeat_n(' ', gap));
                    out.push_str(&tail);
                }
                out
            }
        }
    }

    /// Whether neighbours end here.
    fn parts_neighbours(&self) -> bool {
        match &self.content {
            Content::Kept => true,
            Content::Bare(content) => content.is_empty(),
            Content::Code { .. } => false,
        }
    }
}

/// The rows of one statement. `defines` says whether its equals sign goes under those of others.
pub(super) fn rows(text: &str, parts: &[Bare], sets: Vec<Set>, defines: bool) -> Vec<Row> {
    let row = |(row, (part, set)): (usize, (&Bare, Set))| {
        let tail = Span {
            start: part.code.end,
            end: part.line.end,
        };
        let narrow = |at: &usize| *at <= WIDEST_LEFT + 1;
        Row {
            line: part.line,
            content: Content::Code {
                equals: set.equals.filter(|_| defines && row == 0).filter(narrow),
                set,
                indent: 0,
                row,
                tail: tail.of(text).trim_matches([' ', '\t']).to_owned(),
                gap: BEFORE_LATE,
            },
        }
    };
    parts.iter().zip(sets).enumerate().map(row).collect()
}

/// Puts the lines of each group of neighbours under each other.
pub(super) fn align(rows: &mut [Row]) {
    for group in rows.chunk_by_mut(|row, next| !row.parts_neighbours() && !next.parts_neighbours())
    {
        align_equals(group);
        indent(group);
        align_tails(group);
    }
}

fn align_equals(group: &mut [Row]) {
    let places = group.iter().filter_map(|row| match &row.content {
        Content::Code { equals, .. } => *equals,
        _ => None,
    });
    let Some(column) = places.max() else {
        return;
    };
    for row in group {
        if let Content::Code {
            set,
            equals: Some(at),
            ..
        } = &mut row.content
        {
            move_equals(set, *at, column - *at);
        }
    }
}

/// Moves what begins at the equals sign at `at` to the right.
fn move_equals(set: &mut Set, at: usize, by: usize) {
    let byte = set.text.char_indices().nth(at).map_or(0, |(byte, _)| byte);
    set.text.insert_str(byte, &" ".repeat(by));
    set.equals = Some(at + by);
    for (row, inside) in &mut set.open {
        if let Some(inside) = inside.as_mut().filter(|inside| *row == 0 && **inside > at) {
            *inside += by;
        }
    }
}

/// Indents the lines that statements go on in: under the right side, or inside the bracket that
/// is open.
fn indent(group: &mut [Row]) {
    let mut equals = None;
    let mut indents: Vec<usize> = Vec::new();
    let mut open: Option<(usize, Option<usize>)> = None;
    for line in group {
        let Content::Code {
            set, indent, row, ..
        } = &mut line.content
        else {
            continue;
        };
        if *row == 0 {
            equals = set.equals;
            indents.clear();
        } else {
            *indent = deep(set.opens_with, equals, open, &indents);
        }
        indents.push(*indent);
        // Brackets of the first line were moved with its equals sign; later lines know their own
        // columns, but not how far the first was moved.
        let moved = |(at, inside): &(usize, Option<usize>)| (*at, *inside);
        open = match (set.open.last().map(moved), open) {
            (Some((at, _)), Some(known @ (same, _))) if at < *row && at == same => Some(known),
            (last, _) => last,
        };
    }
}

/// Where a line begins that its statement goes on in.
fn deep(
    opens_with: Option<Kind>,
    equals: Option<usize>,
    open: Option<(usize, Option<usize>)>,
    indents: &[usize],
) -> usize {
    let right = match (equals, opens_with) {
        (Some(equals), Some(Kind::Relation)) => equals,
        (Some(equals), _) => equals + 2,
        (None, _) => SHALLOW,
    };
    let wanted = match open {
        Some((row, Some(inside))) if opens_with != Some(Kind::Close) => {
            inside + indents.get(row).copied().unwrap_or(0)
        }
        Some((_, None)) if opens_with != Some(Kind::Close) => right + 2,
        _ => right,
    };
    // A sign goes on only where it is indented.
    if wanted > DEEPEST || wanted == 0 {
        SHALLOW
    } else {
        wanted
    }
}

fn align_tails(group: &mut [Row]) {
    let widths = group.iter().filter_map(|row| match &row.content {
        Content::Code {
            set, indent, tail, ..
        } if !tail.is_empty() => Some(indent + set.text.chars().count()),
        _ => None,
    });
    let Some(column) = widths.filter(|width| *width <= WIDEST_CODE).max() else {
        return;
    };
    for row in group {
        if let Content::Code {
            set, indent, gap, ..
        } = &mut row.content
        {
            let width = *indent + set.text.chars().count();
            *gap = (column + BEFORE_COLUMN)
                .saturating_sub(width)
                .max(BEFORE_LATE);
        }
    }
}
