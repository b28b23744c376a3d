//! Rows of a formula: whole, and broken at operators where they are wide.
//!
//! Widths are estimates in em. A wide row says at which of its signs it may be broken, so that it
//! is wrapped at whatever width the page has.

use super::formula::{Break, Place, Setter};
use super::tree::{Kind, Node};
use super::{Context, number, value};
use crate::quantity::Decimal;
use crate::resolve::{Expr, ExprKind, FunctionId, Shape, SymbolId};
use crate::syntax::Axis;
use crate::worksheet::Shown;

/// A row wider than this is given places to break, in em: a narrow phone.
const WRAP: f32 = 16.0;

/// An estimated width in em.
pub type Width = f32;

/// A formula that is never broken.
pub fn math(expr: &Expr, context: &Context) -> Node {
    Setter::new(*context).part(|setter| setter.expr(expr, Place::First))
}

/// The name of a symbol.
pub fn symbol(id: SymbolId, context: &Context) -> Node {
    Setter::new(*context).part(|setter| setter.name(context.names.symbol(id)))
}

/// The name of a list as the heading of a column: without the index of its rows.
pub fn column(id: SymbolId, context: &Context) -> Node {
    let name = context.names.column(id);
    Setter::new(*context).part(|setter| setter.name(name.as_ref()))
}

/// The standard uncertainty of the readings of a column: *u*(*l*).
pub fn uncertainty_of_column(id: SymbolId, context: &Context) -> Node {
    Node::row(vec![
        Node::Letter('u'),
        Node::OPEN,
        column(id, context),
        Node::CLOSE,
    ])
}

/// The letter of an axis.
pub fn axis(axis: Axis) -> Node {
    Node::Letter(axis.letter())
}

/// A symbol to a power; a power of 1 is not written.
pub fn power(id: SymbolId, exponent: &Expr, context: &Context) -> Node {
    let is_one = match exponent.inside().kind {
        ExprKind::Number(value) | ExprKind::Numeral(value) => value == 1.0,
        _ => false,
    };
    if is_one {
        return symbol(id, context);
    }
    let base = Expr {
        span: exponent.span,
        kind: ExprKind::Symbol(id),
    };
    let kind = ExprKind::Power(Box::new(base), Box::new(exponent.clone()));
    let span = exponent.span;
    math(&Expr { span, kind }, context)
}

/// The derivative of an expression by a symbol: a fraction of two differentials (ISO 80000-2), or
/// an operator before what is not a symbol alone.
pub fn derivative(of: &Expr, by: SymbolId, context: &Context) -> Node {
    let differential = |id: Option<SymbolId>| {
        let mut setter = Setter::new(*context);
        setter.row.push(Node::Upright('∂'));
        setter.name(id.and_then(|id| context.names.symbol(id)));
        Node::Row(setter.row)
    };
    let name = of.inside().as_symbol();
    let fraction = Node::Fraction(Box::new([differential(name), differential(Some(by))]));
    if name.is_some() {
        return fraction;
    }
    Setter::new(*context).part(|setter| {
        setter.row.push(fraction);
        setter.brackets(of.inside());
    })
}

/// What stands left of a function's definition, `h_f(Q)`, and its width.
pub fn function(id: FunctionId, parameters: usize, context: &Context) -> (Node, Width) {
    let mut setter = Setter::new(*context);
    setter.name(context.names.function(id));
    // A fence of their own: the brackets are no operators with spaces.
    let parameters = setter.part(|setter| {
        for position in 0..parameters {
            if position > 0 {
                setter.push(Node::Operator(",", Kind::Comma), 0.45);
            }
            let position = u8::try_from(position).unwrap_or(u8::MAX);
            setter.name(context.names.parameter(id, position));
        }
    });
    setter.push(Node::fence("(", parameters, ")", false), 0.8);
    (Node::row(setter.row), setter.pen)
}

/// A value after `sign`, as on the last line of a calculation.
pub fn result(sign: &'static str, shown: &Shown) -> Node {
    let mut row = signed(sign);
    let is_zero = |digits: &Decimal| digits.within().is_some();
    let plain = shown.uncertainties.is_empty()
        && shown.sizes.is_empty()
        && !shown.digits.iter().any(is_zero);
    if !plain || shown.shape == Shape::List {
        return Node::Beside(vec![Node::Row(row), value::value(shown)]);
    }
    value::operand(shown, value::Brackets::None, &mut row);
    match value::word(shown) {
        Some(word) => Node::Beside(vec![Node::Row(row), Node::Words(word.into())]),
        None => Node::row(row),
    }
}

