//! Lists and quotes that an evaluated block divides.
//!
//! A block inside a list item stands between two pieces of prose, and each of them must be
//! whole: what is open is closed in front of the block and opened again after it, when something
//! follows.

use super::markup::{Block, Description, Hole, Inline, Item};

/// Containers inside more than this many others are left out, and what they hold stands in
/// those: no reader tells them apart.
const DEEPEST: usize = 100;

/// What has been read, and the lists, items and quotes about the place that is being read.
#[derive(Debug, Default)]
pub(super) struct Containers {
    done: Vec<Block<Hole>>,
    open: Vec<Container>,
}

#[derive(Debug)]
struct Container {
    kind: Kind,
    /// Whether a part of it stands in front of a block.
    is_continued: bool,
    /// Whether a block stands in it.
    is_divided: bool,
}

/// What may hold blocks, with what it holds since the last division.
#[derive(Debug)]
pub(super) enum Kind {
    /// `> `
    Quote(Vec<Block<Hole>>),
    /// `- ` and `1. `
    List {
        /// The number of the item that is being read.
        number: Option<usize>,
        /// The number of the first of `items`.
        start: Option<usize>,
        /// The items.
        items: Vec<Item<Hole>>,
    },
    /// One item of either.
    Item(Vec<Block<Hole>>),
    /// A description list.
    Descriptions(Vec<Description<Hole>>),
    /// What is said about a term.
    Details(Vec<Block<Hole>>),
}

impl Kind {
    fn is_empty(&self) -> bool {
        match self {
            Self::Quote(blocks) | Self::Item(blocks) | Self::Details(blocks) => blocks.is_empty(),
            Self::List { items, .. } => items.is_empty(),
            Self::Descriptions(parts) => parts.is_empty(),
        }
    }

    /// What it holds; it is empty afterwards.
    fn take(&mut self) -> Self {
        match self {
            Self::Quote(blocks) => Self::Quote(std::mem::take(blocks)),
            Self::Item(blocks) => Self::Item(std::mem::take(blocks)),
            Self::Details(blocks) => Self::Details(std::mem::take(blocks)),
            Self::Descriptions(parts) => Self::Descriptions(std::mem::take(parts)),
            Self::List {
                number,
                start,
                items,
            } => Self::List {
                number: *number,
                start: *start,
                items: std::mem::take(items),
            },
        }
    }

    /// Whether a container with so many around it is kept: a list needs room for its items.
    fn is_kept(&self, depth: usize) -> bool {
        match self {
            Self::Quote(_) | Self::Item(_) | Self::Details(_) => depth < DEEPEST,
            Self::List { .. } | Self::Descriptions(_) => depth + 1 < DEEPEST,
        }
    }
}

impl Containers {
    /// What has been read since the last call, whole.
    pub(super) fn take(&mut self) -> Vec<Block<Hole>> {
        std::mem::take(&mut self.done)
    }

    /// Something begins that may hold blocks.
    pub(super) fn enter(&mut self, kind: Kind) {
        self.open.push(Container {
            kind,
            is_continued: false,
            is_divided: false,
        });
    }

    /// A block in the innermost container.
    pub(super) fn push(&mut self, block: Block<Hole>) {
        self.push_below(self.open.len(), block);
    }

    /// A term of the innermost description list.
    pub(super) fn term(&mut self, words: Vec<Inline<Hole>>) {
        let depth = self.open.len();
        match self.open.last_mut().map(|last| &mut last.kind) {
            Some(Kind::Descriptions(parts)) if depth < DEEPEST => {
                parts.push(Description::Term(words));
            }
            _ => self.push(Block::Plain(words)),
        }
    }

    /// The innermost container ends.
    pub(super) fn leave(&mut self) {
        let Some(mut last) = self.open.pop() else {
            return;
        };
        if !(last.kind.is_empty() && last.is_divided) {
            self.close(self.open.len(), last.kind.take(), last.is_continued);
        }
        if let Some(Container {
            kind:
                Kind::List {
                    number: Some(number),
                    ..
                },
            ..
        }) = self.open.last_mut()
        {
            *number = number.saturating_add(1);
        }
    }

    /// Closes everything in front of a block.
    pub(super) fn divide(&mut self) {
        for depth in (0..self.open.len()).rev() {
            let container = &mut self.open[depth];
            container.is_divided = true;
            if !container.kind.is_empty() {
                let content = container.kind.take();
                let was_continued = std::mem::replace(&mut container.is_continued, true);
                self.close(depth, content, was_continued);
            }
        }
    }

    /// What a container with `depth` others around it held goes into the next.
    fn close(&mut self, depth: usize, content: Kind, is_continued: bool) {
        if !content.is_kept(depth) {
            return;
        }
        match content {
            Kind::Quote(blocks) => self.push_below(depth, Block::Quote(blocks)),
            Kind::List { start, items, .. } => self.push_below(depth, Block::List { start, items }),
            Kind::Descriptions(parts) => self.push_below(depth, Block::Descriptions(parts)),
            Kind::Item(content) => self.item(
                depth,
                Item {
                    is_continued,
                    content,
                },
            ),
            Kind::Details(content) => {
                let around = self.open[..depth].last_mut();
                if let Some(Kind::Descriptions(parts)) = around.map(|around| &mut around.kind) {
                    parts.push(Description::Details(content));
                }
            }
        }
    }

    fn item(&mut self, depth: usize, item: Item<Hole>) {
        let around = self.open[..depth].last_mut();
        if let Some(Kind::List {
            number,
            start,
            items,
        }) = around.map(|around| &mut around.kind)
        {
            if items.is_empty() {
                *start = *number;
            }
            items.push(item);
        }
    }

    /// A block in the innermost of the first `depth` containers that are kept.
    fn push_below(&mut self, depth: usize, block: Block<Hole>) {
        let around = self.open[..depth.min(DEEPEST)].iter_mut().rev();
        let holder = around
            .filter_map(|container| match &mut container.kind {
                Kind::Quote(blocks) | Kind::Item(blocks) | Kind::Details(blocks) => Some(blocks),
                Kind::List { .. } | Kind::Descriptions(_) => None,
            })
            .next();
        holder.unwrap_or(&mut self.done).push(block);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers(number: usize) -> Kind {
        Kind::List {
            number: Some(number),
            start: None,
            items: Vec::new(),
        }
    }

    fn list(start: usize, item: &[Block<Hole>], is_continued: bool) -> Block<Hole> {
        let item = Item {
            is_continued,
            content: item.to_vec(),
        };
        Block::List {
            start: Some(start),
            items: vec![item],
        }
    }

    #[test]
    fn a_divided_item_goes_on_after_the_block_with_its_number() {
        let mut containers = Containers::default();
        containers.enter(numbers(3));
        containers.enter(Kind::Item(Vec::new()));
        containers.push(Block::Rule);
        containers.divide();
        assert_eq!(containers.take(), [list(3, &[Block::Rule], false)]);
        containers.push(Block::Rule);
        containers.leave();
        containers.leave();
        assert_eq!(containers.take(), [list(3, &[Block::Rule], true)]);
    }

    #[test]
    fn nothing_is_opened_again_when_nothing_follows() {
        let mut containers = Containers::default();
        containers.enter(Kind::Quote(Vec::new()));
        containers.divide();
        containers.leave();
        assert_eq!(containers.take(), []);
    }

    #[test]
    fn an_empty_item_is_kept() {
        let mut containers = Containers::default();
        containers.enter(numbers(1));
        containers.enter(Kind::Item(Vec::new()));
        containers.leave();
        containers.leave();
        assert_eq!(containers.take(), [list(1, &[], false)]);
    }
}
