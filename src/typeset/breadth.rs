//! How broad a formula is where nothing may break it: an estimate, in em.

use super::rows::Width;
use super::tree::{Kind, Node};
use super::{Level, runs};

/// The broadest row of a formula that the page cannot break.
pub fn breadth(node: &Node) -> Width {
    match node {
        Node::Words(_) => 0.0,
        Node::Beside(parts) => widest(parts.iter().map(breadth)),
        formula => widest(formula.rows().map(row)),
    }
}

fn row(parts: &[Node]) -> Width {
    parts.iter().map(part).sum()
}

fn widest(widths: impl Iterator<Item = Width>) -> Width {
    widths.fold(0.0, Width::max)
}

fn part(node: &Node) -> Width {
    match node {
        Node::Row(parts) | Node::Words(parts) | Node::Beside(parts) => row(parts),
        Node::Fraction(halves) => widest(halves.iter().map(part)) + 0.2,
        Node::Power(parts) | Node::Subscript(parts) => {
            let [base, script] = parts.as_ref();
            part(base) + 0.7 * part(script)
        }
        Node::Root(_, inside) => part(inside) + 0.9,
        Node::Fence(fence) => part(&fence.inside) + 0.8,
        Node::Stack(rows) => widest(rows.iter().map(part)),
        Node::Cases(cases) => {
            let one = |condition: Option<&Node>| condition.map_or(4.0, |it| 2.5 + part(it));
            widest((cases.iter()).map(|case| part(&case.value) + one(case.condition.as_ref())))
                + 0.5
        }
        Node::Operator(_, Kind::Relation | Kind::Infix { .. }) => 1.2,
        Node::Operator(..) | Node::Space(_) => 0.4,
        Node::Name(_)
        | Node::Letter(_)
        | Node::Upright(_)
        | Node::Function(_)
        | Node::Text(_)
        | Node::Number(_)
        | Node::PowerOfTen(_)
        | Node::Quantity(_)
        | Node::Unit(_) => letters(node),
    }
}

fn letters(node: &Node) -> Width {
    let width = |level| match level {
        Level::Line => 0.5,
        Level::Raised | Level::Lowered => 0.36,
    };
    let runs = runs(node);
    (runs
        .iter()
        .map(|run| width(run.level) * run.text.chars().count() as Width))
    .sum()
}
