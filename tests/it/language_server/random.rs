//! Numbers that look random and are the same each time.

/// A generator with its state.
pub struct Random(u64);

impl Random {
    /// Begins at a number.
    pub fn new(start: u64) -> Self {
        Self(start.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// A number below `end`.
    pub fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as usize % end.max(1)
    }

    /// One of several.
    pub fn pick<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }
}
