//! Evaluated blocks with even spacing and columns; nothing else in a worksheet changes.

use rayon::prelude::*;

use super::blocks::kind;
use crate::diagnostic::Edit;
use crate::document::{self, Piece};
use crate::syntax::{self, BlockKind};
use crate::text::{Source, Span};

/// What to write in the place of the lines of a worksheet that are not tidy, in order. Each edit
/// is of one line.
pub fn tidy_edits(source: &Source) -> Vec<Edit> {
    let all = Span::new(0, source.text().len());
    tidy_blocks_within(source, all)
}

/// The same for the blocks that a place touches.
pub fn tidy_blocks_within(source: &Source, place: Span) -> Vec<Edit> {
    let (document, _) = document::parse(source);
    let blocks = document.pieces.iter().filter_map(|piece| match piece {
        Piece::Block {
            kind_word,
            lines,
            span,
        } if span.start <= place.end && place.start <= span.end => Some((kind(kind_word)?, lines)),
        _ => None,
    });
    let blocks: Vec<(BlockKind, &Vec<Span>)> = blocks.collect();
    let edits: Vec<Vec<Edit>> = blocks
        .par_iter()
        .map(|(kind, lines)| syntax::tidy_block(*kind, source.text(), lines))
        .collect();
    edits.concat()
}

/// The text of a worksheet with tidy blocks. It says the same, and tidying it again changes
/// nothing.
pub fn tidy(source: &Source) -> String {
    let text = source.text();
    let mut out = String::with_capacity(text.len() + text.len() / 8);
    let mut at = 0;
    for edit in tidy_edits(source) {
        out.push_str(text.get(at..edit.span.start as usize).unwrap_or(""));
        out.push_str(&edit.text);
        at = edit.span.end as usize;
    }
    out.push_str(text.get(at..).unwrap_or(""));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tidied(text: &str) -> String {
        tidy(&Source::new("w.md", text))
    }

    #[test]
    fn only_the_lines_of_blocks_change() {
        assert_eq!(
            tidied(
                "---\ntitle:  a\n---\r\na\t=  b  \r\n\r\n```given  \r\na=1 m  \r\nbc =2 m -- x\r\n```\r\n\r\n```text\na=b  \n```\n"
            ),
            "---\ntitle:  a\n---\r\na\t=  b  \r\n\r\n```given  \r\na  = 1 m\r\nbc = 2 m    -- x\r\n```\r\n\r\n```text\na=b  \n```\n"
        );
    }

    #[test]
    fn lines_keep_the_marks_of_lists_and_quotes() {
        assert_eq!(
            tidied(
                "> ```given\n> a=1 m\n> bc =  2 m \n>\n> ```\n\n- x\n\n  ~~~ work\n\ty=a\n  \n    z =y\n  ~~~\n"
            ),
            "> ```given\n> a  = 1 m\n> bc = 2 m\n>\n> ```\n\n- x\n\n  ~~~ work\n\ty = a\n  \n  z = y\n  ~~~\n"
        );
    }
}
