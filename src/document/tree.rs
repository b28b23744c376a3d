//! A walk over the parser's tree without recursion, so that its depth does not matter.

use comrak::nodes::AstNode;

/// Whether the walk goes on inside a node.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Step {
    /// To its children, and then out of it.
    Inside,
    /// The node is done with.
    Past,
}

/// What is done on the way.
pub(super) trait Visitor<'a> {
    /// Before a node's children.
    fn enter(&mut self, node: &'a AstNode<'a>) -> Step;
    /// After a node's children; not called when [`Self::enter`] said [`Step::Past`].
    fn leave(&mut self, node: &'a AstNode<'a>);
}

/// Visits a node and everything below it, in the order of the text.
pub(super) fn walk<'a>(root: &'a AstNode<'a>, visitor: &mut impl Visitor<'a>) {
    let mut node = root;
    loop {
        if visitor.enter(node) == Step::Inside {
            if let Some(child) = node.first_child() {
                node = child;
                continue;
            }
            visitor.leave(node);
        }
        // Up to the first ancestor that has something after it.
        loop {
            if node.same_node(root) {
                return;
            }
            if let Some(next) = node.next_sibling() {
                node = next;
                break;
            }
            let Some(parent) = node.parent() else { return };
            node = parent;
            visitor.leave(node);
        }
    }
}
