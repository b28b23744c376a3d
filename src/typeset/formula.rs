//! One formula, part by part.

use super::edge::{is_fence, is_negative, is_tall, vector_product};
use super::names::Name;
use super::value::Brackets;
use super::{Context, value};
use crate::functions::{Function, Print};
use crate::quantity::Unit;
use crate::resolve::{Expr, ExprKind, Quantity, Shape, SymbolId, Term};
use crate::syntax::Axis;

/// Where a part stands, which decides about brackets that the author did not need to write.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// At the start of a row, a fraction's half or brackets: a minus sign needs nothing.
    First,
    /// After an operator or another factor: a minus sign needs brackets.
    Inner,
    /// Below an exponent or after a function's bare name: all but a simple part needs brackets.
    Tight,
}

/// A place where a row may be broken, before an operator.
#[derive(Debug, Clone, Copy)]
pub(super) struct Break {
    /// Byte in the output, where `<mo>` of the operator begins.
    pub(super) at: usize,
    /// Width of the row before it, in em.
    pub(super) width: f32,
    /// How deep it stands: two for each pair of brackets, and one more for a product's sign.
    pub(super) depth: u8,
}

/// Writes formulas into a string and keeps track of widths and places to break.
pub(super) struct Writer<'a> {
    pub(super) context: Context<'a>,
    pub(super) out: &'a mut String,
    /// Width of what has been written in the current row, in em.
    pub(super) pen: f32,
    /// Places to break in the current row.
    pub(super) breaks: Vec<Break>,
    /// Two for each pair of brackets around the current place; `None` inside an element, where no row can break.
    pub(super) depth: Option<u8>,
}

impl<'a> Writer<'a> {
    pub(super) fn new(context: Context<'a>, out: &'a mut String) -> Self {
        Self {
            context,
            out,
            pen: 0.0,
            breaks: Vec::new(),
            depth: Some(0),
        }
    }

    /// Appends a part; tells how many elements it became.
    pub(super) fn expr(&mut self, expr: &Expr, place: Place) -> u32 {
        match &expr.kind {
            ExprKind::Number(_) => self.number(self.context.source.slice(expr.span), place),
            ExprKind::Numeral(value) => self.number(&super::number::numeral(*value), place),
            ExprKind::Quantity(quantity) => self.quantity(quantity, place),
            ExprKind::Pi => self.element("mi", "π", 0.55),
            ExprKind::Symbol(id) => self.symbol(*id, place),
            ExprKind::Parameter(position) => {
                let function = self.context.function;
                let name = function.and_then(|id| self.context.names.parameter(id, *position));
                self.name(name)
            }
            ExprKind::Constant(constant) => {
                self.out.push_str("<mtext>");
                self.out.push_str(constant.name);
                self.out.push_str(" (");
                self.out.push_str(constant.edition);
                self.out.push_str(")</mtext>");
                self.pen += 0.45 * (constant.name.len() + constant.edition.len()) as f32;
                1
            }
            ExprKind::Sum(terms) if place == Place::First => self.sum(terms),
            ExprKind::Negative(inner) if place == Place::First => {
                self.out.push_str("<mo form=\"prefix\">−</mo>");
                self.pen += 0.7;
                1 + self.expr(inner, Place::Inner)
            }
            ExprKind::Product(factors) if place != Place::Tight => self.product(factors, place),
            ExprKind::Sum(_) | ExprKind::Negative(_) | ExprKind::Product(_) => self.brackets(expr),
            ExprKind::Power(base, exponent) => self.power(base, exponent),
            ExprKind::Group(inner) => self.brackets(inner),
            ExprKind::Abs(inner) => self.fence("|", inner, "|"),
            ExprKind::Call {
                function,
                arguments,
                bracketed,
            } => match vector_product(expr) {
                Some(_) if place == Place::Tight => self.brackets(expr),
                Some((sign, left, right)) => self.vector_product(sign, left, right),
                None => self.call(*function, arguments, *bracketed),
            },
            ExprKind::Apply {
                function,
                arguments,
            } => {
                let elements = self.name(self.context.names.function(*function));
                elements + self.arguments(arguments)
            }
            ExprKind::List(items) => self.separated("[", items, "]"),
            ExprKind::Vector(items) => self.vector(items),
            ExprKind::Component(id, axis) => self.component(*id, *axis, place),
            ExprKind::Cases(cases) => self.cases(cases),
        }
    }

