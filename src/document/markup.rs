//! Prose as a tree: what stands in a line, and the blocks of Markdown around it.
//!
//! The trees are generic over what stands at the places that Markdown leaves open: for this room
//! a [`Hole`], for the passes above what they put there.

use std::sync::Arc;

use crate::text::Span;

/// A place in a text that a later pass fills in.
#[derive(Debug, Clone, PartialEq)]
pub enum Hole {
    /// A code span, which may be an ask.
    Code {
        /// What stands between the backticks, trimmed.
        span: Span,
        /// How it prints when it is not an ask.
        text: String,
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
        /// How it prints when there is no such label: as it is written.
        written: String,
        /// The words of the link, where they differ from the label.
        text: Option<String>,
    },
    /// A picture beside the worksheet, or written out in the link itself.
    Picture {
        /// Where it is and what is said of it.
        image: Box<Image>,
        /// The whole link.
        span: Span,
        /// Whether it is all that stands in its paragraph.
        is_alone: bool,
    },
}

impl Hole {
    /// The same in a text in which so many bytes stand above.
    #[must_use]
    pub fn moved(&self, by: u32) -> Self {
        let mut moved = self.clone();
        match &mut moved {
            Self::Code { span, .. }
            | Self::Tex { span, .. }
            | Self::Reference { span, .. }
            | Self::Picture { span, .. } => {
                *span = span.moved(by);
            }
        }
        moved
    }
}

/// What stands in a line of text. Nearly all of a text is words: what is larger has a place of its
/// own.
#[derive(Debug, Clone, PartialEq)]
pub enum Inline<H> {
    /// Words; a line feed is a blank that may be written as one.
    Text(String),
    /// A new line begins.
    LineBreak,
    /// Words that look otherwise.
    Styled(Style, Vec<Inline<H>>),
    /// Code.
    Code(String),
    /// TeX math.
    Tex(Box<Tex>),
    /// A link to elsewhere, or to a heading by `#` and its name.
    Link(Box<Link<H>>),
    /// A picture.
    Image(Box<Image>),
    /// The mark of a footnote.
    Note {
        /// The footnote's number.
        number: usize,
        /// Whether it is the first mark of this footnote: the footnote leads back to it.
        is_first: bool,
    },
    /// What the passes above put here.
    Other(Box<H>),
}

/// A link.
#[derive(Debug, Clone, PartialEq)]
pub struct Link<H> {
    /// Where to.
    pub url: String,
    /// What a pointer that rests on it is told; may be empty.
    pub title: String,
    /// Its words.
    pub content: Vec<Inline<H>>,
}

/// A picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Image {
    /// Where it is, as it is written.
    pub url: String,
    /// An address that holds all its bytes; none before it is read, and where it cannot be shown.
    pub source: Option<Arc<str>>,
    /// As of a link.
    pub title: String,
    /// What it shows.
    pub words: String,
    /// How wide it stands; as wide as it is by itself where that is not said.
    pub width: Option<Width>,
}

/// How wide a picture stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Width {
    /// So many millimetres.
    Millimetres(f64),
    /// This part of the lines around it.
    Part(f64),
}

/// How words look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// `*words*`
    Emphasis,
    /// `**words**`
    Strong,
    /// `~~words~~`
    Struck,
}

/// TeX math.
#[derive(Debug, Clone, PartialEq)]
pub struct Tex {
    /// The formula without its dollars.
    pub tex: String,
    /// Whether it stands on a line of its own.
    pub display: bool,
    /// The same as MathML; `None` where it cannot be read.
    pub mathml: Option<String>,
}

