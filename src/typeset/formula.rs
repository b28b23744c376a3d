//! One formula, part by part.

use std::sync::Arc;

use super::edge::{is_fence, is_negative, is_tall, vector_product};
use super::names::Name;
use super::tree::{Kind, Node, Number};
use super::value::Brackets;
use super::{Context, number, value};
use crate::functions::{Function, Print};
use crate::quantity::{EDITION, Unit};
use crate::resolve::{Expr, ExprKind, Quantity, Shape, SymbolId, Term};
use crate::syntax::Axis;
use crate::worksheet::{Shown, list_parts};

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

/// A place where a row may be broken, before a sign.
#[derive(Debug, Clone, Copy)]
pub(super) struct Break {
    /// The position of the sign in the row.
    pub(super) at: usize,
    /// Width of the row before it, in em.
    pub(super) width: f32,
    /// How deep it stands: two for each pair of brackets, and one more for a product's sign.
    pub(super) depth: u8,
}

/// Sets formulas into a row and keeps track of its width and of places to break it.
pub(super) struct Setter<'a> {
    pub(super) context: Context<'a>,
    /// What has been set of the current row.
    pub(super) row: Vec<Node>,
    /// Its width, in em.
    pub(super) pen: f32,
    /// Places to break in it.
    pub(super) breaks: Vec<Break>,
    /// Two for each pair of brackets around the current place; `None` where no row can break.
    pub(super) depth: Option<u8>,
    /// Whether fractions are stacked here; else they have a solidus.
    pub(super) is_stacked: bool,
}

impl<'a> Setter<'a> {
    pub(super) fn new(context: Context<'a>) -> Self {
        Self {
            context,
            row: Vec::new(),
            pen: 0.0,
            breaks: Vec::new(),
            depth: Some(0),
            is_stacked: !context.is_in_line,
        }
    }

