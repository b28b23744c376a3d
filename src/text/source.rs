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
}