/// A block of Markdown.
#[derive(Debug, Clone, PartialEq)]
pub enum Block<H> {
    /// A paragraph.
    Paragraph(Vec<Inline<H>>),
    /// The words of an item in a tight list.
    Plain(Vec<Inline<H>>),
    /// A heading inside a quote or a list.
    Heading(u8, Vec<Inline<H>>),
    /// A rule across the page.
    Rule,
    /// `<!-- new page -->`: what follows begins on another sheet of paper.
    NewPage,
    /// Ordinary code, or HTML that the author wrote, which is shown as it is written.
    Code {
        /// The first word of its fence; may be empty.
        language: String,
        /// Its lines.
        text: String,
    },
    /// `> `
    Quote(Vec<Block<H>>),
    /// `- ` and `1. `
    List {
        /// The number of the first item; `None` where items have dots.
        start: Option<usize>,
        /// The items.
        items: Vec<Item<H>>,
    },
    /// Terms and what is said about them.
    Descriptions(Vec<Description<H>>),
    /// A table.
    Table(Table<H>),
    /// The footnotes, by their numbers.
    Footnotes(Vec<Vec<Block<H>>>),
}

/// An item of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Item<H> {
    /// Whether it began in front of an evaluated block, which stands between.
    pub is_continued: bool,
    /// What it says.
    pub content: Vec<Block<H>>,
}

/// A part of a description list.
#[derive(Debug, Clone, PartialEq)]
pub enum Description<H> {
    /// What is described.
    Term(Vec<Inline<H>>),
    /// What is said about it.
    Details(Vec<Block<H>>),
}

/// A table of Markdown; all rows have a cell for each column.
#[derive(Debug, Clone, PartialEq)]
pub struct Table<H> {
    /// How the columns align.
    pub columns: Vec<Alignment>,
    /// The cells of the head.
    pub head: Vec<Vec<Inline<H>>>,
    /// The rows below, each with its cells.
    pub rows: Vec<Vec<Vec<Inline<H>>>>,
}

/// How the cells of a column align.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Alignment {
    /// As the page does it.
    Natural,
    /// `:--`
    Left,
    /// `:-:`
    Center,
    /// `--:`
    Right,
}

impl<H> Inline<H> {
    /// What a pass puts here.
    pub fn other(put: H) -> Self {
        Self::Other(Box::new(put))
    }

    /// The same text with what `fill` makes of the open places.
    pub fn filled<G>(&self, fill: &mut impl FnMut(&H) -> Inline<G>) -> Inline<G> {
        match self {
            Self::Text(text) => Inline::Text(text.clone()),
            Self::LineBreak => Inline::LineBreak,
            Self::Styled(style, content) => Inline::Styled(*style, text_filled(content, fill)),
            Self::Code(text) => Inline::Code(text.clone()),
            Self::Tex(tex) => Inline::Tex(tex.clone()),
            Self::Link(link) => Inline::Link(Box::new(Link {
                url: link.url.clone(),
                title: link.title.clone(),
                content: text_filled(&link.content, fill),
            })),
            Self::Image(image) => Inline::Image(image.clone()),
            Self::Note { number, is_first } => Inline::Note {
                number: *number,
                is_first: *is_first,
            },
            Self::Other(open) => fill(open),
        }
    }

    /// Shows `look` every open place, in the order of the text.
    pub fn for_each_open<'t>(&'t self, look: &mut impl FnMut(&'t H)) {
        match self {
            Self::Styled(_, content) => content.iter().for_each(|it| it.for_each_open(look)),
            Self::Link(link) => link.content.iter().for_each(|it| it.for_each_open(look)),
            Self::Other(open) => look(open),
            Self::Text(_)
            | Self::LineBreak
            | Self::Code(_)
            | Self::Tex(_)
            | Self::Image(_)
            | Self::Note { .. } => {}
        }
    }
}

/// A text with what `fill` makes of its open places.
pub fn text_filled<H, G>(
    text: &[Inline<H>],
    fill: &mut impl FnMut(&H) -> Inline<G>,
) -> Vec<Inline<G>> {
    text.iter().map(|inline| inline.filled(fill)).collect()
}

