//! Rows of a formula: whole, and broken at operators where they are wide.
//!
//! Widths are estimates in em. A wide row becomes several `math` elements with a place to break
//! between them, so that the browser wraps it at whatever width the page has.

use super::formula::{Break, Place, Writer};
use super::{Context, escape, value};
use crate::resolve::{Expr, ExprKind, FunctionId, Shape, SymbolId};
use crate::worksheet::Shown;

/// A row wider than this is given places to break, in em: a narrow phone.
const WRAP: f32 = 16.0;

/// An estimated width in em.
pub type Width = f32;

/// A formula without its `math` element.
pub fn expr(expr: &Expr, context: &Context) -> String {
    let mut out = String::new();
    Writer::new(*context, &mut out).expr(expr, Place::First);
    out
}

/// Appends a formula as one `math` element; tells its width.
pub fn math(expr: &Expr, context: &Context, out: &mut String) -> Width {
    out.push_str("<math>");
    let mut writer = Writer::new(*context, out);
    writer.depth = None;
    writer.expr(expr, Place::First);
    let width = writer.pen;
    out.push_str("</math>");
    width
}

/// Appends a symbol as a `math` element.
pub fn symbol(id: SymbolId, context: &Context, out: &mut String) {
    out.push_str("<math>");
    Writer::new(*context, out).name(context.names.symbol(id));
    out.push_str("</math>");
}

/// Appends a symbol to a power as a `math` element; a power of 1 is not written.
pub fn power(id: SymbolId, exponent: &Expr, context: &Context, out: &mut String) {
    let is_one = match exponent.inside().kind {
        ExprKind::Number(value) | ExprKind::Numeral(value) => value == 1.0,
        _ => false,
    };
    if is_one {
        return symbol(id, context, out);
    }
    let base = Expr {
        span: exponent.span,
        kind: ExprKind::Symbol(id),
    };
    let kind = ExprKind::Power(Box::new(base), Box::new(exponent.clone()));
    let span = exponent.span;
    math(&Expr { span, kind }, context, out);
}

/// Appends the derivative of an expression by a symbol as a `math` element: a fraction of two
/// differentials (ISO 80000-2), or an operator before what is not a symbol alone.
pub fn derivative(of: &Expr, by: SymbolId, context: &Context, out: &mut String) {
    const SIGN: &str = "<mi mathvariant=\"normal\">∂</mi>";
    let name = of.inside().as_symbol();
    out.push_str("<math><mfrac><mrow>");
    out.push_str(SIGN);
    if let Some(id) = name {
        Writer::new(*context, out).name(context.names.symbol(id));
    }
    out.push_str("</mrow><mrow>");
    out.push_str(SIGN);
    Writer::new(*context, out).name(context.names.symbol(by));
    out.push_str("</mrow></mfrac>");
    if name.is_none() {
        let mut writer = Writer::new(*context, out);
        writer.depth = None;
        writer.brackets(of.inside());
    }
    out.push_str("</math>");
}

/// Appends what stands left of a function's definition: `h_f(Q)`.
pub fn function(id: FunctionId, parameters: usize, context: &Context, out: &mut String) -> Width {
    out.push_str("<math>");
    let mut writer = Writer::new(*context, out);
    writer.name(context.names.function(id));
    // A row of their own makes the brackets a fence, without the spaces of operators.
    writer.single(|writer| {
        let mut elements = writer.element("mo", "(", 0.4);
        for position in 0..parameters {
            if position > 0 {
                elements += writer.element("mo", ",", 0.45);
            }
            let position = u8::try_from(position).unwrap_or(u8::MAX);
            elements += writer.name(context.names.parameter(id, position));
        }
        elements + writer.element("mo", ")", 0.4)
    });
    let width = writer.pen;
    out.push_str("</math>");
    width
}

/// Appends a value after `sign`, as on the last line of a calculation.
pub fn result(sign: &str, shown: &Shown, out: &mut String) {
    out.push_str("<math>");
    if !sign.is_empty() {
        out.push_str("<mo>");
        escape(sign, out);
        out.push_str("</mo>");
    }
    let plain = shown.uncertainty.is_none() && shown.uncertainty_written.is_none();
    if plain && shown.shape != Shape::List {
        value::operand(shown, value::Brackets::None, out);
        out.push_str("</math>");
        if let Some(word) = shown.word {
            out.push('\u{a0}');
            out.push_str(word);
        }
    } else {
        out.push_str("</math>");
        value::value(shown, out);
    }
}

/// Appends an expression with its value as one `math` element that is never broken: for prose.
pub fn equality(lead: &Expr, shown: &Shown, context: &Context, out: &mut String) {
    math(lead, context, out);
    // The two stay together: no place to break lies between adjoining elements with a joiner.
    out.push('\u{2060}');
    result("=", shown, out);
}

/// Appends one side of an equation, `sign` in front (empty for none), as one or more `math`
/// elements between which the line may be broken; tells its width.
pub fn side(sign: &str, expr: &Expr, context: &Context, out: &mut String) -> Width {
    out.push_str("<math>");
    if !sign.is_empty() {
        out.push_str("<mo>");
        escape(sign, out);
        out.push_str("</mo>");
    }
    let start = out.len();
    let mut writer = Writer::new(*context, out);
    writer.expr(expr, Place::First);
    let (width, breaks) = (writer.pen, writer.breaks);
    if width > WRAP && !breaks.is_empty() {
        let chosen = choose(&breaks, width, WRAP);
        splice(out, start, &chosen, "</math><wbr/><math>");
    }
    out.push_str("</math>");
    width
}

/// Puts what was written since `start` into the rows of a table, each narrower than `limit`
/// where that can be; tells the width of the widest.
pub(super) fn stack(
    out: &mut String,
    start: usize,
    breaks: &[Break],
    width: Width,
    limit: Width,
) -> Width {
    let mut rows = Vec::new();
    let mut row_start = 0.0;
    let mut widest: Width = 0.0;
    let mut last: Option<&Break> = None;
    let candidates = choose(breaks, width, limit);
    for at in &candidates {
        if at.width - row_start > limit
            && let Some(previous) = last
        {
            widest = widest.max(previous.width - row_start);
            row_start = previous.width;
            rows.push(*previous);
        }
        last = Some(at);
    }
    if width - row_start > limit
        && let Some(previous) = last
    {
        widest = widest.max(previous.width - row_start);
        row_start = previous.width;
        rows.push(*previous);
    }
    splice(out, start, &rows, "</mtd></mtr><mtr><mtd>");
    out.insert_str(start, "<mtable class=\"rows\"><mtr><mtd>");
    out.push_str("</mtd></mtr></mtable>");
    widest.max(width - row_start)
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

/// Puts `between` before the operator of each break, which keeps its spaces on both sides.
fn splice(out: &mut String, start: usize, breaks: &[Break], between: &str) {
    let tail = out.split_off(start);
    let mut copied = start;
    for at in breaks {
        out.push_str(tail.get(copied - start..at.at - start).unwrap_or(""));
        out.push_str(between);
        out.push_str("<mo form=\"infix\">");
        copied = at.at + "<mo>".len();
    }
    out.push_str(tail.get(copied - start..).unwrap_or(""));
}
