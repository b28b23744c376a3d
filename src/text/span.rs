//! A byte range in a worksheet.

/// A half-open byte range `start..end` in one worksheet; both ends lie on character boundaries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The range `start..end`. Worksheets are capped at [`super::MAX_BYTES`], so 32 bits suffice.
    pub fn new(start: usize, end: usize) -> Self {
        debug_assert!(start <= end && end <= u32::MAX as usize);
        Self {
            start: start as u32,
            end: end as u32,
        }
    }

    /// The smallest span that holds both.
    pub fn cover(self, other: Self) -> Self {
        Self {
            start: self.start.min(other.start),
            end: self.end.max(other.end),
        }
    }

    /// Length in bytes.
    pub fn len(self) -> usize {
        (self.end - self.start) as usize
    }

    /// Whether it holds no byte.
    pub fn is_empty(self) -> bool {
        self.start == self.end
    }

    /// The empty span at the end of this one.
    pub fn at_end(self) -> Self {
        Self {
            start: self.end,
            end: self.end,
        }
    }

    /// The same range where so many bytes stand above.
    #[must_use]
    pub fn moved(self, by: u32) -> Self {
        Self {
            start: self.start + by,
            end: self.end + by,
        }
    }

    /// The text it covers; empty when it does not fit `text`.
    pub fn of(self, text: &str) -> &str {
        text.get(self.start as usize..self.end as usize)
            .unwrap_or("")
    }
}
