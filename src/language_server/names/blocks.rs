//! The lines of blocks, read once as long as their text stays the same.
//!
//! Reading lines takes most of the time that names take, and between two keys only one block
//! changes. Lines are kept with places relative to their block.

use std::rc::Rc;

use rustc_hash::FxHashMap;

use crate::syntax::{self, BlockKind, Line};
use crate::text::Span;

/// What decides how a block is read: its kind, its text, and where its lines stand in it.
type Key = (BlockKind, Box<str>, Box<[Span]>);

/// The blocks of a worksheet that were read.
#[derive(Debug, Default)]
pub(in super::super) struct Blocks {
    before: FxHashMap<Key, Rc<[Line]>>,
    now: FxHashMap<Key, Rc<[Line]>>,
}

impl Blocks {
    /// The lines of a block, and the place that theirs count from.
    pub fn read(&mut self, kind: BlockKind, text: &str, spans: &[Span]) -> (Rc<[Line]>, u32) {
        let (Some(first), Some(last)) = (spans.first(), spans.last()) else {
            return (Rc::from([]), 0);
        };
        let base = first.start;
        let own = text.get(base as usize..last.end as usize).unwrap_or("");
        let relative = |span: &Span| Span {
            start: span.start - base,
            end: span.end - base,
        };
        let key: Key = (kind, own.into(), spans.iter().map(relative).collect());
        let known = self
            .now
            .get(&key)
            .cloned()
            .or_else(|| self.before.remove(&key));
        let lines = known.unwrap_or_else(|| syntax::parse_block(kind, own, &key.2).0.into());
        self.now.insert(key, lines.clone());
        (lines, base)
    }

    /// Forgets the blocks that were not read again since the last time.
    pub fn turn(&mut self) {
        self.before = std::mem::take(&mut self.now);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_that_moved_is_not_read_again() {
        let mut blocks = Blocks::default();
        let (first, base) = blocks.read(BlockKind::Given, "a = 2", &[Span::new(0, 5)]);
        assert_eq!((first.len(), base), (1, 0));
        blocks.turn();
        let (second, base) = blocks.read(BlockKind::Given, "__a = 2", &[Span::new(2, 7)]);
        assert_eq!(base, 2);
        assert!(Rc::ptr_eq(&first, &second));
        let (third, _) = blocks.read(BlockKind::Work, "a = 2", &[Span::new(0, 5)]);
        assert!(!Rc::ptr_eq(&first, &third));
        blocks.turn();
        blocks.turn();
        let (fourth, _) = blocks.read(BlockKind::Given, "a = 2", &[Span::new(0, 5)]);
        assert!(!Rc::ptr_eq(&first, &fourth));
    }
}
