//! The words of texts, each with its place in the source.

use crate::document::{Block, Description, Inline};
use crate::text::Span;
use crate::worksheet::model::Filled;

/// Stands for what is not looked at: an ask, code, a formula. No unit goes on behind it.
const ELSE: char = '\u{fffc}';

/// The words of one paragraph, cell or line.
pub(super) struct Words {
    pub text: String,
    /// Where pieces of it begin, how long they are, and where they stand in the source.
    pieces: Vec<(usize, usize, usize)>,
    within: Span,
    /// Up to where the source has been looked through.
    cursor: usize,
}

impl Words {
    /// Where a part of the words stands in the source; all of it where that cannot be told.
    pub fn place(&self, source: &str, start: usize, end: usize) -> Span {
        let piece = |at: usize| {
            let is_in = |(own, length, _): &&(usize, usize, usize)| *own <= at && at < own + length;
            let (own, _, place) = self.pieces.iter().find(is_in)?;
            Some(place + (at - own))
        };
        match (piece(start), end.checked_sub(1).and_then(piece)) {
            (Some(start), Some(last)) if start <= last && source.is_char_boundary(start) => {
                Span::new(start, last + 1)
            }
            _ => self.within,
        }
    }

    fn add(&mut self, source: &str, words: &str) {
        // A quote or a list may have signs between lines, and an escape between signs.
        let mut at = self.text.len();
        for line in words.split_inclusive('\n') {
            let own = line.trim_end_matches('\n');
            let end = self.within.end as usize;
            let found = source.get(self.cursor..end).and_then(|it| it.find(own));
            if let Some(found) = found.filter(|_| !own.trim().is_empty()) {
                let place = self.cursor + found;
                self.pieces.push((at, own.len(), place));
                self.cursor = place + own.len();
            }
            at += line.len();
        }
        self.text.push_str(words);
    }

    fn gather(&mut self, source: &str, text: &[Inline<Filled>], look: &mut Vec<String>) {
        for inline in text {
            match inline {
                Inline::Text(words) => self.add(source, words),
                Inline::LineBreak => self.text.push('\n'),
                Inline::Styled(_, content) => self.gather(source, content, look),
                Inline::Link(link) => self.gather(source, &link.content, look),
                Inline::Image(image) => {
                    self.text.push(ELSE);
                    look.extend([image.words.clone(), image.title.clone()]);
                }
                Inline::Other(filled) => {
                    self.text.push(ELSE);
                    if let Filled::Figure(picture) = &**filled {
                        look.extend([picture.image.words.clone(), picture.caption.clone()]);
                    }
                }
                Inline::Code(_) | Inline::Tex(_) | Inline::Note { .. } => self.text.push(ELSE),
            }
        }
    }
}

/// Looks at the words of a line.
pub(super) fn of_line(
    source: &str,
    within: Span,
    text: &[Inline<Filled>],
    look: &mut impl FnMut(&Words),
) {
    let mut cursor = within.start as usize;
    in_text(source, within, &mut cursor, text, look);
}

/// Looks at the words of blocks.
pub(super) fn of_blocks(
    source: &str,
    within: Span,
    blocks: &[Block<Filled>],
    look: &mut impl FnMut(&Words),
) {
    let mut cursor = within.start as usize;
    in_blocks(source, within, &mut cursor, blocks, look);
}

fn in_text(
    source: &str,
    within: Span,
    cursor: &mut usize,
    text: &[Inline<Filled>],
    look: &mut impl FnMut(&Words),
) {
    let new = |cursor: usize| Words {
        text: String::new(),
        pieces: Vec::new(),
        within,
        cursor,
    };
    let mut captions = Vec::new();
    let mut words = new(*cursor);
    words.gather(source, text, &mut captions);
    look(&words);
    *cursor = words.cursor;
    for caption in captions {
        let mut words = new(*cursor);
        words.add(source, &caption);
        look(&words);
        *cursor = words.cursor;
    }
}

fn in_blocks(
    source: &str,
    within: Span,
    cursor: &mut usize,
    blocks: &[Block<Filled>],
    look: &mut impl FnMut(&Words),
) {
    for block in blocks {
        match block {
            Block::Paragraph(text) | Block::Plain(text) | Block::Heading(_, text) => {
                in_text(source, within, cursor, text, look);
            }
            Block::Rule | Block::NewPage | Block::Code { .. } => {}
            Block::Quote(content) => in_blocks(source, within, cursor, content, look),
            Block::List { items, .. } => {
                for item in items {
                    in_blocks(source, within, cursor, &item.content, look);
                }
            }
            Block::Descriptions(parts) => {
                for part in parts {
                    match part {
                        Description::Term(text) => in_text(source, within, cursor, text, look),
                        Description::Details(content) => {
                            in_blocks(source, within, cursor, content, look);
                        }
                    }
                }
            }
            Block::Table(table) => {
                for cell in std::iter::once(&table.head).chain(&table.rows).flatten() {
                    in_text(source, within, cursor, cell, look);
                }
            }
            // They may stand anywhere in the source.
            Block::Footnotes(notes) => {
                *cursor = within.start as usize;
                for note in notes {
                    in_blocks(source, within, cursor, note, look);
                }
            }
        }
    }
}

/// The words of a text alone.
pub(super) fn plain(text: &[Inline<Filled>]) -> String {
    let mut found = String::new();
    for inline in text {
        match inline {
            Inline::Text(words) => found.push_str(words),
            Inline::Styled(_, content) => found.push_str(&plain(content)),
            Inline::Link(link) => found.push_str(&plain(&link.content)),
            _ => found.push(ELSE),
        }
    }
    found
}
