//! From the parser's lines and columns to byte ranges of the worksheet.
//!
//! The parser's columns are wrong in a few constructs, so nothing here trusts them: a code span
//! or a formula is looked up in the text, and a place that cannot be confirmed is not given.

use std::borrow::Cow;

use comrak::nodes::Sourcepos;

use crate::text::Span;

/// The Markdown of a worksheet below its front matter, and where its lines begin.
#[derive(Debug)]
pub(super) struct Body<'s> {
    text: Cow<'s, str>,
    /// Where the text begins in the worksheet, after `lead` bytes that stand in front of it.
    offset: usize,
    lead: usize,
    /// Where each line begins and ends (without its line ending), in bytes of `text`.
    lines: Vec<(usize, usize)>,
}

impl<'s> Body<'s> {
    /// The part of `whole` from byte `start`.
    pub(super) fn new(whole: &'s str, start: usize) -> Self {
        let text = whole.get(start..).unwrap_or("");
        // The parser would put three bytes for a NUL and shift all that follows.
        let text = match text.contains('\0') {
            true => Cow::Owned(text.replace('\0', "\u{1}")),
            false => Cow::Borrowed(text),
        };
        let lines = line_ranges(&text);
        Self {
            text,
            offset: start,
            lead: 0,
            lines,
        }
    }

    /// One line of which the first `lead` bytes do not stand in the worksheet; the byte after
    /// them stands at `start` there.
    pub(super) fn with_lead(line: &'s str, lead: usize, start: usize) -> Self {
        Self {
            lead,
            offset: start,
            ..Self::new(line, 0)
        }
    }

    /// What the parser is to read.
    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// The place of `start..end` of [`Self::text`] in the worksheet, widened to whole characters.
    pub(super) fn span(&self, start: usize, end: usize) -> Span {
        let start = self.text.floor_char_boundary(start.min(self.text.len()));
        let end = self
            .text
            .ceil_char_boundary(end.clamp(start, self.text.len()));
        let place = |at: usize| self.offset + at.saturating_sub(self.lead);
        Span::new(place(start), place(end))
    }

    /// The text at a place that [`Self::span`] gave.
    pub(super) fn source_slice(&self, span: Span) -> &str {
        let inside = |at: u32| (at as usize).saturating_sub(self.offset) + self.lead;
        self.slice(inside(span.start), inside(span.end))
    }

    /// The bytes of a 1-based line; an empty range at the end for a line that does not exist.
    pub(super) fn line(&self, line: usize) -> (usize, usize) {
        let end = (self.text.len(), self.text.len());
        line.checked_sub(1)
            .and_then(|index| self.lines.get(index).copied())
            .unwrap_or(end)
    }

    /// The text of a byte range; empty where it does not fit.
    pub(super) fn slice(&self, start: usize, end: usize) -> &str {
        self.text.get(start..end).unwrap_or("")
    }

    /// The whole lines of a node.
    pub(super) fn lines_of(&self, place: Sourcepos) -> Span {
        let (start, _) = self.line(place.start.line);
        let (_, end) = self.line(place.end.line.max(place.start.line));
        self.span(start, end)
    }

    /// A place without the blank lines at its end: the parser counts some to the last node of a text.
    pub(super) fn without_blank_end(&self, place: Span) -> Span {
        let blanks = |letter: char| matches!(letter, ' ' | '\t' | '\r' | '\n');
        let text = self.source_slice(place);
        let kept = text.trim_end_matches(blanks).len();
        // The blanks behind the last word are its line's.
        let end = text[kept..]
            .find(['\r', '\n'])
            .map_or(text.len(), |at| kept + at);
        Span::new(place.start as usize, place.start as usize + end)
    }

    /// The first byte of the line after a place, in the worksheet.
    pub(super) fn next_line(&self, place: u32) -> u32 {
        let rest = self.source_slice(Span {
            start: place,
            end: self.span(0, self.text.len()).end,
        });
        let ending = rest
            .bytes()
            .take_while(|byte| matches!(byte, b'\r' | b'\n'))
            .take(2);
        place + ending.count() as u32
    }

    /// A node's own characters, as far as the parser's columns can be trusted.
    pub(super) fn place(&self, place: Sourcepos) -> Span {
        let start = self.offset_of(place.start.line, place.start.column.saturating_sub(1));
        let end = self.offset_of(place.end.line, place.end.column);
        self.span(start, end.max(start))
    }

    fn offset_of(&self, line: usize, column: usize) -> usize {
        let (start, end) = self.line(line);
        (start + column).min(end)
    }

    /// What stands between the backticks of a code span, trimmed; `None` where it is not found.
    pub(super) fn code(&self, place: Sourcepos, ticks: usize, literal: &str) -> Option<Span> {
        let wanted = squeezed(literal);
        // Escapes and the marks of quotes make the source longer than the literal; a bound keeps
        // a search that starts at the wrong place short.
        let reach = literal.len() * 4 + 256;
        self.starts(place, b'`')
            .filter_map(|at| self.between(at, b'`', ticks, reach))
            .find(|&(start, end)| {
                let found = self.slice(start, end);
                squeezed(found) == wanted || squeezed(&found.replace("\\|", "|")) == wanted
            })
            .map(|(start, end)| self.trimmed(start, end))
    }

