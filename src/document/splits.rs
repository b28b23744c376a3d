//! Lists and quotes that an evaluated block divides.
//!
//! A block inside a list item stands between two pieces of prose, and each of them must be
//! well-formed: what is open is closed in front of the block and opened again after it, when
//! something follows.

/// The tags of lists, items and quotes about the place that is being written.
#[derive(Debug, Default)]
pub(super) struct Containers {
    open: Vec<Container>,
}

/// Containers inside more than this many others have no tags: no reader and no browser tells
/// them apart.
const DEEPEST: usize = 100;

#[derive(Debug)]
struct Container {
    kind: Kind,
    state: State,
    divided: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    /// Its opening tag has not been written.
    Ahead,
    /// Its opening tag is the last word about it.
    Written,
    /// It has been closed in front of a block.
    Suspended,
}

/// What may hold blocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// `> `
    Quote,
    /// `- `
    Bullets,
    /// `1. `, with the number of the item that is being written.
    Numbers(usize),
    /// One item of either.
    Item,
    /// A description list.
    Descriptions,
    /// What is said about a term.
    Details,
}

impl Kind {
    fn opening(self, again: bool) -> String {
        match self {
            Self::Quote => "<blockquote>\n".to_owned(),
            Self::Bullets => "<ul>\n".to_owned(),
            Self::Numbers(1) => "<ol>\n".to_owned(),
            Self::Numbers(number) => format!("<ol start=\"{number}\">\n"),
            // The style sheet leaves out the mark of an item that goes on.
            Self::Item if again => "<li class=\"continued\">".to_owned(),
            Self::Item => "<li>".to_owned(),
            Self::Descriptions => "<dl>\n".to_owned(),
            Self::Details => "<dd>".to_owned(),
        }
    }

    fn closing(self) -> &'static str {
        match self {
            Self::Quote => "</blockquote>\n",
            Self::Bullets => "</ul>\n",
            Self::Numbers(_) => "</ol>\n",
            Self::Item => "</li>\n",
            Self::Descriptions => "</dl>\n",
            Self::Details => "</dd>\n",
        }
    }
}

impl Containers {
    /// Something begins that may hold blocks; its tag is written when there is content.
    pub(super) fn enter(&mut self, kind: Kind) {
        self.open.push(Container {
            kind,
            state: State::Ahead,
            divided: false,
        });
    }

    /// Writes the tags that are still to be written, outermost first.
    pub(super) fn ensure(&mut self, html: &mut String) {
        for container in self.open.iter_mut().take(DEEPEST) {
            if container.state != State::Written {
                html.push_str(&container.kind.opening(container.state == State::Suspended));
                container.state = State::Written;
            }
        }
    }

    /// The innermost container ends.
    pub(super) fn leave(&mut self, html: &mut String) {
        let untouched = self
            .open
            .last()
            .is_some_and(|last| last.state == State::Ahead && !last.divided);
        if untouched {
            self.ensure(html);
        }
        if let Some(container) = self.open.pop()
            && container.state == State::Written
        {
            html.push_str(container.kind.closing());
        }
        if let Some(Container {
            kind: Kind::Numbers(number),
            ..
        }) = self.open.last_mut()
        {
            *number = number.saturating_add(1);
        }
    }

    /// Closes everything in front of a block.
    pub(super) fn divide(&mut self, html: &mut String) {
        for container in self.open.iter_mut().rev() {
            container.divided = true;
            if container.state == State::Written {
                html.push_str(container.kind.closing());
                container.state = State::Suspended;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_divided_item_goes_on_after_the_block_with_its_number() {
        let mut containers = Containers::default();
        let mut html = String::new();
        containers.enter(Kind::Numbers(3));
        containers.enter(Kind::Item);
        containers.ensure(&mut html);
        containers.divide(&mut html);
        assert_eq!(html, "<ol start=\"3\">\n<li></li>\n</ol>\n");
        html.clear();
        containers.ensure(&mut html);
        containers.leave(&mut html);
        containers.leave(&mut html);
        assert_eq!(
            html,
            "<ol start=\"3\">\n<li class=\"continued\"></li>\n</ol>\n"
        );
    }

    #[test]
    fn nothing_is_opened_again_when_nothing_follows() {
        let mut containers = Containers::default();
        let mut html = String::new();
        containers.enter(Kind::Quote);
        containers.divide(&mut html);
        containers.leave(&mut html);
        assert_eq!(html, "");
    }

    #[test]
    fn an_empty_item_keeps_its_tags() {
        let mut containers = Containers::default();
        let mut html = String::new();
        containers.enter(Kind::Bullets);
        containers.enter(Kind::Item);
        containers.leave(&mut html);
        containers.leave(&mut html);
        assert_eq!(html, "<ul>\n<li></li>\n</ul>\n");
    }
}