    /// Appends one element; a word's characters are trusted to need no escape.
    pub(super) fn element(&mut self, tag: &str, text: &str, width: f32) -> u32 {
        self.out.push('<');
        self.out.push_str(tag);
        self.out.push('>');
        self.out.push_str(text);
        self.out.push_str("</");
        self.out.push_str(tag);
        self.out.push('>');
        self.pen += width;
        1
    }

    /// Appends an operator before which a row may be broken: at a sum's sign (`reluctance` 0)
    /// rather than at a product's (1).
    pub(super) fn operator(&mut self, sign: &str, reluctance: u8) -> u32 {
        if let Some(depth) = self.depth {
            self.breaks.push(Break {
                at: self.out.len(),
                width: self.pen,
                depth: depth.saturating_add(reluctance),
            });
        }
        self.element("mo", sign, 1.2)
    }

    fn number(&mut self, text: &str, place: Place) -> u32 {
        let parts = super::number::parts(text);
        let brackets = brackets(place, parts.negative, "");
        let (elements, width) = value::quantity(parts, &Unit::one(), brackets, self.out);
        self.pen += width;
        elements
    }

    fn quantity(&mut self, quantity: &Quantity, place: Place) -> u32 {
        let text = self.context.source.slice(quantity.number);
        if quantity.shape != Shape::One {
            let elements = self.list_text(text, quantity.shape);
            let (more, width) = value::unit_mathml(&quantity.unit, self.out);
            self.pen += width;
            return elements + more;
        }
        let parts = super::number::parts(text);
        let brackets = brackets(place, parts.negative, quantity.unit.text());
        let (elements, width) = value::quantity(parts, &quantity.unit, brackets, self.out);
        self.pen += width;
        elements
    }

    fn list_text(&mut self, text: &str, shape: Shape) -> u32 {
        let (open, close) = value::fences(shape);
        self.out.push_str("<mrow><mo stretchy=\"false\">");
        self.out.push_str(open);
        self.out.push_str("</mo>");
        let items = text.trim_matches(['[', ']', '(', ')', ' ']);
        for (index, item) in items.split(',').enumerate() {
            if index > 0 {
                self.out.push_str(value::COMMA);
                self.pen += 0.5;
            }
            let parts = super::number::parts(item);
            self.pen += parts.width();
            parts.mathml(self.out);
        }
        self.out.push_str("<mo stretchy=\"false\">");
        self.out.push_str(close);
        self.out.push_str("</mo></mrow>");
        1
    }

    /// A component: the vector's letter with the axis as a subscript, or its number.
    fn component(&mut self, id: SymbolId, axis: Axis, place: Place) -> u32 {
        let Some(shown) = self.context.operand(id) else {
            return self.name(self.context.names.component(id, axis).as_ref());
        };
        let single = value::component(shown, axis as usize);
        let brackets = brackets(place, is_negative(&single), single.unit.text());
        let (elements, width) = value::operand(&single, brackets, self.out);
        self.pen += width;
        elements
    }

    fn symbol(&mut self, id: SymbolId, place: Place) -> u32 {
        let Some(shown) = self.context.operand(id) else {
            return self.name(self.context.names.symbol(id));
        };
        let brackets = brackets(place, is_negative(shown), shown.unit.text());
        let (elements, width) = value::operand(shown, brackets, self.out);
        self.pen += width;
        elements
    }

    pub(super) fn name(&mut self, name: Option<&Name>) -> u32 {
        // Ids come from the worksheet's own tables, so that every name is there.
        let Some(name) = name else { return 0 };
        self.out.push_str(&name.mathml);
        self.pen += name.width;
        1
    }

    fn sum(&mut self, terms: &[Term]) -> u32 {
        let mut elements = 0;
        for (index, term) in terms.iter().enumerate() {
            let place = match (index, term.negative) {
                (0, false) => Place::First,
                (0, true) => {
                    self.out.push_str("<mo form=\"prefix\">−</mo>");
                    self.pen += 0.7;
                    elements += 1;
                    Place::Inner
                }
                (_, negative) => {
                    elements += self.operator(if negative { "−" } else { "+" }, 0);
                    Place::Inner
                }
            };
            elements += self.expr(&term.expr, place);
        }
        elements
    }

    /// Appends round brackets around `inner`.
    pub(super) fn brackets(&mut self, inner: &Expr) -> u32 {
        self.fence("(", inner, ")")
    }