impl<H> Block<H> {
    /// The same block with what `fill` makes of the open places.
    pub fn filled<G>(&self, fill: &mut impl FnMut(&H) -> Inline<G>) -> Block<G> {
        match self {
            Self::Paragraph(text) => Block::Paragraph(text_filled(text, fill)),
            Self::Plain(text) => Block::Plain(text_filled(text, fill)),
            Self::Heading(level, text) => Block::Heading(*level, text_filled(text, fill)),
            Self::Rule => Block::Rule,
            Self::NewPage => Block::NewPage,
            Self::Code { language, text } => Block::Code {
                language: language.clone(),
                text: text.clone(),
            },
            Self::Quote(content) => Block::Quote(blocks_filled(content, fill)),
            Self::List { start, items } => Block::List {
                start: *start,
                items: items.iter().map(|item| item.filled(fill)).collect(),
            },
            Self::Descriptions(parts) => {
                Block::Descriptions(parts.iter().map(|part| part.filled(fill)).collect())
            }
            Self::Table(table) => Block::Table(table.filled(fill)),
            Self::Footnotes(notes) => {
                let filled = notes.iter().map(|note| blocks_filled(note, fill));
                Block::Footnotes(filled.collect())
            }
        }
    }

    /// Shows `look` every open place, in the order of the text.
    pub fn for_each_open<'t>(&'t self, look: &mut impl FnMut(&'t H)) {
        let mut in_text = |text: &'t [Inline<H>]| {
            text.iter().for_each(|inline| inline.for_each_open(look));
        };
        match self {
            Self::Paragraph(text) | Self::Plain(text) | Self::Heading(_, text) => in_text(text),
            Self::Rule | Self::NewPage | Self::Code { .. } => {}
            Self::Quote(content) => content.iter().for_each(|block| block.for_each_open(look)),
            Self::List { items, .. } => {
                let blocks = items.iter().flat_map(|item| &item.content);
                blocks.for_each(|block| block.for_each_open(look));
            }
            Self::Descriptions(parts) => {
                for part in parts {
                    match part {
                        Description::Term(text) => {
                            text.iter().for_each(|inline| inline.for_each_open(look));
                        }
                        Description::Details(content) => {
                            content.iter().for_each(|block| block.for_each_open(look));
                        }
                    }
                }
            }
            Self::Table(table) => {
                let rows = std::iter::once(&table.head).chain(&table.rows);
                rows.flatten().for_each(|cell| in_text(cell));
            }
            Self::Footnotes(notes) => {
                let blocks = notes.iter().flatten();
                blocks.for_each(|block| block.for_each_open(look));
            }
        }
    }
}

/// Blocks with what `fill` makes of their open places.
pub fn blocks_filled<H, G>(
    blocks: &[Block<H>],
    fill: &mut impl FnMut(&H) -> Inline<G>,
) -> Vec<Block<G>> {
    blocks.iter().map(|block| block.filled(fill)).collect()
}

impl<H> Item<H> {
    fn filled<G>(&self, fill: &mut impl FnMut(&H) -> Inline<G>) -> Item<G> {
        Item {
            is_continued: self.is_continued,
            content: blocks_filled(&self.content, fill),
        }
    }
}

impl<H> Description<H> {
    fn filled<G>(&self, fill: &mut impl FnMut(&H) -> Inline<G>) -> Description<G> {
        match self {
            Self::Term(text) => Description::Term(text_filled(text, fill)),
            Self::Details(content) => Description::Details(blocks_filled(content, fill)),
        }
    }
}

impl<H> Table<H> {
    fn filled<G>(&self, fill: &mut impl FnMut(&H) -> Inline<G>) -> Table<G> {
        let mut row = |cells: &Vec<Vec<Inline<H>>>| -> Vec<Vec<Inline<G>>> {
            cells.iter().map(|cell| text_filled(cell, fill)).collect()
        };
        Table {
            columns: self.columns.clone(),
            head: row(&self.head),
            rows: self.rows.iter().map(row).collect(),
        }
    }
}
