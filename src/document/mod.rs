//! The Markdown of a worksheet, taken apart into pieces.
//!
//! In: the text of a worksheet. Out: its front matter and a list of [`Piece`]s in the order of
//! the page: headings and prose as trees with [`Hole`]s that later passes fill in (code spans that
//! may be asks, TeX, references to equations), and the lines of the blocks that are evaluated.
//! What a line means is left to the passes above; so are the bytes of any format, but for the
//! MathML of the author's TeX. The Markdown parser is not visible outside this folder.
//!
//! Raw HTML of the author is text, but for its comments, which vanish.

mod chapters;
mod comments;
mod fences;
mod front;
mod headings;
mod inlines;
mod links;
mod markdown;
mod markup;
mod model;
mod places;
mod prose;
mod splits;
mod tex;
mod tree;
mod writer;

#[cfg(test)]
mod laws;
#[cfg(test)]
mod shown;

pub use chapters::{Chapter, chapters};
pub use front::MOST_VERSIONS;
pub use headings::Names as HeadingNames;
pub use tex::mathml;

pub use markup::{
    Alignment, Block, Description, Hole, Image, Inline, Item, Style, Table, Tex, Width,
    blocks_filled, text_filled,
};
pub use model::{
    Document, Exam, Formulas, FrontMatter, Layout, Numbers, Paper, Piece, Space, Units,
};

use crate::diagnostic::Diagnostic;
use crate::text::{Source, Span};

/// The settings at the top of a worksheet, where its Markdown begins, and what is wrong with the
/// settings.
pub fn front(text: &str) -> (FrontMatter, usize, Vec<Diagnostic>) {
    front::read(text)
}

/// Takes a worksheet apart; what is wrong with it stands in the list, in the order of the text.
pub fn parse(source: &Source) -> (Document, Vec<Diagnostic>) {
    let (front, body_start, mut diagnostics) = front::read(source.text());
    let body = places::Body::new(source.text(), body_start);
    let (pieces, found) = markdown::pieces(&body);
    diagnostics.extend(found);
    diagnostics.sort_by_key(|diagnostic| diagnostic.span.start);
    let document = Document {
        front,
        body: body_start,
        pieces,
    };
    (document, diagnostics)
}

/// The inline Markdown of a description, the text at `span`; what looks like a block is text.
pub fn parse_inline(text: &str, span: Span) -> Vec<Inline<Hole>> {
    inlines::text(span.of(text), span.start as usize)
}
