//! The text of one worksheet, and its lines.

use super::Span;

/// The largest worksheet that is read, in bytes.
pub const MAX_BYTES: usize = 16 * 1024 * 1024;

/// A worksheet's text with its name and the starts of its lines.
#[derive(Debug, Clone)]
pub struct Source {
    name: String,
    text: String,
    line_starts: Vec<u32>,
}

/// A place for people: 1-based line, and 1-based column counted in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Position {
    /// 1-based line.
    pub line: usize,
    /// 1-based column, in characters.
    pub column: usize,
}

/// Why bytes could not become a [`Source`].
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unreadable {
    /// A byte sequence that is not UTF-8, at this 1-based line and byte column.
    #[error("not UTF-8 at line {line}, byte {column}")]
    NotUtf8 {
        /// 1-based line.
        line: usize,
        /// 1-based byte in the line.
        column: usize,
    },
    /// More than [`MAX_BYTES`].
    #[error("{bytes} bytes long; the limit is {MAX_BYTES}")]
    TooLarge {
        /// The length that was found.
        bytes: usize,
    },
}

impl Source {
    /// Takes text that is already in memory. `name` is what messages call it.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        let text = text.into();
        let line_starts = std::iter::once(0)
            .chain(
                text.bytes()
                    .enumerate()
                    .filter(|(_, byte)| *byte == b'\n')
                    .map(|(at, _)| at as u32 + 1),
            )
            .collect();
        Self {
            name: name.into(),
            text,
            line_starts,
        }
    }

    /// Takes the bytes of a file.
    ///
    /// # Errors
    /// [`Unreadable`] when the bytes are not UTF-8 or are more than [`MAX_BYTES`].
    pub fn from_bytes(name: impl Into<String>, bytes: Vec<u8>) -> Result<Self, Unreadable> {
        if bytes.len() > MAX_BYTES {
            return Err(Unreadable::TooLarge { bytes: bytes.len() });
        }
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Self::new(name, text)),
            Err(error) => {
                let valid = error.utf8_error().valid_up_to();
                let before = &error.as_bytes()[..valid];
                let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
                let line_start = before
                    .iter()
                    .rposition(|byte| *byte == b'\n')
                    .map_or(0, |at| at + 1);
                Err(Unreadable::NotUtf8 {
                    line,
                    column: valid - line_start + 1,
                })
            }
        }
    }

    /// What messages call the worksheet.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text, byte for byte.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The text in `span`.
    pub fn slice(&self, span: Span) -> &str {
        span.of(&self.text)
    }

    /// Line and column of a byte offset; an offset past the end is the end.
    pub fn position(&self, offset: u32) -> Position {
        let offset = (offset as usize).min(self.text.len());
        let line = self
            .line_starts
            .partition_point(|start| *start as usize <= offset)
            .saturating_sub(1);
        let start = self.line_starts[line] as usize;
        let before = self.text.get(start..offset.max(start)).unwrap_or("");
        let column = before.trim_start_matches('\u{feff}').chars().count() + 1;
        Position {
            line: line + 1,
            column,
        }
    }

    /// 1-based line of a byte offset.
    pub fn line_of(&self, offset: u32) -> usize {
        let line = self.line_starts.partition_point(|start| *start <= offset);
        line.max(1)
    }

    /// How many lines there are; at least one.
    pub fn line_count(&self) -> usize {
        self.line_starts.len()
    }

    /// The span of a 1-based line, without its line ending; empty past the end.
    pub fn line_span(&self, line: usize) -> Span {
        let Some(start) = line
            .checked_sub(1)
            .and_then(|index| self.line_starts.get(index))
            .map(|start| *start as usize)
        else {
            return Span::new(self.text.len(), self.text.len());
        };
        let next = (self.line_starts.get(line)).map_or(self.text.len(), |next| *next as usize);
        let reach = &self.text[start..next];
        let end = start + reach.find('\n').unwrap_or(reach.len());
        let line = &self.text[start..end];
        Span::new(start, start + line.trim_end_matches('\r').len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_count_characters_and_skip_the_byte_order_mark() {
        let source = Source::new("w", "\u{feff}αβ\r\nx");
        assert_eq!(source.position(3), Position { line: 1, column: 1 });
        assert_eq!(source.position(5), Position { line: 1, column: 2 });
        assert_eq!(source.position(9), Position { line: 2, column: 1 });
        assert_eq!(source.slice(source.line_span(1)), "\u{feff}αβ");
        assert_eq!(source.slice(source.line_span(2)), "x");
    }

    #[test]
    fn bytes_that_are_not_utf8_are_refused_with_their_place() {
        let error = Source::from_bytes("w", b"ok\nab\xffc".to_vec()).unwrap_err();
        assert_eq!(error, Unreadable::NotUtf8 { line: 2, column: 3 });
    }
}