    /// Appends two fences around `inner`: growing ones in an `mrow` of their own where the
    /// content is tall, else plain ones in the row, which may then break inside.
    fn fence(&mut self, open: &str, inner: &Expr, close: &str) -> u32 {
        if is_tall(inner) {
            self.out.push_str("<mrow>");
            self.element("mo", open, 0.45);
            self.closed(|writer| writer.expr(inner, Place::First));
            self.element("mo", close, 0.45);
            self.out.push_str("</mrow>");
            return 1;
        }
        self.fixed_fence(open, "prefix");
        let outside = self.depth;
        self.depth = outside.map(|depth| depth.saturating_add(2));
        let elements = self.expr(inner, Place::First);
        self.depth = outside;
        self.fixed_fence(close, "postfix");
        elements + 2
    }

    fn fixed_fence(&mut self, sign: &str, form: &str) {
        self.out.push_str("<mo stretchy=\"false\"");
        // A bar does not say by itself which side it closes.
        if sign == "|" {
            self.out.push_str(" form=\"");
            self.out.push_str(form);
            self.out.push('"');
        }
        self.out.push('>');
        self.out.push_str(sign);
        self.out.push_str("</mo>");
        self.pen += 0.35;
    }

    /// `a · b` and `a × b` of vectors, their sides in brackets where they are sums or products of
    /// vectors themselves.
    fn vector_product(&mut self, sign: &str, left: &Expr, right: &Expr) -> u32 {
        let side = |writer: &mut Self, expr: &Expr, place| {
            let expr = expr.inside();
            let is_loose = matches!(expr.kind, ExprKind::Sum(_) | ExprKind::Negative(_));
            if is_loose || vector_product(expr).is_some() {
                writer.brackets(expr)
            } else {
                writer.expr(expr, place)
            }
        };
        let before = side(self, left, Place::First);
        let operator = self.operator(sign, 1);
        before + operator + side(self, right, Place::Inner)
    }

    fn power(&mut self, base: &Expr, exponent: &Expr) -> u32 {
        if let ExprKind::Component(id, axis) = base.kind
            && self.context.operand(id).is_none()
            && let Some(name) = self.context.names.component(id, axis)
        {
            return self.power_of_subscripted(&name, exponent);
        }
        if let Some(id) = base.as_symbol() {
            let name = self.context.names.symbol(id);
            if let Some(name) = name.filter(|name| name.has_subscript)
                && self.context.operand(id).is_none()
            {
                return self.power_of_subscripted(name, exponent);
            }
        }
        if let ExprKind::Call {
            function,
            arguments,
            bracketed: true,
        } = &base.kind
            && function.print() == Print::Powered
            && matches!(exponent.kind, ExprKind::Number(_) | ExprKind::Numeral(_))
        {
            self.out.push_str("<msup>");
            self.element("mi", function.name(), 1.5);
            self.exponent(exponent);
            self.out.push_str("</msup>");
            return 1 + self.arguments(arguments);
        }
        self.out.push_str("<msup>");
        self.single(|writer| match &base.kind {
            ExprKind::Power(..) | ExprKind::Cases(_) => writer.brackets(base),
            ExprKind::Call { function, .. } if !is_fence(*function) => writer.brackets(base),
            _ => writer.expr(base, Place::Tight),
        });
        self.exponent(exponent);
        self.out.push_str("</msup>");
        1
    }

    /// `V₁²` with subscript and exponent above each other.
    fn power_of_subscripted(&mut self, name: &Name, exponent: &Expr) -> u32 {
        let inside = name
            .mathml
            .strip_prefix("<msub>")
            .and_then(|rest| rest.strip_suffix("</msub>"));
        self.out.push_str("<msubsup>");
        self.out.push_str(inside.unwrap_or(&name.mathml));
        self.pen += name.width;
        self.exponent(exponent);
        self.out.push_str("</msubsup>");
        1
    }

    fn exponent(&mut self, exponent: &Expr) {
        let before = self.pen;
        self.single(|writer| writer.expr(exponent.inside(), Place::First));
        self.pen = before + 0.7 * (self.pen - before);
    }

