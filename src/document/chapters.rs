//! A worksheet cut into chapters that can be read without each other.
//!
//! A chapter begins with a level-1 heading that stands at the margin below a blank line. Where some Markdown might
//! reach from one chapter into another (a link definition, a note, a link to a heading, HTML, a
//! fence inside a list) the worksheet is one chapter: it is then read as a whole each time.

use std::ops::Range;
use std::sync::Arc;

use super::{Piece, markdown, places};
use crate::diagnostic::Diagnostic;

/// A chapter as it is read by itself; places are those in its own text.
#[derive(Debug)]
pub struct Chapter {
    /// Its text.
    pub text: Arc<str>,
    /// Headings, prose and blocks, top to bottom; footnotes come last.
    pub pieces: Vec<Piece>,
    /// What is wrong with it, in the order of the text.
    pub diagnostics: Vec<Diagnostic>,
}

impl Chapter {
    /// Reads the Markdown of a chapter.
    pub fn read(text: Arc<str>) -> Self {
        let body = places::Body::new(&text, 0);
        let (pieces, mut diagnostics) = markdown::pieces(&body);
        diagnostics.sort_by_key(|diagnostic| diagnostic.span.start);
        drop(body);
        Self {
            text,
            pieces,
            diagnostics,
        }
    }
}

/// The chapters of a text, one after another; at least one.
pub fn chapters(text: &str) -> Vec<Range<usize>> {
    let mut starts = vec![0];
    let mut fence: Option<(char, usize)> = None;
    let (mut at, mut after_blank) = (0, false);
    for line in text.split_inclusive('\n') {
        let content = line.trim_end_matches('\n');
        let content = content.strip_suffix('\r').unwrap_or(content);
        if content.contains('\r') || (fence.is_none() && reaches_out(content)) {
            return std::iter::once(0..text.len()).collect();
        }
        match (fence, opens(content)) {
            (Some(open), _) if closes(content, open) => fence = None,
            (None, Some(opened)) => fence = Some(opened),
            (None, None) if after_blank && content.starts_with("# ") => starts.push(at),
            _ => {}
        }
        after_blank = content.trim().is_empty();
        at += line.len();
    }
    let ends = starts.iter().skip(1).copied().chain([text.len()]);
    starts
        .iter()
        .copied()
        .zip(ends)
        .map(|(start, end)| start..end)
        .collect()
}

/// Whether a line outside of fences may matter beyond its chapter, or hide where one begins.
fn reaches_out(line: &str) -> bool {
    let inner = line.trim_start_matches([' ', '\t', '>', '-', '*', '+', '.', ')', ':']);
    let inner = inner.trim_start_matches(|letter: char| letter.is_ascii_digit());
    let inner = inner.trim_start_matches([' ', '\t', '>', '-', '*', '+', '.', ')']);
    let is_inside = inner.len() < line.len();
    line.contains("[^")
        || line.contains("](#")
        || inner.starts_with('<') && !is_comment(inner)
        || inner.starts_with('[') && inner.contains("]:")
        || is_inside && (inner.starts_with("```") || inner.starts_with("~~~"))
}

/// Whether all of a line is one comment, which ends there.
fn is_comment(line: &str) -> bool {
    let inner = line.trim_end_matches([' ', '\t']).strip_prefix("<!--");
    let inner = inner.and_then(|inner| inner.strip_suffix("-->"));
    inner.is_some_and(|inner| !inner.contains("-->") && !inner.starts_with(['>', '-']))
}

/// The mark of a fence at the margin and how often it stands, with what follows.
fn marks(line: &str) -> Option<(char, usize, &str)> {
    let mark = line.chars().next().filter(|mark| "`~".contains(*mark))?;
    let rest = line.trim_start_matches(mark);
    let count = line.len() - rest.len();
    (count >= 3).then_some((mark, count, rest))
}

fn opens(line: &str) -> Option<(char, usize)> {
    let (mark, count, info) = marks(line)?;
    (mark == '~' || !info.contains('`')).then_some((mark, count))
}

/// A closing fence may be indented by up to three blanks.
fn closes(line: &str, (open, least): (char, usize)) -> bool {
    let inner = line.trim_start_matches(' ');
    line.len() - inner.len() <= 3
        && marks(inner).is_some_and(|(mark, count, rest)| {
            mark == open && count >= least && rest.trim_matches([' ', '\t']).is_empty()
        })
}
