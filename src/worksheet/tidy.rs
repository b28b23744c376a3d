//! Evaluated blocks with even spacing and columns; nothing else in a worksheet changes.

use rayon::prelude::*;

use crate::diagnostic::Edit;
use crate::document::{self, Document, Piece};
use crate::syntax::{self, BlockKind};
use crate::text::{Source, Span};

/// How often blocks are taken back before nothing is proposed.
const MOST_TRIES: usize = 3;

/// What to write in the place of the lines of a worksheet that are not tidy, in order. Each edit
/// is of one line.
pub fn tidy_edits(source: &Source) -> Vec<Edit> {
    let all = Span::new(0, source.text().len());
    tidy_blocks_within(source, all)
}

/// The same for the blocks that a place touches.
pub fn tidy_blocks_within(source: &Source, place: Span) -> Vec<Edit> {
    let (document, _) = document::parse(source);
    let blocks: Vec<Block> = blocks(&document).collect();
    let mut edits: Vec<Vec<Edit>> = blocks
        .par_iter()
        .map(|block| match block.is_touched(place) {
            true => block.edits(source.text()),
            false => Vec::new(),
        })
        .collect();
    leave_what_reads_otherwise(source, &blocks, &mut edits);
    edits.concat()
}

/// A block that is evaluated.
struct Block<'d> {
    kind: BlockKind,
    span: Span,
    lines: &'d [Span],
}

fn blocks(document: &Document) -> impl Iterator<Item = Block<'_>> {
    document.pieces.iter().filter_map(|piece| match piece {
        Piece::Block {
            kind, lines, span, ..
        } => Some(Block {
            kind: *kind,
            span: *span,
            lines,
        }),
        _ => None,
    })
}

impl Block<'_> {
    fn is_touched(&self, place: Span) -> bool {
        self.span.start <= place.end && place.start <= self.span.end
    }

    fn edits(&self, text: &str) -> Vec<Edit> {
        if self.has_lone_returns(text) {
            return Vec::new();
        }
        let mut edits = syntax::tidy_block(self.kind, text, self.lines);
        for edit in &mut edits {
            if edit.text.starts_with(' ') {
                let missing = self.missing_indent(text, edit.span);
                edit.text.insert_str(0, &" ".repeat(missing));
            }
        }
        edits
    }

    /// Whether a line ends in a carriage return alone: blanks behind it are a line, and without
    /// them it is half of another ending.
    fn has_lone_returns(&self, text: &str) -> bool {
        let end = self.lines.last().map_or(self.span.end, |line| line.end);
        let after = text.get(end as usize..).unwrap_or("");
        let block = Span {
            end: end.max(self.span.end),
            ..self.span
        };
        let block = block.of(text);
        let lone = |text: &str| text.split('\r').skip(1).any(|rest| !rest.starts_with('\n'));
        lone(&block.replace("\r\n", "\n")) || lone(after.get(..2).unwrap_or(after))
    }

    /// The blanks of an indented fence that a line does not have: as many of those that the line
    /// is given are not read as part of it.
    fn missing_indent(&self, text: &str, line: Span) -> usize {
        let before = |at: u32| {
            let before = text.get(..at as usize).unwrap_or("");
            before.rsplit(['\n', '\r']).next().unwrap_or("")
        };
        let (fence, line) = (before(self.span.start), before(line.start));
        fence.chars().count().saturating_sub(line.chars().count())
    }
}

/// Takes back the edits of blocks that would not be read as proposed, with what stands around
/// their lines, or that would not be tidy then.
fn leave_what_reads_otherwise(source: &Source, blocks: &[Block], edits: &mut [Vec<Edit>]) {
    for _ in 0..MOST_TRIES {
        let Some(text) = edited(source.text(), &edits.concat()) else {
            return;
        };
        let tidied = Source::new("", text);
        let (document, _) = document::parse(&tidied);
        let after: Vec<Block> = self::blocks(&document).collect();
        if after.len() != blocks.len() {
            break;
        }
        let stays: Vec<bool> = after
            .par_iter()
            .zip(edits.par_iter())
            .map(|(block, edits)| edits.is_empty() || block.edits(tidied.text()).is_empty())
            .collect();
        let same = |(before, after): (&Block, &Block)| before.lines.len() == after.lines.len();
        let mut changed = false;
        for (at, pair) in blocks.iter().zip(&after).enumerate() {
            let is_good = same(pair) && stays.get(at).is_some_and(|stays| *stays);
            if let Some(edits) = edits.get_mut(at).filter(|it| !is_good && !it.is_empty()) {
                edits.clear();
                changed = true;
            }
        }
        if !changed {
            return;
        }
    }
    edits.iter_mut().for_each(Vec::clear);
}

/// The text with edits; none where there are none.
fn edited(text: &str, edits: &[Edit]) -> Option<String> {
    if edits.is_empty() {
        return None;
    }
    let mut out = String::with_capacity(text.len() + text.len() / 8);
    let mut at = 0;
    for edit in edits {
        out.push_str(text.get(at..edit.span.start as usize).unwrap_or(""));
        out.push_str(&edit.text);
        at = edit.span.end as usize;
    }
    out.push_str(text.get(at..).unwrap_or(""));
    Some(out)
}

/// The text of a worksheet with tidy blocks. It says the same, and tidying it again changes
/// nothing.
pub fn tidy(source: &Source) -> String {
    edited(source.text(), &tidy_edits(source)).unwrap_or_else(|| source.text().to_owned())
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

    fn is_tidied_at_once(text: &str) -> String {
        let once = tidied(text);
        assert_eq!(tidied(&once), once, "{text:?}");
        once
    }

    #[test]
    fn lines_left_of_an_indented_fence_are_tidied_at_once() {
        assert_eq!(
            is_tidied_at_once("  ```work\nx = 6 +\n2 = ?\n  ```\n"),
            "  ```work\nx = 6 +\n      2 = ?\n  ```\n"
        );
        for text in [
            "  ```work\nx = R/\n2 = ?\n  ```\n",
            " ```work\nc = 2 (a +\nb\n) = ? m",
            "- a\n\n    ```work\n  x = R/\n   2 = ?\n    ```\n",
            "   ```work\n  x = R/\n\t2 = ?\n\n   ```\n",
            ">   ```work\n> x = R/\n>2 = ?\n>   ```\n",
        ] {
            is_tidied_at_once(text);
        }
    }

    #[test]
    fn lines_that_end_in_a_carriage_return_alone_stay() {
        for text in [
            "```derive\ntwo: p = \r   \nd = e f\n```\n",
            "```work\r\nh_1 = ? m\r\nw = ? m\r  \nu = ? m\r",
            "```work\nx=a\r```\n",
            "```given\na=1  \r",
        ] {
            assert_eq!(tidied(text), text);
        }
    }
}
