//! The parts of a statement that are never touched: names, numbers with their units, labels.
//!
//! In goes the tree of a statement, out come places in order, none within another.

use super::super::{Expr, ExprKind, Part, Statement};
use crate::text::Span;

/// The places of all parts that are kept byte for byte.
pub(super) fn of(statement: &Statement) -> Vec<Span> {
    let mut atoms = Atoms(Vec::new());
    statement.for_each_part(&mut |part| atoms.part(part));
    let mut places = atoms.0;
    places.retain(|place| !place.is_empty());
    places.sort_by_key(|place| (place.start, std::cmp::Reverse(place.end)));
    let mut end = 0;
    places.retain(|place| {
        let outside = place.start >= end;
        end = end.max(place.end);
        outside
    });
    places
}

struct Atoms(Vec<Span>);

impl Atoms {
    fn part(&mut self, part: Part<'_>) {
        match part {
            Part::Expr(expr) => self.expr(expr),
            Part::Name(name) | Part::Called(name) | Part::Elsewhere(name) => self.0.push(name.span),
            Part::Literal(literal) => self.0.push(literal.span),
            Part::Unit(unit) => self.0.push(unit.span),
            Part::Ask(ask) => self.0.extend(ask.unit.iter().map(|unit| unit.span)),
            Part::Label(word) | Part::Word(word) => self.0.push(word.span),
            Part::Spot(spot) => self.0.push(spot.name.span),
        }
    }

    fn expr(&mut self, expr: &Expr) {
        match &expr.kind {
            ExprKind::Number(number) => self.0.push(number.span),
            ExprKind::Quantity(literal) => self.0.push(literal.span),
            ExprKind::Name(name) | ExprKind::Call { name, .. } => self.0.push(name.span),
            ExprKind::Component(..) | ExprKind::Constant(_) => self.0.push(expr.span),
            ExprKind::Where(_, which) => which.for_each_word(&mut |word| self.0.push(word.span)),
            ExprKind::Sum(_)
            | ExprKind::Product(_)
            | ExprKind::Power(..)
            | ExprKind::Negative(_)
            | ExprKind::Group(_)
            | ExprKind::Abs(_)
            | ExprKind::List(_)
            | ExprKind::Vector(_)
            | ExprKind::Cases(_) => {}
        }
        expr.for_each_part(&mut |part| self.expr(part));
    }
}
