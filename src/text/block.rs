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

/// Whether a label stands behind the word of a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Labelled {
    /// None does; labels stand before its lines.
    No,
    /// One may.
    May,
    /// One has to.
    Always,
}

/// What is numbered in one row over the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Series {
    /// `(3)`
    Equation,
    /// `Table 3`
    Table,
    /// `Fit 3`
    Fit,
    /// `Figure 3`
    Figure,
}

impl Series {
    /// Every series.
    pub const ALL: [Self; 4] = [Self::Equation, Self::Table, Self::Fit, Self::Figure];

    /// What has this number, as prose names it; the blank is one at which no line ends.
    pub fn reference(self, number: usize) -> String {
        match self {
            Self::Equation => format!("({number})"),
            Self::Table => format!("Table\u{a0}{number}"),
            Self::Fit => format!("Fit\u{a0}{number}"),
            Self::Figure => format!("Figure\u{a0}{number}"),
        }
    }
}

macro_rules! blocks {
    ($($block:ident $word:literal $left:ident $labelled:ident $series:ident $about:literal,)*) => {
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

            /// Whether a label stands behind its word.
            pub fn labelled(self) -> Labelled {
                match self { $(Self::$block => Labelled::$labelled,)* }
            }

            /// Where what has a label in it is numbered.
            pub fn series(self) -> Series {
                match self { $(Self::$block => Series::$series,)* }
            }

            /// What it holds, in a sentence.
            pub fn about(self) -> &'static str {
                match self { $(Self::$block => $about,)* }
            }
        }
    };
}

blocks! {
    Given "given" Defined No Equation "the data, one quantity a line: `D = 125 mm -- inside diameter`",
    Data "data" Defined Always Table "a table of readings under its headings: `l_i / mm | t_i / s`",
    Required "required" Asked No Equation "the unknowns, with the unit each is asked in: `P = ? kW`",
    Sketch "sketch" Used No Figure "a body and what acts on it, one a line: `force F down at C`; the first line says what it is of",
    Derive "derive" Stated No Equation "equations and steps in symbols: `head: h = H + K V^2/(2 g)`",
    Work "work" Defined No Equation "the numbers: `V = Q/A = ? m/s` asks, `V = Q/A = 1.793 m/s` claims",
    Fit "fit" Defined Always Fit "a formula with parameters fitted to lists: `T_i = c + k L_i`, and below it `k = ? s/m`",
    Check "check" Used No Equation "assertions about the results: `V < 3 m/s`",
    Plot "plot" Used May Figure "a diagram, one series a line: `p / kPa against Q / (L/s) from 0 to 40`",
    Answer "answer" Used No Equation "the boxed answers: `P = ? kW to 3 figures`",
    Versions "versions" Used No Equation "what other versions of the problem vary, and what has to hold in them: `D from 70 mm to 100 mm in steps of 5 mm`",
}

impl BlockKind {
    /// The block whose fence has this word.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.word() == word)
    }

    /// Whether its lines say what holds of the results.
    pub fn asserts(self) -> bool {
        matches!(self, Self::Check | Self::Versions)
    }
}
