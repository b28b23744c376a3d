//! What a worksheet is made of after the Markdown has been read.

use serde::Deserialize;

use crate::text::Span;

/// The first words that are kept for blocks to come; they are split out in the same way.
pub const LATER_WORDS: &[&str] = &["data", "sketch", "plot", "fit"];

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
#[derive(Debug, Clone, PartialEq, Eq)]
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
        }
    }
}

/// The family of units that automatic results prefer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum Units {
    /// `SI`
    #[default]
    #[serde(rename = "SI", alias = "si")]
    Si,
    /// `US`
    #[serde(rename = "US", alias = "us")]
    Us,
}

/// The paper that the page is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
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
        /// What stands between the heading's tags.
        fragments: Vec<Fragment>,
    },
    /// Any other Markdown at the top level: one paragraph, list, table, quote, ordinary code.
    Prose {
        /// The whole lines.
        span: Span,
        /// The HTML, tags included.
        fragments: Vec<Fragment>,
    },
    /// A fence whose first info word is that of a [`BlockKind`](crate::text::BlockKind) or one of
    /// [`LATER_WORDS`].
    Block {
        /// That word.
        kind_word: String,
        /// The whole fence.
        span: Span,
        /// Each inner line without prefixes of lists and quotes and without its line ending.
        lines: Vec<Span>,
    },
}

/// A part of prose; the fragments of a piece, written one after another, are well-formed.
#[derive(Debug, Clone, PartialEq)]
pub enum Fragment {
    /// Finished HTML; tags may open in one fragment and close in a later one.
    Html(String),
    /// A code span, which may be an ask.
    Code {
        /// What stands between the backticks, trimmed.
        span: Span,
        /// How it prints when it is not an ask.
        html: String,
    },
    /// TeX between dollars.
    Tex {
        /// The TeX without its dollars.
        tex: String,
        /// Whether it stood between double dollars.
        display: bool,
        /// The TeX in the worksheet, without its dollars where they could be found.
        span: Span,
    },
    /// A link to a label that no link definition explains: an equation, perhaps.
    Reference {
        /// The label as it is written.
        label: String,
        /// The whole link.
        span: Span,
        /// How it prints when there is no such label.
        html: String,
        /// The words of the link, where they differ from the label.
        text: Option<String>,
    },
}
