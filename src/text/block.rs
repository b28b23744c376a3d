//! The blocks of a worksheet, by the words of their fences.

/// The blocks that hold statements.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BlockKind {
    /// The data.
    Given,
    /// The unknowns.
    Required,
    /// Equations in symbols.
    Derive,
    /// The numbers.
    Work,
    /// Assertions about the result.
    Check,
    /// The boxed answers.
    Answer,
}

impl BlockKind {
    /// Every block, in the order in which a problem has them.
    pub const ALL: [Self; 6] = [
        Self::Given,
        Self::Required,
        Self::Derive,
        Self::Work,
        Self::Check,
        Self::Answer,
    ];

    /// The block's word in a fence.
    pub fn word(self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::Required => "required",
            Self::Derive => "derive",
            Self::Work => "work",
            Self::Check => "check",
            Self::Answer => "answer",
        }
    }

    /// The block whose fence has this word.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}
