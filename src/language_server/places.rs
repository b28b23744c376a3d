//! Places of the protocol and places in a worksheet, both ways.
//!
//! The protocol counts lines from 0 and characters in units of an encoding; a worksheet's
//! [`Source`] may keep its text with room between its pieces. What both agree on is the byte of a
//! line of the file, and every conversion goes through it.

use lsp_types::{Position, PositionEncodingKind, Range};

use crate::text::{Source, Span};

/// What a character of a position is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Encoding {
    /// Bytes.
    Utf8,
    /// What every client understands.
    #[default]
    Utf16,
    /// Characters.
    Utf32,
}

impl Encoding {
    /// The encoding that a client likes best; UTF-16 where it does not say.
    pub fn best(offered: &[PositionEncodingKind]) -> Self {
        let known = [Self::Utf8, Self::Utf16, Self::Utf32];
        let named = |kind: &PositionEncodingKind| known.into_iter().find(|own| own.kind() == *kind);
        offered.iter().find_map(named).unwrap_or_default()
    }

    /// Its name in the protocol.
    pub fn kind(self) -> PositionEncodingKind {
        match self {
            Self::Utf8 => PositionEncodingKind::UTF8,
            Self::Utf16 => PositionEncodingKind::UTF16,
            Self::Utf32 => PositionEncodingKind::UTF32,
        }
    }

    /// How long a text is.
    fn length(self, text: &str) -> usize {
        match self {
            Self::Utf8 => text.len(),
            Self::Utf16 => text.encode_utf16().count(),
            Self::Utf32 => text.chars().count(),
        }
    }

    /// The byte of a line at which a character begins; one that lies inside a character is its
    /// start, and one past the end is the end.
    fn byte(self, line: &str, character: u32) -> usize {
        let mut left = character as usize;
        for (at, letter) in line.char_indices() {
            let length = match self {
                Self::Utf8 => letter.len_utf8(),
                Self::Utf16 => letter.len_utf16(),
                Self::Utf32 => 1,
            };
            if left < length {
                return at;
            }
            left -= length;
        }
        line.len()
    }
}

/// Where the lines of a text begin.
#[derive(Debug, Clone, Default)]
pub(super) struct Lines {
    /// A line ends at `\n`, `\r\n` or a lone `\r`.
    starts: Vec<u32>,
}

impl Lines {
    /// The lines of a text.
    pub fn of(text: &str) -> Self {
        let mut starts = vec![0];
        let bytes = text.as_bytes();
        for (at, byte) in bytes.iter().enumerate() {
            let next = at as u32 + 1;
            match byte {
                b'\n' => starts.push(next),
                b'\r' if bytes.get(at + 1) != Some(&b'\n') => starts.push(next),
                _ => {}
            }
        }
        Self { starts }
    }
}

/// A text with its lines, in the encoding of the client.
#[derive(Debug, Clone, Copy)]
pub(super) struct Text<'a> {
    /// The text as it stands in the file.
    pub text: &'a str,
    /// Its lines.
    pub lines: &'a Lines,
    /// What its characters are counted in.
    pub encoding: Encoding,
}

impl Text<'_> {
    /// The byte of the file at a position; past the end of a line or of the text it is that end.
    pub fn offset(&self, position: Position) -> usize {
        let starts = &self.lines.starts;
        let Some(start) = starts.get(position.line as usize) else {
            return self.text.len();
        };
        let next = starts.get(position.line as usize + 1);
        let end = next.map_or(self.text.len(), |next| *next as usize);
        let line = &self.text[*start as usize..end];
        let line = line.trim_end_matches('\n').trim_end_matches('\r');
        *start as usize + self.encoding.byte(line, position.character)
    }

    /// The position of a byte of the file.
    pub fn position(&self, offset: usize) -> Position {
        let offset = offset.min(self.text.len());
        let line = self
            .lines
            .starts
            .partition_point(|start| *start as usize <= offset)
            - 1;
        let start = self.lines.starts[line] as usize;
        let before = self.text.get(start..offset).unwrap_or("");
        Position::new(line as u32, self.encoding.length(before) as u32)
    }

    /// The span of the file in a range.
    pub fn span(&self, range: Range) -> Span {
        let (start, end) = (self.offset(range.start), self.offset(range.end));
        Span::new(start.min(end), start.max(end))
    }

    /// The range of a span of the file.
    pub fn range(&self, span: Span) -> Range {
        Range::new(
            self.position(span.start as usize),
            self.position(span.end as usize),
        )
    }
}