    /// Appends an expression to the row.
    pub(super) fn expr(&mut self, expr: &Expr, place: Place) {
        match &expr.kind {
            ExprKind::Number(_) => self.number(expr.span.of(self.context.text), place),
            ExprKind::Numeral(value) => self.number(&number::numeral(*value), place),
            ExprKind::Quantity(quantity) => self.quantity(quantity, place),
            ExprKind::Pi => self.push(Node::Letter('π'), 0.55),
            ExprKind::Symbol(id) => self.symbol(*id, place),
            ExprKind::Parameter(position) => {
                let function = self.context.function;
                let name = function.and_then(|id| self.context.names.parameter(id, *position));
                self.name(name);
            }
            ExprKind::Constant(constant) => {
                let text = format!("{} ({})", constant.name, EDITION);
                let letters = constant.name.len() + EDITION.len();
                self.push(Node::Text(text.into()), 0.45 * letters as f32);
            }
            ExprKind::Sum(terms) if place == Place::First => self.sum(terms),
            ExprKind::Negative(inner) if place == Place::First => {
                self.minus();
                self.expr(inner, Place::Inner);
            }
            ExprKind::Product(factors) if place != Place::Tight => self.product(factors, place),
            ExprKind::Sum(_) | ExprKind::Negative(_) | ExprKind::Product(_) => self.brackets(expr),
            ExprKind::Power(base, exponent) => self.power(base, exponent),
            ExprKind::Group(inner) => match &self.without_brackets(expr).kind {
                ExprKind::Product(factors) if place != Place::Tight => self.product(factors, place),
                _ => self.brackets(inner),
            },
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
                self.name(self.context.names.function(*function));
                self.arguments(arguments);
            }
            ExprKind::List(items) => self.separated("[", items, "]"),
            ExprKind::Vector(items) => self.vector(items),
            ExprKind::Component(id, axis) => self.component(*id, *axis, place),
            ExprKind::Cases(cases) => self.cases(cases),
            ExprKind::Where(list, which) => self.chosen(list, which, true),
            ExprKind::ReadOff(table) => {
                self.expr(&table.values, Place::Inner);
                self.push(Node::Text(" against ".into()), 3.5);
                self.expr(&table.places, Place::Inner);
            }
        }
    }

    pub(super) fn push(&mut self, node: Node, width: f32) {
        self.row.push(node);
        self.pen += width;
    }

    /// Appends a sign before which a row may be broken: at a sum's sign (`reluctance` 0) rather
    /// than at a product's (1).
    pub(super) fn operator(&mut self, sign: &'static str, reluctance: u8) {
        if let Some(depth) = self.depth {
            self.breaks.push(Break {
                at: self.row.len(),
                width: self.pen,
                depth: depth.saturating_add(reluctance),
            });
        }
        self.push(Node::Operator(sign, Kind::Infix { breaks: false }), 1.2);
    }

    fn minus(&mut self) {
        self.push(Node::Operator("−", Kind::Prefix), 0.7);
    }

    fn number(&mut self, text: &str, place: Place) {
        let number = number::read(text);
        let brackets = brackets(place, number.negative, "");
        self.pen += value::quantity(number, &Unit::one(), brackets, &mut self.row);
    }

    fn quantity(&mut self, quantity: &Quantity, place: Place) {
        if let Some(shown) = self.context.literal(quantity.number) {
            return self.operand(shown, place);
        }
        let text = quantity.number.of(self.context.text);
        if quantity.shape != Shape::One {
            return self.list_text(text, quantity);
        }
        let number = number::read(text);
        let brackets = brackets(place, number.negative, quantity.unit.text());
        self.pen += value::quantity(number, &quantity.unit, brackets, &mut self.row);
    }

    fn list_text(&mut self, text: &str, quantity: &Quantity) {
        let numbers: Vec<Number> = list_parts(text).map(number::read).collect();
        let commas = 0.5 * numbers.len().saturating_sub(1) as f32;
        self.pen += commas + numbers.iter().map(Number::width).sum::<f32>();
        let items = numbers.into_iter().map(Node::Number);
        self.row.push(value::fenced(items, quantity.shape));
        self.row.extend(value::unit_part(&quantity.unit));
        self.pen += value::unit_width(&quantity.unit);
    }

    /// A component: the vector's letter with the axis as a subscript, or its number.
    fn component(&mut self, id: SymbolId, axis: Axis, place: Place) {
        match self.context.operand(id) {
            None => self.name(self.context.names.component(id, axis).as_ref()),
            Some(shown) => self.operand(&shown.component(axis as usize), place),
        }
    }

    fn symbol(&mut self, id: SymbolId, place: Place) {
        match self.context.operand(id) {
            None => self.name(self.context.names.symbol(id)),
            Some(shown) => self.operand(shown, place),
        }
    }

    fn operand(&mut self, shown: &Shown, place: Place) {
        let brackets = brackets(place, is_negative(shown), shown.unit.text());
        self.pen += value::operand(shown, brackets, &mut self.row);
    }

    pub(super) fn name(&mut self, name: Option<&Arc<Name>>) {
        // Ids come from the worksheet's own tables, so that every name is there.
        if let Some(name) = name {
            self.push(Node::Name(Arc::clone(name)), name.width);
        }
    }

    fn sum(&mut self, terms: &[Term]) {
        for (index, term) in terms.iter().enumerate() {
            let place = match (index, term.negative) {
                (0, false) => Place::First,
                (0, true) => {
                    self.minus();
                    Place::Inner
                }
                (_, negative) => {
                    self.operator(if negative { "−" } else { "+" }, 0);
                    Place::Inner
                }
            };
            self.expr(&term.expr, place);
        }
    }

    /// Appends round brackets around `inner`.
    pub(super) fn brackets(&mut self, inner: &Expr) {
        self.fence("(", inner, ")");
    }

    /// A round bracket in the row, within which it may break.
    pub(super) fn open(&mut self) {
        self.push(Node::OPEN, 0.35);
        self.depth = self.depth.map(|depth| depth.saturating_add(2));
    }

    /// The bracket that closes it.
    pub(super) fn close(&mut self) {
        self.depth = self.depth.map(|depth| depth.saturating_sub(2));
        self.push(Node::CLOSE, 0.35);
    }

    /// Appends two fences around `inner`: growing ones that hold it together where it is tall,
    /// else plain ones in the row, which may then break inside.
    fn fence(&mut self, open: &'static str, inner: &Expr, close: &'static str) {
        let inner = inner.inside();
        if is_tall(inner, self.is_stacked) {
            let inside = self.part(|setter| setter.within(inner));
            return self.push(Node::fence(open, inside, close, true), 0.9);
        }
        self.push(Node::Operator(open, Kind::Open), 0.35);
        let outside = self.depth;
        self.depth = outside.map(|depth| depth.saturating_add(2));
        self.within(inner);
        self.depth = outside;
        self.push(Node::Operator(close, Kind::Close), 0.35);
    }

    /// What fences stand around, so that nothing goes on behind it.
    fn within(&mut self, inner: &Expr) {
        match &inner.kind {
            ExprKind::Where(list, which) => self.chosen(list, which, false),
            _ => self.expr(inner, Place::First),
        }
    }

    /// `a · b` and `a × b` of vectors, their sides in brackets where they are sums or products of
    /// vectors themselves.
    fn vector_product(&mut self, sign: &'static str, left: &Expr, right: &Expr) {
        let side = |setter: &mut Self, expr: &Expr, place| {
            let expr = expr.inside();
            let is_loose = matches!(expr.kind, ExprKind::Sum(_) | ExprKind::Negative(_));
            if is_loose || vector_product(expr).is_some() {
                setter.brackets(expr);
            } else {
                setter.expr(expr, place);
            }
        };
        side(self, left, Place::First);
        self.operator(sign, 1);
        side(self, right, Place::Inner);
    }

    fn power(&mut self, base: &Expr, exponent: &Expr) {
        if let ExprKind::Call {
            function,
            arguments,
            bracketed: true,
        } = &base.kind
            && function.print() == Print::Powered
            && matches!(exponent.kind, ExprKind::Number(_) | ExprKind::Numeral(_))
        {
            self.pen += 1.5;
            self.raised(Node::Function(function.name()), exponent);
            return self.arguments(arguments);
        }
        let base = self.part(|setter| match &base.kind {
            ExprKind::Power(..) | ExprKind::Cases(_) => setter.brackets(base),
            ExprKind::Call { function, .. } if !is_fence(*function) => setter.brackets(base),
            _ => setter.expr(base, Place::Tight),
        });
        self.raised(base, exponent);
    }

    /// Appends a base with its exponent, which is set smaller.
    fn raised(&mut self, base: Node, exponent: &Expr) {
        let before = self.pen;
        let exponent = self.small(exponent);
        self.pen = before + 0.7 * (self.pen - before);
        self.row.push(Node::Power(Box::new([base, exponent])));
    }

    /// An exponent or index.
    fn small(&mut self, expr: &Expr) -> Node {
        let is_stacked = std::mem::replace(&mut self.is_stacked, false);
        let node = self.part(|setter| setter.expr(expr.inside(), Place::First));
        self.is_stacked = is_stacked;
        node
    }

    fn call(&mut self, function: Function, arguments: &[Expr], bracketed: bool) {
        match (function.print(), arguments) {
            (Print::Root(degree), [argument]) => return self.root(degree, argument),
            (Print::Fence(open, close), [argument]) => return self.fence(open, argument, close),
            (Print::Before(sign), [argument]) => return self.before(sign, argument.inside()),
            (Print::Indexed(letter), [index, others @ ..]) => {
                self.indexed(letter, index);
                return self.arguments(others);
            }
            _ => self.function_name(function),
        }
        if bracketed {
            return self.arguments(arguments);
        }
        self.push(Node::Operator("\u{2061}", Kind::Apply), 0.17);
        for argument in arguments {
            self.expr(argument, Place::Tight);
        }
    }

    fn root(&mut self, degree: u8, argument: &Expr) {
        let inside = self.part(|setter| setter.expr(argument.inside(), Place::First));
        self.push(Node::Root(degree, Box::new(inside)), 0.9);
    }

    fn before(&mut self, sign: &'static str, argument: &Expr) {
        self.push(Node::Operator(sign, Kind::Plain), 0.8);
        match argument.kind {
            ExprKind::Symbol(_) => self.expr(argument, Place::Inner),
            _ => self.brackets(argument),
        }
    }

    fn indexed(&mut self, letter: char, index: &Expr) {
        let index = self.small(index);
        self.push(
            Node::Subscript(Box::new([Node::Letter(letter), index])),
            0.6,
        );
    }

    fn function_name(&mut self, function: Function) {
        let base = match function.print() {
            Print::Logarithm(base) => base,
            Print::Letter(letter) => return self.push(Node::Upright(letter), 0.65),
            Print::Name
            | Print::Powered
            | Print::Root(_)
            | Print::Fence(..)
            | Print::Between(_)
            | Print::Before(_)
            | Print::Indexed(_) => {
                let name = function.name();
                return self.push(Node::Function(name), 0.5 * name.len() as f32);
            }
        };
        let parts = [Node::Function("log"), Node::Number(number::read(base))];
        self.push(Node::Subscript(Box::new(parts)), 2.0);
    }

    fn arguments(&mut self, arguments: &[Expr]) {
        match arguments {
            [argument] => self.brackets(argument.inside()),
            _ => self.separated("(", arguments, ")"),
        }
    }

    /// Parts between commas in fences, which grow where one of them is tall.
    fn separated(&mut self, open: &'static str, parts: &[Expr], close: &'static str) {
        let inside = self.part(|setter| {
            for (index, part) in parts.iter().enumerate() {
                if index > 0 {
                    setter.push(Node::Operator(",", Kind::Comma), 0.45);
                }
                setter.within(part);
            }
        });
        let grows = parts.iter().any(|part| is_tall(part, self.is_stacked));
        self.push(Node::fence(open, inside, close, grows), 0.8);
    }

    /// The components of a vector, with the spaces that its numbers have.
    fn vector(&mut self, parts: &[Expr]) {
        if parts.iter().any(|part| is_tall(part, self.is_stacked)) {
            return self.separated("(", parts, ")");
        }
        let parts: Vec<Node> = parts
            .iter()
            .map(|part| self.part(|setter| setter.expr(part, Place::First)))
            .collect();
        self.pen += 0.7 + 0.5 * parts.len().saturating_sub(1) as f32;
        self.row
            .push(value::fenced(parts.into_iter(), Shape::Vector));
    }

    /// Sets what holds together, where the row cannot break, and takes it from the row.
    pub(super) fn part(&mut self, set: impl FnOnce(&mut Self)) -> Node {
        let start = self.row.len();
        let outside = self.depth.take();
        set(self);
        self.depth = outside;
        self.taken(start)
    }

    /// Takes what was set since `start` from the row.
    pub(super) fn taken(&mut self, start: usize) -> Node {
        match self.row.len() - start {
            1 => self.row.pop().unwrap_or(Node::Row(Vec::new())),
            _ => Node::Row(self.row.split_off(start)),
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
