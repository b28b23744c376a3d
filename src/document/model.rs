//! What a worksheet is made of after the Markdown has been read.

use serde::Deserialize;

use super::markup::{Block, Hole, Inline, blocks_filled, text_filled};
use crate::quantity::Within;
use crate::text::{BlockKind, Span};

/// A worksheet: its front matter and its pieces in the order of the page.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// The settings at the top.
    pub front: FrontMatter,
    /// Where the Markdown begins, below the settings.
    pub body: usize,
    /// Headings, prose and blocks, top to bottom; footnotes come last.
    pub pieces: Vec<Piece>,
}

/// The settings of a worksheet.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct FrontMatter {
    /// `title`
    pub title: Option<String>,
    /// `author`
    pub author: Option<String>,
    /// `date`, as it is written.
    pub date: Option<String>,
    /// `course`
    pub course: Option<String>,
    /// `figures`: significant figures of results, 1 to 15.
    pub figures: u8,
    /// `units`: which units automatic results prefer.
    pub units: Units,
    /// `paper`
    pub paper: Paper,
    /// `language`: letters, digits and hyphens, as in `en` or `pt-BR`.
    pub language: String,
    /// `contents`: whether the page begins with the list of entries.
    pub contents: bool,
    /// `numbers`: the units that numbers are put in with.
    pub numbers: Numbers,
    /// `layout`: how the lines of a calculation stand.
    pub layout: Layout,
    /// What is said of question papers.
    pub exam: Exam,
}

impl Default for FrontMatter {
    fn default() -> Self {
        Self {
            title: None,
            author: None,
            date: None,
            course: None,
            figures: 4,
            units: Units::default(),
            paper: Paper::default(),
            language: "en".to_owned(),
            contents: false,
            numbers: Numbers::default(),
            layout: Layout::default(),
            exam: Exam::default(),
        }
    }
}

/// What is said of question papers: facts of a problem, and settings of a paper.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Exam {
    /// `topic`: what it is about, the first thing first.
    pub topics: Vec<String>,
    /// `level`: how hard it is, 1 to 5.
    pub level: Option<u8>,
    /// `minutes`: how long it takes.
    pub minutes: Option<u16>,
    /// `time`: how long a paper takes, as it is printed.
    pub time: Option<String>,
    /// `versions`: how many there are beside the worksheet as it is written.
    pub versions: Option<u16>,
    /// `series`: free text that decides which numbers versions have.
    pub series: Option<String>,
    /// `formulas`: the equations of the formula sheet.
    pub formulas: Formulas,
    /// `within`: how far an answer may be off.
    pub within: Option<Within>,
    /// `space`: what is left for answers.
    pub space: Space,
}

/// Which equations stand on the formula sheet.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub enum Formulas {
    /// There is no such sheet.
    #[default]
    None,
    /// Those that the prose of the solutions refers to.
    Cited,
    /// Those with these labels.
    Labels(Vec<String>),
}

/// What is left for answers on a question paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Space {
    /// Ruled lines.
    #[default]
    Lines,
    /// A frame.
    Boxes,
    /// Nothing.
    None,
}

/// The family of units that automatic results prefer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
pub enum Units {
    /// `SI`
    #[default]
    #[serde(rename = "SI", alias = "si")]
    Si,
    /// `US`
    #[serde(rename = "US", alias = "us")]
    Us,
}

/// How the lines of a calculation stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
pub enum Layout {
    /// `compact`: symbols, numbers and result in one row where there is room.
    #[default]
    #[serde(rename = "compact")]
    Compact,
    /// `full`: each in a row of its own.
    #[serde(rename = "full")]
    Full,
}

/// The units that numbers are put in with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
pub enum Numbers {
    /// `as given`: as they were printed, where these cohere with the result.
    #[default]
    #[serde(rename = "as given")]
    AsGiven,
    /// `base units`: always in coherent units.
    #[serde(rename = "base units")]
    BaseUnits,
}

/// The paper that the page is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
pub enum Paper {
    /// `A4`
    #[default]
    #[serde(rename = "A4", alias = "a4")]
    A4,
    /// `letter`
    #[serde(rename = "letter", alias = "Letter")]
    Letter,
}

/// One piece of a worksheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Piece {
    /// A heading that stands at the top level.
    Heading {
        /// 1 to 6.
        level: u8,
        /// The whole lines.
        span: Span,
        /// A name for links, unique in the worksheet, beginning with `h-`.
        id: String,
        /// The words alone.
        text: String,
        /// The words with their looks.
        content: Vec<Inline<Hole>>,
    },
    /// Any other Markdown at the top level: one paragraph, list, table, quote, ordinary code.
    Prose {
        /// The whole lines.
        span: Span,
        /// What it is; where an evaluated block divides a list or quote, what is on one side.
        blocks: Vec<Block<Hole>>,
    },
    /// A fence whose first info word is that of a [`BlockKind`].
    Block {
        /// Which.
        kind: BlockKind,
        /// The label behind it, where the block has one.
        label: Option<Span>,
        /// The whole fence.
        span: Span,
        /// Each inner line without prefixes of lists and quotes and without its line ending.
        lines: Vec<Span>,
    },
}

impl Piece {
    /// Shows `look` every open place of prose, in the order of the text.
    pub fn for_each_open<'t>(&'t self, look: &mut impl FnMut(&'t Hole)) {
        match self {
            Self::Heading { content, .. } => {
                content.iter().for_each(|inline| inline.for_each_open(look));
            }
            Self::Prose { blocks, .. } => {
                blocks.iter().for_each(|block| block.for_each_open(look));
            }
            Self::Block { .. } => {}
        }
    }

    /// Where it stands.
    pub fn span(&self) -> Span {
        match self {
            Self::Heading { span, .. } | Self::Prose { span, .. } | Self::Block { span, .. } => {
                *span
            }
        }
    }

    /// The same in a text in which so many bytes stand above.
    #[must_use]
    pub fn moved(mut self, by: u32) -> Self {
        if by == 0 {
            return self;
        }
        let mut open = |hole: &Hole| Inline::other(hole.moved(by));
        match &mut self {
            Self::Heading { span, content, .. } => {
                *span = span.moved(by);
                *content = text_filled(content, &mut open);
            }
            Self::Prose { span, blocks } => {
                *span = span.moved(by);
                *blocks = blocks_filled(blocks, &mut open);
            }
            Self::Block {
                span, lines, label, ..
            } => {
                *span = span.moved(by);
                *label = label.map(|label| label.moved(by));
                lines.iter_mut().for_each(|line| *line = line.moved(by));
            }
        }
        self
    }
}