/// A text with the worksheet's source made from it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Places<'a> {
    /// The text as it stands in the file.
    pub file: Text<'a>,
    /// The worksheet's source, which may have room between its pieces.
    pub source: &'a Source,
}

impl Places<'_> {
    /// The place in the source at a position.
    pub fn at(&self, position: Position) -> u32 {
        self.file.offset(position) as u32
    }

    /// The position of a place in the source.
    pub fn position(&self, place: u32) -> Position {
        self.file.position(place as usize)
    }

    /// The range of a span of the source.
    pub fn range(&self, span: Span) -> Range {
        Range::new(self.position(span.start), self.position(span.end))
    }

    /// The span of the source in a range.
    pub fn span(&self, range: Range) -> Span {
        let (start, end) = (self.at(range.start), self.at(range.end));
        Span::new(start.min(end) as usize, start.max(end) as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const ENCODINGS: [Encoding; 3] = [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32];

    fn text() -> impl Strategy<Value = String> {
        let piece = prop::sample::select(vec![
            "a", "= ", "é", "e\u{301}", "𝛼", "😀", "\u{feff}", "\n", "\n\n", "\r\n", "\r",
        ]);
        prop::collection::vec(piece, 0..24).prop_map(|pieces| pieces.concat())
    }

    fn units(encoding: Encoding, letter: char) -> u32 {
        match encoding {
            Encoding::Utf8 => letter.to_string().len() as u32,
            Encoding::Utf16 => letter.encode_utf16(&mut [0; 2]).len() as u32,
            Encoding::Utf32 => 1,
        }
    }

    /// Every character with the position before it, and the position at the end.
    fn walk(text: &str, encoding: Encoding) -> Vec<(usize, Position)> {
        let mut found = Vec::new();
        let mut position = Position::new(0, 0);
        let mut letters = text.char_indices().peekable();
        while let Some((at, letter)) = letters.next() {
            found.push((at, position));
            let next = letters.peek().map(|(_, next)| *next);
            if letter == '\n' || (letter == '\r' && next != Some('\n')) {
                position = Position::new(position.line + 1, 0);
            } else {
                position.character += units(encoding, letter);
            }
        }
        found.push((text.len(), position));
        found
    }

    /// The last character of the line that begins at or before the position, no line end.
    fn naive_offset(text: &str, encoding: Encoding, position: Position) -> usize {
        let all = walk(text, encoding);
        let (last, end) = all[all.len() - 1];
        if position.line > end.line {
            return last;
        }
        let ends_line = |at: usize| text[at..].starts_with(['\r', '\n']);
        let on_line = || all.iter().filter(|(_, other)| other.line == position.line);
        let end_of_line = on_line().map(|(at, _)| *at).find(|at| ends_line(*at));
        let before = on_line().filter(|(_, other)| other.character <= position.character);
        let found = before.map(|(at, _)| *at).max().unwrap_or(last);
        found.min(end_of_line.unwrap_or(last))
    }

    proptest! {
        #[test]
        fn positions_are_those_that_are_counted_one_by_one(text in text()) {
            let lines = Lines::of(&text);
            for encoding in ENCODINGS {
                let file = Text { text: &text, lines: &lines, encoding };
                for (at, position) in walk(&text, encoding) {
                    prop_assert_eq!(file.position(at), position);
                }
            }
        }

        #[test]
        fn offsets_are_those_that_are_counted_one_by_one(
            text in text(),
            line in 0_u32..8,
            character in prop_oneof![0_u32..12, Just(u32::MAX)],
        ) {
            let lines = Lines::of(&text);
            let position = Position::new(line, character);
            for encoding in ENCODINGS {
                let file = Text { text: &text, lines: &lines, encoding };
                let expected = naive_offset(&text, encoding, position);
                prop_assert_eq!(file.offset(position), expected, "{:?}", encoding);
            }
        }
    }

    #[test]
    fn the_client_chooses_the_encoding() {
        let best = |offered: &[&'static str]| {
            let offered: Vec<_> = offered
                .iter()
                .map(|kind| PositionEncodingKind::new(kind))
                .collect();
            Encoding::best(&offered)
        };
        assert_eq!(best(&[]), Encoding::Utf16);
        assert_eq!(best(&["utf-7"]), Encoding::Utf16);
        assert_eq!(best(&["utf-8", "utf-16"]), Encoding::Utf8);
        assert_eq!(best(&["utf-7", "utf-32", "utf-16"]), Encoding::Utf32);
        assert_eq!(best(&["utf-16", "utf-8"]), Encoding::Utf16);
    }
}
