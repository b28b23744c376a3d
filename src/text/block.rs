//! The blocks of a worksheet, one a row.

/// What a name does that stands alone on the left of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// The line defines it.
    Defined,
    /// The line asks for it.
    Asked,
    /// The line is an equation about it.
    Stated,
    /// The line uses it.
    Used,
}

macro_rules! blocks {
    ($($block:ident $word:literal $left:ident $about:literal,)*) => {
        /// The blocks that hold statements.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum BlockKind { $(#[doc = $about] $block,)* }

        impl BlockKind {
            /// Every block, in the order in which a problem has them.
            pub const ALL: &'static [Self] = &[$(Self::$block,)*];

            /// The block's word in a fence.
            pub fn word(self) -> &'static str {
                match self { $(Self::$block => $word,)* }
            }

            /// What a name does that stands alone on the left of its lines.
            pub fn left(self) -> Left {
                match self { $(Self::$block => Left::$left,)* }
            }

            /// What it holds, in a sentence.
            pub fn about(self) -> &'static str {
                match self { $(Self::$block => $about,)* }
            }
        }
    };
}

blocks! {
    Given "given" Defined "the data, one quantity a line: `D = 125 mm -- inside diameter`",
    Required "required" Asked "the unknowns, with the unit each is asked in: `P = ? kW`",
    Derive "derive" Stated "equations and steps in symbols: `head: h = H + K V^2/(2 g)`",
    Work "work" Defined "the numbers: `V = Q/A = ? m/s` asks, `V = Q/A = 1.793 m/s` claims",
    Check "check" Used "assertions about the results: `V < 3 m/s`",
    Plot "plot" Used "a diagram, one series a line: `p / kPa against Q / (L/s) from 0 to 40`",
    Answer "answer" Used "the boxed answers: `P = ? kW to 3 figures`",
}

impl BlockKind {
    /// The block whose fence has this word.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.word() == word)
    }
}