    fn call(&mut self, function: Function, arguments: &[Expr], bracketed: bool) -> u32 {
        match (function.print(), arguments) {
            (Print::Root(2), [argument]) => {
                self.out.push_str("<msqrt>");
                self.closed(|writer| writer.expr(argument.inside(), Place::First));
                self.out.push_str("</msqrt>");
                self.pen += 0.9;
                return 1;
            }
            (Print::Root(degree), [argument]) => {
                self.out.push_str("<mroot>");
                self.single(|writer| writer.expr(argument.inside(), Place::First));
                self.out.push_str(&format!("<mn>{degree}</mn></mroot>"));
                self.pen += 0.9;
                return 1;
            }
            (Print::Fence(open, close), [argument]) => return self.fence(open, argument, close),
            (Print::Before(sign), [argument]) => {
                let elements = self.element("mo", sign, 0.8);
                let inner = argument.inside();
                return elements
                    + match inner.kind {
                        ExprKind::Symbol(_) => self.expr(inner, Place::Inner),
                        _ => self.brackets(inner),
                    };
            }
            (Print::Indexed(letter), [index, others @ ..]) => {
                self.out.push_str("<msub>");
                self.element("mi", letter, 0.6);
                self.exponent(index);
                self.out.push_str("</msub>");
                return 1 + self.arguments(others);
            }
            _ => {}
        }
        let elements = self.function_name(function);
        if bracketed {
            return elements + self.arguments(arguments);
        }
        self.out
            .push_str("<mo lspace=\"0\" rspace=\"0.17em\">\u{2061}</mo>");
        self.pen += 0.17;
        let mut written = elements + 1;
        for argument in arguments {
            written += self.expr(argument, Place::Tight);
        }
        written
    }

    fn function_name(&mut self, function: Function) -> u32 {
        let base = match function.print() {
            Print::Logarithm(base) => base,
            Print::Letter(letter) => {
                // One character in `mi` is italic unless it says otherwise.
                self.out.push_str("<mi mathvariant=\"normal\">");
                self.out.push_str(letter);
                self.out.push_str("</mi>");
                self.pen += 0.65;
                return 1;
            }
            Print::Name
            | Print::Powered
            | Print::Root(_)
            | Print::Fence(..)
            | Print::Between(_)
            | Print::Before(_)
            | Print::Indexed(_) => {
                let name = function.name();
                return self.element("mi", name, 0.5 * name.len() as f32);
            }
        };
        self.out.push_str("<msub><mi>log</mi>");
        self.element("mn", base, 2.0);
        self.out.push_str("</msub>");
        1
    }

    fn arguments(&mut self, arguments: &[Expr]) -> u32 {
        match arguments {
            [argument] => self.brackets(argument.inside()),
            _ => self.separated("(", arguments, ")"),
        }
    }

    /// Parts between commas and fences, in a row of their own.
    fn separated(&mut self, open: &str, parts: &[Expr], close: &str) -> u32 {
        self.out.push_str("<mrow>");
        self.element("mo", open, 0.4);
        for (index, part) in parts.iter().enumerate() {
            if index > 0 {
                self.element("mo", ",", 0.45);
            }
            self.closed(|writer| writer.expr(part, Place::First));
        }
        self.element("mo", close, 0.4);
        self.out.push_str("</mrow>");
        1
    }

    /// The components of a vector, with the spaces that its numbers have.
    fn vector(&mut self, parts: &[Expr]) -> u32 {
        if parts.iter().any(is_tall) {
            return self.separated("(", parts, ")");
        }
        self.out.push_str("<mrow><mo stretchy=\"false\">(</mo>");
        self.pen += 0.7;
        for (index, part) in parts.iter().enumerate() {
            if index > 0 {
                self.out.push_str(value::COMMA);
                self.pen += 0.5;
            }
            self.closed(|writer| writer.expr(part, Place::First));
        }
        self.out.push_str("<mo stretchy=\"false\">)</mo></mrow>");
        1
    }

    /// Writes inside an element, where the row cannot break.
    pub(super) fn closed<T>(&mut self, write: impl FnOnce(&mut Self) -> T) -> T {
        let outside = self.depth.take();
        let result = write(self);
        self.depth = outside;
        result
    }

    /// Writes exactly one element: an `mrow` goes around where there are more or fewer.
    pub(super) fn single(&mut self, write: impl FnOnce(&mut Self) -> u32) {
        let start = self.out.len();
        let elements = self.closed(write);
        if elements != 1 {
            self.out.insert_str(start, "<mrow>");
            self.out.push_str("</mrow>");
        }
    }
}

/// What a number needs around it in its place. `sin 35°` and `1.5²` read well as they are.
fn brackets(place: Place, is_negative: bool, unit: &str) -> Brackets {
    match place {
        Place::First => Brackets::None,
        _ if is_negative => Brackets::Round,
        Place::Inner => Brackets::None,
        Place::Tight if unit.is_empty() || unit == "°" => Brackets::AroundPowersOfTen,
        Place::Tight => Brackets::Round,
    }
}