    /// The TeX between dollars; the whole place of the node where it is not found.
    pub(super) fn tex(&self, place: Sourcepos, dollars: usize, literal: &str) -> Span {
        self.starts(place, b'$')
            .map(|at| (at + dollars, at + dollars + literal.len()))
            .find(|&(start, end)| self.slice(start, end) == literal)
            .map_or_else(|| self.place(place), |(start, end)| self.span(start, end))
    }

    /// Where a node may begin: where the parser says, then the few places about it that begin
    /// with the same byte.
    fn starts(&self, place: Sourcepos, mark: u8) -> impl Iterator<Item = usize> {
        // A table cell counts each escaped bar before the span as one byte too few.
        const REACH: usize = 64;
        let (line_start, line_end) = self.line(place.start.line);
        let stated = self.offset_of(place.start.line, place.start.column.saturating_sub(1));
        let near = stated.saturating_sub(REACH).max(line_start)..(stated + REACH).min(line_end);
        let bytes = self.text.as_bytes();
        std::iter::once(stated)
            .chain(near)
            .filter(move |&at| bytes.get(at) == Some(&mark))
            .filter(move |&at| at == 0 || bytes.get(at - 1) != Some(&mark))
    }

    /// The range between a run of exactly `count` marks at `at` and the next such run, which
    /// begins within `reach` bytes.
    fn between(&self, at: usize, mark: u8, count: usize, reach: usize) -> Option<(usize, usize)> {
        let bytes = self.text.as_bytes();
        let run = |from: usize| {
            bytes
                .iter()
                .skip(from)
                .take_while(|byte| **byte == mark)
                .count()
        };
        if run(at) != count {
            return None;
        }
        let start = at + count;
        let mut end = start;
        while end < bytes.len().min(start + reach) {
            match run(end) {
                0 => end += 1,
                found if found == count => return Some((start, end)),
                other => end += other,
            }
        }
        None
    }

    fn trimmed(&self, start: usize, end: usize) -> Span {
        let text = self.slice(start, end);
        let start = start + (text.len() - text.trim_start().len());
        self.span(start, start + text.trim().len())
    }

    /// The place of each line of a fence's content: the end of a source line, since all that
    /// the parser takes away stands in front.
    pub(super) fn content_lines(&self, first: usize, literal: &str) -> Vec<Span> {
        line_ranges(literal)
            .into_iter()
            // What follows the last line ending is no line.
            .filter(|&(start, _)| start < literal.len())
            .enumerate()
            .map(|(index, (from, to))| {
                let (start, end) = self.line(first + index);
                let source = self.slice(start, end);
                let content = literal.get(from..to).unwrap_or("");
                // A tab that is taken away in part comes back as blanks.
                let content = match source.ends_with(content) {
                    true => content,
                    false => content.trim_start_matches([' ', '\t']),
                };
                let length = if source.ends_with(content) {
                    content.len()
                } else {
                    0
                };
                self.span(end - length, end)
            })
            .collect()
    }
}

/// The lines of a text as Markdown counts them: LF, CR LF and CR alone end a line.
fn line_ranges(text: &str) -> Vec<(usize, usize)> {
    let bytes = text.as_bytes();
    let mut lines = Vec::with_capacity(bytes.len() / 32);
    let mut start = 0;
    for (at, byte) in bytes.iter().enumerate() {
        match byte {
            b'\n' if at > 0 && bytes.get(at - 1) == Some(&b'\r') => start = at + 1,
            b'\n' | b'\r' => {
                lines.push((start, at));
                start = at + 1;
            }
            _ => {}
        }
    }
    lines.push((start, bytes.len()));
    lines
}

/// Without white space and without the marks of quotes at line beginnings.
fn squeezed(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for (index, line) in text.split(['\n', '\r']).enumerate() {
        let line = match index {
            0 => line,
            _ => line.trim_start_matches([' ', '\t', '>']),
        };
        out.extend(line.chars().filter(|character| !character.is_whitespace()));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_end_as_in_markdown() {
        assert_eq!(line_ranges("a\r\nb\rc\n"), [(0, 1), (3, 4), (5, 6), (7, 7)]);
    }

    #[test]
    fn places_are_counted_in_the_whole_worksheet_and_widened_to_characters() {
        let body = Body::new("---\n---\né\0x", 8);
        assert_eq!(body.span(1, 1), Span::new(8, 10));
        assert_eq!(body.span(2, 99), Span::new(10, 12));
        assert_eq!(body.source_slice(Span::new(10, 12)), "\u{1}x");
    }

    #[test]
    fn content_lines_are_the_ends_of_source_lines() {
        let body = Body::new("> ```given\n> a\n>\n> \tb\n", 0);
        let places = body.content_lines(2, "a\n\n  b\n");
        let found: Vec<&str> = places
            .into_iter()
            .map(|place| body.source_slice(place))
            .collect();
        assert_eq!(found, ["a", "", "b"]);
    }
}