/// A name with its value as words: for prose.
pub fn named(name: Node, shown: &Shown) -> Node {
    told(name, "=", value::value(shown))
}

/// A name and what it is compared with as words: `h > 0`, `ν → 0`.
pub fn told(name: Node, sign: &'static str, behind: Node) -> Node {
    Node::Words(vec![name, Node::Operator(sign, Kind::Relation), behind])
}

/// A number as it is written.
pub fn literal(number: &str) -> Node {
    Node::Number(number::read(number))
}

/// An expression with its value, never broken: for prose.
pub fn equality(lead: &Expr, shown: &Shown, context: &Context) -> Node {
    let mut parts = vec![math(lead, context)];
    match result("=", shown) {
        Node::Beside(result) => parts.extend(result),
        result => parts.push(result),
    }
    Node::Beside(parts)
}

/// A plain number after a sign: `> 0`, `→ −∞`.
pub fn compared(sign: &'static str, number: &str) -> Node {
    let mut row = signed(sign);
    row.push(Node::Number(number::read(number)));
    Node::Row(row)
}

fn signed(sign: &'static str) -> Vec<Node> {
    match sign {
        "" => Vec::new(),
        sign => vec![Node::Operator(sign, Kind::Relation)],
    }
}

/// One side of an equation, `sign` in front (empty for none), and its width; where it is wide it
/// may be broken.
pub fn side(sign: &'static str, expr: &Expr, context: &Context) -> (Node, Width) {
    let mut setter = Setter::new(*context);
    setter.row = signed(sign);
    setter.expr(expr, Place::First);
    let Setter {
        mut row,
        breaks,
        pen: width,
        ..
    } = setter;
    if width > WRAP && !breaks.is_empty() {
        for at in choose(&breaks, width, WRAP) {
            begin_row(&mut row, at.at);
        }
    }
    (Node::row(row), width)
}

/// Lets a row begin with the sign at a position.
fn begin_row(row: &mut [Node], position: usize) {
    if let Some(Node::Operator(_, kind)) = row.get_mut(position) {
        *kind = Kind::Infix { breaks: true };
    }
}

/// Puts the parts of a row, which began at `start`, into several rows, each narrower than `limit`
/// where that can be; tells the width of the widest.
pub(super) fn stack(
    mut parts: Vec<Node>,
    start: usize,
    breaks: &[Break],
    width: Width,
    limit: Width,
) -> (Node, Width) {
    let mut begins = Vec::new();
    let mut row_start = 0.0;
    let mut widest: Width = 0.0;
    let mut last: Option<Break> = None;
    let candidates = choose(breaks, width, limit);
    let ends = candidates.iter().map(|at| (at.width, Some(*at)));
    for (end, candidate) in ends.chain([(width, None)]) {
        if end - row_start > limit
            && let Some(previous) = last
        {
            widest = widest.max(previous.width - row_start);
            row_start = previous.width;
            begins.push(previous.at - start);
        }
        last = candidate;
    }
    let mut rows = Vec::with_capacity(begins.len() + 1);
    for begin in begins.into_iter().rev() {
        begin_row(&mut parts, begin);
        rows.push(Node::row(parts.split_off(begin)));
    }
    rows.push(Node::row(parts));
    rows.reverse();
    (Node::Stack(rows), widest.max(width - row_start))
}

/// The outermost breaks, and deeper ones only within a piece that stays wider than `limit`.
fn choose(breaks: &[Break], width: Width, limit: Width) -> Vec<Break> {
    let mut chosen = Vec::new();
    choose_within(breaks, 0.0, width, limit, &mut chosen);
    chosen
}

fn choose_within(breaks: &[Break], from: Width, to: Width, limit: Width, chosen: &mut Vec<Break>) {
    let Some(depth) = breaks.iter().map(|at| at.depth).min() else {
        return;
    };
    if to - from <= limit {
        return;
    }
    let mut left = from;
    let mut rest = breaks;
    while let Some(index) = rest.iter().position(|at| at.depth == depth) {
        let (within, after) = rest.split_at(index);
        let Some((outer, after)) = after.split_first() else {
            break;
        };
        choose_within(within, left, outer.width, limit, chosen);
        chosen.push(*outer);
        left = outer.width;
        rest = after;
    }
    choose_within(rest, left, to, limit, chosen);
}
